"""Cubic splines on evenly spaced nodes, fitted once and read quickly: the arithmetic under the property tables.

A spline is held as the weights of its B-spline bumps, two more than there are nodes. Reading a value takes the four
bumps that overlap the place asked for: four weights times four coefficients for a line, sixteen for a surface. The
same few lines read plain numbers (coefficients in a tuple, ``math``) and arrays (coefficients in an array, ``numpy``).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = Any  # float or NDArray[float64]: every formula below holds for both, term by term
Whole = Any  # int or NDArray[int64]
Four = tuple[Numbers, Numbers, Numbers, Numbers]
Coefficients = Any  # tuple[float, ...] beside plain numbers, NDArray[float64] beside arrays


def _whole_number(position: float, last: int) -> int:
    return min(max(int(position), 0), last)


def _whole_numbers(position: NDArray[np.float64], last: int) -> NDArray[np.int64]:
    return np.clip(position.astype(np.int64), 0, last)


def _largest(values: NDArray[np.float64]) -> float:
    return float(np.max(np.abs(values))) if values.size else 0.0


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """The functions in which plain numbers and arrays differ."""

    log: Callable[[Numbers], Numbers]
    exp: Callable[[Numbers], Numbers]
    sqrt: Callable[[Numbers], Numbers]
    cell: Callable[[Numbers, int], Whole]
    size: Callable[[Numbers], float]
    at_least: Callable[[Numbers, float], Numbers]
    hold: Callable[[NDArray[np.float64]], Coefficients]


PLAIN = Arithmetic(math.log, math.exp, math.sqrt, _whole_number, abs, max, lambda values: tuple(values.tolist()))
ARRAYS = Arithmetic(np.log, np.exp, np.sqrt, _whole_numbers, _largest, np.maximum, lambda values: values)


def fit(values: NDArray[np.float64], *, flat_start: bool = False) -> NDArray[np.float64]:
    """Coefficients of the cubic spline through evenly spaced values.

    Parameters
    ----------
    values : array, nodes along the first axis, at least five
    flat_start : bool, true where the slope at the first node is known to be zero

    Returns
    -------
    array, two longer than values along the first axis

    Source
    ------
    Uniform cubic B-spline; "not a knot" at both ends (third derivative continuous at the second node), as in
    C. de Boor, A Practical Guide to Splines, 1978, chapter IV (from memory).

    Examples
    --------
    >>> squares = PLAIN.hold(fit(np.arange(6.0) ** 2))
    >>> round(read_line(squares, *place(2.5, 5, PLAIN)), 12)
    6.25
    """
    count = len(values)
    system = np.zeros((count + 2, count + 2))
    rows = np.arange(count)
    for offset, weight in enumerate((1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0)):
        system[rows, rows + offset] = weight
    system[count, :5] = (-1.0, 0.0, 1.0, 0.0, 0.0) if flat_start else (1.0, -4.0, 6.0, -4.0, 1.0)
    system[count + 1, -5:] = (1.0, -4.0, 6.0, -4.0, 1.0)
    right = np.concatenate([values, np.zeros((2, *values.shape[1:]))])
    return np.linalg.solve(system, right.reshape(count + 2, -1)).reshape(right.shape)


def fit_surface(values: NDArray[np.float64], *, flat_start: bool = False) -> NDArray[np.float64]:
    """Coefficients of the surface through values on an even grid.

    Parameters
    ----------
    values : array with two axes, at least five nodes along each
    flat_start : bool, true where the slope along the second axis is known to be zero at its first node

    Returns
    -------
    array, two longer than values along both axes

    Source
    ------
    Product of two uniform cubic B-splines, fitted one axis after the other.

    Examples
    --------
    >>> fit_surface(np.ones((5, 6))).shape
    (7, 8)
    """
    return fit(fit(values).T, flat_start=flat_start).T


def place(position: Numbers, intervals: int, arithmetic: Arithmetic) -> tuple[Whole, Four]:
    """Cell in which a position lies, and the weights of its four bumps.

    Parameters
    ----------
    position : float or array, counted in intervals from the first node
    intervals : int
    arithmetic : PLAIN or ARRAYS

    Returns
    -------
    (cell, weights)

    Source
    ------
    Uniform cubic B-spline.

    Examples
    --------
    >>> place(2.0, 5, PLAIN)[0]
    2
    """
    cell = arithmetic.cell(position, intervals - 1)
    u = position - cell
    v = 1.0 - u
    first, last = v * v * v / 6.0, u * u * u / 6.0
    second = (4.0 + u * u * (3.0 * u - 6.0)) / 6.0
    return cell, (first, second, 1.0 - first - second - last, last)


def slope_weights(u: Numbers) -> Four:
    """Weights of the four bumps for the slope per interval.

    Parameters
    ----------
    u : float or array, fraction of the cell

    Returns
    -------
    four weights

    Source
    ------
    Derivative of the uniform cubic B-spline.

    Examples
    --------
    >>> sum(slope_weights(0.25))
    0.0
    """
    v = 1.0 - u
    first, last = -0.5 * v * v, 0.5 * u * u
    second = u * (1.5 * u - 2.0)
    return first, second, -first - second - last, last


def read_line(line: Coefficients, cell: Whole, weights: Four) -> Numbers:
    """Value of a line in a cell.

    Parameters
    ----------
    line : coefficients from fit, held by the arithmetic
    cell, weights : from place

    Returns
    -------
    float or array

    Source
    ------
    Uniform cubic B-spline.

    Examples
    --------
    >>> line = PLAIN.hold(fit(np.arange(6.0)))
    >>> round(read_line(line, *place(3.25, 5, PLAIN)), 12)
    3.25
    """
    w0, w1, w2, w3 = weights
    return line[cell] * w0 + line[cell + 1] * w1 + line[cell + 2] * w2 + line[cell + 3] * w3


def read_across(surface: Coefficients, corner: Whole, width: int, across: Four) -> Four:
    """The four coefficients that a surface leaves for the way along it, once its first axis is fixed.

    Parameters
    ----------
    surface : coefficients from fit_surface, rows one after the other
    corner : place of the first coefficient, row * width + column
    width : int, coefficients in a row
    across : weights along the first axis, from place

    Returns
    -------
    four numbers, to be weighted with `weigh`

    Source
    ------
    Product of two uniform cubic B-splines.

    Examples
    --------
    >>> rows = fit_surface(np.add.outer(10.0 * np.arange(5.0), np.arange(6.0)))
    >>> (row, across), (column, along) = place(1.5, 4, PLAIN), place(2.5, 5, PLAIN)
    >>> round(weigh(read_across(PLAIN.hold(rows.ravel()), row * 8 + column, 8, across), along), 12)
    17.5
    """
    c0, c1, c2, c3 = across
    k1 = corner + width
    k2 = k1 + width
    k3 = k2 + width
    s = surface
    return (
        s[corner] * c0 + s[k1] * c1 + s[k2] * c2 + s[k3] * c3,
        s[corner + 1] * c0 + s[k1 + 1] * c1 + s[k2 + 1] * c2 + s[k3 + 1] * c3,
        s[corner + 2] * c0 + s[k1 + 2] * c1 + s[k2 + 2] * c2 + s[k3 + 2] * c3,
        s[corner + 3] * c0 + s[k1 + 3] * c1 + s[k2 + 3] * c2 + s[k3 + 3] * c3,
    )


def weigh(four: Four, weights: Four) -> Numbers:
    """Sum of four coefficients, each with its weight.

    Parameters
    ----------
    four, weights : four numbers each

    Returns
    -------
    float or array

    Source
    ------
    Definition.

    Examples
    --------
    >>> weigh((1.0, 2.0, 3.0, 4.0), (0.0, 0.5, 0.5, 0.0))
    2.5
    """
    return four[0] * weights[0] + four[1] * weights[1] + four[2] * weights[2] + four[3] * weights[3]
