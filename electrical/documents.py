"""Electrical documents of a job: circuit list, labels, drawing sheets."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.utils.safestring import SafeString, mark_safe

from electrical import cautions
from electrical.check import Checked
from electrical.data_backbone.page import DataPage
from electrical.finding_groups import FindingGroup, grouped, numbers_by_circuit
from electrical.listing import CircuitRow, Listing
from electrical.schematic.arrange import arranged
from electrical.schematic.draw import draw_sheets
from electrical.schematic.layout import columns_for
from fitout.jobs.models import Job

#: Room for the drawing on an A3 sheet, width over height [mm].
SHEET_RATIO = 382.0 / 214.0
LABELS_PER_CIRCUIT = 2
NOTES = (
    "Two-wire, insulated return. The hull or chassis carries no current.",
    "Cables and devices as listed in the circuit list of the same revision.",
    "Dashed lines stay live when the isolator is off.",
    "Drop shown from source to device in the worst operating state, conductors hot.",
    "Labels at both ends of every cable, numbers as drawn.",
    "Graphic symbols after IEC 60617, from memory, to be checked.",
    *cautions.ALL,
)


@dataclass(frozen=True)
class BoardRows:
    """Circuits of one board, busbar or battery."""

    title: str
    rows: tuple[CircuitRow, ...]


@dataclass(frozen=True)
class CircuitList:
    job: Job
    number: str
    boards: tuple[BoardRows, ...]
    findings: tuple[FindingGroup, ...]
    counts: dict[str, int]
    cautions: tuple[str, ...]
    data: DataPage | None = None
    """The data backbone, where there is one."""

    @property
    def circuits(self) -> int:
        return sum(len(board.rows) for board in self.boards)


@dataclass(frozen=True)
class WireLabel:
    """One label to wrap round one end of a cable."""

    text: str
    end: str
    where: str
    what: str


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
        data=DataPage(checked.data) if checked.data and checked.data.layout.tees else None,
    )


def wire_labels(checked: Checked) -> list[WireLabel]:
    """Two for every circuit: one for each end of its cable."""
    labels = []
    for row in listing_of(checked).rows:
        near = WireLabel(row.label, "A", f"at {row.from_text}", row.circuit.name)
        far = WireLabel(row.label, "B", f"at {row.to_text}", row.circuit.name)
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
    lead = str(job.lead) if job.lead_id else ""
    return [
        DrawingSheet(
            # The drawing code escapes every text it is given.
            drawing=mark_safe(drawing),  # noqa: S308
            title=title,
            number=f"E-{job.number:04d}-{number:02d}",
            date=today.isoformat(),
            notes=NOTES,
            revision=revision,
            created_by=created_by,
            approved_by=approved_by,
            technical_reference=lead,
            status=status,
        )
        for number, drawing in enumerate(drawings, start=1)
    ]
