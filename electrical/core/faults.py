"""What a battery, a charging source or a converter gives into a dead short."""

from dataclasses import dataclass

from electrical.core.sources import Converter, Source, SourceKind
from electrical.core.status import SourceStatus
from electrical.core.tables.battery_fault import typical_internal_r_ohm

#: Open-circuit voltage of a full battery over its nominal voltage; common practice.
FULL_BATTERY_FACTOR = 1.07
#: Voltage per 12 V block at the cold cranking current, by definition of the rating.
CRANKING_V = 7.2
FULL_BLOCK_V = 12.6


@dataclass(frozen=True, kw_only=True)
class SourceFault:
    """What a source gives into a dead short at its terminals.

    Parameters
    ----------
    emf_v : float
        Open-circuit voltage [V].
    r_ohm : float or None
        Internal resistance [Ω]; None for a current-limited source.
    limit_a : float
        Current of a current-limited source [A].
    assumption : str
        Where it comes from, in words.
    status : SourceStatus
        How sure that is.
    """

    emf_v: float
    r_ohm: float | None
    limit_a: float
    assumption: str
    status: SourceStatus

    @property
    def terminal_a(self) -> float:
        """Current into a dead short at the terminals [A]."""
        return self.limit_a if self.r_ohm is None else self.emf_v / self.r_ohm


def emf_v(source: Source) -> float:
    """Return the open-circuit voltage of a full battery [V].

    Parameters
    ----------
    source : Source
        The battery.

    Returns
    -------
    float
        The stated value, else 1.07 times nominal (common practice, no source) [V].
    """
    return source.emf_v if source.emf_v is not None else FULL_BATTERY_FACTOR * source.nominal_v


def source_fault(source: Source) -> SourceFault | None:
    """Return what a source gives into a short, None when it can not be told.

    Parameters
    ----------
    source : Source
        Battery or charging source.

    Returns
    -------
    SourceFault or None
        From the maker's short-circuit figure, the internal resistance, the starting
        current or a typical resistance, in that order. A management limit is not a
        fault rating and is never used.
    """
    volts = emf_v(source)
    if source.kind is not SourceKind.BATTERY:
        return _limited(source, volts)
    if source.short_circuit_a is not None:
        r_ohm = volts / source.short_circuit_a
        return _stiff(
            source, volts, r_ohm, "maker's short-circuit current", SourceStatus.SECOND_HAND
        )
    if source.internal_r_ohm is not None:
        return _stiff(
            source,
            volts,
            source.internal_r_ohm,
            "internal resistance given",
            SourceStatus.SECOND_HAND,
        )
    if source.cca_a is not None:
        r_ohm = (FULL_BLOCK_V - CRANKING_V) * source.nominal_v / 12.0 / source.cca_a
        words = "starting current, which holds at -18 °C; a warm battery gives more"
        return _stiff(source, volts, r_ohm, words, SourceStatus.MEMORY)
    if source.chemistry is not None and source.capacity_ah is not None:
        typical = typical_internal_r_ohm(
            chemistry=source.chemistry,
            capacity_ah=source.capacity_ah,
            nominal_v=source.nominal_v,
        )
        if typical is not None:
            words = f"typical resistance of {source.chemistry.value}"
            return _stiff(source, volts, typical, words, SourceStatus.MEMORY)
    return None


def converter_fault(converter: Converter) -> SourceFault | None:
    """Return what the output of a converter gives into a short, None when it can not be told.

    Parameters
    ----------
    converter : Converter
        The converter.

    Returns
    -------
    SourceFault or None
        Its largest output, to which it limits itself.
    """
    if converter.max_output_a is None:
        return None
    return SourceFault(
        emf_v=converter.output_v,
        r_ohm=None,
        limit_a=converter.max_output_a,
        assumption=f"{converter.label}: limits its own output",
        status=SourceStatus.PRACTICE,
    )


def _stiff(
    source: Source, volts: float, r_ohm: float, words: str, status: SourceStatus
) -> SourceFault:
    return SourceFault(
        emf_v=volts,
        r_ohm=r_ohm,
        limit_a=0.0,
        assumption=f"{source.label}: {words}, {r_ohm * 1000:.2g} mΩ",
        status=status,
    )


def _limited(source: Source, volts: float) -> SourceFault | None:
    if source.max_output_a is None:
        return None
    words = "limits itself to" if source.limits_itself else "taken at its rated output of"
    return SourceFault(
        emf_v=volts,
        r_ohm=None,
        limit_a=source.max_output_a,
        assumption=f"{source.label}: {words} {source.max_output_a:g} A",
        status=SourceStatus.PRACTICE,
    )
