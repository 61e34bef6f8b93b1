"""What the network calls the points, circuits and loads of a design."""

from electrical.core.design import Circuit, ParallelLink
from electrical.core.taps import taps_of


def plus(point_id: str) -> str:
    """Return the name of the positive node of a point.

    Parameters
    ----------
    point_id : str
        Source, board or converter.

    Returns
    -------
    str
        Node name.
    """
    return f"{point_id} +"


def minus(point_id: str) -> str:
    """Return the name of the negative node of a point.

    Parameters
    ----------
    point_id : str
        Source, board or converter.

    Returns
    -------
    str
        Node name.
    """
    return f"{point_id} -"


def tap(circuit: Circuit, number: int) -> str:
    """Return the point name of a connection along a load circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    number : int
        Which connection, counted from the start; the last is the far end.

    Returns
    -------
    str
        Point name, for :func:`plus` and :func:`minus`.
    """
    return f"circuit {circuit.id} tap {number}"


def load_id(circuit: Circuit, part_id: str) -> str:
    """Return the name of a load in the network.

    Parameters
    ----------
    circuit : Circuit
        The circuit that feeds it.
    part_id : str
        Load, or converter, at its end.

    Returns
    -------
    str
        Load name.
    """
    return f"{circuit.id} {part_id}"


def first_branch_id(circuit: Circuit) -> str:
    """Return the name of the positive conductor at the start of a circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.

    Returns
    -------
    str
        Branch name.
    """
    return f"{circuit.id} +" if circuit.to_id is not None else f"{circuit.id} part 0 +"


def branch_ids(circuit: Circuit) -> tuple[str, ...]:
    """Return the names of a circuit's branches, the positive at its start first.

    Parameters
    ----------
    circuit : Circuit
        The circuit.

    Returns
    -------
    tuple of str
        Branch names: one pair, or one pair for each stretch between taps.
    """
    parts = [circuit.id]
    if circuit.to_id is None:
        parts = [f"{circuit.id} part {n}" for n in range(len(taps_of(circuit).shares))]
    return tuple(f"{part} {pole}" for part in parts for pole in "+-")


def link_end(link: ParallelLink, circuit: Circuit) -> str:
    """Return the point name of the side of an emergency link at which a lead ends.

    Parameters
    ----------
    link : ParallelLink
        The link.
    circuit : Circuit
        One of its leads.

    Returns
    -------
    str
        Point name, for :func:`plus` and :func:`minus`.
    """
    return link.id if circuit.from_id == link.first_id else f"{link.id} other side"


def contact_id(link: ParallelLink) -> str:
    """Return the name of the contact of an emergency link, from the helping side.

    Parameters
    ----------
    link : ParallelLink
        The link.

    Returns
    -------
    str
        Branch name.
    """
    return f"{link.id} contact"


def converter_input(converter_id: str) -> str:
    """Return the point name of a converter's input.

    Parameters
    ----------
    converter_id : str
        The converter; its own name stands for its output.

    Returns
    -------
    str
        Point name, for :func:`plus` and :func:`minus`.
    """
    return f"{converter_id} input"
