"""Operating states as a page shows them: what was solved, and the start through the link."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from catalogue.models import SwitchData
from electrical.adapters.design import EMERGENCY_START, starts_through
from electrical.adapters.links import leads_of
from electrical.check import Checked
from electrical.core.design import Design, OperatingState, ParallelLink
from electrical.core.findings import Finding
from electrical.core.results import DesignResult, StateResult
from electrical.core.rules import links
from electrical.facts import Facts, is_parallel_switch, record_of
from electrical.labels import labels_together
from electrical.listing import NBSP
from electrical.models import Circuit, Device
from fitout.kit.money import quantity_text

LINK_RULES = frozenset(rule.id for rule in links.RULES)


def is_about_link(finding: Finding) -> bool:
    return finding.rule_id in LINK_RULES


@dataclass(frozen=True)
class StateRow:
    label: str
    solved: bool
    message: str
    lowest: str
    """Voltage of the board or busbar that has least, and which it is."""
    starting: str
    """Voltage at each engine that is started."""


@dataclass(frozen=True)
class LeadRow:
    circuit: Circuit
    origin: Device
    origin_v: float | None
    current_a: float
    ampacity_a: float | None


@dataclass(frozen=True)
class Start:
    """One engine start through one emergency switch."""

    switch: Device
    through_a: float
    starting_a: float | None
    leads: tuple[LeadRow, ...]


@dataclass(frozen=True)
class StatesPage:
    checked: Checked

    @property
    def facts(self) -> Facts:
        return self.checked.facts

    @cached_property
    def rows(self) -> tuple[StateRow, ...]:
        design, result = self.checked.design, self.checked.result
        if design is None or result is None:
            return ()
        return tuple(self._row(design, state, result.states[state.id]) for state in design.states)

    def _row(self, design: Design, state: OperatingState, found: StateResult) -> StateRow:
        boards = [(found.point_v[b.id], b.id) for b in design.boards if b.id in found.point_v]
        lowest_v, where = min(boards, default=(None, ""))
        on = {
            load.id: self._named(load.id)
            for circuit in design.circuits
            for load in circuit.loads
            if load.id in found.starting_v and load.current_in(state.loads_id)
        }
        return StateRow(
            label=state.label.capitalize(),
            solved=found.solved,
            message=found.message,
            lowest="" if lowest_v is None else f"{lowest_v:.2f}{NBSP}V at {self._named(where)}",
            starting=", ".join(f"{found.starting_v[i]:.2f}{NBSP}V at {on[i]}" for i in on),
        )

    def _named(self, device_id: str) -> str:
        device = self.facts.device_by_id[int(device_id)]
        return f"{device.label} {device.short_name}"

    @cached_property
    def starts(self) -> tuple[Start, ...]:
        design, result = self.checked.design, self.checked.result
        found = result.states.get(EMERGENCY_START.id) if result else None
        if design is None or result is None or found is None or not found.solved:
            return ()
        return tuple(
            self._start(link, found.link_a[link.id], result)
            for link in design.links
            if link.id in found.link_a
        )

    def _start(self, link: ParallelLink, through_a: float, result: DesignResult) -> Start:
        switch, found = self.facts.device_by_id[int(link.id)], result.states[EMERGENCY_START.id]
        return Start(
            switch=switch,
            through_a=abs(through_a),
            starting_a=link.starting_a,
            leads=tuple(
                LeadRow(
                    circuit=lead,
                    origin=self.facts.origin_of(lead),
                    origin_v=found.point_v.get(str(lead.origin_id)),
                    current_a=found.circuit_a.get(str(lead.pk), 0.0),
                    ampacity_a=self._ampacity_a(lead),
                )
                for lead in leads_of(self.facts, switch)
            ),
        )

    def _ampacity_a(self, lead: Circuit) -> float | None:
        result = self.checked.result_of(lead)
        return result.ampacity.deciding.corrected_a if result and result.ampacity else None

    @cached_property
    def left_out(self) -> tuple[str, ...]:
        """Why the emergency start, or a switch in it, is not solved; one sentence each."""
        switches = [device for device in self.facts.devices if is_parallel_switch(device)]
        if not switches:
            return ("Left out: no emergency parallel switch is on the build sheet.",)
        return tuple(self._reasons(switches))

    def _reasons(self, switches: list[Device]) -> Iterator[str]:
        design = self.checked.design
        joins = {link.id: link for link in design.links} if design else {}
        starts = (
            {link.id for link in starts_through(design.circuits, design.links)} if design else ()
        )
        for switch in switches:
            if str(switch.pk) not in starts:
                why = self._reason(switch, joins.get(str(switch.pk)))
                yield f"{switch.label} is left out: {why}"

    def _reason(self, switch: Device, link: ParallelLink | None) -> str:
        record = record_of(switch)
        carries = "what the switch may carry"
        if isinstance(record, SwitchData):
            carries = f"the {quantity_text(record.continuous_a)}{NBSP}A the switch may carry"
        if link is None:
            return "there are no two batteries of one voltage for it to join."
        if switch.link_is_limited:
            return (
                "its limiter keeps the current small, so no engine is started through it. "
                f"Its leads are chosen for {carries}."
            )
        ends = {lead.origin_id for lead in leads_of(self.facts, switch)}
        if len(ends) < 2:
            has = labels_together(tuple(self.facts.device_by_id[pk] for pk in ends))
            return f"it has a lead from {has or 'no battery'}{' only' if has else ''}. Wire up, or add the circuit."
        battery = self.facts.device_by_id[int(link.first_id)]
        return (
            f"no engine on the build sheet is started from {battery.label}, so nobody knows the "
            f"current of a start. Its leads are chosen for {carries}."
        )
