"""Rules about what the core does not see: what is not wired, board ways, makers' limits."""

from collections import Counter
from collections.abc import Iterator, Mapping

from catalogue.models import BoardData, PartKind
from electrical.adapters.circuits import origin_current_a
from electrical.adapters.routes import Run
from electrical.busbar_rules import busbar_ways
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.status import NO_SOURCE
from electrical.facts import Facts, record_of
from electrical.models import Circuit, CircuitRole, Device
from electrical.solar_rules import MAKER, areas, cold_strings, regulator_inputs
from electrical.wiring.loads import HEAVY_A
from electrical.wiring.offer import kinds_at, maker_limits_a
from electrical.wiring.planning import planned

WIRE_UP = Remedy(kind=RemedyKind.DATA, label="Wire up", change={"wire_up": True})
SHOWN = 6


def own_findings(facts: Facts, runs: Mapping[int, Run]) -> tuple[Finding, ...]:
    return (
        *_unwired(facts),
        *_no_way(facts, runs),
        *_empty(facts),
        *_board_ways(facts),
        *_makers_fuses(facts),
        *cold_strings(facts),
        *regulator_inputs(facts),
        *areas(facts),
        *busbar_ways(facts),
    )


def whole(facts: Facts) -> Subject:
    return Subject(kind=SubjectKind.DESIGN, id="", label=facts.job.code)


def about(circuit: Circuit) -> Subject:
    return Subject(kind=SubjectKind.CIRCUIT, id=str(circuit.pk), label=circuit.label)


def refused(facts: Facts, sentence: str) -> Finding:
    return Finding(
        rule_id="data",
        title="Data to check the design",
        severity=Severity.CANNOT_TELL,
        subject=whole(facts),
        message=sentence,
        clause=NO_SOURCE,
        missing=("values that can be",),
    )


def _names(devices: tuple[Device, ...]) -> str:
    shown = ", ".join(f"{d.label} {d.name}" for d in devices[:SHOWN])
    rest = len(devices) - SHOWN
    return f"{shown} and {rest} more" if rest > 0 else shown


def _unwired(facts: Facts) -> Iterator[Finding]:
    proposals = planned(facts)
    waiting = {
        d.pk: d
        for p in proposals.circuits
        for d in p.devices
        if d.kind != PartKind.SWITCH or p.role == CircuitRole.LINK
    }
    if proposals.circuits:
        devices = tuple(waiting.values())
        yield Finding(
            rule_id="unwired",
            title="Everything is wired",
            severity=Severity.ATTENTION,
            subject=whole(facts),
            message=f"{len(proposals.circuits)} circuits are still to be made, for "
            f"{_names(devices)}.",
            clause=NO_SOURCE,
            remedies=(WIRE_UP,),
        )
    for gap in proposals.gaps:
        names = f" Waiting: {_names(gap.devices)}." if gap.devices else ""
        yield Finding(
            rule_id="supply",
            title="Something to feed it",
            severity=Severity.CANNOT_TELL,
            subject=whole(facts),
            message=f"{gap.message}{names}",
            clause=NO_SOURCE,
            missing=(gap.missing,),
        )


def _no_way(facts: Facts, runs: Mapping[int, Run]) -> Iterator[Finding]:
    for circuit in facts.circuits:
        run = runs.get(circuit.pk)
        if run is not None and run.reason and run.length_m is None:
            yield Finding(
                rule_id="way",
                title="A way for the cable",
                severity=Severity.CANNOT_TELL,
                subject=about(circuit),
                message=f"{run.reason} Join them on the hull plan, or enter a measured length.",
                clause=NO_SOURCE,
                missing=("cableway",),
            )


def _empty(facts: Facts) -> Iterator[Finding]:
    for circuit in facts.circuits:
        if not facts.ends_of(circuit):
            yield Finding(
                rule_id="empty",
                title="A circuit feeds something",
                severity=Severity.NOTE,
                subject=about(circuit),
                message=f"{circuit.label} {circuit.name} feeds nothing any more. "
                "Remove it or give it a device.",
                clause=NO_SOURCE,
            )


def _board_ways(facts: Facts) -> Iterator[Finding]:
    for board in facts.of_kind(PartKind.BOARD):
        record = record_of(board)
        circuits = facts.starting_at.get(board.pk, ())
        if isinstance(record, BoardData) and circuits:
            yield from _ways_of(board, record, circuits)
            yield from _full(facts, board, record, circuits)


def _ways_of(board: Device, record: BoardData, circuits: tuple[Circuit, ...]) -> Iterator[Finding]:
    subject = Subject(kind=SubjectKind.BOARD, id=str(board.pk), label=board.label)
    if len(circuits) > record.ways:
        yield _way_finding(
            subject,
            f"{board.label} {board.name} has {record.ways} ways for {len(circuits)} circuits.",
            value=float(len(circuits)),
            limit=float(record.ways),
        )
    places = Counter(c.board_position for c in circuits if c.board_position is not None)
    for place, count in sorted(places.items()):
        if count > 1 or place > record.ways:
            words = "is used twice" if count > 1 else f"is not there: it has {record.ways}"
            yield _way_finding(subject, f"Way {place} of {board.label} {words}.")
    for circuit in circuits:
        data = getattr(circuit.protection, "protectivedevicedata", None)
        if data is not None and data.device not in kinds_at(board):
            yield _way_finding(
                about(circuit),
                f"{board.label} takes {record.get_protection_display().lower()}; "
                f"{circuit.label} has {circuit.protection}.",
            )


def _full(
    facts: Facts, board: Device, record: BoardData, circuits: tuple[Circuit, ...]
) -> Iterator[Finding]:
    """A full board sends what comes after it to the busbar, which is seldom what is wanted."""
    small = [
        circuit.label
        for origin in facts.of_kind(PartKind.BUSBAR, PartKind.BATTERY)
        for circuit in facts.starting_at.get(origin.pk, ())
        if circuit.role == CircuitRole.LOAD
        and circuit.nominal_v == circuits[0].nominal_v
        and circuit.always_live == board.always_live
        and (origin_current_a(facts, circuit) or HEAVY_A) < HEAVY_A
    ]
    if len(circuits) == record.ways and small:
        yield Finding(
            rule_id="board-full",
            title="Free ways on a board",
            severity=Severity.NOTE,
            subject=Subject(kind=SubjectKind.BOARD, id=str(board.pk), label=board.label),
            message=f"All {record.ways} ways of {board.label} {board.short_name} are taken, so "
            f"{', '.join(small)} start elsewhere. A larger board would take them.",
            clause=NO_SOURCE,
        )


def _way_finding(
    subject: Subject, message: str, *, value: float | None = None, limit: float | None = None
) -> Finding:
    return Finding(
        rule_id="board-way",
        title="A way on the board for each circuit",
        severity=Severity.STOP,
        subject=subject,
        message=message,
        clause=MAKER,
        value=value,
        limit=limit,
    )


def _makers_fuses(facts: Facts) -> Iterator[Finding]:
    for circuit in facts.circuits:
        limits = maker_limits_a(facts, circuit)
        data = getattr(circuit.protection, "protectivedevicedata", None)
        if not limits or data is None or float(data.rating_a) <= min(limits):
            continue
        yield Finding(
            rule_id="maker-fuse",
            title="Largest fuse the maker allows",
            severity=Severity.ATTENTION,
            subject=about(circuit),
            message=f"{circuit.label} has a {float(data.rating_a):g} A device; a maker on it "
            f"allows {min(limits):g} A at most. Fit a smaller one, or the maker's own fuse in "
            "line at the device.",
            clause=MAKER,
            value=float(data.rating_a),
            limit=min(limits),
            unit="A",
            remedies=(
                Remedy(
                    kind=RemedyKind.PROTECTION,
                    label=f"Fit {min(limits):g} A",
                    change={"circuit": str(circuit.pk), "rating_a": min(limits)},
                ),
            ),
        )
