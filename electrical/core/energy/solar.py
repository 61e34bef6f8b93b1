"""Solar panels: power in an hour, regulator limits, string voltage in the cold."""

from dataclasses import dataclass
from enum import StrEnum

from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.day import require_range
from electrical.core.errors import BadInput
from electrical.core.status import SourceStatus
from electrical.core.tables import voc_cold
from electrical.core.tables.constants import CHARGING_OVER_NOMINAL

__all__ = [
    "CHARGING_OVER_NOMINAL",
    "ColdString",
    "Panels",
    "Regulator",
    "RegulatorKind",
    "cold_string",
    "panel_w",
]

STANDARD_C = 25.0
_NOMINAL_LIGHT_KW_M2 = 0.8
_NOMINAL_AIR_C = 20.0
_VOLTAGE_PER_C = (-0.01, -0.0005)
"""What a panel can have [1/K]; nearer to nought is a slip of the pen that hides the cold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panels:
    """Panels on one regulator, all alike and facing one way.

    Parameters
    ----------
    label : str
        What the user calls them.
    peak_w : float
        Rated power of one panel [W], above 0.
    count : int
        How many, 1 or more.
    in_series : int
        How many in each string, 1 or more, dividing `count`.
    tilt_deg : float
        Slope [deg], 0 flat to 90.
    azimuth_deg : float or None
        Direction they face, from north over east [deg]; None for a vessel that
        swings through all headings.
    power_coefficient_per_c : float
        Change of power with cell temperature [1/K], -0.01 to 0; -0.004 is common
        practice for silicon, no source.
    cell_nominal_c : float
        Cell temperature in 800 W/m2 and 20 deg C air [deg C]; 45 is common.
    kept : float
        Part of the power left after dirt, shade and wiring [-], above 0 to 1; 0.85
        is common practice, no source.
    open_circuit_v : float or None
        Open-circuit voltage of one panel [V]; None when not known.
    max_power_v : float or None
        Voltage at rated power of one panel [V]; None when not known.
    voltage_coefficient_per_c : float or None
        Change of open-circuit voltage with temperature [1/K], -0.01 to -0.0005; None
        takes the printed table of cold factors.

    Raises
    ------
    BadInput
        If a value is impossible.
    """

    label: str
    peak_w: float
    count: int = 1
    in_series: int = 1
    tilt_deg: float = 0.0
    azimuth_deg: float | None = None
    power_coefficient_per_c: float = -0.004
    cell_nominal_c: float = 45.0
    kept: float = 0.85
    open_circuit_v: float | None = None
    max_power_v: float | None = None
    voltage_coefficient_per_c: float | None = None

    def __post_init__(self) -> None:
        name = self.label
        require_range(f"{name}: panel power", self.peak_w, 0.1, 2000.0, "W")
        require_range(f"{name}: number of panels", self.count, 1, 1000, "")
        require_range(f"{name}: panels in series", self.in_series, 1, self.count, "")
        require_range(f"{name}: tilt", self.tilt_deg, 0.0, 90.0, "deg")
        require_range(f"{name}: power coefficient", self.power_coefficient_per_c, -0.01, 0.0, "")
        require_range(f"{name}: nominal cell temperature", self.cell_nominal_c, 30.0, 70.0, "°C")
        require_range(f"{name}: part kept", self.kept, 0.01, 1.0, "")
        if self.count % self.in_series:
            raise BadInput(
                f"{name}: {self.count} panels can not make strings of {self.in_series}.",
                quantity="panels in series",
            )
        for field, value in (
            ("open-circuit voltage", self.open_circuit_v),
            ("voltage at rated power", self.max_power_v),
        ):
            if value is not None:
                require_range(f"{name}: {field}", value, 0.5, 200.0, "V")
        if self.voltage_coefficient_per_c is not None:
            per_c = self.voltage_coefficient_per_c
            low, high = _VOLTAGE_PER_C
            if not low <= per_c <= high:
                raise BadInput(
                    f"{name}: voltage coefficient: {100 * per_c:g} %/°C is outside "
                    f"{100 * low:g} to {100 * high:g} %/°C.",
                    quantity="voltage coefficient",
                )

    @property
    def total_w(self) -> float:
        """Rated power of all of them [W]."""
        return self.peak_w * self.count

    def require_voltage_over(self, battery_v: float) -> None:
        """Refuse strings whose voltage at rated power is below the battery's.

        Parameters
        ----------
        battery_v : float
            Battery voltage while charging [V], above 0.

        Raises
        ------
        BadInput
            Naming both voltages: no current flows uphill.  Without the voltage at rated
            power nothing is refused.

        Notes
        -----
        ``V_mp n < V_battery``.  Regulators that raise the voltage are not covered.
        """
        if self.max_power_v is not None and self.max_power_v * self.in_series < battery_v:
            raise BadInput(
                f"{self.label}: a string gives {self.max_power_v * self.in_series:g} V at rated "
                f"power, less than the {battery_v:.1f} V at which the battery is charged; put "
                "more panels in series.",
                quantity="panels in series",
            )


class RegulatorKind(StrEnum):
    """How a regulator matches panel and battery."""

    TRACKING = "power point tracking"
    SWITCHED = "switched"


@dataclass(frozen=True, slots=True, kw_only=True)
class Regulator:
    """A solar regulator.

    Parameters
    ----------
    label : str
        What the user calls it.
    kind : RegulatorKind
        Tracking passes on power; switched passes on current.
    max_output_a : float
        Output current limit [A], above 0.
    max_input_v : float or None
        Largest input voltage [V]; None when not known.
    efficiency : float
        Of a tracking one [-], above 0 to 1; 0.95 is common practice, no source.
    """

    label: str
    kind: RegulatorKind = RegulatorKind.TRACKING
    max_output_a: float = 30.0
    max_input_v: float | None = None
    efficiency: float = 0.95

    def __post_init__(self) -> None:
        require_range(f"{self.label}: output limit", self.max_output_a, 0.1, 1000.0, "A")
        require_range(f"{self.label}: efficiency", self.efficiency, 0.01, 1.0, "")
        if self.max_input_v is not None:
            require_range(f"{self.label}: input limit", self.max_input_v, 1.0, 1000.0, "V")

    def amps_per_watt(self, panels: Panels, battery_v: float) -> float:
        """Return the battery current per watt of panel.

        Parameters
        ----------
        panels : Panels
            What is connected.
        battery_v : float
            Battery voltage while charging [V], above 0.

        Returns
        -------
        float
            Current [A/W], before the output limit.

        Raises
        ------
        BadInput
            If a switched regulator's panel voltage is not known, or the string's voltage
            at rated power is below the battery's, see :meth:`Panels.require_voltage_over`.

        Notes
        -----
        Tracking: efficiency over battery voltage.  Switched: the panel's own current,
        so one over the string's voltage at rated power.  Regulators that raise the
        voltage are not covered.
        """
        panels.require_voltage_over(battery_v)
        if self.kind is RegulatorKind.TRACKING:
            return self.efficiency / battery_v
        if panels.max_power_v is None:
            raise BadInput(
                f"{panels.label}: the voltage at rated power is needed with a switched regulator.",
                quantity="voltage at rated power",
            )
        return 1.0 / (panels.max_power_v * panels.in_series)


def panel_w(panels: Panels, *, light_kw_m2: float, air_c: float) -> float:
    """Return the power of the panels in steady light.

    Parameters
    ----------
    panels : Panels
        The panels.
    light_kw_m2 : float
        Irradiance on them [kW/m2], 0 or more.
    air_c : float
        Air temperature [deg C].

    Returns
    -------
    float
        Power before the regulator [W].

    Notes
    -----
    ``P = P0 kept G (1 + c (T - 25))`` with the cell at
    ``T = air + G (T_nominal - 20) / 0.8``.

    Examples
    --------
    100 W in full light at 25 deg C air: the cell is at 56 deg C.

    >>> round(panel_w(Panels(label="p", peak_w=100.0, kept=1.0), light_kw_m2=1.0, air_c=25.0), 1)
    87.5
    """
    linear, square = power_factors(panels, air_c)
    return max(light_kw_m2 * (linear + square * light_kw_m2), 0.0)


def power_factors(panels: Panels, air_c: float) -> tuple[float, float]:
    """Return the two factors of ``P = G (linear + square G)``.

    Parameters
    ----------
    panels : Panels
        The panels.
    air_c : float
        Air temperature [deg C].

    Returns
    -------
    tuple of float
        Watts per kW/m2, and per its square.

    Notes
    -----
    :func:`panel_w` written out in powers of the light ``G``.
    """
    scale = panels.total_w * panels.kept
    warming = (panels.cell_nominal_c - _NOMINAL_AIR_C) / _NOMINAL_LIGHT_KW_M2
    per_c = panels.power_coefficient_per_c
    return scale * (1.0 + per_c * (air_c - STANDARD_C)), scale * per_c * warming


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdString:
    """Open-circuit voltage of a string at the lowest temperature.

    Parameters
    ----------
    string_v : float
        Voltage [V].
    factor : Sourced
        Factor on the rated voltage [-] with its source.
    max_input_v : float or None
        The regulator's limit [V].
    is_within : bool or None
        True when the regulator stands it; None when its limit is not known.
    """

    string_v: float
    factor: Sourced
    max_input_v: float | None
    is_within: bool | None


def cold_string(panels: Panels, regulator: Regulator, *, lowest_c: float) -> ColdString | None:
    """Compare a string's voltage on the coldest morning with its regulator.

    Parameters
    ----------
    panels : Panels
        The panels.
    regulator : Regulator
        What they feed.
    lowest_c : float
        Lowest temperature on record [deg C], -40 to 24.

    Returns
    -------
    ColdString or None
        The comparison; None when the open-circuit voltage is not known.

    Raises
    ------
    OutOfTable
        If the maker's coefficient is not known and the temperature is outside the
        printed table.

    Notes
    -----
    ``V = V_oc n (1 + c (T - 25))`` with the maker's coefficient, else ``V_oc n`` times
    the printed factor.
    """
    if panels.open_circuit_v is None:
        return None
    if panels.voltage_coefficient_per_c is not None:
        factor = Sourced(
            1.0 + panels.voltage_coefficient_per_c * (lowest_c - STANDARD_C),
            SourceStatus.SECOND_HAND,
            "as entered for these panels",
        )
    else:
        clause = voc_cold.CLAUSE
        factor = Sourced(voc_cold.cold_factor(lowest_c), clause.status, str(clause))
    string_v = panels.open_circuit_v * panels.in_series * factor.value
    limit_v = regulator.max_input_v
    return ColdString(
        string_v=string_v,
        factor=factor,
        max_input_v=limit_v,
        is_within=None if limit_v is None else string_v <= limit_v,
    )
