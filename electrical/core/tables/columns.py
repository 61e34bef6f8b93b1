"""Columns of ampacity tables by the temperature the insulation is rated for."""

from electrical.core.errors import OutOfTable
from electrical.core.status import Clause


def next_lower_column(columns_c: tuple[int, ...], *, insulation_c: int, clause: Clause) -> int:
    """Return the column that counts for an insulation: its own or the next lower one [°C].

    Parameters
    ----------
    columns_c : tuple of int
        Columns of the table [°C], ascending.
    insulation_c : int
        Insulation rating [°C].
    clause : Clause
        The table, for the message.

    Returns
    -------
    int
        Column [°C].

    Raises
    ------
    OutOfTable
        If the rating is below the first column.
    """
    fitting = [column for column in columns_c if column <= insulation_c]
    if not fitting:
        raise OutOfTable(
            table=str(clause),
            asked=f"{insulation_c} °C insulation",
            holds=f"{columns_c[0]} °C and above",
        )
    return fitting[-1]
