"""The trail names the rows a change refers to, in a number of questions that does not grow."""

from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import models

from catalogue.models import Condition, LabourOperation, Trade
from fitout.jobs import sheet
from fitout.jobs.models import Line
from fitout.kit import audit
from fitout.kit.models import AuditEntry, User, Versioned
from fitout.kit.trail import Names, readings_of
from tests.factories.jobs import make_condition, make_job, make_part, zone_of
from tests.factories.rows import make_trade


def make_operation() -> LabourOperation:
    trade = make_trade("Rigging", "rig")
    return LabourOperation.objects.create(
        code="op", description="Fit", trade=trade, standard_h=Decimal(1)
    )


def give_to(operation: LabourOperation, trade: Trade, owner: User) -> AuditEntry:
    with audit.tracked(actor=owner, scope="", label="Another trade") as change:
        change.watch(operation)
        operation.trade = trade
        operation.save()
    assert change.entry is not None
    return change.entry


def test_a_reference_is_told_by_its_name(owner: User) -> None:
    entry = give_to(make_operation(), make_trade("Plumbing", "plumb"), owner)
    [reading] = readings_of([entry])[0].fields
    assert (reading.field, reading.before, reading.after) == ("trade", "Rigging", "Plumbing")


def test_the_changed_row_is_told_by_its_name(owner: User) -> None:
    operation = make_operation()
    [reading] = readings_of([give_to(operation, make_trade("Plumbing", "plumb"), owner)])[0].fields
    assert reading.row == f"labour operation “{operation}”"


def test_a_row_that_is_gone_is_told_by_what_the_entry_holds(owner: User) -> None:
    trade = make_trade("Plumbing", "plumb")
    with audit.tracked(actor=owner, scope="labour", label="Name") as changed:
        changed.watch(trade)
        trade.name = "Masts"
        trade.save()
    with audit.tracked(actor=owner, scope="labour", label="Gone") as removed:
        removed.removing(trade)
        trade.delete()
    assert changed.entry is not None and removed.entry is not None
    rows = [
        reading.fields[0].row
        for reading in readings_of(AuditEntry.objects.filter(label__in=("Name", "Gone")))
    ]
    assert set(rows) == {"trade “Plumbing”, removed since", "trade “Masts”"}


def test_an_entry_that_only_tells_says_nothing_of_its_row(owner: User) -> None:
    entry = audit.record(owner, "task.done", make_trade(), scope="", label="Done")
    assert readings_of([entry])[0].fields == []


def test_a_reference_to_what_is_gone_has_its_number_and_a_word(owner: User) -> None:
    operation, gone = make_operation(), make_trade("Plumbing", "plumb")
    there = give_to(operation, gone, owner)
    give_to(operation, make_trade("Joinery", "join"), owner)
    number = gone.pk
    gone.delete()
    [reading] = readings_of([there])[0].fields
    assert reading.after == f"trade {number}, removed since"


def test_many_references_take_as_many_questions_as_one(owner: User, queries_of: Any) -> None:
    operation = make_operation()
    entries = [
        give_to(operation, make_trade(f"Trade {number}", f"t{number}"), owner)
        for number in range(8)
    ]

    def told(some: list[AuditEntry]) -> set[str]:
        return {field.after for reading in readings_of(some) for field in reading.fields}

    assert told(entries) == {f"Trade {number}" for number in range(8)}
    assert queries_of(lambda: told(entries[:1])) == queries_of(lambda: told(entries)) == 2


def test_a_condition_of_a_line_is_told_by_both_names(estimator: User) -> None:
    job = make_job(estimator)
    part = make_part(description="Deck flood")
    line = sheet.add_part(job, zone_of(job, "DP"), part, by=estimator)
    overhead: Condition = make_condition(multiplier="1.20", name="Overhead work")
    sheet.edit(line, by=estimator, version=line.version, conditions=[overhead])
    entry = AuditEntry.objects.order_by("-pk").first()
    assert entry is not None
    told = [(reading.row, reading.field) for reading in readings_of([entry])[0].fields]
    assert ("Deck flood", "condition Overhead work ×1.2 added") in told
    assert Line.objects.get(pk=line.pk).conditions.get() == overhead


@pytest.mark.usefixtures("demo")
def test_every_model_that_is_changed_or_referred_to_names_its_rows_in_one_question(
    queries_of: Any,
) -> None:
    changed = {apps.get_model(c["model"]) for e in AuditEntry.objects.all() for c in e.changes}
    changed = {model for model in changed if not model._meta.auto_created}
    referred = changed | {
        field.related_model
        for model in apps.get_models()
        if issubclass(model, Versioned)
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey)
    }
    asked = {}
    for target in referred:
        keys = {str(pk) for pk in target._meta.base_manager.values_list("pk", flat=True)[:20]}
        if keys:
            asked[target._meta.label] = queries_of(lambda t=target, k=keys: Names.read(t, k))
    assert len(asked) > 15
    assert set(asked.values()) == {1}, asked
