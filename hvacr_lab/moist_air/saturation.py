"""Water vapour at saturation, over ice and over liquid water."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from hvacr_lab.units import FloatOrArray, checked_number, within

TRIPLE_POINT_K = 273.16
# [K], water; BIPM SI brochure (before 2019 by definition). Here the curves over ice and over water meet.
TRIPLE_POINT_PA = 611.657
# [Pa absolute], water; IAPWS R14-08(2011)
SATURATION_LIMITS_K = (173.15, 473.15)
# [K], -100 ... 200 degC, range of the correlation; ASHRAE Fundamentals 2017, ch. 1, eqs. 5 and 6

_OVER_ICE = (-5.674_535_9e3, 6.392_524_7, -9.677_843e-3, 6.221_570_1e-7, 2.074_782_5e-9, -9.484_024e-13, 4.163_501_9)
# ln(p/Pa) = c0/T + c1 + c2 T + c3 T2 + c4 T3 + c5 T4 + c6 ln T, T in K; ASHRAE Fundamentals 2017, ch. 1, eq. 5
_OVER_WATER = (-5.800_220_6e3, 1.391_499_3, -4.864_023_9e-2, 4.176_476_8e-5, -1.445_209_3e-8, 0.0, 6.545_967_3)
# as above; ASHRAE Fundamentals 2017, ch. 1, eq. 6

_FIRST_GUESS_K = 5423.0
# [K], latent heat over gas constant of water vapour; only starts the iteration (own value)


def saturation_pressure(temperature_k: FloatOrArray) -> FloatOrArray:
    """Pressure of water vapour over ice (below 0.01 degC) or over liquid water.

    Parameters
    ----------
    temperature_k : float or array [K], -100 ... 200 degC

    Returns
    -------
    float or array [Pa absolute]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 5 and 6 (Hyland and Wexler 1983).

    Examples
    --------
    >>> round(saturation_pressure(298.15), 1)
    3169.2
    """
    given = checked_number(temperature_k, "temperature")
    temperature = within("temperature", given, "K", SATURATION_LIMITS_K, hint=_KELVIN)
    result: FloatOrArray = saturation_and_slope(temperature)[0]
    return result


def saturation_temperature(vapour_pressure_pa: FloatOrArray) -> FloatOrArray:
    """Temperature at which water vapour of this pressure begins to condense or to freeze out.

    Parameters
    ----------
    vapour_pressure_pa : float or array [Pa absolute], 0.0014 Pa ... 1.55 MPa

    Returns
    -------
    float or array [K]

    Raises
    ------
    NotUsable
    OutOfRange : vapour so thin that it has no dew point above -100 degC

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 5 and 6, solved by Newton's method to 1e-9 K.

    Examples
    --------
    >>> round(saturation_temperature(1228.0) - 273.15, 2)
    10.0
    """
    limits = (saturation_pressure(SATURATION_LIMITS_K[0]), saturation_pressure(SATURATION_LIMITS_K[1]))
    given = checked_number(vapour_pressure_pa, "vapour pressure")
    hint = "Air as dry as this has no dew point here."
    pressure = within("vapour pressure", given, "Pa", limits, hint=hint)
    temperature: Any = 1.0 / (1.0 / TRIPLE_POINT_K - np.log(pressure / TRIPLE_POINT_PA) / _FIRST_GUESS_K)
    for _ in range(40):
        reached, growth = saturation_and_slope(temperature)
        step = np.log(reached / pressure) / growth
        temperature = temperature - step
        if np.max(np.abs(step), initial=0.0) < 1e-9:
            break
    solved: Any = temperature if hasattr(pressure, "__len__") else float(temperature)
    result: FloatOrArray = solved
    return result


def saturation_and_slope(temperature_k: Any) -> tuple[Any, Any]:
    """Saturation pressure without the check of limits, and how it grows, for solvers.

    Parameters
    ----------
    temperature_k : float or array [K]

    Returns
    -------
    tuple of float or array, pressure [Pa absolute] and growth d(ln p)/dT [1/K]

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 5 and 6.

    Examples
    --------
    >>> pressure_pa, growth = saturation_and_slope(298.15)
    >>> round(pressure_pa, 1), round(growth, 4)
    (3169.2, 0.0596)
    """
    if isinstance(temperature_k, float):
        curve = _OVER_ICE if temperature_k <= TRIPLE_POINT_K else _OVER_WATER
        log_pressure, growth = _on_curve(curve, temperature_k, math.log(temperature_k))
        return math.exp(log_pressure), growth
    log_t = np.log(temperature_k)
    over_ice, over_water = (_on_curve(curve, temperature_k, log_t) for curve in (_OVER_ICE, _OVER_WATER))
    icy = temperature_k <= TRIPLE_POINT_K
    return np.exp(np.where(icy, over_ice[0], over_water[0])), np.where(icy, over_ice[1], over_water[1])


def _on_curve(c: tuple[float, ...], t: Any, log_t: Any) -> tuple[Any, Any]:
    log_pressure = c[0] / t + c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5]))) + c[6] * log_t
    growth = -c[0] / t**2 + c[2] + t * (2.0 * c[3] + t * (3.0 * c[4] + t * 4.0 * c[5])) + c[6] / t
    return log_pressure, growth


_KELVIN = "Temperatures are in K: 25 degC is 298.15 K."
