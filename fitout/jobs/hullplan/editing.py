"""Change zones, nodes and segments; each change can be undone."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from fitout.jobs.models import CablewayNode, CablewaySegment, Job, Zone
from fitout.kit import audit

Piece = Any  # a Zone, CablewayNode or CablewaySegment, saved or not

WORDS: dict[type[Any], str] = {
    Zone: "zone",
    CablewayNode: "node",
    CablewaySegment: "cableway",
}


class CannotRemovePiece(Exception):
    """The reason, as a sentence."""


def save(job: Job, piece: Piece, *, version: int | None, by: Any) -> None:
    """Store a new piece, or one read at `version`; raises `StaleVersion` if it moved on."""
    word = WORDS[type(piece)]
    done = "added" if piece.pk is None else "changed"
    with (
        transaction.atomic(),
        audit.tracked(
            actor=by, scope=job.scope, label=f"Hull plan: {word} {piece} {done}", action="hull_plan"
        ) as change,
    ):
        if piece.pk is None:
            piece.changed_by = by
            piece.save()
            change.created(piece)
        else:
            change.watch(piece)
            piece.save_if_version(version or 0, by=by)


def remove(job: Job, piece: Piece, *, by: Any) -> None:
    word = WORDS[type(piece)]
    try:
        with (
            transaction.atomic(),
            audit.tracked(
                actor=by,
                scope=job.scope,
                label=f"Hull plan: {word} {piece} removed",
                action="hull_plan",
            ) as change,
        ):
            change.removing(piece)
            piece.delete()
    except ProtectedError as error:
        count = len(error.protected_objects)
        raise CannotRemovePiece(
            f"{piece} cannot be removed: {count} line{'s' if count != 1 else ''} of the build "
            "sheet stand in it. Move or remove them first."
        ) from error
