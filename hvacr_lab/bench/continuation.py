"""Following the curve of all charges: when Newton's method loses its way, it finds the answer or a named end.

Three of the equations, without the charge, define a curve in the four unknowns. Along it the charge grows although
every single unknown may turn back. A first point comes from bracketed searches one inside the other, at a fixed state
of the condenser outlet; from there small steps follow the curve until the charge is right, or until it ends: at the
highest pressure that can condense, at the lowest suction pressure, or where gas that leaks back makes the compressor
hotter and hotter.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from hvacr_lab.bench.chain import Chain
from hvacr_lab.bench.nested import AT_BOUND, FLOOR, FOUND, HEAD, HOT, UNRESOLVED, Nested
from hvacr_lab.bench.newton import Matrix, Vector, jacobian, linear_solution, newton
from hvacr_lab.bench.residuals import ENTHALPY_SCALE, Loop

TOLERANCES = (1e-8, 1e-7, 1e-7, 2e-7)
# of flow, evaporator heat, condenser heat and charge: far inside what is promised
_NEWTON_ROUNDS = 30
_PINNED = (1e-9, 1e-9, 1e-9, 1e-12)
# of the first three residuals and of the unknown held fast
_SEEDS = (0.03, -0.12, -0.35, -0.6, -0.85, -1.05)
# coordinates of the condenser outlet at which a first point is looked for
_FIRST_STEP, _GROWTH, _SHRINK, _LONGEST, _SHORTEST = 0.04, 1.5, 0.4, 0.15, 1e-7
_STEPS = 900
_STRAY, _BEND, _KINK = 2.2, 0.6, 3e-3
# a step may land this many times its length away, its direction may turn to this cosine; below that length, to any
_SIDE_STEPS = tuple(1e-3 * 3.0 ** (k // 2) * (1.0 if k % 2 == 0 else -1.0) for k in range(8))
# where a corner stops the walk: this far along the coordinate instead
_CORNER_UNKNOWNS, _FARTHEST = (3, 0, 1, 2), 0.5
_MET = 1e-8
_CHARGE_MET = 2e-7
_NEAR_HEAD = 0.1
_AT_HEAD = (-0.3, -0.6, -0.9)
# coordinates from which a point at the highest pressure is looked for
_COORDINATE: Vector = [0.0, 0.0, 0.0, 1.0]
_UPWARDS: Vector = [1.0, 0.0, 0.0, 0.0]
# along the coordinate of the condenser outlet; along the discharge pressure

_CONDENSER_APPROACH_K, _EVAPORATOR_APPROACH_K = 14.0, 10.0
# between refrigerant and air at a first guess (common practice)
_COLDEST_GUESS_K = 225.0
_BELOW_TABLE_K = 5.0
_LEAST_RATIO = 1.5
_SUPERHEAT_J_PER_KG = 5e3
_FIRST_COORDINATES = {False: (0.05, -0.15), True: (0.3, -0.15)}
# receiver in line? -> state of the condenser outlet at the first and the second guess: a little subcooled or a third
# full, flash gas


class End(NamedTuple):
    """Where the curve led: FOUND with the unknowns, or HEAD, FLOOR, HOT, UNRESOLVED with the last point reached."""

    kind: str
    x: Vector


class _Corrected(NamedTuple):
    x: Vector
    residuals: Vector
    slopes: Matrix


@dataclass(slots=True)
class _Place:
    """A point of the curve, the direction in which it goes on, and how much charge is too much there."""

    x: Vector
    tangent: Vector
    excess: float
    slopes: Matrix


def guesses(chain: Chain) -> Iterator[Vector]:
    """Places to begin a search at: pressures from the air temperatures, condenser outlet liquid, then flash gas.

    Parameters
    ----------
    chain : Chain

    Returns
    -------
    iterator of scaled unknowns
    """
    fluid = chain.fluid
    warm, cold = chain.condenser.air.temperature_k, chain.evaporator.air.temperature_k
    hottest = fluid.lines(fluid.p_high_pa).dew_k - _BELOW_TABLE_K
    suction_pa = fluid.dew_pressure(max(min(cold - _EVAPORATOR_APPROACH_K, warm), _COLDEST_GUESS_K))
    discharge_pa = fluid.dew_pressure(min(warm + _CONDENSER_APPROACH_K, hottest)) + chain.air_pa
    discharge_pa = max(discharge_pa, _LEAST_RATIO * suction_pa)
    enthalpy = (fluid.lines(suction_pa).dew_j_per_kg + _SUPERHEAT_J_PER_KG) / ENTHALPY_SCALE
    for coordinate in _FIRST_COORDINATES[chain.receiver is not None]:
        yield [math.log(discharge_pa), math.log(suction_pa), enthalpy, coordinate]


def search(loop: Loop, start: Vector | None = None, tolerances: Sequence[float] = TOLERANCES) -> End:
    """Solve a loop: by Newton's method from the start and from guesses, else by following the curve of all charges.

    Parameters
    ----------
    loop : Loop
    start : list of float, scaled unknowns to begin with, or None
    tolerances : sequence of float, of the residuals

    Returns
    -------
    End; where Newton's method finds nothing it does not depend on the start
    """
    cold = list(guesses(loop.chain))
    for begin in (*([start] if start is not None else []), *cold):
        root = newton(loop.residuals, begin, loop.box, tolerances, _NEWTON_ROUNDS)
        if root.converged and _is_physical(loop, root.x):
            return End(FOUND, root.x)
    first = cold[0]
    beyond = _beyond_head(loop, first)
    if beyond is not None:
        return End(HEAD, beyond)
    end = follow(loop, first)
    if end.kind != FOUND:
        return end
    if end.x[0] > loop.box.high[0]:
        return End(HEAD, end.x)
    polished = newton(loop.residuals, end.x, loop.box, tolerances, _NEWTON_ROUNDS)
    x = polished.x if polished.converged else end.x
    return End(FOUND if _is_physical(loop, x) else UNRESOLVED, x)


def _beyond_head(loop: Loop, guess: Vector) -> Vector | None:
    """The point of the curve at the highest pressure, if it holds too little charge and more lies beyond it only."""
    highest = loop.box.high[0]
    tries = (_pinned(loop, [*guess[:3], coordinate], 0, highest) for coordinate in (guess[3], *_AT_HEAD))
    x = next((found for found in tries if found is not None), None)
    if x is None:
        return None
    here = loop.residuals(x)
    if here[3] >= 0.0:
        return None
    slopes = jacobian(loop.residuals, x, here)
    tangent = _tangent(slopes, _UPWARDS)
    return x if _dot(slopes[3], tangent) > 0.0 else None


def _is_physical(loop: Loop, x: Vector) -> bool:
    """False where a pressure was held at a bound that only searches may meet."""
    march = loop.march(x)
    return not (march.high.is_pinched or march.low.is_flooded)


def point_on_curve(loop: Loop, guess: Vector, coordinate: float) -> Vector | None:
    """A point of the curve at a given state of the condenser outlet, whatever charge that takes.

    Parameters
    ----------
    loop : Loop
    guess : list of float, scaled unknowns to begin with
    coordinate : float, of the condenser outlet

    Returns
    -------
    list of float, scaled unknowns; None where there is none
    """
    found, _ = _at_coordinate(loop, guess, coordinate)
    return found


def follow(loop: Loop, guess: Vector) -> End:
    """Solve by following the curve of all charges from a point that bracketed searches find.

    Parameters
    ----------
    loop : Loop
    guess : list of float, scaled unknowns to begin the searches with

    Returns
    -------
    End
    """
    last, ends = list(guess), set()
    for seed, why in _seeds(loop, guess):
        if seed is None:
            ends.add(why)
            continue
        end = _walked(loop, seed)
        if end.kind != UNRESOLVED:
            return end
        last, ends = end.x, {UNRESOLVED}
    if ends == {HEAD}:
        return End(HEAD, last)
    return End(next((kind for kind in (FLOOR, HOT) if kind in ends), UNRESOLVED), last)


def _seeds(loop: Loop, guess: Vector) -> Iterator[tuple[Vector | None, str]]:
    """Points on the curve, or why there is none at that coordinate."""
    for coordinate in _SEEDS:
        yield _at_coordinate(loop, guess, coordinate)


def _at_coordinate(loop: Loop, guess: Vector, coordinate: float) -> tuple[Vector | None, str]:
    """The point of the curve at a coordinate, or why there is none: Newton's method first, then bracketed searches."""
    x = _pinned(loop, guess, 3, coordinate)
    if x is not None:
        return x, FOUND
    nest = Nested(loop, coordinate, guess)
    nest.solve()
    if nest.end != FOUND:
        return None, nest.end
    corrected = _corrected(loop, nest.x, _COORDINATE, None, rounds=20)
    return (corrected.x, FOUND) if corrected is not None else (None, UNRESOLVED)


def _pinned(loop: Loop, guess: Vector, index: int, value: float) -> Vector | None:
    """The point of the curve at which one unknown has a value, by Newton's method alone."""

    def residuals(x: Vector) -> Vector:
        return [*loop.residuals(x)[:3], x[index] - value]

    start = list(guess)
    start[index] = value
    root = newton(residuals, start, loop.box, _PINNED, _NEWTON_ROUNDS)
    return root.x if root.converged and _is_physical(loop, root.x) else None


def _walked(loop: Loop, seed: Vector) -> End:
    """From a point of the curve towards the right charge, and if that fails the other way."""
    here = loop.residuals(seed)
    slopes = jacobian(loop.residuals, seed, here)
    tangent = _tangent(slopes, _best_direction(slopes))
    growth = _dot(slopes[3], tangent)
    forward = tangent if growth * here[3] < 0.0 else [-value for value in tangent]
    wants_more = here[3] < 0.0
    ends = []
    for direction in (forward, [-value for value in forward]):
        place = _Place(seed, direction, here[3], slopes)
        end = _along(loop, place, towards=direction is forward)
        if end.kind == FOUND:
            return end
        ends.append(end)
    first = ends[0]
    is_near_head = first.x[0] > loop.box.high[0] - _NEAR_HEAD
    if first.kind in (FLOOR, HOT):
        return first
    if wants_more and (first.kind == HEAD or is_near_head):
        return End(HEAD, first.x)
    return End(UNRESOLVED, first.x)


def _along(loop: Loop, place: _Place, towards: bool) -> End:
    """Step after step along the curve, until the charge is right or the curve ends."""
    length = _FIRST_STEP
    rising = (place.excess < 0.0) == towards
    for _ in range(_STEPS):
        onward = _step(loop, place, length)
        if onward is None:
            length *= _SHRINK
            if length >= _SHORTEST:
                continue
            onward = _around_corner(loop, place, rising)
            if onward is None:
                return End(UNRESOLVED, place.x)
            length = 1e-3 / _GROWTH
        if onward.excess * place.excess <= 0.0:
            return _between(loop, place, onward)
        place = onward
        why = _end_of_range(loop, place.x)
        if why is not None:
            return End(why, place.x)
        length = min(length * _GROWTH, _LONGEST)
    return End(UNRESOLVED, place.x)


def _end_of_range(loop: Loop, x: Vector) -> str | None:
    box = loop.box
    if x[0] > box.high[0]:
        return HEAD
    if x[0] < box.low[0] or loop.is_at_floor(x):
        return FLOOR
    if x[2] > box.high[2] - AT_BOUND:
        return HOT
    if not box.low[3] <= x[3] <= box.high[3]:
        return UNRESOLVED
    return None


def _step(loop: Loop, place: _Place, length: float) -> _Place | None:
    ahead = [value + length * change for value, change in zip(place.x, place.tangent, strict=True)]
    found = _corrected(loop, ahead, place.tangent, place.slopes, rounds=7)
    if found is None:
        return None
    slopes = jacobian(loop.residuals, found.x, found.residuals)
    tangent = _tangent(slopes, place.tangent)
    turned = _dot(tangent, place.tangent)
    if math.dist(found.x, place.x) >= _STRAY * length or not (turned > _BEND or length < _KINK):
        return None
    return _Place(found.x, tangent, found.residuals[3], slopes)


def _around_corner(loop: Loop, place: _Place, rising: bool) -> _Place | None:
    """Past a corner of the curve: one unknown after the other moves a little, until the charge goes the right way."""
    for index in _CORNER_UNKNOWNS:
        sign = 1.0 if place.tangent[index] >= 0.0 else -1.0
        for size in _SIDE_STEPS:
            x = _pinned(loop, place.x, index, place.x[index] + sign * size)
            if x is None or math.dist(x, place.x) >= _FARTHEST:
                continue
            residuals = loop.residuals(x)
            if (residuals[3] > place.excess) != rising:
                continue
            way = [new - old for new, old in zip(x, place.x, strict=True)]
            length = math.hypot(*way)
            slopes = jacobian(loop.residuals, x, residuals)
            return _Place(x, [value / length for value in way], residuals[3], slopes)
    return None


def _between(loop: Loop, place: _Place, onward: _Place) -> End:
    """The point between two where the charge is right: false position along the chord."""
    low, at_low = 0.0, place.excess
    high, at_high = _dot(place.tangent, [b - a for a, b in zip(place.x, onward.x, strict=True)]), onward.excess
    x, excess = onward.x, onward.excess
    for count in range(60):
        share = high - at_high * (high - low) / (at_high - at_low) if count < 25 else 0.5 * (low + high)
        found = _on_plane(loop, place, share)
        if found is None:
            share = 0.5 * (low + high)
            found = _on_plane(loop, place, share)
        if found is None:
            break
        x, excess = found.x, found.residuals[3]
        if abs(excess) < _CHARGE_MET:
            return End(FOUND, x)
        if excess * at_high < 0.0:
            low, at_low = high, at_high
        else:
            at_low *= 0.5
        high, at_high = share, excess
        if abs(high - low) < 1e-13:
            break
    return End(FOUND if abs(excess) < 1e-6 else UNRESOLVED, x)


def _on_plane(loop: Loop, place: _Place, share: float) -> _Corrected | None:
    ahead = [value + share * change for value, change in zip(place.x, place.tangent, strict=True)]
    return _corrected(loop, ahead, place.tangent, place.slopes, rounds=10)


def _corrected(loop: Loop, start: Vector, normal: Vector, slopes: Matrix | None, rounds: int) -> _Corrected | None:
    """Back onto the curve by Newton steps within the plane through the start; the slopes given serve for the first."""
    x, box = list(start), loop.box
    here = loop.residuals(x)
    before = math.inf
    for count in range(rounds):
        size = abs(here[0]) + abs(here[1]) + abs(here[2])
        if size < _MET and count > 0:
            return _Corrected(x, here, slopes or [])
        if count > 3 and size > 0.5 * before:
            return None
        if slopes is None or (count > 0 and size > 0.1 * before):
            slopes = jacobian(loop.residuals, x, here)
        before = size
        off = -_dot(normal, [a - b for a, b in zip(x, start, strict=True)])
        step, _ = linear_solution([*slopes[:3], normal], [-here[0], -here[1], -here[2], off])
        if step is None or not math.hypot(*step) < 1.0:
            return None
        x = [value + change for value, change in zip(x, step, strict=True)]
        x[0] = min(max(x[0], box.low[0] - 0.3), box.high[0] + 0.02)
        x[1] = min(max(x[1], box.low[1] - 0.3), x[0] - box.gap)
        x[2] = min(max(x[2], box.low[2]), box.high[2])
        here = loop.residuals(x)
    size = abs(here[0]) + abs(here[1]) + abs(here[2])
    return _Corrected(x, here, slopes or []) if size < _MET else None


def _best_direction(slopes: Matrix) -> Vector:
    """The unknown along which the curve can best be counted."""
    units = [[1.0 if row == column else 0.0 for row in range(4)] for column in range(4)]
    return max(units, key=lambda unit: linear_solution([*slopes[:3], unit], _COORDINATE)[1])


def _tangent(slopes: Matrix, before: Vector) -> Vector:
    """Direction of the curve, on the side of the direction before."""
    along, _ = linear_solution([*slopes[:3], before], _COORDINATE)
    if along is None:
        return list(before)
    length = math.hypot(*along)
    return [value / length for value in along]


def _dot(first: Vector, second: Vector) -> float:
    return sum(a * b for a, b in zip(first, second, strict=True))
