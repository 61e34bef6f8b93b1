import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from catalogue.models import Condition, TaxGroup, Trade
from tests.factories.jobs import make_trade


def test_a_zero_rated_group_with_a_rate_is_refused() -> None:
    group = TaxGroup(code="z", name="Zero", category_code="Z", rate_pct=5)
    with pytest.raises(ValidationError) as refused:
        group.clean()
    assert refused.value.message_dict == {"rate_pct": ["Rate: category Z has a rate of 0 %."]}


@pytest.mark.django_db
def test_the_database_refuses_it_too() -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        TaxGroup.objects.create(code="z", name="Zero", category_code="Z", rate_pct=5)


@pytest.mark.django_db
@pytest.mark.parametrize("multiplier", ["0.49", "5.01"])
def test_a_condition_multiplies_by_half_to_five(multiplier: str) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Condition.objects.create(code="c", name="C", multiplier=multiplier)


@pytest.mark.django_db
def test_rates_are_not_negative() -> None:
    trade = make_trade()
    with pytest.raises(IntegrityError), transaction.atomic():
        Trade.objects.filter(pk=trade.pk).update(cost_per_h=-1)
