"""Is it a number, and is it within its limits? What every public function asks first."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, TypeVar

from hvacr_lab.errors import NotUsable, OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FloatOrArray = TypeVar("FloatOrArray", float, "NDArray[np.float64]")


def checked_number(value: FloatOrArray, quantity: str) -> FloatOrArray:
    """Return a float or an array of floats, all finite.

    Parameters
    ----------
    value : float or array (a list counts as an array)
    quantity : str, what it is, for the error

    Returns
    -------
    float, or array of float of the same shape

    Raises
    ------
    NotUsable : text, True or False, nothing, not a number (NaN), infinite

    Source
    ------
    Own rule.

    Examples
    --------
    >>> checked_number(3, "altitude")
    3.0
    """
    if isinstance(value, (str, bytes, bool)) or value is None:
        hint = "Write it without quotes." if isinstance(value, str) else ""
        raise NotUsable(quantity, value, "a number is needed", hint=hint)
    checked: FloatOrArray = _CHECKS[hasattr(value, "__len__")](value, quantity)
    return checked


def within(
    quantity: str,
    value: FloatOrArray,
    unit: str,
    limits: tuple[float | None, float | None],
    *,
    subject: str | None = None,
    hint: str = "",
) -> FloatOrArray:
    """Return the value if it lies within its limits.

    Parameters
    ----------
    quantity : str, what the number is, in words
    value : float or array, in `unit`
    unit : str, unit of value and limits
    limits : (low, high), each in `unit` or None
    subject : str or None, whose limit it is
    hint : str, likely slip and remedy

    Returns
    -------
    float or array, unchanged

    Raises
    ------
    OutOfRange : names the first bad element, and how many there are

    Source
    ------
    Own rule.

    Examples
    --------
    >>> within("quality", 0.3, "", (0.0, 1.0))
    0.3
    """
    outside = _outside(value, *limits)
    if outside:
        count = f"({len(outside)} values are.) " if len(outside) > 1 else ""
        raise OutOfRange(quantity, outside[0], unit, low=limits[0], high=limits[1], subject=subject, hint=count + hint)
    return value


def _outside(value: Any, low: float | None, high: float | None) -> list[float]:
    """Elements of a number or an array that lie outside the limits by more than rounding."""
    least = -math.inf if low is None else low - _ROUNDING * abs(low)
    most = math.inf if high is None else high + _ROUNDING * abs(high)
    if not hasattr(value, "__len__"):
        return [] if least <= value <= most else [float(value)]
    return [float(element) for element in value[(value < least) | (value > most)]]


_ROUNDING = 1e-12
# [1], -40 degC in binary digits is a little less than 233.15 K (own value)


def _finite_float(value: object, quantity: str) -> float:
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise NotUsable(quantity, value, "a number is needed") from None
    if not math.isfinite(number):
        raise NotUsable(quantity, value, "it is not a number (NaN)" if math.isnan(number) else "it is infinite")
    return number


def _finite_array(value: object, quantity: str) -> NDArray[np.float64]:
    import numpy as np

    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise NotUsable(quantity, value, "an array of numbers is needed") from None
    bad = ~np.isfinite(array)
    if bad.any():
        place = np.flatnonzero(bad)[0]
        why = f"element {place} is not a number ({int(bad.sum())} of {array.size} values)"
        raise NotUsable(quantity, float(array.flat[place]), why)
    return array


_CHECKS: dict[bool, Any] = {False: _finite_float, True: _finite_array}
"""Does it have a length? -> how to check it."""
