"""Wire up: every device gets a circuit, every circuit holds the rules, hands are respected."""

import re
from decimal import Decimal

import pytest

from catalogue.models.electrical_data import ProtectionKind
from electrical import circuits
from electrical.adapters.circuits import DEVICE_TYPES
from electrical.check import check
from electrical.core.findings import Severity
from electrical.facts import load_facts
from electrical.models import Circuit, CircuitRole, Device
from electrical.reckoning import Reckoner
from electrical.remedies import carry_out
from electrical.shelf import CannotRemedy, Shelf
from electrical.wiring.wire_up import wire_up
from fitout.jobs import sheet
from fitout.jobs.models import Job, Line
from fitout.kit.models import AuditEntry, Role, User
from fitout.kit.undo import undo
from tests.factories.electrical import (
    make_backbone_feed,
    make_battery,
    make_board,
    make_cable,
    make_charger,
    make_data_device,
    make_isolator,
    make_load,
    make_protection,
    make_small_vessel,
    put,
    stock_catalogue,
    usual_loads,
)
from tests.factories.jobs import make_job
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    return make_small_vessel(by, loads=usual_loads())


def circuit_for(job: Job, name: str) -> Circuit:
    return Circuit.objects.get(job=job, members__device__name=name)


def last_change(job: Job) -> AuditEntry:
    return AuditEntry.objects.in_scope(job.scope).order_by("-pk")[0]


def test_every_load_is_wired(job: Job, by: User) -> None:
    done = wire_up(job, by)
    assert done.gaps == ()
    facts = load_facts(job)
    unwired = [
        d.label for d in facts.of_kind("load", "outlet", "board") if d.pk not in facts.fed_by
    ]
    assert unwired == []


def test_a_sane_vessel_has_no_stop_and_nothing_left_to_wire(job: Job, by: User) -> None:
    assert wire_up(job, by).unsolved == ()
    checked = check(job)
    stops = [finding.message for finding in checked.findings if finding.severity is Severity.STOP]
    assert stops == []
    assert not any(finding.rule_id == "unwired" for finding in checked.findings)
    assert all(c.cable_id and c.protection_id for c in checked.facts.circuits)


def test_the_battery_feeds_the_busbar_through_its_isolator(job: Job, by: User) -> None:
    wire_up(job, by)
    facts = load_facts(job)
    lead = next(c for c in facts.circuits if c.role == CircuitRole.SOURCE)
    assert facts.origin_of(lead).kind == "battery"
    assert [d.kind for d in facts.devices_of(lead)] == ["switch", "busbar"]


def test_lights_of_one_zone_share_a_circuit_and_a_pump_has_its_own(job: Job, by: User) -> None:
    wire_up(job, by)
    assert circuit_for(job, "Cabin light") == circuit_for(job, "Chart light")
    pump = circuit_for(job, "Wash pump")
    assert pump.members.count() == 1


def test_ways_on_the_board_are_given_once(job: Job, by: User) -> None:
    wire_up(job, by)
    board = Device.objects.get(job=job, kind="board")
    ways = list(board.circuits_from.values_list("board_position", flat=True))
    assert sorted(way or 0 for way in ways) == list(range(1, len(ways) + 1))


def test_loads_the_board_has_no_way_for_go_on_the_busbar(by: User) -> None:
    stock_catalogue()
    job = make_job(by)
    small = make_board("Small board", ways=1)
    parts = [(make_battery(), "BL"), (small, "HM")]
    pumps = [(make_load(f"Pump {n}", function="pump"), "HM") for n in range(3)]
    for part, zone in parts + pumps:
        put(job, part, zone, by=by)
    wire_up(job, by)
    assert Circuit.objects.filter(job=job, role=CircuitRole.LOAD).count() == 3
    checked = check(job)
    full = [f for f in checked.findings if f.rule_id == "board-way"]
    assert full, "a board with more circuits than ways is found"
    told = Reckoner(checked).of(full[0])
    assert told.value is not None
    assert "circuits that start there" in told.value.formula


def test_a_bilge_pump_is_fed_ahead_of_the_isolator(job: Job, by: User) -> None:
    pump = make_load("Bilge pump", function="bilge_pump", always_live=True, current_a="3")
    put(job, pump, "HB", by=by)
    wire_up(job, by)
    circuit = circuit_for(job, "Bilge pump")
    assert circuit.always_live
    assert circuit.origin.kind == "battery"


def test_a_heavy_load_goes_on_the_busbar(job: Job, by: User) -> None:
    winch = make_load("Anchor winch", function="winch", nature="motor", current_a="80")
    put(job, winch, "FD", by=by)
    wire_up(job, by)
    assert circuit_for(job, "Anchor winch").origin.kind == "busbar"


def test_a_charger_gets_a_lead_in_and_a_lead_out(job: Job, by: User) -> None:
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    put(job, make_charger(), "BL", by=by)
    wire_up(job, by)
    facts = load_facts(job)
    charger = next(d for d in facts.devices if d.kind == "charging_source")
    fed = facts.fed_by[charger.pk]
    out = facts.starting_at[charger.pk]
    assert [facts.origin_of(c).name for c in fed] == ["Start battery"]
    assert [d.kind for d in facts.devices_of(out[0])] == ["busbar"]
    assert out[0].protection is None
    assert out[0].end_protection is not None


def test_the_backbone_has_a_feed_for_what_hangs_on_it(job: Job, by: User) -> None:
    # IEC 61162-3: one load unit is 50 mA (second-hand); 2 + 3 units are 0.25 A.
    put(job, make_backbone_feed(), "HM", by=by)
    put(job, make_data_device("Wind sensor", load_units=2), "RF", by=by)
    put(job, make_data_device("Heading sensor", load_units=3), "HM", by=by)
    wire_up(job, by)
    feed = circuit_for(job, "Power feed with tee")
    result = check(job).result_of(feed)
    assert result is not None
    assert result.currents is not None
    assert result.currents.design_a == pytest.approx(0.25)
    wired = set(Circuit.objects.filter(job=job).values_list("devices__name", flat=True))
    assert "Wind sensor" not in wired


def test_without_a_battery_it_says_what_is_missing(by: User) -> None:
    stock_catalogue()
    job = make_job(by)
    put(job, make_load("Cabin light"), "HM", by=by)
    done = wire_up(job, by)
    assert done.made == 0
    assert [gap.missing for gap in done.gaps] == ["supply 12 V"]
    finding = next(f for f in check(job).findings if f.rule_id == "supply")
    assert finding.severity is Severity.CANNOT_TELL
    assert "no battery, board, busbar or converter" in finding.message
    assert "E1 Cabin light" in finding.message


def test_an_empty_job_can_be_wired_and_checked(by: User) -> None:
    job = make_job(by)
    assert wire_up(job, by).made == 0
    assert check(job).findings == ()


def test_wiring_up_again_changes_nothing(job: Job, by: User) -> None:
    wire_up(job, by)
    before = list(Circuit.objects.order_by("pk").values("name", "cable", "protection", "version"))
    again = wire_up(job, by)
    assert (again.made, again.removed) == (0, 0)
    after = list(Circuit.objects.order_by("pk").values("name", "cable", "protection", "version"))
    assert after == before


def test_one_undo_takes_all_of_it_back(job: Job, by: User) -> None:
    wire_up(job, by)
    assert Circuit.objects.filter(job=job).exists()
    undo(last_change(job), by=by)
    assert not Circuit.objects.filter(job=job).exists()


def test_a_cable_chosen_by_hand_stays_and_its_finding_shows(job: Job, by: User) -> None:
    wire_up(job, by)
    thin = make_cable("0.75")
    pump = circuit_for(job, "Wash pump")
    circuits.edit(pump, by=by, version=pump.version, cable=thin)
    wire_up(job, by)
    pump = Circuit.objects.get(pk=pump.pk)
    assert pump.cable == thin
    assert pump.cable_set_by_hand
    found = check(job).by_circuit[pump.pk]
    assert any(f.severity is Severity.STOP for f in found), [f.message for f in found]


def test_a_longer_run_gets_a_thicker_cable(job: Job, by: User) -> None:
    wire_up(job, by)
    pump = circuit_for(job, "Wash pump")
    before = pump.cable.cabledata.size_mm2  # type: ignore[union-attr]
    circuits.edit(pump, by=by, version=pump.version, length_override_m=Decimal("40"))
    wire_up(job, by)
    after = Circuit.objects.get(pk=pump.pk).cable.cabledata.size_mm2  # type: ignore[union-attr]
    assert after > before


def test_a_circuit_whose_line_has_gone_is_removed(job: Job, by: User) -> None:
    wire_up(job, by)
    line = Line.objects.get(job=job, description="Wash pump")
    sheet.remove(line, by=by)
    assert any(f.rule_id == "empty" for f in check(job).findings)
    assert wire_up(job, by).removed == 1
    assert not any(f.rule_id == "empty" for f in check(job).findings)


def test_what_no_fuse_can_break_is_proposed_and_found(by: User) -> None:
    for size in ("1", "2.5", "6", "16", "35"):
        make_cable(size)
    for rating in ("5", "10", "30", "60"):
        make_protection("blade", rating, breaks_a=50)
    job = make_job(by)
    for part in (make_battery(), make_isolator(), make_board(), make_load("Cabin light")):
        put(job, part, "HM", by=by)
    done = wire_up(job, by)
    assert done.unsolved
    assert circuit_for(job, "Cabin light").protection is not None
    assert any(f.rule_id == "breaking" for f in check(job).findings)


# By hand.


def test_renumbering_closes_the_gaps(job: Job, by: User) -> None:
    wire_up(job, by)
    circuits.remove(Circuit.objects.get(job=job, number=2), by=by)
    names = list(Circuit.objects.filter(job=job).values_list("name", flat=True))
    assert circuits.renumber(job, by=by) > 0
    after = Circuit.objects.filter(job=job)
    assert [c.number for c in after] == list(range(1, len(names) + 1))
    assert [c.name for c in after] == names


def test_a_removed_circuit_comes_back_with_its_devices(job: Job, by: User) -> None:
    wire_up(job, by)
    lights = circuit_for(job, "Cabin light")
    circuits.remove(lights, by=by)
    assert any(f.rule_id == "unwired" for f in check(job).findings)
    undo(last_change(job), by=by)
    assert circuit_for(job, "Chart light").name == lights.name


def test_a_remedy_is_carried_out_and_counts_as_chosen_by_hand(job: Job, by: User) -> None:
    wire_up(job, by)
    pump = circuit_for(job, "Wash pump")
    circuits.edit(pump, by=by, version=pump.version, length_override_m=Decimal("30"))
    facts = load_facts(job)
    finding = next(f for f in check(job).by_circuit[pump.pk] if f.rule_id == "drop" and f.remedies)
    change = {name: str(value) for name, value in finding.remedies[0].change.items()}
    carry_out(Shelf(facts), [facts.circuit_by_id[pump.pk]], change, by)
    assert Circuit.objects.get(pk=pump.pk).cable_set_by_hand
    assert not any(f.rule_id == "drop" for f in check(job).by_circuit.get(pump.pk, ()))


def test_each_end_of_a_circuit_gets_the_rating_that_is_offered_for_it(job: Job, by: User) -> None:
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    put(job, make_charger(), "BL", by=by)
    wire_up(job, by)
    facts = load_facts(job)
    charger = next(d for d in facts.devices if d.kind == "charging_source")
    lead = facts.starting_at[charger.pk][0]
    assert lead.end_protection is not None
    kind = lead.end_protection.protectivedevicedata.device
    larger = make_protection(kind, "77")
    facts = load_facts(job)
    lead = facts.circuit_by_id[lead.pk]
    told = carry_out(Shelf(facts), [lead], {"end_rating_a": "77.0"}, by)
    assert told == f"{lead.label} now has {larger.description} at its far end."
    stored = Circuit.objects.get(pk=lead.pk)
    assert (stored.protection, stored.end_protection) == (None, larger)
    assert stored.protection_set_by_hand


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"size_mm2": "3000"},
            "no 3\u202f000 mm² cable of the kind in {label}, whose sizes go from",
        ),
        ({"size_awg": "77"}, "no 77 AWG cable of the kind in {label}, whose sizes go from"),
        ({"size_mm2": "NaN"}, "not a number"),
        ({"size_mm2": "-5"}, "above 0, and 10000 at most"),
        ({"rating_a": "x"}, "not a number"),
        ({"rating_a": "1e400"}, "above 0, and 10000 at most"),
        (
            {"rating_a": "7777"},
            "of 7\u202f777 A and 12 V or more for {label}. Add one to the parts",
        ),
        ({"device": "magic"}, "no such kind"),
        ({"size_mm2": " "}, "nothing changed"),
        ({}, "nothing changed"),
    ],
)
def test_a_remedy_the_catalogue_cannot_meet_is_refused_in_words(
    job: Job, by: User, change: dict[str, str], words: str
) -> None:
    wire_up(job, by)
    facts = load_facts(job)
    pump = facts.circuit_by_id[circuit_for(job, "Wash pump").pk]
    before = (pump.cable_id, pump.protection_id, pump.protection_set_by_hand, pump.version)
    with pytest.raises(CannotRemedy, match=re.escape(words.format(label=pump.label))):
        carry_out(Shelf(facts), [pump], change, by)
    stored = Circuit.objects.get(pk=pump.pk)
    assert before == (
        stored.cable_id,
        stored.protection_id,
        stored.protection_set_by_hand,
        stored.version,
    )


def test_another_kind_of_device_is_no_larger_than_the_conductor_may_carry(
    job: Job, by: User
) -> None:
    wire_up(job, by)
    facts = load_facts(job)
    pump = facts.circuit_by_id[circuit_for(job, "Wash pump").pk]
    assert pump.protection is not None
    kind = DEVICE_TYPES[ProtectionKind(pump.protection.protectivedevicedata.device)].value
    with pytest.raises(CannotRemedy, match=f"more than the 0.5 A its conductor .*{pump.label}"):
        carry_out(Shelf(facts, {pump.pk: 0.5}), [pump], {"device": kind}, by)
    assert pump.label in carry_out(Shelf(facts, {pump.pk: 500}), [pump], {"device": kind}, by)
