import json
from datetime import UTC, datetime
from typing import Any

import pytest
from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from hypothesis import given
from hypothesis import strategies as st

from fitout.kit.rows import row_values, same_content, typed_values

pytestmark = pytest.mark.pure


class Sample(models.Model):
    """Never migrated: a row of every common kind of column, only ever held in memory."""

    decimal = models.DecimalField(max_digits=12, decimal_places=4, null=True)
    number = models.FloatField(null=True)
    count = models.IntegerField(null=True)
    flag = models.BooleanField(default=False)
    text = models.TextField(null=True)
    day = models.DateField(null=True)
    moment = models.DateTimeField(null=True)
    hour = models.TimeField(null=True)
    length = models.DurationField(null=True)
    token = models.UUIDField(null=True)
    data = models.JSONField(null=True)
    content = models.BinaryField(null=True)
    parent = models.ForeignKey("self", null=True, on_delete=models.CASCADE)

    class Meta:
        app_label = "kit"


# Leave no trace of the sample among the real models.
apps.all_models["kit"].pop("sample")
apps.clear_cache()

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner),
    max_leaves=5,
)

# Hypothesis takes its limits without a zone; a day inside what UTC can hold.
YEAR_2, YEAR_9998 = (datetime.fromisoformat(f"{year:04d}-01-01") for year in (2, 9998))
# A moment that the clocks skip or repeat equals no other, not even itself elsewhere (PEP 495).
moments = st.datetimes(YEAR_2, YEAR_9998, timezones=st.timezones()).filter(
    lambda moment: moment == moment.astimezone(UTC)
)

samples = st.fixed_dictionaries(
    {
        "decimal": st.none() | st.decimals(-(10**7), 10**7, places=4),
        "number": st.none() | st.floats(allow_nan=False, allow_infinity=False),
        "count": st.none() | st.integers(-(2**31), 2**31 - 1),
        "flag": st.booleans(),
        "text": st.none() | st.text(st.characters(exclude_categories=["Cs"])),
        "day": st.none() | st.dates(),
        "moment": st.none() | moments,
        "hour": st.none() | st.times(),
        "length": st.none() | st.timedeltas(),
        "token": st.none() | st.uuids(),
        "data": json_values,
        "content": st.none() | st.binary(max_size=40),
        "parent_id": st.none() | st.integers(1, 2**40),
    }
)


@given(samples)
def test_any_row_survives_the_way_through_json(values: dict[str, Any]) -> None:
    stored = json.loads(json.dumps(row_values(Sample(pk=1, **values)), cls=DjangoJSONEncoder))
    again = typed_values(Sample, stored)
    assert {name: again[name] for name in values} == values


def test_bookkeeping_does_not_count_as_content() -> None:
    left = {"name": "a", "version": 1, "changed_at": None, "changed_by_id": None}
    assert same_content(left, {**left, "version": 2, "changed_by_id": 7})
    assert not same_content(left, {**left, "name": "b"})
    assert not same_content(left, None)
    assert same_content(None, None)


def test_columns_that_are_gone_are_left_out() -> None:
    assert typed_values(Sample, {"text": "x", "gone": 1}) == {"text": "x"}
