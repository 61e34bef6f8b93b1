"""Totals, nesting, moves, undo: what the build sheet says after each change."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from fitout.jobs import sheet
from fitout.jobs.models import Job, Line
from fitout.kit.models import AuditEntry, StaleVersion, User
from fitout.kit.undo import undo
from tests.factories import sums
from tests.factories.jobs import (
    make_condition,
    make_job,
    make_kit,
    make_offer,
    make_operation,
    make_part,
    make_supplier,
    zone_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    return make_job(estimator)


def by_code(job: Job) -> dict[str, sheet.SheetLine]:
    return {line.code: line for line in sheet.sheet_lines(job)}


def last_entry(job: Job) -> AuditEntry:
    return AuditEntry.objects.in_scope(job.scope).order_by("-pk")[0]


def test_part_line_takes_cost_mass_and_words_from_the_preferred_offer(
    job: Job, estimator: User
) -> None:
    part = make_part(code="DF-40", cost="74.00", mass_kg="1.100", description="Deck flood")
    sheet.add_part(
        job,
        zone_of(job, "DP"),
        part,
        by=estimator,
        details=sheet.Details(quantity=Decimal(2), standard_h=Decimal("1.2")),
    )
    line = by_code(job)["DP-01"]
    assert line.description == "Deck flood"
    assert line.material_cost_total == Decimal("148.00")
    assert line.mass_kg_total == Decimal("2.2")
    assert line.labour_h_total == Decimal("2.4")
    assert line.labour_cost_total == Decimal("76.80")  # 2.4 h at 32
    assert line.supplier_name == part.offers.get().supplier.name


def test_part_without_a_preferred_offer_costs_what_the_cheapest_still_made_asks(
    job: Job, estimator: User
) -> None:
    part = make_part(cost="11.00")
    part.offers.update(preferred=False)
    make_offer(part, cost="5.00")
    part.offers.filter(cost="5.00").update(preferred=False, active=False)
    sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)
    line = by_code(job)["DP-01"]
    assert line.unit_cost == Decimal("11.00")
    assert line.supplier_name == part.offers.get(cost="11.00").supplier.name


def test_later_price_change_does_not_move_the_line_until_costs_are_refreshed(
    job: Job, estimator: User
) -> None:
    part = make_part(cost="10.00")
    sheet.add_part(job, zone_of(job, "HM"), part, by=estimator)
    offer = part.offers.get()
    offer.cost = Decimal("12.50")
    offer.save()
    assert by_code(job)["HM-01"].unit_cost == Decimal("10.00")
    changes = sheet.refresh_costs(job, by=estimator)
    assert [(change.before, change.after) for change in changes] == [
        (Decimal("10.00"), Decimal("12.50"))
    ]
    assert by_code(job)["HM-01"].unit_cost == Decimal("12.50")


def test_kit_in_kit_multiplies_quantities_down_to_the_last_part(job: Job, estimator: User) -> None:
    screw = make_part(code="SCREW", cost="0.10", mass_kg="0.005")
    clip = make_part(code="CLIP", cost="0.50", mass_kg="0.010")
    fit = make_operation(code="FIT", standard_h="0.25")
    inner = make_kit((clip, "1"), (screw, "4"), code="INNER")
    outer = make_kit((inner, "3"), (fit, "2"), code="OUTER")
    sheet.add_kit(
        job, zone_of(job, "HB"), outer, by=estimator, details=sheet.Details(quantity=Decimal(2))
    )
    lines = by_code(job)
    assert list(lines) == ["HB-01", "HB-01.1", "HB-01.1.1", "HB-01.1.2", "HB-01.2"]
    assert lines["HB-01.1.1"].effective_quantity == 6  # 2 × 3 × 1
    assert lines["HB-01.1.2"].effective_quantity == 24  # 2 × 3 × 4
    assert lines["HB-01.2"].labour_h_total == Decimal("1.00")  # 2 × 2 × 0.25 h
    counted = sums.counted(lines.values())
    # 6 × 0.50 + 24 × 0.10 of material, 1 h at 32 of labour
    assert counted.cost == Decimal("37.40")
    assert counted.mass_kg == Decimal("0.18")
    assert counted.lines == 1


def test_option_counts_only_when_taken_and_its_kit_follows(job: Job, estimator: User) -> None:
    part = make_part(cost="100.00")
    kit = make_kit((part, "1"))
    line = sheet.add_kit(
        job, zone_of(job, "FD"), kit, by=estimator, details=sheet.Details(choice="option")
    )
    lines = sheet.sheet_lines(job)
    assert (sums.counted(lines).cost, sums.options(lines).cost) == (Decimal(0), Decimal("100.00"))
    sheet.edit(line, by=estimator, version=line.version, taken=True)
    lines = sheet.sheet_lines(job)
    assert (sums.counted(lines).cost, sums.options(lines).cost) == (Decimal("100.00"), Decimal(0))
    assert Line.objects.get(parent=line).taken


def test_conditions_multiply_the_time_of_a_line_and_of_all_below_it(
    job: Job, estimator: User
) -> None:
    awkward, overhead = make_condition(multiplier="1.50"), make_condition(multiplier="1.20")
    kit = make_kit((make_operation(standard_h="2.00"), "1"))
    line = sheet.add_kit(
        job, zone_of(job, "RF"), kit, by=estimator, details=sheet.Details(conditions=(awkward,))
    )
    assert by_code(job)["RF-01.1"].labour_h_total == Decimal("3.00")
    child = Line.objects.get(parent=line)
    sheet.edit(child, by=estimator, version=child.version, conditions=[awkward, overhead])
    # the same condition above and below counts once: 2 h × 1.5 × 1.2
    assert by_code(job)["RF-01.1"].labour_h_total == Decimal("3.60")


def test_every_kind_of_line_can_be_added(job: Job, estimator: User) -> None:
    zone = zone_of(job, "WB")
    welder = make_supplier(name="Skua Welding", is_subcontractor=True)
    sheet.add_labour(job, zone, make_operation(standard_h="8.00"), by=estimator)
    sheet.add_subcontract(
        job, zone, welder, description="Weld rails", unit_cost=Decimal("900"), by=estimator
    )
    sheet.add_provisional(job, zone, description="Antifouling", amount=Decimal("380"), by=estimator)
    sheet.add_customer_supplied(
        job, zone, description="Engine", by=estimator, part=make_part(mass_kg="182", cost="9000")
    )
    lines = by_code(job)
    assert [line.kind for line in lines.values()] == [
        "labour",
        "subcontract",
        "provisional",
        "customer",
    ]
    counted = sums.counted(lines.values())
    assert counted.cost == Decimal("256") + 900 + 380  # 8 h at 32; the engine costs nothing
    assert counted.mass_kg == 182
    assert lines["WB-02"].supplier_name == "Skua Welding"


def test_removing_a_line_can_be_undone_with_all_below_it(job: Job, estimator: User) -> None:
    condition = make_condition(multiplier="1.30")
    kit = make_kit((make_part(), "2"), (make_operation(), "1"))
    line = sheet.add_kit(
        job, zone_of(job, "BL"), kit, by=estimator, details=sheet.Details(conditions=(condition,))
    )
    before = by_code(job)
    assert sheet.remove(line, by=estimator) == "BL-01"
    assert by_code(job) == {}
    undo(last_entry(job), by=estimator)
    after = by_code(job)
    assert list(after) == list(before)
    assert after["BL-01.2"].labour_h_total == before["BL-01.2"].labour_h_total
    assert after["BL-01"].condition_ids == {condition.pk}


def test_adding_a_kit_can_be_undone(job: Job, estimator: User) -> None:
    inner = make_kit((make_part(), "2"))
    sheet.add_kit(job, zone_of(job, "BL"), make_kit((inner, "1")), by=estimator)
    undo(last_entry(job), by=estimator)
    assert not Line.objects.filter(job=job).exists()


def test_quantity_change_is_told_in_the_trail_and_can_be_undone(job: Job, estimator: User) -> None:
    line = sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)
    sheet.edit(line, by=estimator, version=1, quantity=Decimal("2.5"))
    assert last_entry(job).label == "HM-01 quantity 1 to 2.5"
    undo(last_entry(job), by=estimator)
    assert by_code(job)["HM-01"].quantity == 1


def test_second_writer_of_the_same_version_is_refused(job: Job, estimator: User) -> None:
    line = sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)
    same = Line.objects.get(pk=line.pk)
    sheet.edit(line, by=estimator, version=1, quantity=Decimal(2))
    with pytest.raises(StaleVersion):
        sheet.edit(same, by=estimator, version=1, quantity=Decimal(9))
    assert by_code(job)["HM-01"].quantity == 2


def test_moving_to_another_zone_takes_the_kit_along_and_drops_the_place(
    job: Job, estimator: User
) -> None:
    kit = make_kit((make_part(), "1"))
    sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)
    place = (Decimal("2.2"), Decimal("0"), Decimal("1.2"))
    line = sheet.add_kit(
        job, zone_of(job, "BL"), kit, by=estimator, details=sheet.Details(at=place)
    )
    sheet.move_to_zone(line, zone_of(job, "HM"), by=estimator)
    lines = by_code(job)
    assert list(lines) == ["HM-01", "HM-02", "HM-02.1"]
    assert not lines["HM-02"].is_placed
    undo(last_entry(job), by=estimator)
    assert by_code(job)["BL-01"].x_m == Decimal("2.2")


def test_moving_up_exchanges_numbers_with_the_neighbour(job: Job, estimator: User) -> None:
    zone = zone_of(job, "HM")
    sheet.add_part(job, zone, make_part(description="First"), by=estimator)
    second = sheet.add_part(job, zone, make_part(description="Second"), by=estimator)
    sheet.move_by(second, -1, by=estimator)
    assert {code: line.description for code, line in by_code(job).items()} == {
        "HM-01": "Second",
        "HM-02": "First",
    }


def test_removal_does_not_renumber_the_others(job: Job, estimator: User) -> None:
    zone = zone_of(job, "HM")
    first = sheet.add_part(job, zone, make_part(), by=estimator)
    sheet.add_part(job, zone, make_part(), by=estimator)
    sheet.remove(first, by=estimator)
    assert list(by_code(job)) == ["HM-02"]


def test_price_by_hand_needs_a_reason(job: Job, estimator: User) -> None:
    line = sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)
    with pytest.raises(ValidationError) as refused:
        sheet.edit(line, by=estimator, version=1, sell_override=Decimal("99"))
    assert refused.value.message_dict == {
        "override_reason": ["Reason for the price: say why the price is set by hand."]
    }


def test_place_far_from_the_zone_is_refused_with_the_limits(job: Job, estimator: User) -> None:
    place = (Decimal("8.0"), Decimal("0"), Decimal("1.2"))
    with pytest.raises(ValidationError) as refused:
        sheet.add_part(
            job, zone_of(job, "EW"), make_part(), by=estimator, details=sheet.Details(at=place)
        )
    assert refused.value.message_dict["x_m"] == [
        (
            "Place x: from -1\N{NO-BREAK SPACE}m to 1.9\N{NO-BREAK SPACE}m; "
            "EW runs from 0\N{NO-BREAK SPACE}m to 0.9\N{NO-BREAK SPACE}m."
        )
    ]
    assert not job.lines.exists()


def test_zone_of_another_vessel_is_refused(job: Job, estimator: User) -> None:
    other = make_job(estimator)
    with pytest.raises(ValidationError, match="choose a zone of this vessel"):
        sheet.add_part(job, zone_of(other, "HM"), make_part(), by=estimator)


def test_part_no_longer_in_use_is_refused(job: Job, estimator: User) -> None:
    part = make_part(code="OLD-1")
    part.active = False
    part.save()
    with pytest.raises(ValidationError, match="OLD-1 is no longer in use"):
        sheet.add_part(job, zone_of(job, "HM"), part, by=estimator)


def test_kit_with_a_part_no_longer_in_use_is_refused(job: Job, estimator: User) -> None:
    part = make_part(code="OLD-1")
    kit = make_kit((make_kit((part, "1")), "1"))
    part.active = False
    part.save()
    with pytest.raises(sheet.SheetError, match=r"holds OLD-1, which is no longer in use\."):
        sheet.add_kit(job, zone_of(job, "HM"), kit, by=estimator)
    assert not job.lines.exists()


def test_what_is_in_a_kit_may_stand_in_another_zone(job: Job, estimator: User) -> None:
    kit = sheet.add_kit(job, zone_of(job, "FD"), make_kit((make_part(), "1")), by=estimator)
    switch = Line.objects.get(parent=kit)
    place: dict[str, Any] = {"x_m": Decimal("3.8"), "y_m": Decimal(0), "z_m": Decimal("1.9")}
    sheet.edit(switch, by=estimator, version=1, **place)
    assert by_code(job)["FD-01.1"].x_m == Decimal("3.8")
    with pytest.raises(ValidationError) as refused:
        sheet.edit(switch, by=estimator, version=2, **{**place, "x_m": Decimal("9.7")})
    (message,) = refused.value.message_dict["x_m"]
    assert message.startswith("Place x: from -1\N{NO-BREAK SPACE}m to 9.6\N{NO-BREAK SPACE}m;")


def test_sheet_of_a_handed_over_job_is_closed(estimator: User) -> None:
    job = make_job(estimator, stage="handed_over")
    with pytest.raises(sheet.SheetClosed, match="handed over; its build sheet no longer changes"):
        sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)


def test_stage_is_read_afresh_before_a_change(job: Job, estimator: User) -> None:
    Job.objects.filter(pk=job.pk).update(stage="closed")  # meanwhile, by somebody else
    with pytest.raises(sheet.SheetClosed, match="closed; its build sheet no longer changes"):
        sheet.add_part(job, zone_of(job, "HM"), make_part(), by=estimator)
    assert not job.lines.exists()


def test_unknown_mass_is_counted_apart(job: Job, estimator: User) -> None:
    sheet.add_part(job, zone_of(job, "HM"), make_part(mass_kg=None), by=estimator)
    assert sum(line.mass_is_unknown for line in sheet.sheet_lines(job)) == 1
