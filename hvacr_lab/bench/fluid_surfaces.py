"""The splines of the property tables as one polynomial for each cell: the arithmetic under `fluid`.

The tables hold weights of B-spline bumps (`hvacr_lab.property_tables.splines`). Solvers read the same few cells
thousands of times, so the bumps of a cell are turned once into powers of the place within the cell.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from hvacr_lab.property_tables.files import TableFile

Polynomial = tuple[float, float, float, float]
Patch = tuple[tuple[float, ...], ...]
# for each quantity the sixteen factors of its polynomial in one cell of a surface

_ROUNDS = 12
_CLOSE = 1e-6
# Newton's method: a step so small leaves an error of its square
_BUMPS = np.array([[1.0, 4.0, 1.0, 0.0], [-3.0, 0.0, 3.0, 0.0], [3.0, -6.0, 3.0, 0.0], [-1.0, 3.0, -3.0, 1.0]]) / 6.0
# uniform cubic B-spline: coefficients of four neighbours -> powers of the fraction of the cell


class Lines(NamedTuple):
    """Bubble and dew line at a pressure, and the place of that pressure in the tables.

    A named tuple, not a dataclass: several are made in each evaluation of a residual.
    """

    pressure_pa: float
    bubble_k: float
    dew_k: float
    bubble_j_per_kg: float
    dew_j_per_kg: float
    latent_j_per_kg: float
    bubble_m3_per_kg: float
    dew_m3_per_kg: float
    bubble_j_per_kg_k: float
    dew_j_per_kg_k: float
    liquid_span: float
    vapour_span: float
    cell: int
    part_of_cell: float
    row: int
    part_of_row: float


class Surfaces:
    """Surfaces of one side, as polynomials that are worked out when a cell is first read."""

    def __init__(self, table: TableFile, part: str, names: tuple[str, ...], intervals: int) -> None:
        self.intervals = intervals
        self._last = intervals - 1
        self._coefficients = [np.asarray(table.arrays[f"{part}_{name}_surface"], dtype=np.float64) for name in names]
        self._patches: dict[int, Patch] = {}

    def patch(self, row: int, column: int) -> Patch:
        """Polynomials of a cell.

        Parameters
        ----------
        row, column : int

        Returns
        -------
        tuple of sixteen factors for each quantity, powers along the row outside, powers of the row inside
        """
        key = row * self.intervals + column
        found = self._patches.get(key)
        if found is None:
            found = self._patches[key] = tuple(
                tuple((_BUMPS @ block[row : row + 4, column : column + 4] @ _BUMPS.T).T.ravel().tolist())
                for block in self._coefficients
            )
        return found

    def along(self, lines: Lines, distance: float) -> tuple[Patch, float]:
        """Cell at a distance from the line (0 ... 1), and the fraction of that cell.

        Parameters
        ----------
        lines : Lines
        distance : float

        Returns
        -------
        (patch, fraction)
        """
        position = distance * self.intervals
        column = int(position) if position > 0.0 else 0
        if column > self._last:
            column = self._last
        return self.patch(lines.row, column), position - column

    def solve(self, lines: Lines, quantity: int, distance: float, target: float, straight: float) -> float:
        """Distance at which straight * distance + departure reaches the target, by Newton's method.

        Parameters
        ----------
        lines : Lines
        quantity : int, place of the quantity in the patches
        distance : float, where to start
        target, straight : float

        Returns
        -------
        float, kept between 0 and 1
        """
        column, intervals, t = -1, self.intervals, lines.part_of_row
        for _ in range(_ROUNDS):
            position = distance * intervals
            here = min(int(position), self._last)
            if here != column:
                column = here
                c0, c1, c2, c3 = _across(self.patch(lines.row, column)[quantity], t)
            u = position - column
            miss = straight * distance + c0 + u * (c1 + u * (c2 + u * c3)) - target
            slope = straight + (c1 + u * (2.0 * c2 + 3.0 * u * c3)) * intervals
            if slope == 0.0:
                break
            step = miss / slope
            distance = min(max(distance - step, 0.0), 1.0)
            if -_CLOSE < step < _CLOSE:
                break
        return distance


def read(factors: tuple[float, ...], t: float, u: float) -> float:
    """Value of one quantity in a cell.

    Parameters
    ----------
    factors : sixteen factors from a patch
    t, u : float, fraction of the row and of the column

    Returns
    -------
    float
    """
    a0, a1, a2, a3, b0, b1, b2, b3, c0, c1, c2, c3, d0, d1, d2, d3 = factors
    return (
        a0
        + t * (a1 + t * (a2 + t * a3))
        + u
        * (
            b0
            + t * (b1 + t * (b2 + t * b3))
            + u * (c0 + t * (c1 + t * (c2 + t * c3)) + u * (d0 + t * (d1 + t * (d2 + t * d3))))
        )
    )


def _across(factors: tuple[float, ...], t: float) -> Polynomial:
    a0, a1, a2, a3, b0, b1, b2, b3, c0, c1, c2, c3, d0, d1, d2, d3 = factors
    return (
        a0 + t * (a1 + t * (a2 + t * a3)),
        b0 + t * (b1 + t * (b2 + t * b3)),
        c0 + t * (c1 + t * (c2 + t * c3)),
        d0 + t * (d1 + t * (d2 + t * d3)),
    )


def polynomials(array: NDArray[Any]) -> list[Polynomial]:
    """Powers of each cell of a line.

    Parameters
    ----------
    array : coefficients of a spline as the tables hold them

    Returns
    -------
    list of four factors for each cell

    Examples
    --------
    >>> polynomials(np.ones(4))
    [(1.0, 0.0, 0.0, 0.0)]
    """
    windows = np.lib.stride_tricks.sliding_window_view(np.asarray(array, dtype=np.float64), 4)
    return [tuple(row) for row in (windows @ _BUMPS.T).tolist()]


def end_of_table(side: Surfaces, lines: Lines, quantity: int) -> tuple[float, float]:
    """Departure at the end of the table and its slope by the share of the way there.

    Parameters
    ----------
    side : Surfaces
    lines : Lines
    quantity : int, place of the quantity in the patches

    Returns
    -------
    (departure, slope)
    """
    patch, u = side.along(lines, 1.0)
    c0, c1, c2, c3 = _across(patch[quantity], lines.part_of_row)
    slope = (c1 + u * (2.0 * c2 + 3.0 * u * c3)) * side.intervals
    return c0 + u * (c1 + u * (c2 + u * c3)), 0.5 * slope
    # the distance is the square root of the share: at 1 its slope is one half


def beyond_table(side: Surfaces, lines: Lines, share: float, quantity: int) -> float:
    """Departure beyond the end of the table, along the slope there.

    Parameters
    ----------
    side : Surfaces
    lines : Lines
    share : float, above 1
    quantity : int, place of the quantity in the patches

    Returns
    -------
    float
    """
    end, slope = end_of_table(side, lines, quantity)
    return end + slope * (share - 1.0)
