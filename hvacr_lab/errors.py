"""What the user is told when a value, a name or a file is not usable: one root, thin leaves, one sentence form.

The sentence says what, the value as the user typed it, the limit, the unit, the likely slip and the remedy:
``suction pressure 8 Pa is below the triple point of R-134a (389 Pa). Was it 8 bar? Write "8 bar".``
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path


class LabError(ValueError):
    """Root of every error that hvacr_lab raises on purpose; ``str(error)`` is fit to be shown to a student."""


class OutOfRange(LabError):
    """A number lies outside its limits.

    Parameters
    ----------
    quantity : str, what the number is, in words ("suction pressure")
    value : float or str, as the user typed it
    unit : str, unit of value and limits
    low, high : float or None, the limits in the same unit
    subject : str or None, whose limit it is ("R-134a")
    hint : str, likely slip and remedy, one or two sentences

    Examples
    --------
    >>> print(OutOfRange("altitude", -4300, "m", low=-430, high=5000, hint="Did you mean 430?"))
    altitude -4300 m is outside -430 ... 5000 m. Did you mean 430?
    """

    def __init__(
        self,
        quantity: str,
        value: object,
        unit: str,
        *,
        low: float | None = None,
        high: float | None = None,
        subject: str | None = None,
        hint: str = "",
    ) -> None:
        self.quantity, self.value, self.unit = quantity, value, unit
        self.low, self.high, self.subject, self.hint = low, high, subject, hint
        space = " " if unit else ""
        if low is not None and high is not None:
            limit = f"outside {_short(low)} ... {_short(high)}{space}{unit}"
        elif low is not None:
            limit = f"below the limit of {_short(low)}{space}{unit}"
        else:
            limit = f"above the limit of {_short(high)}{space}{unit}"
        whose = f"{subject}: " if subject else ""
        super().__init__(f"{whose}{quantity} {_short(value)}{space}{unit} is {limit}. {hint}".rstrip())


class NotUsable(LabError):
    """A value is of the wrong kind: text for a number, not a number (NaN), an array of the wrong length.

    Examples
    --------
    >>> print(NotUsable("temperature", "8,3", "it is text", hint="Write 8.3 with a point."))
    temperature '8,3' cannot be used: it is text. Write 8.3 with a point.
    """

    def __init__(self, quantity: str, value: object, why: str, *, hint: str = "") -> None:
        self.quantity, self.value, self.why, self.hint = quantity, value, why, hint
        shown = repr(value)
        shown = shown if len(shown) <= 60 else shown[:57] + "..."
        super().__init__(f"{quantity} {shown} cannot be used: {why}. {hint}".rstrip())


class UnknownName(LabError):
    """A name that nobody knows here, with the closest ones that are known.

    Examples
    --------
    >>> print(UnknownName("refrigerant", "R-134b", ["R-134a", "R-290"]))
    'R-134b' is not a known refrigerant. Closest: R-134a.
    """

    def __init__(self, kind: str, name: object, known: Iterable[str], *, hint: str = "") -> None:
        names = sorted(known)
        self.kind, self.name = kind, name
        self.closest = tuple(difflib.get_close_matches(str(name), names, n=3, cutoff=0.5))
        offer = "Closest: " + ", ".join(self.closest) if self.closest else "Known: " + ", ".join(names)
        super().__init__(f"{name!r} is not a known {kind}. {offer}. {hint}".rstrip())


class FileProblem(LabError):
    """A file that cannot be used, with the place in it.

    Examples
    --------
    >>> print(FileProblem("course.toml", "altitude_m = -4300 is outside -430 ... 5000 m", line=14))
    course.toml, line 14: altitude_m = -4300 is outside -430 ... 5000 m
    """

    def __init__(self, path: str | Path, what: str, *, line: int | None = None) -> None:
        self.path, self.line = Path(path), line
        place = f", line {line}" if line is not None else ""
        super().__init__(f"{path}{place}: {what}")


def _short(value: object) -> str:
    """Write a number with as many digits as a person needs: 101325.0 -> 101325, 0.30000000000000004 -> 0.3."""
    if isinstance(value, float):
        return f"{value:.6g}" if abs(value) < 1e6 else f"{value:.4e}"
    return str(value)
