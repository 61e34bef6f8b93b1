from decimal import Decimal

import pytest

from catalogue.models import Kit, KitItem, LabourOperation, Trade
from fitout.kit import access
from fitout.kit.access import OFFICE, Rule
from fitout.kit.audit import Change, record, tracked
from fitout.kit.models import AuditEntry, User
from fitout.kit.rows import row_values
from fitout.kit.undo import SCOPE_STAGES, CannotUndo, undo
from tests.factories.rows import add_item, make_kit, make_trade


def entry_of(change: Change) -> AuditEntry:
    assert change.entry is not None
    return change.entry


def rename(trade: Trade, name: str, by: User) -> AuditEntry:
    with tracked(actor=by, scope="job:1", label=f"Name {name}") as change:
        change.watch(trade)
        trade.name = name
        trade.save_if_version(trade.version, by=by)
    return entry_of(change)


def test_a_changed_row_goes_back_and_its_version_forward(owner: User) -> None:
    trade = make_trade()
    done = undo(rename(trade, "Masts", owner), by=owner)
    trade.refresh_from_db()
    assert (trade.name, trade.version) == ("Rigging", 3)
    assert done.label == "Undone: Name Masts"
    assert done.scope == "job:1"


def test_undo_can_be_undone(owner: User) -> None:
    trade = make_trade()
    again = undo(undo(rename(trade, "Masts", owner), by=owner), by=owner)
    trade.refresh_from_db()
    assert trade.name == "Masts"
    assert again.label == "Redone: Name Masts"


def test_an_entry_is_undone_once(owner: User) -> None:
    entry = rename(make_trade(), "Masts", owner)
    undo(entry, by=owner)
    with pytest.raises(CannotUndo, match=r"^This change was already undone\.$"):
        undo(AuditEntry.objects.get(pk=entry.pk), by=owner)


def test_a_created_row_is_removed(owner: User) -> None:
    with tracked(actor=owner, scope="", label="Added") as change:
        change.created(make_trade())
    undo(entry_of(change), by=owner)
    assert not Trade.objects.exists()


def test_a_removed_row_comes_back_with_all_that_went_with_it(owner: User) -> None:
    kit = make_kit(items=3)
    before = [row_values(row) for row in (kit, *kit.items.order_by("pk"))]
    with tracked(actor=owner, scope="", label="Removed kit") as change:
        change.removing(kit)
        Kit.objects.get().delete()
    undo(entry_of(change), by=owner)
    again = Kit.objects.get()
    after = [row_values(row) for row in (again, *again.items.order_by("pk"))]
    for values in (*before, *after):
        for name in ("version", "changed_at", "changed_by_id"):
            values.pop(name, None)
    assert after == before


def test_a_row_changed_since_is_left_alone(owner: User) -> None:
    trade = make_trade()
    first = rename(trade, "Masts", owner)
    rename(trade, "Sails", owner)
    with pytest.raises(CannotUndo, match="The trade “Sails” was changed again since"):
        undo(first, by=owner)
    assert Trade.objects.get().name == "Sails"


def test_changed_and_changed_back_counts_as_unmoved(owner: User) -> None:
    trade = make_trade()
    first = rename(trade, "Masts", owner)
    undo(rename(trade, "Sails", owner), by=owner)
    undo(first, by=owner)
    assert Trade.objects.get().name == "Rigging"


def test_a_row_removed_since_stays_removed(owner: User) -> None:
    trade = make_trade()
    entry = rename(trade, "Masts", owner)
    Trade.objects.all().delete()
    with pytest.raises(CannotUndo, match="The trade was removed since"):
        undo(entry, by=owner)


def test_a_created_row_others_use_now_stays(owner: User) -> None:
    with tracked(actor=owner, scope="", label="Added trade") as change:
        change.created(trade := make_trade())
    LabourOperation.objects.create(code="op", description="Fit", trade=trade, standard_h=Decimal(1))
    with pytest.raises(CannotUndo, match="Other entries now depend on this change"):
        undo(entry_of(change), by=owner)
    assert Trade.objects.exists()


def test_undo_does_not_sweep_away_what_was_added_later(owner: User) -> None:
    with tracked(actor=owner, scope="", label="Added kit") as change:
        change.created(kit := make_kit(items=0))
    add_item(kit)
    with pytest.raises(CannotUndo, match="Something was added to it since"):
        undo(entry_of(change), by=owner)
    assert KitItem.objects.count() == 1


def test_a_removed_row_whose_place_is_taken_stays_removed(owner: User) -> None:
    trade = make_trade()
    with tracked(actor=owner, scope="", label="Removed") as change:
        change.removing(trade)
        trade.delete()
    make_trade(code="rig")
    with pytest.raises(CannotUndo, match="Other entries now depend on this change"):
        undo(entry_of(change), by=owner)
    assert Trade.objects.count() == 1


def test_a_removed_row_whose_parent_is_gone_stays_removed(owner: User) -> None:
    kit = make_kit(items=1)
    item = kit.items.get()
    with tracked(actor=owner, scope="", label="Removed item") as change:
        change.removing(item)
        item.delete()
    kit.delete()
    with pytest.raises(CannotUndo, match="Other entries now depend on this change"):
        undo(entry_of(change), by=owner)
    assert not KitItem.objects.exists()


def test_what_is_only_told_cannot_be_undone(owner: User) -> None:
    entry = record(owner, "issue", owner, scope="job:1", label="Issued")
    with pytest.raises(CannotUndo, match=r"^This change cannot be undone\.$"):
        undo(entry, by=owner)


def test_what_may_not_be_changed_any_more_may_not_be_undone(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(access.RULES, "mast.change", Rule(OFFICE, stages={"quoted"}))
    stages = {"142": "closed"}
    monkeypatch.setitem(SCOPE_STAGES, "mast", stages.get)
    trade = make_trade()
    with tracked(actor=owner, scope="mast:142", label="Name", action="mast") as change:
        change.watch(trade)
        trade.name = "Masts"
        trade.save()
    entry = entry_of(change)
    with pytest.raises(CannotUndo, match="not be changed any more at the stage"):
        undo(entry, by=owner)
    stages["142"] = "quoted"
    undone = undo(entry, by=owner)
    stages["142"] = "closed"
    with pytest.raises(CannotUndo, match="not be changed any more at the stage"):
        undo(undone, by=owner)


def test_an_action_of_a_group_is_held_to_the_change_of_the_group(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(access.RULES, "mast.change", Rule(OFFICE, stages={"quoted"}))
    monkeypatch.setitem(SCOPE_STAGES, "mast", {"142": "closed"}.get)
    trade = make_trade()
    with tracked(actor=owner, scope="mast:142", label="Name", action="mast.stepping") as change:
        change.watch(trade)
        trade.name = "Masts"
        trade.save()
    with pytest.raises(CannotUndo, match="not be changed any more at the stage"):
        undo(entry_of(change), by=owner)


def test_a_column_taken_away_since_does_not_count(owner: User) -> None:
    trade = make_trade()
    before = trade.name
    with tracked(actor=owner, scope="", label="Name") as change:
        change.watch(trade)
        trade.name = "Masts"
        trade.save()
    entry = entry_of(change)
    for side in ("before", "after"):
        entry.changes[0][side]["sail_id"] = 7
    undo(entry, by=owner)
    trade.refresh_from_db()
    assert trade.name == before


def test_a_row_frozen_since_says_so(owner: User) -> None:
    entry = record(owner, "issue", owner, scope="job:1", label="Issued")
    with tracked(actor=owner, scope="", label="Odd") as change:
        change.watch(entry)
        change.created(make_trade())
    odd = entry_of(change)
    odd.changes = [
        {
            "model": "kit.auditentry",
            "pk": str(entry.pk),
            "before": {**row_values(entry), "label": "Other"},
            "after": row_values(entry),
        }
    ]
    with pytest.raises(CannotUndo, match="stays as it was issued"):
        undo(odd, by=owner)
