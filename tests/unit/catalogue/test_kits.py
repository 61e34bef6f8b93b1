"""Kits: what they come to at any depth, and that none can hold itself."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from catalogue.models import Kit, KitItem, kit_totals
from catalogue.models.kits import refuse_cycle
from tests.factories.jobs import make_kit, make_operation, make_part, make_trade

pytestmark = pytest.mark.django_db


def test_totals_count_everything_at_any_depth() -> None:
    work = make_operation(standard_h="1.50", trade=make_trade(cost_per_h="32"))
    inner = make_kit((make_part(cost="2.50", mass_kg="0.200"), "4"), (work, "2"))
    middle = make_kit((inner, "3"), (make_part(cost="10.00", mass_kg="1.000"), "1"))
    outer = make_kit((middle, "2"), (work, "1"))
    totals = kit_totals()[outer.pk]
    # inner: 4 × 2.50 = 10.00, 0.8 kg, 3 h; middle: 3 × 10 + 10 = 40.00, 3.4 kg, 9 h
    assert totals.cost == Decimal("80.00")
    assert totals.mass_kg == Decimal("6.800")
    assert totals.hours == Decimal("19.50")
    assert totals.labour_cost == Decimal("624.00")
    assert outer.totals == totals


def test_totals_name_the_parts_whose_figure_is_missing() -> None:
    inner = make_kit((make_part(code="NO-COST", cost=None), "1"))
    outer = make_kit((inner, "1"), (make_part(code="NO-MASS", mass_kg=None), "1"))
    totals = kit_totals()[outer.pk]
    assert totals.without_cost == {"NO-COST"}
    assert totals.without_mass == {"NO-MASS"}


def test_totals_of_all_kits_take_one_query(
    queries_of: Callable[[Callable[[], object]], int],
) -> None:
    for _ in range(6):
        make_kit((make_part(), "1"), (make_kit((make_part(), "2")), "1"))
    assert queries_of(kit_totals) == 1


def test_an_empty_kit_comes_to_nothing() -> None:
    assert make_kit().totals.cost == 0


def test_a_kit_in_itself_is_refused() -> None:
    kit = make_kit(code="KIT-A")
    with pytest.raises(ValidationError) as refused:
        refuse_cycle(kit, kit)
    assert refused.value.message_dict == {"child": ["KIT-A would hold itself: KIT-A holds KIT-A."]}


def test_a_cycle_at_any_depth_is_refused_with_its_path() -> None:
    bottom = make_kit(code="KIT-D")
    third = make_kit((bottom, "1"), code="KIT-C")
    second = make_kit((third, "1"), (make_part(), "1"), code="KIT-B")
    top = make_kit((second, "1"), code="KIT-A")
    item = KitItem(kit=bottom, child=top)
    with pytest.raises(ValidationError) as refused:
        item.full_clean()
    assert refused.value.message_dict["child"] == [
        "KIT-D would hold itself: KIT-D holds KIT-A holds KIT-B holds KIT-C holds KIT-D."
    ]


def test_the_same_kit_twice_side_by_side_is_no_cycle() -> None:
    shared = make_kit(code="KIT-S")
    left = make_kit((shared, "1"))
    right = make_kit((left, "1"))
    refuse_cycle(right, shared)
    assert right.path_to(shared.pk) == [right.code, left.code, "KIT-S"]
    assert shared.path_to(right.pk) == []


def test_the_database_refuses_an_item_that_is_two_things_or_none() -> None:
    kit, part = make_kit(), make_part()
    for wrong in ({}, {"part": part, "operation": make_operation()}, {"child": kit}):
        with pytest.raises(IntegrityError), transaction.atomic():
            KitItem.objects.create(kit=kit, **wrong)


def test_rows_of_a_kit_take_two_queries_with_one_row_or_with_ten(
    queries_of: Callable[[Callable[[], object]], int],
) -> None:
    small = make_kit((make_part(), "1"))
    large = make_kit(*((make_part(), "1") for _ in range(8)), (make_operation(), "1"), (small, "1"))
    totals = kit_totals()

    def rows(kit: Kit) -> list[object]:
        return [(row.total_cost, row.item.subject) for row in kit.item_rows(totals)]

    assert queries_of(lambda: rows(small)) == queries_of(lambda: rows(large)) == 2
