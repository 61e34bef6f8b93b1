"""Conductor sizes, metric and gauge."""

from dataclasses import dataclass

from electrical.core.errors import BadInput


@dataclass(frozen=True, kw_only=True)
class ConductorSize:
    """A conductor size: either metric or gauge, never both.

    Parameters
    ----------
    mm2 : float or None
        Nominal cross-section [mm²].
    awg : str or None
        Gauge: ``"18"`` … ``"1"``, ``"1/0"`` … ``"4/0"``.
    """

    mm2: float | None = None
    awg: str | None = None

    def __post_init__(self) -> None:
        if (self.mm2 is None) == (self.awg is None):
            raise BadInput("Conductor size: give mm² or a gauge, one of the two.")
        if self.mm2 is not None and not 0.0 < self.mm2 < float("inf"):
            raise BadInput(f"Conductor size: {self.mm2:g} mm² must be above 0 mm².")

    @property
    def label(self) -> str:
        """The size as people write it: ``"2.5 mm²"`` or ``"10 AWG"``."""
        return f"{self.mm2:g} mm²" if self.mm2 is not None else f"{self.awg} AWG"


def mm2(size: float) -> ConductorSize:
    """Return a metric size.

    Parameters
    ----------
    size : float
        Nominal cross-section [mm²].

    Returns
    -------
    ConductorSize
        The size.
    """
    return ConductorSize(mm2=float(size))


def awg(gauge: str | int) -> ConductorSize:
    """Return a gauge size.

    Parameters
    ----------
    gauge : str or int
        Gauge, e.g. ``10`` or ``"2/0"``.

    Returns
    -------
    ConductorSize
        The size.
    """
    return ConductorSize(awg=str(gauge))
