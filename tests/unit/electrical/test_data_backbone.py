"""The data backbone of a job: order, lengths, what it is checked for, changes."""

from decimal import Decimal
from itertools import combinations, permutations
from random import Random

import pytest

from catalogue.models import DataDeviceData
from electrical.check import Checked, check
from electrical.core.backbone import formula_drop_v
from electrical.core.findings import Severity
from electrical.data_backbone.drawing import Drawing, draw_backbone
from electrical.data_backbone.editing import TeeValues, lay_out, propose_anew
from electrical.data_backbone.judging import Judged
from electrical.data_backbone.ordering import inserted, length_of, shortest_line
from electrical.devices import refresh_devices
from electrical.models import Circuit, DataTee, Device
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import CablewaySegment, Job
from fitout.kit.models import AuditEntry, StaleVersion, User
from fitout.kit.undo import undo
from tests.factories.electrical import (
    make_backbone_feed,
    make_data_device,
    make_data_piece,
    make_small_vessel,
    put,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    """A feed at the helm, a sensor beside it, one on the roof and one at the stern."""
    job = make_small_vessel(by)
    for part, zone in (
        (make_backbone_feed(), "HM"),
        (make_data_device("Heading sensor", load_units=4), "HM"),
        (make_data_device("Position aerial", load_units=3), "RF"),
        (make_data_device("Tank sensor", load_units=1), "FD"),
        (make_data_piece("Tee connector", is_tee=True), "HM"),
        (make_data_piece("Terminator", is_terminator=True), "HM"),
        (make_data_piece("Backbone cable, 10 m", length_m="10"), "HM"),
    ):
        put(job, part, zone, by=by, quantity=3 if "Tee" in part.description else 1)
    refresh_devices(job, by)
    return job


def data(job: Job) -> Judged:
    found = check(job).data
    assert found is not None
    return found


def open_rules(checked: Checked) -> set[str]:
    return {f.rule_id for f in checked.findings if f.rule_id.startswith("data-")}


def named(job: Job, name: str) -> Device:
    return Device.objects.get(job=job, name__startswith=name)


def test_what_a_device_draws_is_not_guessed(job: Job, by: User) -> None:
    """Neither on the backbone nor from the circuit that feeds it."""
    wire_up(job, by)
    feed = Circuit.objects.get(job=job, devices=named(job, "Power feed"))
    DataDeviceData.objects.filter(part__description="Tank sensor").update(load_units=None)
    checked = check(job)
    own = [f for f in checked.by_circuit[feed.pk] if f.severity is Severity.CANNOT_TELL]
    assert [f.missing for f in own] == [("current of A1 Power feed with tee",)]
    unknown = {f.rule_id for f in checked.findings if f.severity is Severity.CANNOT_TELL}
    assert {"data-current", "data-device-current", "data-voltage"} <= unknown


def values(*devices: Device, **given: object) -> list[TeeValues]:
    return [
        TeeValues(
            device_id=device.pk,
            position=position,
            is_joined=True,
            length_m=given.get(f"length_{position}"),  # type: ignore[arg-type]
            drop_m=given.get(f"drop_{position}"),  # type: ignore[arg-type]
        )
        for position, device in enumerate(devices, start=1)
    ]


# Order.


def test_the_line_is_the_shortest_of_all_orders() -> None:
    chance = Random(3)
    for _ in range(30):
        places = [chance.uniform(0.0, 10.0) + 1j * chance.uniform(0.0, 3.0) for _ in range(6)]

        def apart(one: complex, other: complex) -> float:
            return abs(one - other)

        least = min(length_of(order, apart) for order in permutations(places))
        found = shortest_line(places, apart)
        assert sorted(map(str, found)) == sorted(map(str, places))
        assert length_of(found, apart) <= 1.1 * least


def test_one_more_goes_where_it_lengthens_the_line_least() -> None:
    line = inserted([0.0, 4.0, 9.0], 5.0, lambda one, other: abs(one - other))
    assert line == [0.0, 4.0, 5.0, 9.0]


# Layout and check.


def test_lengths_follow_the_cableways_until_somebody_measures(job: Job, by: User) -> None:
    tees = data(job).layout.tees
    assert [tee.number for tee in tees] == [1, 2, 3, 4]
    assert all(tee.before_m is not None and tee.before_m >= 0.0 for tee in tees[1:])
    devices = [tee.device for tee in tees]
    given = values(*devices, length_2=Decimal("3.25"), drop_1=Decimal("1.5"))
    lay_out(job, by=by, version=None, values={"shield_grounds": 1}, tees=given)
    measured = data(job).layout.tees
    assert measured[1].before_m == 3.25
    assert measured[0].drop_m == 1.5
    assert measured[2].before_m == tees[2].before_m


def test_a_line_that_follows_the_plan_is_checked_with_every_rule(job: Job, by: User) -> None:
    found = data(job)
    assert found.measures is not None
    assert found.measures.load_units == 8
    furthest_m = max(d.distance_m for d in found.measures.devices if d.distance_m is not None)
    expected = formula_drop_v(load_units=8, length_m=furthest_m, ohm_per_100m=5.7)
    assert found.measures.formula_drop_v == pytest.approx(expected)
    assert found.measures.worst_drop_v is not None
    assert 0.0 < found.measures.worst_drop_v <= expected
    assert open_rules(check(job)) >= {"data-terminators", "data-shield", "data-parts"}


def test_one_terminator_on_the_build_sheet_leaves_the_other_end_open(job: Job) -> None:
    assert data(job).layout.terminators == (True, False)
    finding = next(f for f in check(job).findings if f.rule_id == "data-terminators")
    assert finding.severity is Severity.STOP
    assert finding.remedies[0].label == "Fit one terminator at each end"


def test_a_drop_above_six_metres_is_a_stop_with_its_clause(job: Job, by: User) -> None:
    devices = [tee.device for tee in data(job).layout.tees]
    given = values(*devices, drop_1=Decimal("6.5"))
    lay_out(job, by=by, version=None, values={}, tees=given)
    finding = next(f for f in check(job).findings if f.rule_id == "data-drop-length")
    assert (finding.severity, finding.value, finding.limit) == (Severity.STOP, 6.5, 6.0)
    assert "IEC 61162-3" in str(finding.clause)


def test_the_supply_is_what_is_left_at_the_end_of_its_circuit(job: Job, by: User) -> None:
    before = data(job).measures
    assert before is not None
    assert before.backbone.supplies[0].voltage_v is None
    assert {d.voltage_v for d in before.devices} == {None}
    window = [f for f in check(job).findings if f.rule_id == "data-window"]
    assert [f.severity for f in window] == [Severity.CANNOT_TELL]
    wire_up(job, by)
    after = data(job).measures
    assert after is not None
    supply_v = after.backbone.supplies[0].voltage_v
    assert supply_v is not None
    assert 11.0 < supply_v < 12.0


def test_without_a_way_it_cannot_tell_and_says_between_which_tees(job: Job) -> None:
    CablewaySegment.objects.filter(vessel=job.vessel).delete()
    found = data(job)
    assert found.measures is None
    finding = next(f for f in found.open if f.rule_id == "data-layout")
    assert finding.severity is Severity.CANNOT_TELL
    assert "T2" in finding.message


def test_a_device_left_off_neither_counts_nor_draws(job: Job, by: User) -> None:
    tank = named(job, "Tank sensor")
    off = TeeValues(device_id=tank.pk, position=9, is_joined=False, length_m=None, drop_m=None)
    lay_out(job, by=by, version=None, values={}, tees=[off])
    found = data(job)
    assert found.layout.left_off == (tank,)
    assert found.measures is not None
    assert found.measures.load_units == 7


def test_without_anything_to_join_there_is_no_backbone(by: User) -> None:
    assert check(make_small_vessel(by)).data is None


# Changes.


def test_laying_out_is_one_change_that_can_be_undone(job: Job, by: User) -> None:
    order = [tee.device for tee in data(job).layout.tees]
    turned = [order[2], order[0], order[1], order[3]]
    lay_out(job, by=by, version=None, values={"shield_grounds": 1}, tees=values(*turned))
    assert [tee.device.pk for tee in data(job).layout.tees] == [d.pk for d in turned]
    undo(AuditEntry.objects.latest("pk"), by=by)
    assert [tee.device.pk for tee in data(job).layout.tees] == [d.pk for d in order]


def test_a_layout_somebody_else_saved_meanwhile_is_not_overwritten(job: Job, by: User) -> None:
    stored = lay_out(job, by=by, version=None, values={"shield_grounds": 1}, tees=())
    lay_out(job, by=by, version=stored.version, values={"shield_grounds": 2}, tees=())
    with pytest.raises(StaleVersion):
        lay_out(job, by=by, version=stored.version, values={"shield_grounds": 3}, tees=())
    with pytest.raises(StaleVersion):
        lay_out(job, by=by, version=None, values={"shield_grounds": 3}, tees=())


def test_proposing_anew_forgets_order_and_lengths(job: Job, by: User) -> None:
    order = [tee.device for tee in data(job).layout.tees]
    lay_out(job, by=by, version=None, values={}, tees=values(*reversed(order)))
    assert propose_anew(job, by=by)
    assert not DataTee.objects.exists()
    assert [tee.device.pk for tee in data(job).layout.tees] == [d.pk for d in order]
    assert not propose_anew(job, by=by)


def test_the_drawing_names_every_tee_and_escapes_it(job: Job) -> None:
    Device.objects.filter(pk=named(job, "Tank sensor").pk).update(name="Tank <b> sensor")
    text = draw_backbone(data(job))
    assert "<b>" not in text
    for tee in data(job).layout.tees:
        assert f"{tee.label} {tee.device.label}" in text
    assert "no terminator" in text


@pytest.mark.parametrize("at", [0, 1, -1])
def test_a_long_name_stands_on_several_lines_and_covers_nothing(job: Job, at: int) -> None:
    long = (
        "Sensor of the fuel and drinking water tanks under the raised cockpit sole by the transom"
    )
    tee = data(job).layout.tees[at]
    Device.objects.filter(pk=tee.device.pk).update(name=long)
    drawing = Drawing(data(job), for_print=False)
    assert "…" not in drawing.svg()
    texts = [box for box in drawing.canvas.boxes if box.kind == "text"]
    assert " ".join(box.what for box in texts).count(long) == 1
    assert all(box.x + box.width <= drawing.width for box in texts)
    assert not [(a.what, b.what) for a, b in combinations(texts, 2) if a.overlaps(b)]
