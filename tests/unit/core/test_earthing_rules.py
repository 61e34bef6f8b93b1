"""Rules on earthing, bonding and colours, beyond what their sources print."""

import pytest

from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.earthing import BondingConductor, Earthing, EarthingKind
from electrical.core.errors import BadInput
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable
from electrical.core.sizes import mm2
from electrical.core.sources import Converter, Source, SourceKind
from tests.unit.core.designs import battery, board, branch, design, feeder
from tests.unit.core.verdicts import check, checks, severity


def coloured(colour: str, *, negative: str = "", **changes: object) -> Design:
    cable = Cable(size=mm2(2.5), colour=colour, negative_colour=negative)
    lead = feeder(cable=Cable(size=mm2(35), colour="red"))
    function = changes.pop("function", "pumps")
    return design(lead, branch(cable=cable, function=function), **changes)


def test_how_the_negative_is_earthed_is_asked_once_for_the_vessel() -> None:
    found = checks(design(), "earthing")
    assert [f.message for f in found] == [
        "The system: cannot tell without the way its negative is earthed."
    ]
    assert checks(design(earthing=Earthing()), "earthing")[0].severity is Severity.CANNOT_TELL
    assert checks(design(), "one-negative") == checks(design(), "bonding") == []


@pytest.mark.parametrize(
    ("kind", "joints", "expected"),
    [
        (EarthingKind.NEGATIVE, 1, Severity.PASS),
        (EarthingKind.NEGATIVE, 2, Severity.ATTENTION),
        (EarthingKind.NEGATIVE, 0, Severity.ATTENTION),
        (EarthingKind.INSULATED, 0, Severity.PASS),
        (EarthingKind.INSULATED, 1, Severity.ATTENTION),
        (EarthingKind.NEGATIVE, None, Severity.CANNOT_TELL),
    ],
)
def test_the_negative_is_earthed_at_one_point(
    kind: EarthingKind, joints: int | None, expected: Severity
) -> None:
    net = design(earthing=Earthing(kind=kind, joints=joints))
    assert severity(net, "one-negative") is expected


def test_joints_can_not_be_fewer_than_none() -> None:
    with pytest.raises(BadInput, match="Joints of the negative with earth: -1; 0 or more"):
        Earthing(joints=-1)


def test_a_metric_bonding_conductor_may_be_one_size_under_its_supply() -> None:
    def bonded(size: float | None, circuit_id: str | None = "F1") -> Severity:
        bond = BondingConductor(
            id="W", label="Windlass", size=mm2(size) if size else None, circuit_id=circuit_id
        )
        return severity(design(earthing=Earthing(bonding=(bond,))), "bonding", "W")

    assert bonded(25.0) is Severity.PASS
    assert bonded(16.0) is Severity.ATTENTION
    assert bonded(None) is Severity.CANNOT_TELL
    assert bonded(16.0, "gone") is Severity.CANNOT_TELL
    assert bonded(1.5, None) is Severity.PASS
    assert bonded(1.0, None) is Severity.ATTENTION


def test_an_isolated_output_is_told_of() -> None:
    def isolated(value: bool | None) -> list[Severity]:
        converter = Converter(
            id="X", label="24 to 12", output_v=12.0, efficiency=0.9, isolated=value
        )
        lead_in = branch(id="I", to_id="X", loads=())
        net = design(feeder(), lead_in, branch(id="O", from_id="X"), converters=(converter,))
        return [f.severity for f in checks(net, "isolated-output")]

    assert isolated(True) == [Severity.NOTE]
    assert isolated(False) == [Severity.PASS]
    assert isolated(None) == [Severity.CANNOT_TELL]


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("red", []),
        ("brown", []),
        ("violet", []),
        ("yellow", [Severity.ATTENTION]),
        ("black", [Severity.ATTENTION]),
        ("green with yellow stripe", [Severity.ATTENTION]),
        ("green", [Severity.ATTENTION]),
        ("yellow with red stripe", []),
    ],
)
def test_a_positive_does_not_wear_another_conductors_colour(
    colour: str, expected: list[Severity]
) -> None:
    found = checks(coloured(colour), "colours", "C1")
    assert [f.severity for f in found] == expected


def test_the_us_code_names_a_colour_for_each_function() -> None:
    found = check(coloured("orange", rule_set=RuleSet.US), "colours", "C1")
    assert found.severity is Severity.NOTE
    assert found.message == "C1 has its positive in orange; the code has brown."
    assert checks(coloured("brown", rule_set=RuleSet.US), "colours", "C1") == []
    blower = coloured("yellow", rule_set=RuleSet.US, function="bilge blower")
    assert checks(blower, "colours", "C1") == []


def test_a_negative_is_black_or_yellow_and_not_black_beside_mains() -> None:
    assert severity(coloured("red", negative="blue"), "colours", "C1") is Severity.ATTENTION
    assert checks(coloured("red", negative="black"), "colours", "C1") == []
    beside = coloured("red", negative="black", has_mains=True)
    assert severity(beside, "colours", "C1") is Severity.NOTE


def test_unknown_colours_are_asked_for_once() -> None:
    many = [branch(id=f"C{n}", label=f"C{n}") for n in range(9)]
    found = [f for f in checks(design(feeder(), *many), "colours") if f.is_open]
    assert len(found) == 1
    assert found[0].missing == ("colour of Feeder, C0, C1, C2, C3, C4 and 4 more",)
    pair = branch(cable=Cable(size=mm2(2.5), cores=2))
    lead = feeder(cable=Cable(size=mm2(35), colour="red"))
    assert [f.severity for f in checks(design(lead, pair), "colours")] == [Severity.PASS]


def test_a_bonding_conductor_is_green() -> None:
    def bonded(colour: str) -> list[Severity]:
        bond = BondingConductor(id="T", label="Tank", size=mm2(4.0), colour=colour)
        net = design(earthing=Earthing(kind=EarthingKind.NEGATIVE, joints=1, bonding=(bond,)))
        return [f.severity for f in checks(net, "colours", "T")]

    assert bonded("brown") == [Severity.ATTENTION]
    assert bonded("green with yellow stripe") == bonded("") == []


def converter_lead(**changes: object) -> Circuit:
    return branch(id="O", label="Output", from_id="X", **changes)


@pytest.mark.parametrize(("bare", "stops"), [("I", True), ("O", True), ("", False)])
def test_a_converter_is_protected_on_both_sides(bare: str, stops: bool) -> None:
    converter = Converter(id="X", label="24 to 12", output_v=12.0, efficiency=0.9)
    runs = [branch(id="I", label="Input", to_id="X", loads=()), converter_lead()]
    runs = [branch(**vars(r) | {"protection": None}) if r.id == bare else r for r in runs]
    net = design(feeder(), *runs, converters=(converter,))
    found = [severity(net, "protected", run.id) for run in runs]
    assert (Severity.STOP in found) is stops


def test_an_output_that_limits_itself_needs_no_device() -> None:
    def output(max_output_a: float) -> Severity:
        converter = Converter(
            id="X", label="24 to 12", output_v=12.0, efficiency=0.9, max_output_a=max_output_a
        )
        lead_in = branch(id="I", to_id="X", loads=())
        net = design(feeder(), lead_in, converter_lead(protection=None), converters=(converter,))
        return severity(net, "protected", "O")

    assert output(10.0) is Severity.PASS
    assert output(100.0) is Severity.STOP


@pytest.mark.parametrize("kind", [SourceKind.ALTERNATOR, SourceKind.CHARGER])
def test_a_charging_lead_is_protected_from_the_battery_at_its_far_end(kind: SourceKind) -> None:
    charging = Source(id="A", label="Charger", kind=kind, nominal_v=12.0, max_output_a=30.0)
    lead = feeder(
        id="L", label="Lead", from_id="A", to_id="house", role=CircuitRole.CHARGING, protection=None
    )
    net = design(feeder(), branch(), lead, sources=(battery(), charging), boards=(board(),))
    assert severity(net, "both-ends", "L") is Severity.STOP
    fused = design(
        feeder(),
        branch(),
        feeder(**vars(lead) | {"protection_at_end": feeder().protection}),
        sources=(battery(), charging),
    )
    assert severity(fused, "both-ends", "L") is Severity.PASS


def test_no_bonding_conductor_is_there_twice() -> None:
    bond = BondingConductor(id="W", label="Tank", size=mm2(6.0))
    with pytest.raises(BadInput, match="the bonding conductor W is there twice"):
        design(earthing=Earthing(bonding=(bond, bond)))
