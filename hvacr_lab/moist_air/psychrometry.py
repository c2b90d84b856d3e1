"""Moist air by the correlations of the ASHRAE handbook: plain numbers or arrays, SI, at the local barometer.

Ideal mixture of dry air and water vapour; everything "per kilogram" is per kilogram of dry air. Enthalpy is zero for
dry air and for liquid water at 0 degC. Dry bulb -40 ... 60 degC, barometer 60 ... 110 kPa; the rest is refused.
Against real moist air the humidity ratio is up to 0.7 % low (no enhancement factor), the volume within 0.15 %.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from hvacr_lab.errors import NotUsable, OutOfRange
from hvacr_lab.moist_air.saturation import (
    SATURATION_LIMITS_K,
    saturation_and_slope,
    saturation_pressure,
    saturation_temperature,
)
from hvacr_lab.units import ICE_POINT_K, FloatOrArray, checked_number, within

if TYPE_CHECKING:
    from numpy.typing import NDArray

WATER_TO_AIR = 0.621_945
# [1], molar mass of water over that of dry air; ASHRAE Fundamentals 2017, ch. 1, eq. 20
DRY_AIR_GAS_CONSTANT_J_PER_KG_K = 287.042
# [J/(kg K)]; ASHRAE Fundamentals 2017, ch. 1, eq. 1
DRY_AIR_HEAT_J_PER_KG_K = 1006.0
# [J/(kg K)]; ASHRAE Fundamentals 2017, ch. 1, eq. 30
VAPOUR_HEAT_J_PER_KG_K = 1860.0
# [J/(kg K)]; ASHRAE Fundamentals 2017, ch. 1, eq. 30
VAPOUR_ENTHALPY_J_PER_KG = 2_501_000.0
# [J/kg], saturated vapour at 0 degC; ASHRAE Fundamentals 2017, ch. 1, eq. 30
LIQUID_WATER_HEAT_J_PER_KG_K = 4186.0
# [J/(kg K)]; ASHRAE Fundamentals 2017, ch. 1, eq. 33
DRY_BULB_LIMITS_K = (233.15, 333.15)
# [K], -40 ... 60 degC, range of this module (own choice)
PRESSURE_LIMITS_PA = (60_000.0, 110_000.0)
# [Pa absolute], range of this module (own choice): from a school at 4150 m to the deepest valley

_WICK_WATER = (2_501_000.0, 2326.0, 4186.0)
# [J/kg, J/(kg K), J/(kg K)], psychrometer equation above freezing; ASHRAE Fundamentals 2017, ch. 1, eq. 33
_WICK_ICE = (2_830_000.0, 240.0, 2100.0)
# [J/kg, J/(kg K), J/(kg K)], psychrometer equation below freezing; ASHRAE Fundamentals 2017, ch. 1, eq. 35

_SLACK = 1e-9
# [1], how far rounding may carry air past saturation (own value)
_SLACK_K = 1e-6
# [K], how far rounding may carry a wet bulb or a dew point above the dry bulb (own value)


def humidity_ratio_of_vapour(vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray | float) -> FloatOrArray:
    """Humidity ratio of air in which water vapour has this partial pressure.

    Parameters
    ----------
    vapour_pressure_pa : float or array [Pa absolute], below the barometer
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [kg/kg dry air]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 20.

    Examples
    --------
    >>> round(humidity_ratio_of_vapour(3169.7, 95_461.0), 6)
    0.02136
    """
    barometer = _barometer(pressure_pa)
    vapour = _checked("vapour pressure", vapour_pressure_pa, "Pa", (0.0, 0.95 * np.min(barometer)), "")
    result: FloatOrArray = WATER_TO_AIR * vapour / (barometer - vapour)
    return result


def vapour_pressure(humidity_ratio: FloatOrArray, pressure_pa: FloatOrArray | float) -> FloatOrArray:
    """Partial pressure of the water vapour in the air.

    Parameters
    ----------
    humidity_ratio : float or array [kg/kg dry air]
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [Pa absolute]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 20.

    Examples
    --------
    >>> round(vapour_pressure(0.00936, 101_325.0))
    1502
    """
    ratio = _ratio(humidity_ratio)
    result: FloatOrArray = _barometer(pressure_pa) * ratio / (WATER_TO_AIR + ratio)
    return result


def saturation_humidity_ratio(temperature_k: FloatOrArray, pressure_pa: FloatOrArray | float) -> FloatOrArray:
    """Most water vapour that the air can hold.

    Parameters
    ----------
    temperature_k : float or array [K], -40 ... 60 degC
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [kg/kg dry air]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 21.

    Examples
    --------
    >>> round(saturation_humidity_ratio(293.15, 101_325.0), 5)
    0.0147
    """
    result: FloatOrArray = humidity_ratio_of_vapour(saturation_pressure(_dry_bulb(temperature_k)), pressure_pa)
    return result


def humidity_ratio(
    dry_bulb_k: FloatOrArray,
    pressure_pa: FloatOrArray | float,
    *,
    relative_humidity: FloatOrArray | float | None = None,
    wet_bulb_k: FloatOrArray | float | None = None,
    dew_point_k: FloatOrArray | float | None = None,
) -> FloatOrArray:
    """Humidity ratio from the dry bulb and one more instrument.

    Parameters
    ----------
    dry_bulb_k : float or array [K], -40 ... 60 degC
    pressure_pa : float or array [Pa absolute], barometer, 60 ... 110 kPa
    relative_humidity : float or array [0 ... 1]
    wet_bulb_k : float or array [K], the wick is ice below 0 degC
    dew_point_k : float or array [K], frost point below 0.01 degC

    Returns
    -------
    float or array [kg/kg dry air]

    Raises
    ------
    NotUsable : none of the three, or more than one
    OutOfRange : outside the range of this module; wet bulb or dew point above the dry bulb; a wet bulb colder than
        even dry air can make it

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 20, 22, 33 and 35.

    Examples
    --------
    >>> round(humidity_ratio(313.15, 101_325.0, wet_bulb_k=293.15), 4)
    0.0064
    >>> round(humidity_ratio(298.15, 101_325.0, relative_humidity=0.5), 5)
    0.00988
    """
    given = {"relative_humidity": relative_humidity, "wet_bulb_k": wet_bulb_k, "dew_point_k": dew_point_k}
    names = [name for name, value in given.items() if value is not None]
    if len(names) != 1:
        hint = f"Give one of {', '.join(given)}."
        raise NotUsable("humidity of the air", ", ".join(names), "exactly one value is needed", hint=hint)
    result: FloatOrArray = _FROM[names[0]](_dry_bulb(dry_bulb_k), given[names[0]], _barometer(pressure_pa))
    return result


def relative_humidity(
    dry_bulb_k: FloatOrArray, humidity_ratio: FloatOrArray | float, pressure_pa: FloatOrArray
) -> FloatOrArray:
    """Vapour pressure as a share of the saturation pressure.

    Parameters
    ----------
    dry_bulb_k : float or array [K], -40 ... 60 degC
    humidity_ratio : float or array [kg/kg dry air]
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [0 ... 1]

    Raises
    ------
    NotUsable
    OutOfRange : outside the range of this module; more vapour than the air can hold

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 22.

    Examples
    --------
    >>> round(relative_humidity(298.15, 0.00988, 101_325.0), 2)
    0.5
    """
    dry_bulb = _dry_bulb(dry_bulb_k)
    share = vapour_pressure(_held(dry_bulb, humidity_ratio, pressure_pa), pressure_pa) / saturation_pressure(dry_bulb)
    result: FloatOrArray = _plain(np.minimum(share, 1.0))
    return result


def dew_point(humidity_ratio: FloatOrArray, pressure_pa: FloatOrArray | float) -> FloatOrArray:
    """Temperature at which the air, cooled at constant pressure, begins to lose water (frost point below 0.01 degC).

    Parameters
    ----------
    humidity_ratio : float or array [kg/kg dry air], above zero
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [K]

    Raises
    ------
    NotUsable
    OutOfRange : air so dry that the dew point lies below -100 degC

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 5, 6 and 36.

    Examples
    --------
    >>> round(dew_point(0.00652, 101_325.0) - 273.15, 1)
    7.7
    """
    result: FloatOrArray = saturation_temperature(vapour_pressure(humidity_ratio, pressure_pa))
    return result


def wet_bulb(
    dry_bulb_k: FloatOrArray, humidity_ratio: FloatOrArray | float, pressure_pa: FloatOrArray | float
) -> FloatOrArray:
    """Temperature that a wetted thermometer takes in moving air.

    A wick just below 0 degC may carry water or ice. Where both have a solution, the one with water is given.

    Parameters
    ----------
    dry_bulb_k : float or array [K], -40 ... 60 degC
    humidity_ratio : float or array [kg/kg dry air]
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [K], at most the dry bulb

    Raises
    ------
    NotUsable
    OutOfRange : outside the range of this module; more vapour than the air can hold

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 33 and 35, solved by Newton's method to 1e-9 K.

    Examples
    --------
    >>> round(wet_bulb(313.15, 0.0064, 101_325.0) - 273.15, 1)
    20.0
    """
    dry_bulb, barometer = _dry_bulb(dry_bulb_k), _barometer(pressure_pa)
    held = _held(dry_bulb, humidity_ratio, barometer)
    wet = np.minimum(_solve_wick(dry_bulb, held, barometer, _WICK_WATER), dry_bulb)
    icy = wet < ICE_POINT_K
    if np.any(icy):
        wet = np.where(icy, np.minimum(_solve_wick(dry_bulb, held, barometer, _WICK_ICE), dry_bulb), wet)
    result: FloatOrArray = _plain(wet)
    return result


def enthalpy(dry_bulb_k: FloatOrArray, humidity_ratio: FloatOrArray | float) -> FloatOrArray:
    """Enthalpy of moist air per kilogram of dry air.

    Parameters
    ----------
    dry_bulb_k : float or array [K], -40 ... 60 degC
    humidity_ratio : float or array [kg/kg dry air]

    Returns
    -------
    float or array [J/kg dry air], zero for dry air at 0 degC

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 30.

    Examples
    --------
    >>> round(enthalpy(303.15, 0.02))
    81316
    """
    celsius = _dry_bulb(dry_bulb_k) - ICE_POINT_K
    vapour_j_per_kg = VAPOUR_ENTHALPY_J_PER_KG + VAPOUR_HEAT_J_PER_KG_K * celsius
    result: FloatOrArray = DRY_AIR_HEAT_J_PER_KG_K * celsius + _ratio(humidity_ratio) * vapour_j_per_kg
    return result


def dry_bulb_of_enthalpy(enthalpy_j_per_kg: FloatOrArray, humidity_ratio: FloatOrArray | float) -> FloatOrArray:
    """Dry bulb of air whose enthalpy and humidity ratio are known.

    Parameters
    ----------
    enthalpy_j_per_kg : float or array [J/kg dry air]
    humidity_ratio : float or array [kg/kg dry air]

    Returns
    -------
    float or array [K], -40 ... 60 degC

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 30, solved for the temperature.

    Examples
    --------
    >>> round(dry_bulb_of_enthalpy(81_316.0, 0.02), 2)
    303.15
    """
    ratio, energy = _ratio(humidity_ratio), checked_number(enthalpy_j_per_kg, "enthalpy")
    heat_j_per_kg_k = DRY_AIR_HEAT_J_PER_KG_K + VAPOUR_HEAT_J_PER_KG_K * ratio
    result: FloatOrArray = _dry_bulb(ICE_POINT_K + (energy - VAPOUR_ENTHALPY_J_PER_KG * ratio) / heat_j_per_kg_k)
    return result


def specific_volume(
    dry_bulb_k: FloatOrArray, humidity_ratio: FloatOrArray | float, pressure_pa: FloatOrArray | float
) -> FloatOrArray:
    """Volume of moist air per kilogram of dry air.

    Parameters
    ----------
    dry_bulb_k : float or array [K], -40 ... 60 degC
    humidity_ratio : float or array [kg/kg dry air]
    pressure_pa : float or array [Pa absolute], barometer

    Returns
    -------
    float or array [m3/kg dry air]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 26.

    Examples
    --------
    >>> round(specific_volume(303.15, 0.02, 95_461.0), 4)
    0.9409
    """
    dry_bulb, ratio = _dry_bulb(dry_bulb_k), _ratio(humidity_ratio)
    swollen = 1.0 + ratio / WATER_TO_AIR
    result: FloatOrArray = DRY_AIR_GAS_CONSTANT_J_PER_KG_K * dry_bulb * swollen / _barometer(pressure_pa)
    return result


_KELVIN = "Temperatures are in K: 25 degC is 298.15 K."


def _checked(name: str, value: Any, unit: str, limits: tuple[float, float], hint: str) -> Any:
    return within(name, checked_number(value, name), unit, limits, hint=hint)


def _dry_bulb(value: Any) -> Any:
    return _checked("air temperature", value, "K", DRY_BULB_LIMITS_K, _KELVIN)


def _barometer(value: Any) -> Any:
    return _checked("barometer", value, "Pa", PRESSURE_LIMITS_PA, "1013 hPa is 101300 Pa.")


def _ratio(value: Any) -> Any:
    return _checked("humidity ratio", value, "kg/kg", (0.0, 1.0), "10 g/kg is 0.010 kg/kg.")


def _plain(result: Any) -> Any:
    """Turn what numpy makes of one number back into a float."""
    return float(result) if np.ndim(result) == 0 else result


def _held(dry_bulb: Any, humidity_ratio: Any, pressure_pa: Any) -> Any:
    """Refuse more vapour than the air can hold."""
    ratio = _ratio(humidity_ratio)
    most = saturation_humidity_ratio(dry_bulb, pressure_pa)
    _refuse_where(
        ratio > most * (1.0 + _SLACK), "humidity ratio", ratio, most, "kg/kg", "More is fog or a wet surface."
    )
    return ratio


def _refuse_where(bad: Any, name: str, value: Any, high: Any, unit: str, hint: str) -> None:
    if np.any(bad):
        bad, value, high = np.broadcast_arrays(bad, value, high)
        raise OutOfRange(name, float(value[bad][0]), unit, high=float(high[bad][0]), hint=hint)


def _from_relative_humidity(dry_bulb: Any, relative_humidity: Any, pressure_pa: Any) -> Any:
    share = _checked("relative humidity", relative_humidity, "", (0.0, 1.0), "45 % is 0.45.")
    return humidity_ratio_of_vapour(share * saturation_pressure(dry_bulb), pressure_pa)


def _from_dew_point(dry_bulb: Any, dew_point_k: Any, pressure_pa: Any) -> Any:
    dew = _checked("dew point", dew_point_k, "K", (SATURATION_LIMITS_K[0], DRY_BULB_LIMITS_K[1]), _KELVIN)
    _refuse_where(dew > dry_bulb + _SLACK_K, "dew point", dew, dry_bulb, "K", "No dew point is above the dry bulb.")
    return humidity_ratio_of_vapour(saturation_pressure(_plain(np.minimum(dew, dry_bulb))), pressure_pa)


def _from_wet_bulb(dry_bulb: Any, wet_bulb_k: Any, pressure_pa: Any) -> Any:
    wet = _checked("wet bulb", wet_bulb_k, "K", (SATURATION_LIMITS_K[0], DRY_BULB_LIMITS_K[1]), _KELVIN)
    hint = "No wet bulb is above the dry bulb. Are the two swapped?"
    _refuse_where(wet > dry_bulb + _SLACK_K, "wet bulb", wet, dry_bulb, "K", hint)
    wet = _plain(np.minimum(wet, dry_bulb))
    on_water, on_ice = (_wick(dry_bulb, wet, pressure_pa, wick)[0] for wick in (_WICK_WATER, _WICK_ICE))
    ratio = np.where(wet >= ICE_POINT_K, on_water, on_ice)
    if np.any(ratio < -_SLACK):
        driest = wet_bulb(dry_bulb, 0.0 * dry_bulb, pressure_pa)
        bad, wet, driest = np.broadcast_arrays(ratio < -_SLACK, wet, driest)
        hint = "Even air without vapour does not cool the wick so far."
        raise OutOfRange("wet bulb", float(wet[bad][0]), "K", low=float(driest[bad][0]), hint=hint)
    return _plain(np.maximum(ratio, 0.0))


_FROM: dict[str, Callable[..., Any]] = {
    "relative_humidity": _from_relative_humidity,
    "wet_bulb_k": _from_wet_bulb,
    "dew_point_k": _from_dew_point,
}
"""The other instrument -> how it gives the humidity ratio."""


def _wick(dry_bulb: Any, wet_bulb: Any, pressure_pa: Any, wick: tuple[float, float, float]) -> tuple[Any, Any]:
    """Humidity ratio by the psychrometer equation and its slope with the wet bulb."""
    latent, falling, liquid = wick
    dry, wet = dry_bulb - ICE_POINT_K, wet_bulb - ICE_POINT_K
    vapour, growth = saturation_and_slope(wet_bulb)
    full = WATER_TO_AIR * vapour / (pressure_pa - vapour)
    full_slope = full * growth * pressure_pa / (pressure_pa - vapour)
    below = latent + VAPOUR_HEAT_J_PER_KG_K * dry - liquid * wet
    ratio = ((latent - falling * wet) * full - DRY_AIR_HEAT_J_PER_KG_K * (dry - wet)) / below
    slope_above = (latent - falling * wet) * full_slope - falling * full + DRY_AIR_HEAT_J_PER_KG_K
    return ratio, (slope_above + liquid * ratio) / below


def _solve_wick(
    dry_bulb: Any, humidity_ratio: Any, pressure_pa: Any, wick: tuple[float, float, float]
) -> NDArray[np.float64]:
    """Wet bulb by Newton's method from the dry bulb down: the curve is convex, so no step goes too far."""
    wet = dry_bulb + 0.0 * (humidity_ratio + pressure_pa)
    for _ in range(40):
        ratio, slope = _wick(dry_bulb, wet, pressure_pa, wick)
        step = (ratio - humidity_ratio) / slope
        wet = wet - step
        if np.max(np.abs(step), initial=0.0) < 1e-9:
            break
    return np.asarray(wet)
