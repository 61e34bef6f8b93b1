"""Templates, lengths and gaps of the hull plan, and its limits."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fitout.jobs.hullplan.cableways import cableways_of, connected_groups, gaps
from fitout.jobs.hullplan.plan import HullPlan, PlanNode, PlanSegment, read_plan
from fitout.jobs.hullplan.scale import Scale
from fitout.jobs.hullplan.templates import TEMPLATES
from fitout.jobs.models import CablewayNode, CablewaySegment, Zone
from tests.factories.jobs import make_vessel

CLOSE_M = Decimal("0.05")  # a cableway may run along the outside of its zone's wall
SCALE = Scale(length_m=8.6, beam_m=2.8, depth_m=1.5, height_m=3.7)


def plan_of(nodes: dict[str, tuple[float, float, float]], *ways: tuple[str, str, str]) -> HullPlan:
    made = {code: PlanNode(code, *place) for code, place in nodes.items()}
    segments = tuple(
        PlanSegment(number, way, made[start], made[end], length_m=1.0)
        for number, (way, start, end) in enumerate(ways)
    )
    return HullPlan("Test", "workboat", SCALE, (), tuple(made.values()), segments)


def test_fractions_above_the_sheer_are_taken_of_the_height_that_is_left() -> None:
    assert SCALE.z_m(0.5) == pytest.approx(0.75)  # half of 1.5 m of hull
    assert SCALE.z_m(1.5) == pytest.approx(2.6)  # 1.5 + half of the 2.2 m above
    assert SCALE.y_m(-1) == pytest.approx(-1.4)


@pytest.mark.django_db
def test_length_is_the_straight_distance_unless_measured() -> None:
    vessel = make_vessel(filled=False)
    start, end, far = (
        CablewayNode.objects.create(
            vessel=vessel, code=code, x_m=Decimal(x), y_m=Decimal(y), z_m=Decimal(z)
        )
        for code, x, y, z in (("A", "1", "2", "3"), ("B", "3", "5", "9"), ("C", "3", "5", "9.5"))
    )
    CablewaySegment.objects.create(vessel=vessel, cableway="W1", start=start, end=end)
    CablewaySegment.objects.create(
        vessel=vessel, cableway="W1", start=end, end=far, length_override_m=Decimal("1.25")
    )
    (way,) = cableways_of(read_plan(vessel))
    first, second = way.segments
    assert first.length_m == pytest.approx(7.0)  # by hand: √(2² + 3² + 6²) = √49
    assert (second.length_m, second.measured) == (1.25, True)  # straight it would be 0.5
    assert way.length_m == pytest.approx(8.25)


@pytest.mark.django_db
def test_workboat_lengths_follow_from_its_dimensions() -> None:
    plan = read_plan(make_vessel(template="workboat"))
    w6 = next(way for way in cableways_of(plan) if way.code == "W6")
    # N1 (2.19, 0, 0.93) down and back to N21 (2.24, 0, 0.27), then 4.47 m forward to N22;
    # by hand √(0.05² + 0.66²) + 4.47 = 0.662 + 4.47
    assert w6.length_m == pytest.approx(5.132, abs=0.001)


def test_unjoined_nodes_are_told_apart_by_group() -> None:
    places = {"A": (0.0, 0.0, 0.0), "B": (1.0, 0.0, 0.0), "C": (2.0, 0.0, 0.0)}
    plan = plan_of(
        {**places, "D": (3.0, 0.0, 0.0), "E": (4.0, 0.0, 0.0), "F": (5.0, 0.0, 0.0)},
        ("W1", "A", "B"),
        ("W1", "B", "C"),
        ("W2", "D", "E"),
    )
    assert [sorted(n.code for n in group) for group in connected_groups(plan)] == [
        ["A", "B", "C"],
        ["D", "E"],
        ["F"],
    ]
    assert gaps(plan) == [
        "Nodes D, E are not joined to the other cableways.",
        "Node F has no cableway to the others.",
    ]


def test_node_far_outside_the_vessel_is_told() -> None:
    plan = plan_of({"A": (0.0, 0.0, 0.0), "B": (9.7, 0.0, 0.0)}, ("W1", "A", "B"))
    assert gaps(plan) == ["Node B lies outside the vessel."]


def test_plan_without_nodes_says_that_no_length_can_be_computed() -> None:
    assert gaps(plan_of({})) == ["There are no cableways yet, so no cable length can be computed."]


@pytest.mark.django_db
@pytest.mark.parametrize("slug", sorted(TEMPLATES))
def test_every_template_gives_a_sound_plan(slug: str) -> None:
    vessel = make_vessel(template=slug)
    for zone in Zone.objects.filter(vessel=vessel):
        zone.full_clean()
    plan = read_plan(vessel)
    assert gaps(plan) == []
    assert len(plan.zones) >= 6
    by_code = {zone.code: zone for zone in Zone.objects.filter(vessel=vessel)}
    for node in CablewayNode.objects.filter(vessel=vessel).select_related("zone"):
        assert node.zone is not None
        assert node.zone.code in by_code
        for axis, (low, high) in node.zone.box_m.items():
            value = getattr(node, f"{axis}_m")
            assert low - CLOSE_M <= value <= high + CLOSE_M, f"{node} is not in {node.zone}"


@pytest.mark.django_db
@pytest.mark.parametrize("slug", ["workboat", "launch", "dayboat"])
def test_petrol_spaces_are_marked_where_outboards_and_petrol_tanks_are(slug: str) -> None:
    petrol = {z.code for z in make_vessel(template=slug).zones.filter(petrol_vapour=True)}
    assert petrol == (set() if slug == "launch" else {"EW", "FT"})


@pytest.mark.django_db
def test_zone_outside_the_hull_is_refused_with_the_limit() -> None:
    vessel = make_vessel(filled=False)
    zone = Zone(
        vessel=vessel,
        code="ZZ",
        name="Too long",
        x_min_m=Decimal("-0.5"),
        x_max_m=Decimal(9),
        y_min_m=Decimal(1),
        y_max_m=Decimal(1),
        z_min_m=Decimal(0),
        z_max_m=Decimal(1),
    )
    with pytest.raises(ValidationError) as refused:
        zone.full_clean()
    nbsp = "\N{NO-BREAK SPACE}"
    told = refused.value.message_dict
    assert told["x_min_m"] == [f"From x: 0{nbsp}m at least, the hull ends there."]
    assert told["x_max_m"] == [f"To x: 8.6{nbsp}m at most, the hull ends there."]
    assert told["y_max_m"] == [f"To y: more than from y, 1{nbsp}m."]


@pytest.mark.pure
def test_hazards_of_a_zone_are_told_in_words() -> None:
    assert Zone(petrol_vapour=True, hot=True, ventilated=False).hazards == (
        "petrol vapour can collect, hot, not ventilated"
    )
    assert Zone().hazards == ""
