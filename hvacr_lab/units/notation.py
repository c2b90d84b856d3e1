"""Numbers and quantities as people write them."""

from __future__ import annotations

import re

from hvacr_lab.errors import NotUsable
from hvacr_lab.units.checks import checked_number
from hvacr_lab.units.conversion import to_si
from hvacr_lab.units.pressure import pressure_pa
from hvacr_lab.units.table import units_of

_NUMBER = re.compile(r"\s*(?P<number>[+-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>.*?)\s*")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_EXAMPLES = {"pressure": "bar", "temperature": "C", "power": "kW", "specific enthalpy": "kJ/kg"}
"""Quantity -> the unit that a hint shows, where the SI unit is not the usual one."""


def parse_quantity(text: str, quantity: str, *, barometer_pa: float | None = None) -> float:
    """Read a value with its unit as people write it.

    Parameters
    ----------
    text : str, "2 bar", "29.4 psig", "40 degC", "104 F", "2,5 bar(g)"
    quantity : str, one of `quantities()`
    barometer_pa : float [Pa absolute], needed for gauge and vacuum pressures

    Returns
    -------
    float [SI unit of the quantity]

    Raises
    ------
    NotUsable : no number, no unit, a comma that may mean thousands, a gauge pressure without a barometer
    OutOfRange, UnknownName : as `to_si`

    Source
    ------
    NIST Special Publication 811, appendix B.

    Examples
    --------
    >>> parse_quantity("2 bar", "pressure")
    200000.0
    >>> round(parse_quantity("40 degC", "temperature"), 2)
    313.15
    >>> round(parse_quantity("2 bar(g)", "pressure", barometer_pa=96_000.0))
    296000
    """
    example = _EXAMPLES.get(quantity, units_of(quantity)[0])
    found = _NUMBER.fullmatch(_plain_signs(text)) if isinstance(text, str) else None
    if found is None:
        raise NotUsable(
            quantity, text, "it does not start with a number", hint=f'Write a number and a unit: "2 {example}".'
        )
    value = parse_number(found["number"], quantity)
    unit = found["unit"]
    if not unit and "1" not in units_of(quantity):
        offer = ", ".join(units_of(quantity))
        raise NotUsable(
            quantity, text, "it has no unit", hint=f'Write for example "{value:g} {example}"; units: {offer}.'
        )
    return pressure_pa(value, unit, barometer_pa) if quantity == "pressure" else to_si(value, unit, quantity)


def parse_number(text: str, quantity: str) -> float:
    """Read a number with a decimal point or a decimal comma.

    Parameters
    ----------
    text : str, "2.5", "2,5", "-0.4", "1e5"
    quantity : str, what the number is, for the error

    Returns
    -------
    float, as typed

    Raises
    ------
    NotUsable : not a number; a comma that may mean thousands ("1,250"); points and commas mixed

    Source
    ------
    Own rule: a comma before exactly three digits is refused, because half of the world reads it as thousands.

    Examples
    --------
    >>> parse_number("2,5", "pressure")
    2.5
    """
    plain = _plain_signs(text).strip()
    if _THOUSANDS.fullmatch(plain):
        point, none = plain.replace(",", "."), plain.replace(",", "")
        raise NotUsable(
            quantity, text, "the comma may mean thousands or decimals", hint=f'Write "{point}" or "{none}".'
        )
    try:
        value = float(plain.replace(",", ".") if plain.count(",") == 1 and "." not in plain else plain)
    except ValueError:
        why = "it is not a number"
        raise NotUsable(quantity, text, why, hint='Write digits with one decimal point: "2.5".') from None
    return checked_number(value, quantity)


def _plain_signs(text: str) -> str:
    return str(text).replace("−", "-").replace("–", "-")
