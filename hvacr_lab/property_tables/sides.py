"""Which side of the lines: one decision for a plain number, one sweep for each side of an array."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from hvacr_lab.property_checks import ON_THE_LINE_K
from hvacr_lab.property_tables.files import LINE_INTERVALS, TableFile, shipped_table
from hvacr_lab.property_tables.lookup import Lookup, OnePhase, Spot, Wet
from hvacr_lab.property_tables.splines import ARRAYS, PLAIN, Numbers, place, read_line

_MARGIN = {"temperature": ON_THE_LINE_K, "enthalpy": 0.0, "entropy": 0.0}


def plain_lookup(name: str) -> PlainLookup:
    """Look-up of plain numbers in the shipped table of a refrigerant.

    Parameters
    ----------
    name : str, in the form "R-134a"

    Returns
    -------
    PlainLookup

    Source
    ------
    Shipped table.

    Examples
    --------
    >>> round(plain_lookup("R-134a").line_pressure("dew", 273.15))
    292803
    """
    return PlainLookup(shipped_table(name))


class PlainLookup(Lookup):
    """For one plain number at a time."""

    def __init__(self, table: TableFile) -> None:
        super().__init__(table, PLAIN)

    def widest(self, quantity: str) -> tuple[float, float]:
        """Smallest and largest enthalpy or entropy at any pressure of the table.

        Parameters
        ----------
        quantity : "enthalpy" or "entropy"

        Returns
        -------
        (smallest, largest) [J/kg or J/(kg K)]

        Source
        ------
        Ends of the shipped table.

        Examples
        --------
        >>> [round(end) for end in plain_lookup("R-134a").widest("enthalpy")]
        [99162, 577707]
        """
        nodes = (place(position, LINE_INTERVALS, PLAIN) for position in range(LINE_INTERVALS + 1))
        ends = [self.ends((*node, *node), quantity) for node in nodes]
        return min(low for low, _ in ends), max(high for _, high in ends)

    def _by_side(self, spot: Spot, value: Numbers, side: str, one_phase: OnePhase, wet: Wet, quantity: str) -> Numbers:
        cell, weights, _, _ = spot
        margin = _MARGIN[side]
        high = read_line(self.vapour.lines[side], cell, weights)
        if value > high + margin:
            return one_phase(self.vapour, spot, high, value, quantity)
        low = read_line(self.liquid.lines[side], cell, weights)
        if value < low - margin:
            return one_phase(self.liquid, spot, low, value, quantity)
        return wet(spot, low, high, value, quantity)


class ArrayLookup(Lookup):
    """For arrays, each side of the lines in one sweep."""

    def __init__(self, table: TableFile) -> None:
        super().__init__(table, ARRAYS)

    def _by_side(self, spot: Spot, value: Numbers, side: str, one_phase: OnePhase, wet: Wet, quantity: str) -> Numbers:
        low, high = self.on_lines(spot, side)
        is_vapour, is_liquid = value > high + _MARGIN[side], value < low - _MARGIN[side]
        found = np.empty(value.shape)
        for part, line, mask in ((self.vapour, high, is_vapour), (self.liquid, low, is_liquid)):
            if mask.any():
                found[mask] = one_phase(part, _some(spot, mask), line[mask], value[mask], quantity)
        mask = ~(is_vapour | is_liquid)
        if mask.any():
            found[mask] = wet(_some(spot, mask), low[mask], high[mask], value[mask], quantity)
        return found


def _some(spot: Spot, mask: NDArray[np.bool_]) -> Spot:
    cell, weights, row, across = spot
    w0, w1, w2, w3 = (weight[mask] for weight in weights)
    a0, a1, a2, a3 = (weight[mask] for weight in across)
    return cell[mask], (w0, w1, w2, w3), row[mask], (a0, a1, a2, a3)
