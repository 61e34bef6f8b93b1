"""Rule on the colours that tell positive, negative and bonding apart."""

from collections.abc import Iterator

from electrical.core.design import Circuit
from electrical.core.findings import Finding, RuleSet, Severity, Subject, SubjectKind
from electrical.core.rules.registry import DesignFacts, DesignRule, design_rule
from electrical.core.tables import colours

#: So many circuits are named before the rest is counted.
NAMED = 6


@design_rule(
    id="colours", title="Colours of conductors", iso=colours.ISO_CLAUSE, us=colours.US_CLAUSE
)
def _colours(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    """Positive, negative and bonding are told apart by the colours of the code."""
    unknown, right = [], 0
    for circuit in facts.design.circuits:
        cable = circuit.cable
        if cable is None or cable.cores > 1:
            continue  # cores of one sheath are told apart at their ends
        if not cable.colour:
            unknown.append(circuit.label)
            if not cable.negative_colour:
                continue
        faults = tuple(_faults(facts, circuit))
        subject = Subject(kind=SubjectKind.CIRCUIT, id=circuit.id, label=circuit.label)
        for severity, words in faults:
            yield rule.about(facts, subject, severity, f"{circuit.label} has {words}.")
        right += not faults and bool(cable.colour)
    yield from _bonding_colours(rule, facts)
    yield from _together(rule, facts, unknown, right)


def _faults(facts: DesignFacts, circuit: Circuit) -> Iterator[tuple[Severity, str]]:
    cable, design = circuit.cable, facts.design
    positive, negative = (cable.colour, cable.negative_colour) if cable else ("", "")
    printed = colours.named(circuit.function, design.rule_set)
    if colours.is_bonding(positive):
        yield Severity.ATTENTION, f"its positive in {positive}, the colour of bonding"
    elif colours.is_negative(positive) and positive not in printed:
        yield Severity.ATTENTION, f"its positive in {positive}, the colour of the negative"
    elif positive and design.rule_set is RuleSet.US and positive not in {"red", *printed}:
        yield Severity.NOTE, f"its positive in {positive}; the code has {' or '.join(printed)}"
    if negative and not colours.is_negative(negative):
        yield Severity.ATTENTION, f"its negative in {negative}, not in black or yellow"
    elif negative.startswith("black") and design.has_mains:
        yield (
            Severity.NOTE,
            "its negative in black; beside mains, where black is live, yellow is safer",
        )


def _bonding_colours(rule: DesignRule, facts: DesignFacts) -> Iterator[Finding]:
    for bond in facts.design.earthing.bonding if facts.design.earthing else ():
        if bond.colour and not colours.is_bonding(bond.colour):
            subject = Subject(kind=SubjectKind.PART, id=bond.id, label=bond.label)
            words = f"{bond.label} is bonded in {bond.colour}; bonding is green."
            yield rule.about(facts, subject, Severity.ATTENTION, words)


def _together(
    rule: DesignRule, facts: DesignFacts, unknown: list[str], right: int
) -> Iterator[Finding]:
    """What holds for many circuits is said once."""
    subject = Subject(kind=SubjectKind.DESIGN, id="design", label="The system")
    if unknown:
        more = f" and {len(unknown) - NAMED} more" if len(unknown) > NAMED else ""
        yield rule.cannot_tell(facts, subject, (f"colour of {', '.join(unknown[:NAMED])}{more}",))
    if right:
        words = f"{right} circuits have conductors in the colours of the code."
        yield rule.about(facts, subject, Severity.PASS, words)


RULES = (_colours,)
