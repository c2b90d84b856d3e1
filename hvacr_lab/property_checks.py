"""Bad input to a property look-up, put into words: what, the value as given, the limit, the unit, the likely slip."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from hvacr_lab.errors import LabError, NotUsable, OutOfRange
from hvacr_lab.units import checked_number

ON_THE_LINE_K = 1e-6
# nearer to its boiling point than this, a pressure and a temperature do not say whether it is liquid or vapour


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind of number is shown: its SI unit, the way people read it, and what a wrong one may have meant."""

    unit: str
    shown: Callable[[float], str]
    slip: Callable[[float], str]


def _temperature_slip(value: float) -> str:
    if -150.0 < value < 150.0:
        return f" Temperatures are in kelvin; if you meant {value:g} °C, write {value + 273.15:.2f}."
    return ""


def _pressure_slip(value: float) -> str:
    if value <= 0.0:
        return " Pressures are absolute; add the barometer to what a gauge shows."
    if value < 100.0:
        return f" Pressures are in pascals; if you meant {value:g} bar, write {value * 1e5:.0f}."
    if value < 10_000.0:
        return f" Pressures are in pascals; if you meant {value:g} kPa, write {value * 1e3:.0f}."
    return ""


def _energy_slip(value: float) -> str:
    if 10.0 < value < 3_000.0:
        return f" Enthalpies are in J/kg; if you meant {value:g} kJ/kg, write {value * 1e3:.0f}."
    return ""


def _entropy_slip(value: float) -> str:
    if 0.1 < value < 10.0:
        return f" Entropies are in J/(kg K); if you meant {value:g} kJ/(kg K), write {value * 1e3:g}."
    return ""


def _no_slip(value: float) -> str:
    return ""


KINDS = {
    "temperature": Kind("K", lambda value: f"{value - 273.15:.2f} °C", _temperature_slip),
    "pressure": Kind("Pa", lambda value: f"{value / 1e5:.4g} bar", _pressure_slip),
    "enthalpy": Kind("J/kg", lambda value: f"{value / 1e3:.2f} kJ/kg", _energy_slip),
    "entropy": Kind("J/(kg K)", lambda value: f"{value / 1e3:.4f} kJ/(kg K)", _entropy_slip),
    "quality": Kind("", lambda value: f"{value:.4g}", _no_slip),
}


def numbers(value: Any, quantity: str) -> Any:
    """A float or an array of floats from what was given; an array without dimensions becomes a float.

    Parameters
    ----------
    value : anything
    quantity : str, what it is, for the error

    Returns
    -------
    float or array of float, finite

    Raises
    ------
    NotUsable : text, True or False, nothing, not a number (NaN), infinite
    """
    checked = checked_number(value, quantity)
    return checked if isinstance(checked, float) or checked.ndim else float(checked)


def plain_number(value: Any, quantity: str) -> float:
    """A float from what was given; an array is refused.

    Parameters
    ----------
    value : anything
    quantity : str, what it is, for the error

    Returns
    -------
    float, finite

    Raises
    ------
    NotUsable : an array, or whatever `numbers` refuses
    """
    checked = numbers(value, quantity)
    if isinstance(checked, float):
        return checked
    hint = "For arrays use enthalpy_pt, temperature_ph and their like."
    raise NotUsable(quantity, value, "a state takes plain numbers", hint=hint)


def same_shape(first: Any, second: Any) -> tuple[Any, Any]:
    """Both as arrays of one shape.

    Parameters
    ----------
    first, second : float or array

    Returns
    -------
    two arrays of float

    Raises
    ------
    NotUsable : shapes that do not fit each other
    """
    try:
        one, other = np.broadcast_arrays(np.asarray(first, dtype=float), np.asarray(second, dtype=float))
    except ValueError:
        shapes = f"{np.shape(first)} and {np.shape(second)}"
        raise NotUsable("pair of arrays", shapes, "their shapes do not fit each other") from None
    return one, other


def within(value: Any, quantity: str, limits: tuple[Any, Any], subject: str, why: tuple[str, str] = ("", "")) -> Any:
    """The value, if every number in it lies within the limits.

    Parameters
    ----------
    value : float or array
    quantity : str, what it is; its last word is its kind ("dew temperature")
    limits : lowest and highest, each a number or an array that fits the value
    subject : str, whose limits they are ("R-134a")
    why : what to add about the lower and about the upper limit

    Returns
    -------
    float or array, unchanged

    Raises
    ------
    OutOfRange : names the first number outside, its place in the array, and how many there are
    """
    values, (low, high) = np.asarray(value), limits
    inside = (values >= low) & (values <= high)
    if inside.all():
        return value
    bad = np.argwhere(~inside)
    at = tuple(int(index) for index in bad[0])
    ends = [float(np.broadcast_to(limit, inside.shape)[at]) for limit in limits]
    which = f"This is element {at[0] if len(at) == 1 else at}; {len(bad)} of {inside.size} values lie outside. "
    raise _out_of_range(quantity, float(values[at]), ends, subject, why, which if at else "")


def _out_of_range(
    quantity: str, value: float, limits: list[float], subject: str, why: tuple[str, str], which: str
) -> OutOfRange:
    kind, is_low = KINDS[quantity.rsplit(" ", 1)[-1]], value < limits[0]
    limit, reason = (limits[0], why[0]) if is_low else (limits[1], why[1])
    shown = f"That is {kind.shown(value)}; the limit is {kind.shown(limit)}{reason}." if kind.unit else ""
    return OutOfRange(
        quantity,
        value,
        kind.unit,
        low=limit if is_low else None,
        high=None if is_low else limit,
        subject=subject,
        hint=which + shown + kind.slip(value),
    )


def on_the_line(subject: str, pressure_pa: float, temperature_k: float, boiling_k: tuple[float, float]) -> LabError:
    """The error for a pressure and a temperature between bubble and dew point.

    Parameters
    ----------
    subject : str, the refrigerant
    pressure_pa, temperature_k : float, as given
    boiling_k : bubble and dew temperature at that pressure

    Returns
    -------
    LabError, to be raised
    """
    bubble, dew = (f"{kelvins - 273.15:.2f} °C" for kelvins in boiling_k)
    boils = f"boils at {dew}" if bubble == dew else f"boils between {bubble} and {dew}"
    return NotUsable(
        "pressure and temperature",
        f"{pressure_pa / 1e5:.4g} bar, {temperature_k - 273.15:.2f} °C",
        f"at this pressure {subject} {boils}, and p and T do not fix a state on the boiling line",
        hint="Give quality (or enthalpy) with the pressure.",
    )
