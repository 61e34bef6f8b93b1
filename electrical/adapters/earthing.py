"""How the job's system meets earth, as the core takes it."""

from electrical.core.earthing import BondingConductor, Earthing
from electrical.core.sizes import mm2
from electrical.facts import Facts
from electrical.models import Bond


def earthing_of(facts: Facts) -> Earthing | None:
    stored = facts.earthing
    if stored is None and not facts.bonds:
        return None
    return Earthing(
        kind=stored.kind if stored else None,
        joints=stored.joints if stored else None,
        bonding=tuple(map(_bond, facts.bonds)),
    )


def _bond(bond: Bond) -> BondingConductor:
    return BondingConductor(
        id=str(bond.pk),
        label=bond.name,
        size=None if bond.size_mm2 is None else mm2(float(bond.size_mm2)),
        circuit_id=None if bond.circuit_id is None else str(bond.circuit_id),
        colour=bond.colour,
    )
