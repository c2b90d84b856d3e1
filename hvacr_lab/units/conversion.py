"""To SI and back."""

from __future__ import annotations

from hvacr_lab.units.checks import FloatOrArray, checked_number, within
from hvacr_lab.units.table import LOWEST_SI, Unit, find_unit, units_of


def to_si(value: FloatOrArray, unit: str, quantity: str) -> FloatOrArray:
    """Convert a value at the edge into SI.

    Parameters
    ----------
    value : float or array, in `unit`
    unit : str, one of `units_of(quantity)`
    quantity : str, one of `quantities()`; a pressure is absolute (`pressure_pa` takes gauge pressures)

    Returns
    -------
    float or array of the same shape [SI unit of the quantity]

    Raises
    ------
    NotUsable : not a number
    OutOfRange : below absolute zero, below zero pressure, negative density and the like
    UnknownName : unit or quantity

    Source
    ------
    NIST Special Publication 811, appendix B.

    Examples
    --------
    >>> round(to_si(104.0, "F", "temperature"), 2)
    313.15
    >>> round(to_si(18.0, "F", "temperature difference"), 2)
    10.0
    >>> round(to_si(12.0, "Btu/(W h)", "COP"), 3)  # an EER of 12
    3.517
    """
    known = find_unit(unit, quantity)
    given = checked_number(value, quantity)
    _check_lowest(given, quantity, known, unit)
    return (given + known.offset) * known.factor


def from_si(value: FloatOrArray, unit: str, quantity: str) -> FloatOrArray:
    """Convert an SI value into the unit that is to be shown.

    Parameters
    ----------
    value : float or array [SI unit of the quantity]
    unit : str, one of `units_of(quantity)`
    quantity : str, one of `quantities()`; a pressure stays absolute (`pressure_from_pa` shows gauge pressures)

    Returns
    -------
    float or array of the same shape, in `unit`

    Raises
    ------
    NotUsable : not a number
    OutOfRange : below absolute zero, below zero pressure, negative density and the like
    UnknownName : unit or quantity

    Source
    ------
    NIST Special Publication 811, appendix B.

    Examples
    --------
    >>> round(from_si(10_550.56, "Btu/h", "power"))
    36000
    >>> round(from_si(10_550.56, "ton", "power"), 2)
    3.0
    """
    known = find_unit(unit, quantity)
    given = checked_number(value, quantity)
    _check_lowest(given, quantity, Unit(1.0), units_of(quantity)[0])
    return given / known.factor - known.offset


def _check_lowest(value: FloatOrArray, quantity: str, unit: Unit, unit_name: str) -> None:
    if quantity in LOWEST_SI:
        lowest = LOWEST_SI[quantity] / unit.factor - unit.offset
        within(quantity, value, unit_name, (lowest, None), hint=_LOWEST_HINT.get(quantity, ""))


_LOWEST_HINT = {
    "pressure": "Pressures are absolute here; is it a gauge pressure?",
    "temperature": "Is it a temperature difference, or in another scale?",
}
