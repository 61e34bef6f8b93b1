"""What a data backbone is made of: cable, tees, devices on drops, supplies, terminators."""

from dataclasses import dataclass

from electrical.core.errors import BadInput, require_not_negative, require_positive
from electrical.core.tables.data_backbone import GRADES, LOAD_UNIT_A, Grade

__all__ = ["Backbone", "DataCable", "DataDevice", "DataSupply", "Segment"]


@dataclass(frozen=True, kw_only=True)
class DataCable:
    """Cable of the backbone or of a drop.

    Parameters
    ----------
    grade : Grade
        Light, mid or heavy.
    ohm_per_100m : float or None
        The maker's resistance of one power conductor [ohm per 100 m]; None takes
        the grade's typical value.

    Raises
    ------
    BadInput
        If the resistance can not be true for such a cable: one printed guide is
        ten times too low, which would hide nine tenths of the drop.
    """

    grade: Grade
    ohm_per_100m: float | None = None

    def __post_init__(self) -> None:
        if self.ohm_per_100m is None:
            return
        require_positive("Data cable: resistance", self.ohm_per_100m, "Ω per 100 m")
        least = GRADES[self.grade].least_ohm_per_100m
        if self.ohm_per_100m < least:
            raise BadInput(
                f"Data cable: {self.ohm_per_100m:g} Ω per 100 m is impossible for {self.grade} "
                f"cable ({GRADES[self.grade].power_gauge} AWG copper); {least:g} Ω at least.",
                quantity="resistance",
            )

    @property
    def resistance_ohm_per_m(self) -> float:
        """Resistance of one power conductor [ohm/m]."""
        per_100m = self.ohm_per_100m
        return (GRADES[self.grade].ohm_per_100m if per_100m is None else per_100m) / 100.0


@dataclass(frozen=True, kw_only=True)
class Segment:
    """Backbone cable between two points (tees or ends).

    Parameters
    ----------
    segment_id : str
        Name.
    from_point, to_point : str
        The points it joins.
    length_m : float
        Length [m], 0 or more; 0 where tees are joined directly.
    cable : DataCable
        What it is made of.
    """

    segment_id: str
    from_point: str
    to_point: str
    length_m: float
    cable: DataCable

    def __post_init__(self) -> None:
        require_not_negative(f"{self.segment_id}: length", self.length_m, "m")
        if self.from_point == self.to_point:
            raise BadInput(f"{self.segment_id}: both ends are at {self.from_point}.")


@dataclass(frozen=True, kw_only=True)
class DataDevice:
    """A device on a drop.

    Parameters
    ----------
    device_id, label : str
        Identifier and name.
    point : str
        The tee its drop hangs on.
    drop_length_m : float
        Length of its drop [m], 0 or more.
    cable : DataCable
        Cable of the drop.
    load_units : int or None
        Current from the backbone in units of 50 mA, 0 or more; 0 for a device with
        its own supply; None when not known.
    """

    device_id: str
    label: str
    point: str
    drop_length_m: float
    cable: DataCable
    load_units: int | None

    def __post_init__(self) -> None:
        require_not_negative(f"{self.label}: drop length", self.drop_length_m, "m")
        if self.load_units is not None:
            require_not_negative(f"{self.label}: load units", self.load_units, "")

    @property
    def current_a(self) -> float:
        """Current from the backbone [A]; 0 when not known."""
        return (self.load_units or 0) * LOAD_UNIT_A


@dataclass(frozen=True, kw_only=True)
class DataSupply:
    """Where power enters.

    Parameters
    ----------
    supply_id : str
        Name.
    point : str
        The tee it feeds.
    voltage_v : float or None
        Voltage at the far end of its lead [V], above 0; None when not known.
    """

    supply_id: str
    point: str
    voltage_v: float | None

    def __post_init__(self) -> None:
        if self.voltage_v is not None:
            require_positive(f"{self.supply_id}: voltage", self.voltage_v, "V")


@dataclass(frozen=True, kw_only=True)
class Backbone:
    """One data backbone.

    Parameters
    ----------
    label : str
        Its name.
    segments : tuple of Segment
        Its cable.
    devices : tuple of DataDevice
        What hangs on it.
    supplies : tuple of DataSupply
        Where power enters.
    terminator_points : tuple of str
        Where terminators sit, one entry each.
    shield_grounds : int or None
        Points where the shield is grounded; None when not known.
    """

    label: str
    segments: tuple[Segment, ...]
    devices: tuple[DataDevice, ...] = ()
    supplies: tuple[DataSupply, ...] = ()
    terminator_points: tuple[str, ...] = ()
    shield_grounds: int | None = None

    def __post_init__(self) -> None:
        points = self.points
        for device in self.devices:
            if device.point not in points:
                raise BadInput(f"{device.label}: {device.point} is not on the backbone.")
        for supply in self.supplies:
            if supply.point not in points:
                raise BadInput(f"{supply.supply_id}: {supply.point} is not on the backbone.")
        for point in self.terminator_points:
            if point not in points:
                raise BadInput(f"Terminator: {point} is not on the backbone.")

    @property
    def points(self) -> frozenset[str]:
        """Names of its tees and ends."""
        return frozenset(
            point for segment in self.segments for point in (segment.from_point, segment.to_point)
        )
