"""Look-ups for students' cells: the table as a function, units in the names, pressures absolute.

Each has a twin in US units with the same meaning; the US edition of a lesson calls that one.
"""

from __future__ import annotations

from collections.abc import Callable

from hvacr_lab.refrigerants import refrigerant as known_refrigerant
from hvacr_lab.units import from_si, to_si

__all__ = [
    "bubble_temperature_c",
    "bubble_temperature_f",
    "dew_temperature_c",
    "dew_temperature_f",
    "enthalpy_btu_per_lb",
    "enthalpy_kj_per_kg",
    "liquid_enthalpy_btu_per_lb",
    "liquid_enthalpy_kj_per_kg",
    "vapour_enthalpy_btu_per_lb",
    "vapour_enthalpy_kj_per_kg",
]


def dew_temperature_c(refrigerant: str, absolute_bar: float) -> float:
    """Temperature at which the last drop boils away: count superheat from here.

    Parameters
    ----------
    refrigerant : str
    absolute_bar : float [bar absolute]

    Returns
    -------
    float [degC]

    Examples
    --------
    >>> round(dew_temperature_c("R-134a", 2.0), 1)
    -10.1
    """
    return _celsius(known_refrigerant(refrigerant).dew_temperature, absolute_bar)


def bubble_temperature_c(refrigerant: str, absolute_bar: float) -> float:
    """Temperature at which the last bubble is gone: count subcooling from here.

    Parameters
    ----------
    refrigerant : str
    absolute_bar : float [bar absolute]

    Returns
    -------
    float [degC]

    Examples
    --------
    >>> round(bubble_temperature_c("R-134a", 10.0), 1)
    39.4
    """
    return _celsius(known_refrigerant(refrigerant).bubble_temperature, absolute_bar)


def enthalpy_kj_per_kg(refrigerant: str, absolute_bar: float, temperature_c: float) -> float:
    """Heat that a kilogram of liquid or of vapour carries at a pressure and a temperature.

    Parameters
    ----------
    refrigerant : str
    absolute_bar : float [bar absolute]
    temperature_c : float [degC]

    Returns
    -------
    float [kJ/kg], 200 for saturated liquid at 0 degC

    Examples
    --------
    >>> round(enthalpy_kj_per_kg("R-134a", 10.0, 30.0))
    242
    """
    pressure_pa, temperature_k = to_si(absolute_bar, "bar", "pressure"), to_si(temperature_c, "C", "temperature")
    enthalpy = known_refrigerant(refrigerant).enthalpy_pt(pressure_pa, temperature_k)
    return from_si(enthalpy, "kJ/kg", "specific enthalpy")


def liquid_enthalpy_kj_per_kg(refrigerant: str, absolute_bar: float) -> float:
    """Heat that a kilogram of liquid carries just when its last bubble is gone.

    Parameters
    ----------
    refrigerant : str
    absolute_bar : float [bar absolute]

    Returns
    -------
    float [kJ/kg]

    Examples
    --------
    >>> round(liquid_enthalpy_kj_per_kg("R-134a", 2.0))
    187
    """
    lines = known_refrigerant(refrigerant).saturation(to_si(absolute_bar, "bar", "pressure"))
    return from_si(float(lines.bubble_enthalpy_j_per_kg), "kJ/kg", "specific enthalpy")


def vapour_enthalpy_kj_per_kg(refrigerant: str, absolute_bar: float) -> float:
    """Heat that a kilogram of vapour carries just when its last drop is gone.

    Parameters
    ----------
    refrigerant : str
    absolute_bar : float [bar absolute]

    Returns
    -------
    float [kJ/kg]

    Examples
    --------
    >>> round(vapour_enthalpy_kj_per_kg("R-134a", 2.0))
    393
    """
    lines = known_refrigerant(refrigerant).saturation(to_si(absolute_bar, "bar", "pressure"))
    return from_si(float(lines.dew_enthalpy_j_per_kg), "kJ/kg", "specific enthalpy")


def dew_temperature_f(refrigerant: str, psia: float) -> float:
    """Temperature at which the last drop boils away: count superheat from here.

    Parameters
    ----------
    refrigerant : str
    psia : float [psi absolute]

    Returns
    -------
    float [degF]

    Examples
    --------
    >>> round(dew_temperature_f("R-134a", 29.0), 1)
    13.9
    """
    return _fahrenheit(known_refrigerant(refrigerant).dew_temperature, psia)


def bubble_temperature_f(refrigerant: str, psia: float) -> float:
    """Temperature at which the last bubble is gone: count subcooling from here.

    Parameters
    ----------
    refrigerant : str
    psia : float [psi absolute]

    Returns
    -------
    float [degF]

    Examples
    --------
    >>> round(bubble_temperature_f("R-134a", 145.0), 1)
    102.9
    """
    return _fahrenheit(known_refrigerant(refrigerant).bubble_temperature, psia)


def enthalpy_btu_per_lb(refrigerant: str, psia: float, temperature_f: float) -> float:
    """Heat that a pound of liquid or of vapour carries at a pressure and a temperature.

    Parameters
    ----------
    refrigerant : str
    psia : float [psi absolute]
    temperature_f : float [degF]

    Returns
    -------
    float [Btu/lb], 86 for saturated liquid at 32 degF

    Examples
    --------
    >>> round(enthalpy_btu_per_lb("R-134a", 145.0, 86.0))
    104
    """
    pressure_pa, temperature_k = to_si(psia, "psi", "pressure"), to_si(temperature_f, "F", "temperature")
    enthalpy = known_refrigerant(refrigerant).enthalpy_pt(pressure_pa, temperature_k)
    return from_si(enthalpy, "Btu/lb", "specific enthalpy")


def liquid_enthalpy_btu_per_lb(refrigerant: str, psia: float) -> float:
    """Heat that a pound of liquid carries just when its last bubble is gone.

    Parameters
    ----------
    refrigerant : str
    psia : float [psi absolute]

    Returns
    -------
    float [Btu/lb]

    Examples
    --------
    >>> round(liquid_enthalpy_btu_per_lb("R-134a", 29.0))
    80
    """
    lines = known_refrigerant(refrigerant).saturation(to_si(psia, "psi", "pressure"))
    return from_si(float(lines.bubble_enthalpy_j_per_kg), "Btu/lb", "specific enthalpy")


def vapour_enthalpy_btu_per_lb(refrigerant: str, psia: float) -> float:
    """Heat that a pound of vapour carries just when its last drop is gone.

    Parameters
    ----------
    refrigerant : str
    psia : float [psi absolute]

    Returns
    -------
    float [Btu/lb]

    Examples
    --------
    >>> round(vapour_enthalpy_btu_per_lb("R-134a", 29.0))
    169
    """
    lines = known_refrigerant(refrigerant).saturation(to_si(psia, "psi", "pressure"))
    return from_si(float(lines.dew_enthalpy_j_per_kg), "Btu/lb", "specific enthalpy")


def _celsius(temperature: Callable[[float], float], absolute_bar: float) -> float:
    return from_si(float(temperature(to_si(absolute_bar, "bar", "pressure"))), "C", "temperature")


def _fahrenheit(temperature: Callable[[float], float], psia: float) -> float:
    return from_si(float(temperature(to_si(psia, "psi", "pressure"))), "F", "temperature")
