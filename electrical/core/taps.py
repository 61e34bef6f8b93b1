"""Where along a run its loads are connected."""

from dataclasses import dataclass

from electrical.core.design import Circuit
from electrical.core.parts import Load


@dataclass(frozen=True, kw_only=True)
class Taps:
    """Where the loads of a circuit are connected.

    Parameters
    ----------
    shares : tuple of float
        Ascending shares of the length, the last one 1 [-].
    loads : tuple of tuple of Load
        What is connected at each.
    """

    shares: tuple[float, ...]
    loads: tuple[tuple[Load, ...], ...]


def taps_of(circuit: Circuit) -> Taps:
    """Return where the loads of a circuit are connected.

    Parameters
    ----------
    circuit : Circuit
        A load circuit.

    Returns
    -------
    Taps
        A load without a position, or with one beyond the end, is at the far end.
    """
    if all(load.position_m is None for load in circuit.loads):
        return Taps(shares=(1.0,), loads=(circuit.loads,))
    length_m = circuit.route.length_m if circuit.route else 0.0
    at: dict[float, list[Load]] = {1.0: []}
    for load in circuit.loads:
        share = 1.0
        if load.position_m is not None and length_m > 0.0:
            share = min(1.0, load.position_m / length_m)
        at.setdefault(share, []).append(load)
    shares = tuple(sorted(at))
    return Taps(shares=shares, loads=tuple(tuple(at[share]) for share in shares))
