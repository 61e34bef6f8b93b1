"""What the solve of a network answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from electrical.core.network.model import Converter, Load, Network, Source

__all__ = [
    "ConverterFlow",
    "LoadFlow",
    "NoOperatingPoint",
    "Reason",
    "Solved",
    "SourceFlow",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadFlow:
    """One load in a solved network.

    Parameters
    ----------
    load : Load
        The load.
    voltage_v : float
        Voltage across it [V].
    current_a : float
        Current through it [A].
    power_w : float
        Power it takes [W].
    is_supplied : bool
        False when no source reaches it.
    is_below_minimum : bool or None
        True when the voltage is under its minimum working voltage; None when the
        minimum is not known.
    """

    load: Load
    voltage_v: float
    current_a: float
    power_w: float
    is_supplied: bool
    is_below_minimum: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFlow:
    """One source in a solved network.

    Parameters
    ----------
    source : Source
        The source.
    terminal_v : float
        Voltage at its terminals [V].
    current_a : float
        Current it gives [A]; negative when it is charged.
    power_w : float
        Power it gives at its terminals [W].
    is_at_limit : bool
        True when a current limit holds it.
    """

    source: Source
    terminal_v: float
    current_a: float
    power_w: float
    is_at_limit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ConverterFlow:
    """One converter in a solved network.

    Parameters
    ----------
    converter : Converter
        The converter.
    is_on : bool
        False when switched off, not supplied, or cut off by low input voltage.
    is_cut_off : bool
        True when its input under-voltage cut-off holds it off.
    in_v, in_a, in_w : float
        Voltage, current and power at the input [V], [A], [W].
    out_v, out_a, out_w : float
        The same at the output [V], [A], [W].
    """

    converter: Converter
    is_on: bool
    is_cut_off: bool
    in_v: float
    in_a: float
    in_w: float
    out_v: float
    out_a: float
    out_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The network has a working point.

    Parameters
    ----------
    network : Network
        What was solved.
    node_v : Mapping of str to float
        Voltage of each node that a source reaches [V], from the reference of its
        galvanic part.
    branch_a : Mapping of str to float
        Current of each branch, from its first node to its second [A].
    load_a, source_a : Mapping of str to float
        Current of each load and source [A].
    converter_in_a, converter_out_a : Mapping of str to float
        Input and output current of each converter [A].
    unsupplied_nodes, unsupplied_loads : tuple of str
        What no source reaches.
    cut_off_converters : tuple of str
        Converters held off by their input under-voltage cut-off.
    residual_a : float
        Largest sum of currents at any node, which should be none [A].
    power_residual_w : float
        Power given less power taken and lost, which should be none [W].
    steps : int
        Newton steps of the last solve.
    """

    network: Network
    node_v: Mapping[str, float]
    branch_a: Mapping[str, float]
    load_a: Mapping[str, float]
    source_a: Mapping[str, float]
    converter_in_a: Mapping[str, float]
    converter_out_a: Mapping[str, float]
    unsupplied_nodes: tuple[str, ...]
    unsupplied_loads: tuple[str, ...]
    cut_off_converters: tuple[str, ...]
    residual_a: float
    power_residual_w: float
    steps: int

    def across_v(self, positive: str, negative: str) -> float:
        """Return the voltage between two nodes.

        Parameters
        ----------
        positive, negative : str
            The nodes; one that no source reaches counts as 0 V.

        Returns
        -------
        float
            Voltage [V].
        """
        return self.node_v.get(positive, 0.0) - self.node_v.get(negative, 0.0)

    def load_flow(self, load: Load) -> LoadFlow:
        """Return voltage, current and power of a load.

        Parameters
        ----------
        load : Load
            A load of the network.

        Returns
        -------
        LoadFlow
            Its flow.
        """
        is_supplied = load.load_id not in self.unsupplied_loads
        voltage_v = self.across_v(load.positive, load.negative) if is_supplied else 0.0
        current_a = self.load_a[load.load_id]
        return LoadFlow(
            load=load,
            voltage_v=voltage_v,
            current_a=current_a,
            power_w=voltage_v * current_a,
            is_supplied=is_supplied,
            is_below_minimum=None if load.min_v is None else voltage_v < load.min_v,
        )

    def source_flow(self, source: Source) -> SourceFlow:
        """Return voltage, current and power of a source.

        Parameters
        ----------
        source : Source
            A source of the network.

        Returns
        -------
        SourceFlow
            Its flow.
        """
        terminal_v = self.across_v(source.positive, source.negative)
        current_a = self.source_a[source.source_id]
        wanted_a = (source.emf_v - terminal_v) / source.resistance_ohm
        is_low = source.min_current_a is not None and wanted_a < source.min_current_a
        is_high = source.max_current_a is not None and wanted_a > source.max_current_a
        return SourceFlow(
            source=source,
            terminal_v=terminal_v,
            current_a=current_a,
            power_w=terminal_v * current_a,
            is_at_limit=is_low or is_high,
        )

    def converter_flow(self, converter: Converter) -> ConverterFlow:
        """Return voltages, currents and powers of a converter.

        Parameters
        ----------
        converter : Converter
            A converter of the network.

        Returns
        -------
        ConverterFlow
            Its flow.
        """
        name = converter.converter_id
        in_v = self.across_v(converter.in_positive, converter.in_negative)
        out_v = self.across_v(converter.out_positive, converter.out_negative)
        is_on = name in self.converter_out_a
        in_a, out_a = self.converter_in_a.get(name, 0.0), self.converter_out_a.get(name, 0.0)
        return ConverterFlow(
            converter=converter,
            is_on=is_on,
            is_cut_off=name in self.cut_off_converters,
            in_v=in_v,
            in_a=in_a,
            in_w=in_v * in_a,
            out_v=out_v if is_on else 0.0,
            out_a=out_a,
            out_w=out_v * out_a,
        )

    @property
    def loss_w(self) -> float:
        """Heat in all branches [W]."""
        amps = self.branch_a
        return sum(amps[b.branch_id] ** 2 * b.resistance_ohm for b in self.network.branches)


class Reason(StrEnum):
    """Why there is no working point."""

    NO_SOURCE = "no source"
    COLLAPSE = "voltage collapse"
    NOT_CONVERGED = "not converged"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoOperatingPoint:
    """The loads ask for more than the network can carry.

    Parameters
    ----------
    network : Network
        What was tried.
    reason : Reason
        Why.
    message : str
        One sentence that names the part that gives way.
    load_fraction : float
        Part of the constant-power and constant-current loads that can just be
        carried [-], 0 to 1.
    load_id : str or None
        The load, or converter input, whose voltage falls furthest.
    branch_id : str or None
        The branch on the way to it that loses most.
    node_v : Mapping of str to float
        Voltages just before the collapse [V].
    """

    network: Network
    reason: Reason
    message: str
    load_fraction: float
    load_id: str | None
    branch_id: str | None
    node_v: Mapping[str, float]
