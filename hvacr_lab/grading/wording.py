"""How pages and tables of grading write points, shares, moments and outcomes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final


def points_text(points: float) -> str:
    """Points as a teacher writes them: no digits that say nothing.

    Parameters
    ----------
    points : float

    Returns
    -------
    str

    Examples
    --------
    >>> points_text(2.0), points_text(1.5), points_text(2 / 3)
    ('2', '1.5', '0.67')
    """
    return f"{round(points, 2):g}"


def question_numbers(grade_ids: Sequence[str]) -> dict[str, int]:
    """The number of each question as the student's notebook says it: "q3-superheat" is question 3.

    Parameters
    ----------
    grade_ids : sequence of str, in the order of the notebook

    Returns
    -------
    dict, grade_id -> number, smallest number first; numbers count places where the ids do not tell

    Examples
    --------
    >>> question_numbers(["q9-explain", "q1-glasses"])
    {'q1-glasses': 1, 'q9-explain': 9}
    >>> question_numbers(["explain", "q1-glasses"])
    {'explain': 1, 'q1-glasses': 2}
    """
    said = [re.match(r"q(\d+)\b", name) for name in grade_ids]
    numbers = [int(found[1]) for found in said if found]
    if len(set(numbers)) < len(grade_ids):
        return {name: place for place, name in enumerate(grade_ids, start=1)}
    return dict(sorted(zip(grade_ids, numbers, strict=True), key=lambda pair: pair[1]))


def percent_text(share: float | None) -> str:
    """A share from 0 to 1 in whole percent; a dash where there is none.

    Parameters
    ----------
    share : float or None

    Returns
    -------
    str

    Examples
    --------
    >>> percent_text(0.375), percent_text(None)
    ('38 %', '–')
    """
    return "–" if share is None else f"{100 * share:.0f} %"


def moment_text(iso: str, *, short: bool = False) -> str:
    """A moment in words; text that is no ISO 8601 moment stays as it is.

    Parameters
    ----------
    iso : str, ISO 8601
    short : bool, True for a table: without year and zone

    Returns
    -------
    str

    Examples
    --------
    >>> moment_text("2031-03-07T14:05:30"), moment_text("2031-03-07T14:05:30", short=True)
    ('7 March 2031, 14:05', '7 Mar, 14:05')
    """
    try:
        moment = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    if short:
        return f"{moment.day} {moment:%b, %H:%M}"
    zone = f" ({moment.tzname()})" if moment.tzinfo else ""
    return f"{moment.day} {moment:%B %Y, %H:%M}{zone}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number and its noun.

    Parameters
    ----------
    number : int
    one : str, the noun for one
    many : str or None, the noun for any other number; None: with an s

    Returns
    -------
    str

    Examples
    --------
    >>> counted(1, "question"), counted(3, "question")
    ('1 question', '3 questions')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def counted_points(points: float) -> str:
    """A number of points and the noun.

    Parameters
    ----------
    points : float

    Returns
    -------
    str

    Examples
    --------
    >>> counted_points(1.0), counted_points(2.5)
    ('1 point', '2.5 points')
    """
    return f"{points_text(points)} point{'' if points == 1 else 's'}"


OUTCOME_WORDS: Final[Mapping[str, str]] = {
    "right": "right",
    "close": "near, but outside the tolerance",
    "slip": "known slip",
    "partly": "partly right",
    "unknown": "not recognised",
    "form": "not in a form that can be marked",
    "not answered": "not answered",
    "recorded": "recorded",
    "by hand": "marked by hand",
    "waiting": "waiting for marking by hand",
}
