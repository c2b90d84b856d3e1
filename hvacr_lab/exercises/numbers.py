"""Own numbers for each student: the same student gets the same numbers every time, another student gets others.

The salt is public and so are the numbers; what is secret is only what a question expects.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import unicodedata
from collections.abc import Collection, Mapping
from decimal import Decimal

from hvacr_lab.errors import NotUsable

_TRIES = 1000
Range = tuple[float, float, float]


def student_key(student: str) -> str:
    """Bring a student's id into the one form in which it counts.

    Parameters
    ----------
    student : str, as written on the roster, in a folder name or at a prompt

    Returns
    -------
    str, composed characters, no blanks around it, small letters

    Examples
    --------
    >>> student_key(" A.One ")
    'a.one'
    """
    return unicodedata.normalize("NFC", student).strip().lower()


def draw(
    salt: str,
    student: str,
    lesson: str,
    question: str,
    ranges: Mapping[str, Range],
    attempt: int = 0,
    refused: Collection[Mapping[str, float]] = (),
) -> dict[str, float]:
    """Draw a student's own numbers for a question, each from its grid.

    Parameters
    ----------
    salt : str, of the course
    student, lesson, question : str
    ranges : name -> (low, high, step); the numbers are low, low + step, ... high
    attempt : int, another one gives other numbers
    refused : points of the grid that are drawn again; one may name only some of the numbers

    Returns
    -------
    dict, name -> float, in the order of ranges

    Raises
    ------
    NotUsable : a range is no grid, or nothing is left of it

    Examples
    --------
    >>> draw("salt", "a.one", "02", "q1", {"superheat_k": (4, 8, 0.5)}) == draw(
    ...     "salt", "A.One ", "02", "q1", {"superheat_k": (4, 8, 0.5)})
    True
    """
    sizes = {name: _grid_size(name, limits) for name, limits in ranges.items()}
    for count in range(_TRIES):
        message = json.dumps([student_key(student), lesson, question, attempt, count], ensure_ascii=False)
        left = int.from_bytes(hmac.digest(salt.encode(), message.encode(), hashlib.sha256), "big")
        places = {}
        for name in sorted(ranges):
            left, places[name] = divmod(left, sizes[name])
        point = {name: _grid_value(ranges[name], places[name]) for name in ranges}
        if not any(all(point[name] == value for name, value in bad.items()) for bad in refused):
            return point
    raise NotUsable("ranges", dict(ranges), "every point tried is among the refused ones")


def shuffled(salt: str, student: str, lesson: str, question: str, items: Collection[str]) -> tuple[str, ...]:
    """Bring some items into a student's own order.

    Parameters
    ----------
    salt : str, of the course
    student, lesson, question : str
    items : collection of str

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> sorted(shuffled("salt", "a.one", "02", "q8", ["boil", "condense", "flow"]))
    ['boil', 'condense', 'flow']
    """

    def rank(item: str) -> bytes:
        message = json.dumps([student_key(student), lesson, question, item], ensure_ascii=False)
        return hmac.digest(salt.encode(), message.encode(), hashlib.sha256)

    return tuple(sorted(items, key=rank))


def _grid_size(name: str, limits: Range) -> int:
    hint = "Write (low, high, step), for example (4, 8, 0.5)."
    try:
        low, high, step = (Decimal(str(number)) for number in limits)
    except (TypeError, ValueError, ArithmeticError):
        raise NotUsable(name, limits, "it is no range", hint=hint) from None
    if step <= 0 or high < low:
        raise NotUsable(name, limits, "the step must be above zero and high not below low", hint=hint)
    steps = (high - low) / step
    if steps != steps.to_integral_value():
        raise NotUsable(name, limits, "the steps do not end at high", hint=hint)
    return int(steps) + 1


def _grid_value(limits: Range, place: int) -> float:
    low, _, step = (Decimal(str(number)) for number in limits)
    return float(low + place * step)
