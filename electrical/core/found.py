"""What a search for the best choice of a whole vessel found."""

from dataclasses import dataclass

from electrical.core.choices import Proposal
from electrical.core.design import Design


@dataclass(frozen=True, kw_only=True)
class Found:
    """What the search found.

    Parameters
    ----------
    design : Design
        With every complete proposal carried out.
    proposals : tuple of Proposal
        One per circuit asked for, with what decided it.
    cost : float
        Of all cables and devices chosen [currency].
    mass_kg : float
        Of all cables and devices chosen [kg].
    given_up : int
        Findings of rules that are only wished for which end with "attention".
    is_exact : bool
        No choice that holds every rule, every neighbour in a cableway counted as loaded
        that may be, gives up less, and none that gives up as little is cheaper.
    why_not_exact : str
        In one sentence; empty when it is.
    least_cost : float or None
        No choice that holds, neighbours so counted, and gives up as little costs less
        [currency]; None when that is not known.
    one_by_one_cost : float or None
        What choosing one circuit at a time costs [currency]; None when that finds
        nothing for some circuit, or what it finds does not hold once all is laid.
    one_by_one_given_up : int or None
        What choosing one circuit at a time gives up, known when its cost is.
    plans_tried : int
        Plans checked against every rule.
    """

    design: Design
    proposals: tuple[Proposal, ...]
    cost: float
    mass_kg: float
    given_up: int
    is_exact: bool
    why_not_exact: str
    least_cost: float | None
    one_by_one_cost: float | None
    one_by_one_given_up: int | None
    plans_tried: int

    @property
    def saving(self) -> float | None:
        """What searching together saves against one at a time [currency]."""
        return None if self.one_by_one_cost is None else self.one_by_one_cost - self.cost
