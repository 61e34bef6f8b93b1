"""The quote as a document: what the customer reads, from the frozen rows only."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate, groupby
from typing import Any

from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.plan import read_plan
from fitout.kit.pdf import render_pdf
from quotes.models import PaymentStage, QuoteLine, Revision

ZERO = Decimal("0.00")


@dataclass(frozen=True, kw_only=True)
class ZoneGroup:
    code: str
    name: str
    lines: tuple[QuoteLine, ...]

    @property
    def net(self) -> Decimal:
        return sum((line.net for line in self.lines), ZERO)


def quote_context(revision: Revision) -> dict[str, Any]:
    """No cost, hours or margin in here: the customer's bytes are made of this alone."""
    lines = list(revision.lines.all())
    included = [line for line in lines if not line.is_option]
    stages = list(revision.stages.all())
    return {
        "revision": revision,
        "job_code": revision.job.code,
        "zones": zone_groups(included),
        "options": [line for line in lines if line.is_option],
        "open_options": [line for line in lines if line.is_option and not line.is_taken],
        "tax_rows": tax_rows(revision),
        "stages": stages,
        "share_bar": share_bar(stages),
        "inclusions": text_lines(revision.inclusions),
        "exclusions": text_lines(revision.exclusions),
        "terms": text_lines(revision.terms),
        "has_provisional": any(line.kind == "provisional" for line in lines),
    }


def tax_rows(revision: Revision) -> list[dict[str, Any]]:
    amounts = ("rate_pct", "lines", "allowance", "taxable", "tax")
    return [
        {"category_code": row["category_code"], **{name: Decimal(row[name]) for name in amounts}}
        for row in revision.tax_rows
    ]


def share_bar(stages: list[PaymentStage]) -> list[dict[str, str]]:
    """Where each payment stage begins on a bar as wide as the whole, and how wide it is."""
    ends = [ZERO, *accumulate(stage.share_pct for stage in stages)]
    return [
        {"x": f"{start:f}%", "width": f"{stage.share_pct:f}%"}
        for start, stage in zip(ends, stages, strict=False)
    ]


def zone_groups(lines: list[QuoteLine]) -> list[ZoneGroup]:
    return [
        ZoneGroup(code=code, name=name, lines=tuple(group))
        for (code, name), group in groupby(lines, key=lambda line: (line.zone_code, line.zone_name))
    ]


def text_lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def quote_pdf(revision: Revision) -> bytes:
    plan = read_plan(revision.job.vessel)
    drawings = {
        "profile": profile(plan, for_print=True),
        "deck_plan": deck_plan(plan, for_print=True),
    }
    return render_pdf("quotes/print/quote.html", quote_context(revision) | drawings)
