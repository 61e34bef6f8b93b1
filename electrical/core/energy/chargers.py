"""What an engine's alternator really brings into the house battery."""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.energy.day import require_range

__all__ = ["HOT_PART", "Limit", "ThroughConverter", "through_converter"]

HOT_PART = 0.7
"""Part of its rated current an alternator gives for hours when hot; common practice, no source."""


class Limit(StrEnum):
    """What sets the charging current."""

    ALTERNATOR = "alternator"
    CONVERTER = "DC-DC charger"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThroughConverter:
    """Charging current from an alternator through a DC-DC charger.

    Parameters
    ----------
    current_a : float
        Current into the house battery [A].
    spare_a : float
        Current the alternator can spare for the charger's input [A].
    input_a : float
        Current the charger's input takes [A].
    limit : Limit
        What sets it.
    """

    current_a: float
    spare_a: float
    input_a: float
    limit: Limit


def through_converter(
    *,
    alternator_a: float,
    engine_loads_a: float,
    output_a: float,
    input_v: float,
    output_v: float,
    efficiency: float,
    hot_part: float = HOT_PART,
) -> ThroughConverter:
    """Return the charging current from an alternator through a DC-DC charger.

    Parameters
    ----------
    alternator_a : float
        The alternator's rated current [A], 0 or more.
    engine_loads_a : float
        What the engine itself and the starting battery take of it [A], 0 or more.
    output_a : float
        The charger's rated output [A], 0 or more.
    input_v, output_v : float
        Voltages at its input and output [V], above 0.
    efficiency : float
        Of the charger [-], above 0 to 1.
    hot_part : float
        Part of the rated current given for hours [-], above 0 to 1.

    Returns
    -------
    ThroughConverter
        The current and what limits it.

    Raises
    ------
    BadInput
        If a value is outside its range.

    Notes
    -----
    The charger's input takes ``I_out V_out / (V_in eta)``; the alternator must have
    that to spare.

    Examples
    --------
    60 A alternator, 6 A for the engine, 30 A charger at 14.0 V in and out, 90 %:

    >>> charge = through_converter(alternator_a=60.0, engine_loads_a=6.0, output_a=30.0,
    ...                            input_v=14.0, output_v=14.0, efficiency=0.9)
    >>> round(charge.input_a, 1), charge.limit.value
    (33.3, 'DC-DC charger')
    """
    require_range("Alternator: current", alternator_a, 0.0, 1000.0, "A")
    require_range("Engine: current", engine_loads_a, 0.0, 1000.0, "A")
    require_range("DC-DC charger: output", output_a, 0.0, 1000.0, "A")
    require_range("DC-DC charger: input voltage", input_v, 1.0, 100.0, "V")
    require_range("DC-DC charger: output voltage", output_v, 1.0, 100.0, "V")
    require_range("DC-DC charger: efficiency", efficiency, 0.01, 1.0, "")
    require_range("Alternator: part given hot", hot_part, 0.01, 1.0, "")
    spare_a = max(alternator_a * hot_part - engine_loads_a, 0.0)
    in_per_out = output_v / (input_v * efficiency)
    wanted_a = output_a * in_per_out
    is_alternator = wanted_a > spare_a
    input_a = spare_a if is_alternator else wanted_a
    return ThroughConverter(
        current_a=input_a / in_per_out,
        spare_a=spare_a,
        input_a=input_a,
        limit=Limit.ALTERNATOR if is_alternator else Limit.CONVERTER,
    )
