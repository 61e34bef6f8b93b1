"""The layout of the backbone: what a person laid down, the rest from hull plan and build sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from catalogue.models import DataCableData, Part, PartKind
from electrical.adapters.numbers import number
from electrical.adapters.routes import Router, point_of
from electrical.core.geometry import END_SLACK_M, SLACK_SHARE, NoWay, Way
from electrical.data_backbone.ordering import inserted, shortest_line
from electrical.devices import counted_pieces
from electrical.facts import Facts, backbone_units
from electrical.models import DataBackbone, DataTee, Device
from electrical.wiring.system import distance_m
from fitout.jobs.models import Job, Line

#: Tees nearer together than this are joined directly, without cable. Common practice, no source.
JOINED_M = 0.3
FEWEST = 2
DROP_WORD = "drop"
ON_BACKBONE = (PartKind.DATA_DEVICE, PartKind.DATA_CABLE)


@dataclass(frozen=True)
class Pieces:
    """Data cable, tees and terminators on the build sheet: how many of each part."""

    parts: tuple[tuple[Part, int], ...]

    @property
    def tees(self) -> int:
        return sum(n for part, n in self.parts if _cable(part).is_tee and not _is_feed(part))

    @property
    def terminators(self) -> int:
        return sum(n for part, n in self.parts if _cable(part).is_terminator)

    @cached_property
    def lengths(self) -> tuple[tuple[Part, int], ...]:
        """Made-up cables of the line itself, the longest first."""
        made_up = [item for item in self.parts if is_backbone_cable(item[0])]
        return tuple(sorted(made_up, key=lambda item: -float(_cable(item[0]).length_m or 0)))

    @cached_property
    def drops(self) -> tuple[tuple[Part, int], ...]:
        return tuple(item for item in self.parts if is_drop_cable(item[0]))

    @property
    def backbone_m(self) -> float:
        return sum(float(_cable(part).length_m or 0) * n for part, n in self.lengths)


@dataclass(frozen=True)
class Tee:
    number: int
    device: Device
    plan_before_m: float | None
    before_m: float | None
    plan_drop_m: float
    drop_m: float
    is_before_set: bool
    is_drop_set: bool

    @property
    def label(self) -> str:
        return f"T{self.number}"

    @property
    def is_feed(self) -> bool:
        return self.device.kind == PartKind.DATA_CABLE

    @property
    def load_units(self) -> int | None:
        return backbone_units(self.device)


@dataclass(frozen=True)
class Layout:
    facts: Facts
    tees: tuple[Tee, ...]
    left_off: tuple[Device, ...]
    stored: DataBackbone | None
    pieces: Pieces

    @property
    def cable(self) -> Part | None:
        """As chosen; else the longest made-up cable on the build sheet."""
        if self.stored is not None and self.stored.cable is not None:
            return self.stored.cable
        return self.pieces.lengths[0][0] if self.pieces.lengths else None

    @property
    def drop_cable(self) -> Part | None:
        return self.pieces.drops[0][0] if self.pieces.drops else None

    @property
    def terminators(self) -> tuple[bool, bool]:
        """At the first and at the last tee: as told; else as many as the build sheet has."""
        first = self.stored.terminator_first if self.stored else None
        last = self.stored.terminator_last if self.stored else None
        count = self.pieces.terminators
        return (count >= 1 if first is None else first, count >= FEWEST if last is None else last)

    @property
    def shield_grounds(self) -> int | None:
        return self.stored.shield_grounds if self.stored else None

    @property
    def feeds(self) -> tuple[Tee, ...]:
        return tuple(tee for tee in self.tees if tee.is_feed)

    @property
    def length_m(self) -> float:
        return sum(tee.before_m or 0.0 for tee in self.tees[1:])

    @property
    def devices(self) -> tuple[Tee, ...]:
        return tuple(tee for tee in self.tees if not tee.is_feed)

    @property
    def unknown(self) -> tuple[Tee, ...]:
        """Tees no cableway leads to from the one before."""
        return tuple(tee for tee in self.tees[1:] if tee.before_m is None)


def layout_of(facts: Facts, router: Router) -> Layout | None:
    """None where the job has no backbone: fewer than two things to join."""
    devices = facts.of_kind(*ON_BACKBONE)
    if len(devices) < FEWEST:
        return None
    stored = {tee.device_id: tee for tee in DataTee.objects.filter(device__job=facts.job)}
    left_off = tuple(d for d in devices if d.pk in stored and not stored[d.pk].is_joined)
    joined = [d for d in devices if d not in left_off]
    return Layout(
        facts=facts,
        tees=_tees(router, _in_order(joined, stored), stored),
        left_off=left_off,
        stored=DataBackbone.objects.filter(job=facts.job)
        .select_related("cable__datacabledata", "changed_by")
        .first(),
        pieces=pieces_of(facts.job),
    )


def _in_order(devices: Sequence[Device], stored: dict[int, DataTee]) -> list[Device]:
    """As laid down; what came since goes where it lengthens the line least."""
    known = [d for d in devices if d.pk in stored]
    if not known:
        return shortest_line(devices, distance_m)
    line = sorted(known, key=lambda d: (stored[d.pk].position, d.pk))
    for device in devices:
        if device.pk not in stored:
            line = inserted(line, device, distance_m)
    return line


def _tees(router: Router, devices: Sequence[Device], stored: dict[int, DataTee]) -> tuple[Tee, ...]:
    ways = [router.way(point_of(one), point_of(other)) for one, other in pairwise(devices)]
    return tuple(
        _tee(at, device, (None, *ways)[at], (*ways, None)[at], stored.get(device.pk))
        for at, device in enumerate(devices)
    )


def _tee(
    at: int,
    device: Device,
    before: Way | NoWay | None,
    after: Way | NoWay | None,
    row: DataTee | None,
) -> Tee:
    """Along the cableway to the tee before; from the cableway to the device."""
    plan_before_m = _along_m(before) if isinstance(before, Way) else None
    tails = [before.last_tail_m] if isinstance(before, Way) else []
    tails += [after.first_tail_m] if isinstance(after, Way) else []
    plan_drop_m = max(tails, default=0.0) * (1.0 + SLACK_SHARE) + 2 * END_SLACK_M
    set_m, set_drop_m = (number(row.length_m), number(row.drop_m)) if row else (None, None)
    return Tee(
        number=at + 1,
        device=device,
        plan_before_m=plan_before_m,
        before_m=plan_before_m if set_m is None else set_m,
        plan_drop_m=plan_drop_m,
        drop_m=plan_drop_m if set_drop_m is None else set_drop_m,
        is_before_set=set_m is not None,
        is_drop_set=set_drop_m is not None,
    )


def _along_m(way: Way) -> float:
    along_m = way.along_m * (1.0 + SLACK_SHARE)
    return 0.0 if along_m < JOINED_M else along_m


def pieces_of(job: Job) -> Pieces:
    """Counted as everything on the build sheet is, kits and options included."""
    related = ("part__datacabledata",)
    lines = list(Line.objects.filter(job=job).select_related(*related))
    by_id = {line.pk: line for line in lines}
    counted: dict[int, tuple[Part, int]] = {}
    for line in lines:
        part = line.part
        if part is None or getattr(part, "datacabledata", None) is None:
            continue
        so_far = counted.get(part.pk, (part, 0))[1]
        counted[part.pk] = (part, so_far + counted_pieces(line, by_id))
    return Pieces(tuple(item for item in counted.values() if item[1]))


def is_backbone_cable(part: Part) -> bool:
    """Made-up cable that is not meant for a drop; only its description tells."""
    data = _cable(part)
    is_cable = data.length_m is not None and not data.is_tee and not _is_feed(part)
    return is_cable and not is_drop_cable(part)


def is_drop_cable(part: Part) -> bool:
    data = _cable(part)
    return data.length_m is not None and DROP_WORD in part.description.lower()


def _is_feed(part: Part) -> bool:
    return _cable(part).is_power_feed


def _cable(part: Part) -> DataCableData:
    data: DataCableData = part.datacabledata
    return data
