"""Finding roots: one unknown between two bounds, four unknowns by damped Newton steps; plain floats and lists."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Vector = list[float]
Matrix = list[Vector]
Residuals = Callable[[Vector], Vector]

_STEP = 1e-6
# for forward differences of scaled unknowns
_LARGEST_STEP = (0.4, 0.4, 0.3, 0.3)
_ROUNDS = 40
_HALVINGS = 6
_SHRINK = 0.4
_FAST = 0.2
# a step that leaves less than this share of the residual lets the next one use an updated Jacobian instead of a new one
_SINGULAR = 1e-300


@dataclass(frozen=True, slots=True)
class Box:
    """Lowest and highest value of each scaled unknown; ``gap`` keeps the second below the first."""

    low: tuple[float, float, float, float]
    high: tuple[float, float, float, float]
    gap: float

    def inside(self, x: Vector) -> Vector:
        """The nearest point in the box."""
        first, second, third, fourth = (
            min(max(value, low), high) for value, low, high in zip(x, self.low, self.high, strict=True)
        )
        return [first, min(second, first - self.gap), third, fourth]


@dataclass(frozen=True, slots=True)
class Root:
    """Where the search ended and how well the equations are met there."""

    x: Vector
    residuals: Vector
    converged: bool


def within(residuals: Vector, tolerances: Sequence[float]) -> bool:
    """Whether every equation is met.

    Parameters
    ----------
    residuals : list of float
    tolerances : sequence of float, one for each equation

    Returns
    -------
    bool
    """
    return all(abs(value) < limit for value, limit in zip(residuals, tolerances, strict=True))


def linear_solution(matrix: Matrix, right: Vector) -> tuple[Vector | None, float]:
    """Solve a small set of linear equations by elimination with row exchange.

    Parameters
    ----------
    matrix : list of rows, left unchanged
    right : list of float

    Returns
    -------
    (solution or None when singular, absolute value of the determinant)
    """
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    size, determinant = len(rows), 1.0
    for column in range(size):
        pivot = max(range(column, size), key=lambda index: abs(rows[index][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        first = rows[column]
        head = first[column]
        determinant *= abs(head)
        if not determinant > _SINGULAR:
            return None, 0.0
        for row in rows[column + 1 :]:
            share = row[column] / head
            if share != 0.0:
                for index in range(column, size + 1):
                    row[index] -= share * first[index]
    solution = [0.0] * size
    for index in range(size - 1, -1, -1):
        row = rows[index]
        solution[index] = (row[size] - sum(row[k] * solution[k] for k in range(index + 1, size))) / row[index]
    return solution, determinant


def jacobian(residuals: Residuals, x: Vector, at_x: Vector) -> Matrix:
    """Slopes of every residual by forward differences.

    Parameters
    ----------
    residuals : function of the scaled unknowns
    x : list of float
    at_x : list of float, the residuals at x

    Returns
    -------
    list of rows, one for each equation
    """
    columns = []
    for index in range(len(x)):
        moved = list(x)
        moved[index] += _STEP
        columns.append([(after - before) / _STEP for after, before in zip(residuals(moved), at_x, strict=True)])
    return [list(row) for row in zip(*columns, strict=True)]


def newton(residuals: Residuals, start: Vector, box: Box, tolerances: Sequence[float], rounds: int = _ROUNDS) -> Root:
    """Damped Newton search; the Jacobian is updated after good steps and computed anew after poor ones.

    Parameters
    ----------
    residuals : function of the scaled unknowns
    start : list of float
    box : Box, the search stays inside
    tolerances : sequence of float
    rounds : int, at most so many steps

    Returns
    -------
    Root

    Source
    ------
    Broyden's rank-one update: C. G. Broyden, Mathematics of Computation 19 (1965) 577-593.
    """
    x = box.inside(start)
    here = residuals(x)
    slopes: Matrix | None = None
    for _ in range(rounds):
        if within(here, tolerances):
            return Root(x, here, True)
        is_new = slopes is None
        if slopes is None:
            slopes = jacobian(residuals, x, here)
        step, _ = linear_solution(slopes, [-value for value in here])
        moved = None if step is None else _damped(residuals, x, here, _capped(step), box, _HALVINGS if is_new else 1)
        if moved is None:
            if is_new:
                return Root(x, here, False)
            slopes = None
            continue
        after, there = moved
        slopes = _updated(slopes, x, after, here, there) if _size(there) < _FAST * _size(here) else None
        x, here = after, there
    return Root(x, here, within(here, tolerances))


def _capped(step: Vector) -> Vector:
    largest = max(abs(value) / limit for value, limit in zip(step, _LARGEST_STEP, strict=True))
    return step if largest <= 1.0 else [value / largest for value in step]


def _damped(
    residuals: Residuals, x: Vector, here: Vector, step: Vector, box: Box, tries: int
) -> tuple[Vector, Vector] | None:
    """The first shortened step that brings the residuals down, or None."""
    size, share = _size(here), 1.0
    for _ in range(tries):
        after = box.inside([value + share * change for value, change in zip(x, step, strict=True)])
        there = residuals(after)
        if _size(there) < size * (1.0 - 1e-4 * share):
            return after, there
        share *= _SHRINK
    return None


def _updated(slopes: Matrix, x: Vector, after: Vector, here: Vector, there: Vector) -> Matrix:
    """Broyden's update: the slopes along the step just made become the measured ones."""
    step = [new - old for new, old in zip(after, x, strict=True)]
    length = sum(value * value for value in step)
    if length < 1e-24:
        return slopes
    updated = []
    for row, new, old in zip(slopes, there, here, strict=True):
        miss = (new - old - sum(slope * change for slope, change in zip(row, step, strict=True))) / length
        updated.append([slope + miss * change for slope, change in zip(row, step, strict=True)])
    return updated


def _size(values: Vector) -> float:
    return math.sqrt(sum(value * value for value in values))


@dataclass(frozen=True, slots=True)
class Bracket:
    """Two places with values of opposite sign (or one place where the search stopped at a bound)."""

    a: float
    at_a: float
    b: float
    at_b: float
    is_closed: bool


def bracket(
    function: Callable[[float], float],
    start: float,
    first_step: Callable[[float], float],
    low: float,
    high: float,
    growth: float = 2.0,
) -> Bracket:
    """Walk from a start in growing steps until the function changes sign; a decreasing function is walked uphill.

    Parameters
    ----------
    function : decreasing function of one number
    start : float, between low and high
    first_step : value at the start -> length of the first step, positive
    low, high : float, bounds
    growth : float, factor on every further step

    Returns
    -------
    Bracket, not closed when a bound was reached first
    """
    a = min(max(start, low), high)
    at_a = function(a)
    if at_a == 0.0:
        return Bracket(a, at_a, a, at_a, True)
    rising, step = at_a > 0.0, first_step(at_a)
    while True:
        b = min(max(a + step if rising else a - step, low), high)
        if b == a:
            return Bracket(a, at_a, a, at_a, False)
        at_b = function(b)
        if (at_b > 0.0) != rising:
            return Bracket(b, at_b, a, at_a, True)
        a, at_a, step = b, at_b, step * growth


def root_in(
    function: Callable[[float], float], found: Bracket, value_tolerance: float, place_tolerance: float, rounds: int = 80
) -> float:
    """Root inside a closed bracket; the function is called last at the root.

    Parameters
    ----------
    function : function of one number
    found : Bracket
    value_tolerance, place_tolerance : float, the search ends when either is met
    rounds : int

    Returns
    -------
    float

    Source
    ------
    T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149: inverse quadratic steps where they are safe.
    """
    a, at_a, b, at_b = found.a, found.at_a, found.b, found.at_b
    if at_a == at_b:
        return a
    c, at_c = a, at_a
    share, place = at_a / (at_a - at_b), a
    for _ in range(rounds):
        least = place_tolerance / max(abs(b - a), place_tolerance)
        share = min(max(share, least), 1.0 - least) if least < 0.5 else 0.5
        place = a + share * (b - a)
        value = function(place)
        if (value > 0.0) == (at_a > 0.0):
            c, at_c = a, at_a
        else:
            c, at_c, b, at_b = b, at_b, a, at_a
        a, at_a = place, value
        if abs(value) < value_tolerance or abs(b - a) < 2.0 * place_tolerance:
            break
        share = _share(a, b, c, at_a, at_b, at_c)
    return place


def _share(a: float, b: float, c: float, at_a: float, at_b: float, at_c: float) -> float:
    xi, phi = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
    if phi * phi < xi and (1.0 - phi) * (1.0 - phi) < 1.0 - xi:
        forward = at_a / (at_b - at_a) * at_c / (at_b - at_c)
        return forward + (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
    return 0.5
