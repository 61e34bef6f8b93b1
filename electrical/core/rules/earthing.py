"""Rules on polarity, earthing and bonding."""

from collections.abc import Iterator

from electrical.core.conductors import area_mm2
from electrical.core.earthing import BondingConductor, EarthingKind
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.parts import Cable
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule, point_subject
from electrical.core.sizes import ConductorSize, awg, mm2
from electrical.core.status import NO_SOURCE, Clause, SourceStatus
from electrical.core.tables import cfr183_425, iso10133

_ISO_SYSTEM = Clause(source="ISO 10133:2012", clause="4.1", status=SourceStatus.SECOND_HAND)
_BONDING = Clause(source="ABYC E-9", clause="9.21.2.1", status=SourceStatus.SECOND_HAND)
_POLES = Clause(
    source="IMO text on small fishing vessels, instrument to be checked",
    clause="8.2.2, 8.2.3",
    status=SourceStatus.SECOND_HAND,
)
#: No bonding conductor is thinner than this.
LEAST_BONDING = awg("16")

_SYSTEM = Subject(kind=SubjectKind.DESIGN, id="design", label="The system")
_VERDICTS = {
    EarthingKind.NEGATIVE: (Severity.PASS, "has its negative earthed"),
    EarthingKind.INSULATED: (Severity.PASS, "is fully insulated"),
    EarthingKind.POSITIVE: (Severity.STOP, "has its positive earthed; only the negative may be"),
    EarthingKind.RETURN: (
        Severity.STOP,
        "uses hull or body as a return; two wires to each device are asked for",
    ),
}


@design_rule(
    id="earthing", title="Negative earthed, or fully insulated", iso=_ISO_SYSTEM, us=NO_SOURCE
)
def _earthing(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Two wires go to each device, and the negative is earthed or no pole is."""
    earthing = facts.design.earthing
    if earthing is None or earthing.kind is None:
        if facts.design.sources:
            yield rule.cannot_tell(facts, _SYSTEM, ("way its negative is earthed",))
        return
    severity, words = _VERDICTS[earthing.kind]
    yield rule.about(facts, _SYSTEM, severity, f"The system {words}.")


@design_rule(
    id="one-negative", title="Negative earthed at one point", iso=_ISO_SYSTEM, us=NO_SOURCE
)
def _one_negative(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """The negative meets engine, hull or body at one point only, and nowhere when insulated."""
    earthing = facts.design.earthing
    if earthing is None or earthing.kind not in {EarthingKind.NEGATIVE, EarthingKind.INSULATED}:
        return
    if earthing.joints is None:
        yield rule.cannot_tell(facts, _SYSTEM, ("number of places where its negative is earthed",))
        return
    wanted = 1 if earthing.kind is EarthingKind.NEGATIVE else 0
    wrong = earthing.joints != wanted
    yield rule.about(
        facts,
        _SYSTEM,
        Severity.ATTENTION if wrong else Severity.PASS,
        f"The negative meets engine, hull or body at {earthing.joints} "
        f"{'place' if earthing.joints == 1 else 'places'}; {wanted} is right.",
        value=float(earthing.joints),
        limit=float(wanted),
    )


@design_rule(id="double-pole", title="Both poles switched when insulated", iso=_POLES, us=_POLES)
def _double_pole(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Where no pole is earthed, an isolator switches both."""
    earthing = facts.design.earthing
    if earthing is None or earthing.kind is not EarthingKind.INSULATED:
        return
    for battery in facts.tree.batteries():
        isolator = battery.isolator
        if isolator is None:
            continue  # judged by "isolator"
        if isolator.poles is None:
            yield rule.cannot_tell(facts, point_subject(battery), (f"poles of {isolator.label}",))
            continue
        single = isolator.poles < 2
        yield rule.about(
            facts,
            point_subject(battery),
            Severity.ATTENTION if single else Severity.PASS,
            f"{isolator.label} of {battery.label} switches "
            f"{'one pole' if single else 'both poles'} of an insulated system.",
            remedies=(Remedy(kind=RemedyKind.PART, label="Use a double-pole isolator"),)
            if single
            else (),
        )


@design_rule(
    id="isolated-output", title="Negative of an isolated output", iso=NO_SOURCE, us=NO_SOURCE
)
def _isolated_output(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """The negative of an isolated converter is joined to the common negative, or kept off it."""
    for converter in facts.design.converters:
        if not facts.tree.leaving[converter.id]:
            continue
        if converter.isolated is None:
            missing = ("word of its maker whether its output is isolated from its input",)
            yield rule.cannot_tell(facts, point_subject(converter), missing)
            continue
        words = "shares the common negative"
        if converter.isolated:
            words = (
                "has an isolated output: join its negative to the common negative at one point, "
                "or keep it apart and switch both poles"
            )
        yield rule.about(
            facts,
            point_subject(converter),
            Severity.NOTE if converter.isolated else Severity.PASS,
            f"{converter.label} {words}.",
        )


@design_rule(id="bonding", title="Size of bonding conductors", iso=_BONDING, us=_BONDING)
def _bonding(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """At most one size under the conductor that supplies the part, never under 16 AWG."""
    for bond in facts.design.earthing.bonding if facts.design.earthing else ():
        subject = Subject(kind=SubjectKind.PART, id=bond.id, label=bond.label)
        supply = _supply_of(facts, bond)
        if bond.size is None or (bond.circuit_id is not None and supply is None):
            what = "bonding conductor" if bond.size is None else "supply"
            yield rule.cannot_tell(facts, subject, (f"size of its {what}",))
            continue
        least = _least_bonding(supply)
        here, limit = area_mm2(bond.size), area_mm2(least)
        thin = here < limit - 1e-9
        yield rule.about(
            facts,
            subject,
            Severity.ATTENTION if thin else Severity.PASS,
            f"{bond.label} is bonded with {bond.size.label}; {least.label} is the least.",
            value=here,
            limit=limit,
            unit="mm²",
        )


def _supply_of(facts: DesignFacts, bond: BondingConductor) -> Cable | None:
    found = facts.circuits.get(bond.circuit_id or "")
    return found.circuit.cable if found else None


def _least_bonding(supply: Cable | None) -> ConductorSize:
    """One size under the supply's, 16 AWG at least."""
    if supply is None:
        return LEAST_BONDING
    series = [mm2(size) for size in iso10133.TABLE]
    if supply.size.awg is not None:
        series = [awg(gauge) for gauge in cfr183_425.TABLE_5]
    smaller = [size for size in series if area_mm2(size) < area_mm2(supply.size)]
    return max((LEAST_BONDING, *smaller[-1:]), key=area_mm2)


RULES = (_earthing, _one_negative, _double_pole, _isolated_output, _bonding)
