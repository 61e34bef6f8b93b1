"""Electrical documents of a job: circuit list, labels, drawing sheets."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.utils.safestring import SafeString, mark_safe

from electrical import cautions
from electrical.check import Checked
from electrical.colours import LETTERS
from electrical.data_backbone.page import DataPage
from electrical.finding_groups import FindingGroup, grouped, is_about_earth, numbers_by_circuit
from electrical.listing import NBSP, CircuitRow, Listing
from electrical.models.earthing import EarthingWay
from electrical.schematic.arrange import arranged
from electrical.schematic.draw import draw_sheets
from electrical.schematic.layout import columns_for
from fitout.jobs.models import Job
from fitout.kit.money import quantity_text

#: Room for the drawing on an A3 sheet, width over height [mm].
SHEET_RATIO = 382.0 / 214.0
LABELS_PER_CIRCUIT = 2
COLOUR_LETTERS = ", ".join(
    f"{letters} {name}" for name, letters in LETTERS.items() if "-" not in name
)
#: What the drawing says of earth, by how the job's earthing was told.
EARTH_NOTES = {
    EarthingWay.NEGATIVE: "Two-wire. The d.c. negative is earthed; hull and body carry no current.",
    EarthingWay.INSULATED: "Two-wire, no pole earthed. Hull and body carry no current.",
    EarthingWay.POSITIVE: "Two-wire. The d.c. positive is earthed; hull and body carry no current.",
    EarthingWay.RETURN: "Hull or body is the return conductor: it carries current.",
}
EARTH_UNKNOWN = "How the d.c. system meets earth is not told."
NOTES = (
    "Cables and devices as listed in the circuit list of the same revision.",
    "Dashed lines stay live when the isolator is off.",
    "Drop shown from source to device in the worst operating state, conductors hot.",
    "Labels at both ends of every cable, numbers as drawn.",
    f"Colours: {COLOUR_LETTERS}. Letters after IEC 60757, from memory, to be checked.",
    "Graphic symbols after IEC 60617, from memory, to be checked.",
    *cautions.ALL,
)


@dataclass(frozen=True)
class BoardRows:
    """Circuits of one board, busbar or battery."""

    title: str
    rows: tuple[CircuitRow, ...]


@dataclass(frozen=True)
class BondRow:
    name: str
    size: str
    colour: str
    circuit: str


@dataclass(frozen=True)
class EarthingSheet:
    """How the direct-current system meets earth, and what is bonded."""

    way: str
    joints: str
    bonds: tuple[BondRow, ...]
    findings: tuple[FindingGroup, ...]


@dataclass(frozen=True)
class CircuitList:
    job: Job
    number: str
    boards: tuple[BoardRows, ...]
    findings: tuple[FindingGroup, ...]
    counts: dict[str, int]
    cautions: tuple[str, ...]
    earthing: EarthingSheet
    data: DataPage | None = None
    """The data backbone, where there is one."""

    @property
    def circuits(self) -> int:
        return sum(len(board.rows) for board in self.boards)

    @property
    def when_opened(self) -> tuple[tuple[str, str], ...]:
        """What to do when a protective device has opened, and on which circuits."""
        found: dict[str, list[str]] = {}
        for board in self.boards:
            for row in board.rows:
                if row.after_opening:
                    found.setdefault(row.after_opening, []).append(row.label)
        return tuple((what, ", ".join(sorted(labels))) for what, labels in sorted(found.items()))


@dataclass(frozen=True)
class WireLabel:
    """One label to wrap round one end of a cable."""

    text: str
    end: str
    where: str
    what: str
    always_live: bool = False


@dataclass(frozen=True)
class DrawingSheet:
    """One A3 sheet as `print/_drawing_sheet.html` takes it."""

    drawing: SafeString
    title: str
    number: str
    date: str
    notes: tuple[str, ...] = ()
    revision: str = ""
    revisions: tuple[dict[str, str], ...] = ()
    created_by: str = ""
    approved_by: str = ""
    technical_reference: str = ""
    department: str = "Electrical"
    kind: str = "Circuit diagram"
    status: str = "For construction"


def listing_of(checked: Checked) -> Listing:
    groups = grouped(checked.facts, checked.findings)
    return Listing(checked, numbers_by_circuit(groups))


def circuit_list(checked: Checked) -> CircuitList:
    job = checked.facts.job
    rows = sorted(
        listing_of(checked).rows,
        key=lambda row: (row.origin.label, row.circuit.board_position or 0, row.circuit.number),
    )
    boards = tuple(
        BoardRows(title=f"{origin.label} {origin.name}", rows=tuple(members))
        for origin, members in groupby(rows, key=lambda row: row.origin)
    )
    return CircuitList(
        job=job,
        number=f"E-{job.number:04d}-L",
        boards=boards,
        findings=tuple(grouped(checked.facts, checked.findings)),
        counts=checked.counts,
        cautions=cautions.ALL,
        earthing=earthing_sheet(checked),
        data=DataPage(checked.data) if checked.data and checked.data.layout.tees else None,
    )


def earthing_sheet(checked: Checked) -> EarthingSheet:
    facts = checked.facts
    told = facts.earthing
    labels = {circuit.pk: circuit.label for circuit in facts.circuits}
    return EarthingSheet(
        way=told.get_way_display() if told and told.way else "",
        joints=str(told.joints) if told and told.joints is not None else "",
        bonds=tuple(
            BondRow(
                name=bond.name,
                size=f"{quantity_text(bond.size_mm2)}{NBSP}mm²" if bond.size_mm2 else "",
                colour=bond.colour,
                circuit=labels.get(bond.circuit_id or 0, ""),
            )
            for bond in facts.bonds
        ),
        findings=tuple(grouped(facts, [f for f in checked.findings if is_about_earth(f)])),
    )


def sheet_notes(checked: Checked) -> tuple[str, ...]:
    told = checked.facts.earthing
    earth = EARTH_NOTES[EarthingWay(told.way)] if told and told.way else EARTH_UNKNOWN
    return earth, *NOTES


def wire_labels(checked: Checked) -> list[WireLabel]:
    """Two for every circuit: one for each end of its cable."""
    labels = []
    for row in listing_of(checked).rows:
        name, live = row.circuit.name, row.circuit.always_live
        near = WireLabel(row.label, "A", f"at {row.from_text}", name, always_live=live)
        far = WireLabel(row.label, "B", f"at {row.to_text}", name, always_live=live)
        labels += [near, far]
    return labels


def schematic_sheets(
    checked: Checked,
    *,
    today: date,
    revision: str = "",
    created_by: str = "",
    approved_by: str = "",
    status: str = "For construction",
) -> list[DrawingSheet]:
    """The single-line diagram on A3 sheets; none when no circuit is drawn yet."""
    job, listing = checked.facts.job, listing_of(checked)
    blocks = arranged(checked.facts, listing.branches())
    if not blocks:
        return []
    height = columns_for(blocks).width / SHEET_RATIO
    title = f"Single-line diagram, {job.vessel.name}"
    drawings = draw_sheets(blocks, title=title, max_height=height)
    lead, notes = str(job.lead) if job.lead_id else "", sheet_notes(checked)
    return [
        DrawingSheet(
            # The drawing code escapes every text it is given.
            drawing=mark_safe(drawing),  # noqa: S308
            title=title,
            number=f"E-{job.number:04d}-{number:02d}",
            date=today.isoformat(),
            notes=notes,
            revision=revision,
            created_by=created_by,
            approved_by=approved_by,
            technical_reference=lead,
            status=status,
        )
        for number, drawing in enumerate(drawings, start=1)
    ]
