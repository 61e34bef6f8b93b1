from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db.models import F

from catalogue.models import Trade
from fitout.kit import audit
from fitout.kit.models import AuditEntry, Role, User
from fitout.kit.trail import EntryReading, readings_of
from tests.factories.people import make_user
from tests.factories.rows import make_kit, make_trade


def test_an_entry_holds_the_row_before_and_after(owner: User) -> None:
    trade = make_trade()
    with audit.tracked(actor=owner, scope="job:142", label="Rate of rigging") as change:
        change.watch(trade)
        trade.sell_per_h = Decimal("55.50")
        trade.save()
    entry = AuditEntry.objects.get()
    assert (entry.actor, entry.scope, entry.label) == (owner, "job:142", "Rate of rigging")
    assert (entry.subject_model, entry.subject_pk) == ("catalogue.trade", str(trade.pk))
    assert entry.can_be_undone
    [stored] = entry.changes
    assert stored["before"]["sell_per_h"] == "50.00"
    assert stored["after"]["sell_per_h"] == "55.50"


def test_the_stored_row_counts_not_the_object_in_hand(owner: User) -> None:
    trade = make_trade()
    trade.name = "already changed in memory"
    with audit.tracked(actor=owner, scope="", label="Name") as change:
        change.watch(trade)
        trade.save()
    assert AuditEntry.objects.get().changes[0]["before"]["name"] == "Rigging"


def test_nothing_changed_leaves_no_entry(owner: User) -> None:
    with audit.tracked(actor=owner, scope="", label="Nothing") as change:
        change.watch(make_trade())
    assert change.entry is None
    assert not AuditEntry.objects.exists()


def fail_half_way(owner: User) -> None:
    with audit.tracked(actor=owner, scope="", label="Half done") as change:
        change.created(make_trade())
        raise ValueError("half way")


def test_a_failed_change_leaves_no_entry_and_no_row(owner: User) -> None:
    with pytest.raises(ValueError, match="half way"):
        fail_half_way(owner)
    assert not AuditEntry.objects.exists()
    assert not Trade.objects.exists()


def reading_of(entry: AuditEntry) -> EntryReading:
    [reading] = readings_of([entry])
    return reading


def test_removing_takes_along_what_goes_with_the_row(owner: User) -> None:
    kit = make_kit(items=2)
    with audit.tracked(actor=owner, scope="", label="Removed kit") as change:
        change.removing(kit)
        kit.delete()
    models = sorted((c["model"], c["after"]) for c in AuditEntry.objects.get().changes)
    assert models == [("catalogue.kit", None), *[("catalogue.kititem", None)] * 2]


def test_a_password_is_never_in_the_trail(owner: User) -> None:
    with audit.tracked(actor=owner, scope="people", label="Added") as change:
        change.created(make_user())
    text = str(AuditEntry.objects.get().changes)
    assert "md5$" not in text
    assert "password" not in text
    assert "display_name" in text


def test_somebody_without_a_name_here_is_stored_as_nobody(owner: User) -> None:
    entry = audit.record(AnonymousUser(), "accept", owner, scope="job:1", label="Accepted")
    assert entry.actor is None
    assert not entry.can_be_undone


def test_an_entry_reads_as_fields_from_and_to(owner: User) -> None:
    trade = make_trade()
    with audit.tracked(actor=owner, scope="", label="Rates") as change:
        change.watch(trade)
        trade.sell_per_h, trade.name = Decimal(60), ""
        trade.save_if_version(1, by=owner)
    readings = reading_of(AuditEntry.objects.get()).fields
    assert {(r.field, r.before, r.after) for r in readings} == {
        ("sell rate per hour", "50.00", "60.00"),
        ("name", "Rigging", "empty"),
    }


def test_an_entry_about_a_model_that_is_gone_can_still_be_read(owner: User) -> None:
    entry = audit.record(owner, "x", owner, scope="", label="Old")
    entry.changes = [{"model": "gone.model", "pk": "1", "before": {"a": 1}, "after": {"a": 2}}]
    [reading] = reading_of(entry).fields
    assert (reading.row, reading.field, reading.after) == ("gone.model 1", "a", "2")


def test_many_rows_are_remembered_with_as_many_questions_as_one(
    owner: User, queries_of: Any
) -> None:
    def raise_rates(trades: list[Trade]) -> None:
        with audit.tracked(actor=owner, scope="", label="Rates") as change:
            change.watch(*trades)
            Trade.objects.filter(pk__in=[t.pk for t in trades]).update(
                sell_per_h=F("sell_per_h") + 1
            )

    trades = [make_trade(code=f"t{number}") for number in range(10)]
    assert queries_of(lambda: raise_rates(trades[:1])) == queries_of(lambda: raise_rates(trades))
    assert len(AuditEntry.objects.first().changes) == 10  # type: ignore[union-attr]


def test_choices_and_yes_or_no_are_told_in_words(owner: User, db: None) -> None:
    person = make_user(role=Role.TECHNICIAN)
    with audit.tracked(actor=owner, scope="job:142", label="Role") as change:
        change.watch(person)
        person.role, person.is_active, person.phone = Role.ESTIMATOR, False, "1"
        person.save()
    entry = AuditEntry.objects.get()
    told = {reading.field: (reading.before, reading.after) for reading in reading_of(entry).fields}
    assert told == {
        "role": ("Technician", "Estimator"),
        "may sign in": ("yes", "no"),
        "phone": ("empty", "1"),
    }
    assert reading_of(entry).scope == "J-0142"


def test_days_and_times_are_told_as_on_every_page(owner: User, db: None) -> None:
    person = make_user()
    with audit.tracked(actor=owner, scope="", label="Joined") as change:
        change.watch(person)
        User.objects.filter(pk=person.pk).update(joined_at=datetime(2026, 3, 9, 8, 5, tzinfo=UTC))
    [reading] = reading_of(AuditEntry.objects.get()).fields
    assert reading.after == "9 Mar 2026 08:05"
