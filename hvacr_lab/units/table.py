"""The table of units: every quantity, every unit, every way to write it.

A temperature and a temperature *difference* are two quantities, and so are a pressure and a pressure difference.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from hvacr_lab.errors import UnknownName

STANDARD_ATMOSPHERE_PA = 101_325.0
# [Pa], by definition; ISO 2533:1975
ICE_POINT_K = 273.15
# [K], 0 degrees Celsius, by definition; BIPM SI brochure
FAHRENHEIT_ZERO = 459.67
# [degrees F], 0 F above absolute zero, follows from 32 F = 273.15 K and 1.8 F per K; NIST SP 811
FAHRENHEIT_PER_KELVIN = 1.8
# [1], by definition; NIST SP 811
POUND_KG = 0.453_592_37
# [kg], by definition; NIST SP 811
FOOT_M = 0.3048
# [m], by definition; NIST SP 811
INCH_M = 0.0254
# [m], by definition; NIST SP 811
STANDARD_GRAVITY_M_PER_S2 = 9.806_65
# [m/s2], by definition; NIST SP 811
PSI_PA = POUND_KG * STANDARD_GRAVITY_M_PER_S2 / INCH_M**2
# [Pa], 6894.757; NIST SP 811
MILLIMETRE_OF_MERCURY_PA = 133.322_387_415
# [Pa], conventional, 13.5951 g/cm3 at standard gravity; NIST SP 811
INCH_OF_MERCURY_PA = 25.4 * MILLIMETRE_OF_MERCURY_PA
# [Pa], 3386.389; NIST SP 811
INCH_OF_WATER_PA = 249.088_91
# [Pa], conventional, 1 g/cm3 at standard gravity; NIST SP 811
BTU_J = 1055.055_852_62
# [J], International Table; NIST SP 811
HOUR_S = 3600.0
# [s], by definition
TON_W = 12_000.0 * BTU_J / HOUR_S
# [W], ton of refrigeration, 12 000 Btu/h = 3516.853 W; NIST SP 811
HORSEPOWER_W = 550.0 * FOOT_M * POUND_KG * STANDARD_GRAVITY_M_PER_S2
# [W], mechanical, 550 ft lbf/s = 745.700 W; NIST SP 811
GRAINS_PER_POUND = 7000.0
# [1], by definition; NIST SP 811


class Unit(NamedTuple):
    """One unit: SI value = (value + offset) x factor."""

    factor: float
    offset: float = 0.0


_BTU_PER_HOUR = Unit(BTU_J / HOUR_S)
_CUBIC_FOOT = Unit(FOOT_M**3)
_PRESSURES = {
    "Pa": Unit(1.0),
    "hPa": Unit(100.0),
    "kPa": Unit(1000.0),
    "MPa": Unit(1e6),
    "mbar": Unit(100.0),
    "bar": Unit(1e5),
    "atm": Unit(STANDARD_ATMOSPHERE_PA),
    "psi": Unit(PSI_PA),
    "inHg": Unit(INCH_OF_MERCURY_PA),
    "mmHg": Unit(MILLIMETRE_OF_MERCURY_PA),
    "micron": Unit(MILLIMETRE_OF_MERCURY_PA / 1000.0),
    "inH2O": Unit(INCH_OF_WATER_PA),
}
UNITS: dict[str, dict[str, Unit]] = {
    "pressure": _PRESSURES,
    "pressure difference": _PRESSURES,
    "temperature": {
        "K": Unit(1.0),
        "C": Unit(1.0, ICE_POINT_K),
        "F": Unit(1.0 / FAHRENHEIT_PER_KELVIN, FAHRENHEIT_ZERO),
        "R": Unit(1.0 / FAHRENHEIT_PER_KELVIN),
    },
    "temperature difference": {"K": Unit(1.0), "F": Unit(1.0 / FAHRENHEIT_PER_KELVIN)},
    "power": {
        "W": Unit(1.0),
        "kW": Unit(1000.0),
        "MW": Unit(1e6),
        "Btu/h": _BTU_PER_HOUR,
        "ton": Unit(TON_W),
        "hp": Unit(HORSEPOWER_W),
    },
    "energy": {
        "J": Unit(1.0),
        "kJ": Unit(1000.0),
        "MJ": Unit(1e6),
        "kWh": Unit(1000.0 * HOUR_S),
        "Btu": Unit(BTU_J),
    },
    "mass flow": {
        "kg/s": Unit(1.0),
        "g/s": Unit(1e-3),
        "kg/min": Unit(1.0 / 60.0),
        "kg/h": Unit(1.0 / HOUR_S),
        "lb/s": Unit(POUND_KG),
        "lb/min": Unit(POUND_KG / 60.0),
        "lb/h": Unit(POUND_KG / HOUR_S),
    },
    "volume flow": {
        "m3/s": Unit(1.0),
        "m3/h": Unit(1.0 / HOUR_S),
        "L/s": Unit(1e-3),
        "L/min": Unit(1e-3 / 60.0),
        "ft3/min": Unit(FOOT_M**3 / 60.0),
    },
    "specific enthalpy": {"J/kg": Unit(1.0), "kJ/kg": Unit(1000.0), "Btu/lb": Unit(BTU_J / POUND_KG)},
    "specific entropy": {
        "J/(kg K)": Unit(1.0),
        "kJ/(kg K)": Unit(1000.0),
        "Btu/(lb F)": Unit(BTU_J / POUND_KG * FAHRENHEIT_PER_KELVIN),
    },
    "specific volume": {"m3/kg": Unit(1.0), "L/kg": Unit(1e-3), "ft3/lb": Unit(FOOT_M**3 / POUND_KG)},
    "density": {"kg/m3": Unit(1.0), "lb/ft3": Unit(POUND_KG / FOOT_M**3)},
    "mass": {"kg": Unit(1.0), "g": Unit(1e-3), "lb": Unit(POUND_KG), "oz": Unit(POUND_KG / 16.0)},
    "length": {"m": Unit(1.0), "mm": Unit(1e-3), "cm": Unit(1e-2), "ft": Unit(FOOT_M), "in": Unit(INCH_M)},
    "area": {"m2": Unit(1.0), "cm2": Unit(1e-4), "ft2": Unit(FOOT_M**2), "in2": Unit(INCH_M**2)},
    "volume": {"m3": Unit(1.0), "L": Unit(1e-3), "cm3": Unit(1e-6), "ft3": _CUBIC_FOOT, "in3": Unit(INCH_M**3)},
    "velocity": {"m/s": Unit(1.0), "ft/min": Unit(FOOT_M / 60.0)},
    "time": {"s": Unit(1.0), "min": Unit(60.0), "h": Unit(HOUR_S)},
    "rotational speed": {"1/s": Unit(1.0), "rpm": Unit(1.0 / 60.0)},
    "humidity ratio": {
        "kg/kg": Unit(1.0),
        "g/kg": Unit(1e-3),
        "lb/lb": Unit(1.0),
        "gr/lb": Unit(1.0 / GRAINS_PER_POUND),
    },
    "ratio": {"1": Unit(1.0), "%": Unit(0.01)},
    "COP": {"1": Unit(1.0), "Btu/(W h)": _BTU_PER_HOUR},
}
"""Quantity -> unit -> how to reach SI. The SI unit stands first."""

_SPELLINGS = {
    "temperature": {"celsius": "C", "fahrenheit": "F", "kelvin": "K", "rankine": "R"},
    "temperature difference": {"celsius": "K", "c": "K", "fahrenheit": "F", "kelvin": "K", "r": "F"},
    "power": {"tr": "ton", "tons": "ton", "btuh": "Btu/h"},
    "volume flow": {"cfm": "ft3/min"},
    "specific entropy": {
        "j/kgk": "J/(kg K)",
        "kj/kgk": "kJ/(kg K)",
        "btu/lbf": "Btu/(lb F)",
        "btu/(lbr)": "Btu/(lb F)",
        "btu/lbr": "Btu/(lb F)",
    },
    "velocity": {"fpm": "ft/min"},
    "rotational speed": {"1/min": "rpm"},
    "ratio": {"": "1", "percent": "%"},
    "COP": {"": "1", "eer": "Btu/(W h)", "btu/wh": "Btu/(W h)"},
}
"""Other ways people write a unit, already tidied by `_tidy`."""

_REFERENCES = {
    "gauge": ("(g)", "g", "gauge", "gage", "(gauge)"),
    "absolute": ("(a)", "a", "abs", "absolute", "(abs)"),
    "vacuum": ("vacuum", "vac", "(vacuum)", "(vac)"),
}
"""What a pressure is counted from -> how people write it behind the unit."""

LOWEST_SI = dict.fromkeys(
    ("pressure", "temperature", "specific volume", "density", "mass", "volume", "humidity ratio"), 0.0
)
"""Quantities that cannot lie below this value in SI."""


def quantities() -> tuple[str, ...]:
    """Names of the quantities that have units here.

    Returns
    -------
    tuple of str

    Source
    ------
    Own list.

    Examples
    --------
    >>> quantities()[:3]
    ('pressure', 'pressure difference', 'temperature')
    """
    return tuple(UNITS)


def units_of(quantity: str) -> tuple[str, ...]:
    """Units in which a quantity may be given, the SI unit first.

    Parameters
    ----------
    quantity : str, one of `quantities()`

    Returns
    -------
    tuple of str

    Raises
    ------
    UnknownName : no such quantity

    Source
    ------
    Own list.

    Examples
    --------
    >>> units_of("temperature difference")
    ('K', 'F')
    """
    if quantity not in UNITS:
        raise UnknownName("quantity", quantity, UNITS)
    return tuple(UNITS[quantity])


def find_unit(unit: str, quantity: str) -> Unit:
    """Look a unit up by its name or another spelling, or say which units there are.

    Parameters
    ----------
    unit : str
    quantity : str, one of `quantities()`

    Returns
    -------
    Unit

    Raises
    ------
    UnknownName : unit or quantity

    Source
    ------
    Own table.

    Examples
    --------
    >>> find_unit("degF", "temperature").offset
    459.67
    """
    known = units_of(quantity)
    name = _NAMES[quantity].get(_tidy(unit))
    if name is None:
        marked = quantity == "pressure" and _tidy(unit) in _PRESSURE_NAMES
        hint = _MARKED_HINT if marked else f"Write one of: {', '.join(known)}."
        raise UnknownName(f"unit of {quantity}", unit, known, hint=hint)
    return UNITS[quantity][name]


_MARKED_HINT = "Gauge and absolute marks are read by pressure_pa(value, unit, barometer_pa)."


def find_pressure_unit(unit: str) -> tuple[str, str]:
    """Split a pressure unit into the plain unit and what it is counted from.

    Parameters
    ----------
    unit : str, "bar", "bar(g)", "psia", "inHg vacuum"

    Returns
    -------
    tuple of str, a unit of `units_of("pressure")` and "absolute", "gauge" or "vacuum"

    Raises
    ------
    UnknownName : no such unit, with the closest ones

    Source
    ------
    Own table.

    Examples
    --------
    >>> find_pressure_unit("psig")
    ('psi', 'gauge')
    """
    found = _PRESSURE_NAMES.get(_tidy(unit))
    if found is None:
        known = [f"{plain}{mark}" for plain in _PRESSURES for mark in ("", "(a)", "(g)", " vacuum")]
        raise UnknownName("unit of pressure", unit, known, hint='Write for example "bar(g)" or "psia".')
    return found


def _tidy(unit: str) -> str:
    """Bring the ways to write a unit together: case, blanks, degree signs, powers and dots do not matter."""
    text = re.sub(r"[\s·*^°º]|degrees|deg", "", str(unit).casefold())
    return re.sub("lbm|/hr", lambda found: found[0][:2], text).translate(_RAISED)


_RAISED = str.maketrans("²³₂", "232")


def _names(quantity: str) -> dict[str, str]:
    return _SPELLINGS.get(quantity, {}) | {_tidy(unit): unit for unit in UNITS[quantity]}


_NAMES = {quantity: _names(quantity) for quantity in UNITS}
"""Quantity -> tidied spelling -> unit."""

_PRESSURE_NAMES = {_tidy(unit): (unit, "absolute") for unit in _PRESSURES} | {
    _tidy(unit + mark): (unit, reference)
    for unit in _PRESSURES
    for reference, marks in _REFERENCES.items()
    for mark in marks
}
"""Tidied spelling -> plain unit and what the pressure is counted from."""
