"""What stands on the build sheet is dealt out once: circuits first, the rest stays on its lines."""

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from catalogue.models import Part
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines
from fitout.kit.models import User
from fitout.purchasing.dealing import Dealt, deal
from tests.factories.jobs import make_part
from tests.factories.orders import buying_job

pytestmark = pytest.mark.django_db


def need(part: Part, quantity: str, label: str = "C01") -> Any:
    circuit = SimpleNamespace(label=label)
    return SimpleNamespace(part=part, quantity=Decimal(quantity), circuit=circuit)


def dealt(job: Job, *needs: Any) -> Dealt:
    return deal(sheet_lines(job), needs)


def taken(found: Dealt) -> list[Decimal]:
    return [quantity for _, quantity in found.from_sheet]


def test_circuits_take_lines_in_their_order_until_there_is_no_more(owner: User) -> None:
    fuse = make_part(kind="protective_device")
    job = buying_job(owner, (fuse, "2"), (fuse, "3"))
    found = dealt(job, need(fuse, "1"), need(fuse, "3"), need(fuse, "4"))
    assert taken(found) == [1, 3, 1]
    assert list(found.left.values()) == [0, 0]


def test_both_sides_add_up_to_what_stands_on_the_sheet(owner: User) -> None:
    cable = make_part(kind="cable", unit="m")
    job = buying_job(owner, (cable, "4"), (cable, "10.5"))
    found = dealt(job, need(cable, "6.5"), need(cable, "2"))
    assert sum(taken(found)) + sum(found.left.values()) == Decimal("14.5")
    assert list(found.left.values()) == [0, Decimal("6")]


def test_a_label_on_the_sheet_is_not_the_one_a_circuit_takes(owner: User) -> None:
    label = make_part()
    found = dealt(buying_job(owner, (label, "2")), need(label, "2"))
    assert taken(found) == [0]
    assert list(found.left.values()) == [2]


def test_a_line_that_does_not_count_gives_nothing(owner: User) -> None:
    fuse = make_part(kind="protective_device")
    job = buying_job(owner, (fuse, "2"))
    line = job.lines.get()
    sheet.edit(line, by=owner, version=line.version, choice="option", taken=False)
    found = dealt(job, need(fuse, "1"))
    assert taken(found) == [0]
    assert not found.left
