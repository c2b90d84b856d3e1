"""Gauge and absolute pressure, and the barometer between them.

A gauge pressure is turned into an absolute one only with a barometer that somebody named; sea level is never assumed.
"""

from __future__ import annotations

from collections.abc import Callable

from hvacr_lab.errors import LabError, NotUsable
from hvacr_lab.units.checks import FloatOrArray, checked_number, within
from hvacr_lab.units.conversion import from_si, to_si
from hvacr_lab.units.table import ICE_POINT_K, STANDARD_ATMOSPHERE_PA, UNITS, find_pressure_unit

ALTITUDE_LIMITS_M = (-430.0, 5000.0)
# [m], where schools are: the shore of the Dead Sea to the highest towns (from memory)
FORMULA_ALTITUDE_LIMITS_M = (-5000.0, 11_000.0)
# [m], range of the equation of the standard atmosphere; ASHRAE Fundamentals 2017, ch. 1, eq. 3
BAROMETER_LIMITS_PA = (50_000.0, 112_000.0)
# [Pa], standard atmosphere at ALTITUDE_LIMITS_M with room for the weather (own value)


def standard_atmosphere_pa(altitude_m: FloatOrArray) -> FloatOrArray:
    """Pressure of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude_m : float or array [m] above sea level, -5000 ... 11 000

    Returns
    -------
    float or array [Pa absolute]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 3 (ISO 2533:1975).

    Examples
    --------
    >>> round(standard_atmosphere_pa(1500.0))
    84556
    """
    altitude = within("altitude", checked_number(altitude_m, "altitude"), "m", FORMULA_ALTITUDE_LIMITS_M)
    share: FloatOrArray = (1.0 - 2.25577e-5 * altitude) ** 5.2559
    return STANDARD_ATMOSPHERE_PA * share


def standard_atmosphere_k(altitude_m: FloatOrArray) -> FloatOrArray:
    """Temperature of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude_m : float or array [m] above sea level, -5000 ... 11 000

    Returns
    -------
    float or array [K]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 4 (ISO 2533:1975).

    Examples
    --------
    >>> round(standard_atmosphere_k(1000.0), 2)
    281.65
    """
    altitude = within("altitude", checked_number(altitude_m, "altitude"), "m", FORMULA_ALTITUDE_LIMITS_M)
    return ICE_POINT_K + 15.0 - 0.0065 * altitude


def barometer_pa(altitude_m: FloatOrArray) -> FloatOrArray:
    """What a barometer shows at a school on an average day.

    Parameters
    ----------
    altitude_m : float or array [m] above sea level, -430 ... 5000

    Returns
    -------
    float or array [Pa absolute]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 3 (ISO 2533:1975).

    Examples
    --------
    >>> round(barometer_pa(430.0))
    96265
    """
    hint = "Is it in feet? 1 ft is 0.3048 m."
    return standard_atmosphere_pa(
        within("altitude", checked_number(altitude_m, "altitude"), "m", ALTITUDE_LIMITS_M, hint=hint)
    )


def absolute_pressure_pa(gauge_pa: FloatOrArray, barometer_pa: float) -> FloatOrArray:
    """Absolute pressure from what a gauge shows.

    Parameters
    ----------
    gauge_pa : float or array [Pa gauge], negative in a vacuum
    barometer_pa : float [Pa absolute]

    Returns
    -------
    float or array [Pa absolute], zero or positive

    Raises
    ------
    NotUsable, OutOfRange : a vacuum deeper than the barometer; a barometer that no school has

    Source
    ------
    Definition.

    Examples
    --------
    >>> absolute_pressure_pa(200_000.0, 96_000.0)
    296000.0
    """
    barometer = checked_barometer_pa(barometer_pa)
    gauge = checked_number(gauge_pa, "gauge pressure")
    hint = f"No vacuum is deeper than the barometer ({barometer:.0f} Pa here)."
    return within("gauge pressure", gauge, "Pa", (-barometer, None), hint=hint) + barometer


def gauge_pressure_pa(absolute_pa: FloatOrArray, barometer_pa: float) -> FloatOrArray:
    """What a gauge shows at an absolute pressure.

    Parameters
    ----------
    absolute_pa : float or array [Pa absolute]
    barometer_pa : float [Pa absolute]

    Returns
    -------
    float or array [Pa gauge], negative in a vacuum

    Raises
    ------
    NotUsable, OutOfRange : below zero; a barometer that no school has

    Source
    ------
    Definition.

    Examples
    --------
    >>> gauge_pressure_pa(296_000.0, 96_000.0)
    200000.0
    """
    barometer = checked_barometer_pa(barometer_pa)
    absolute = checked_number(absolute_pa, "absolute pressure")
    hint = "Is it a gauge pressure in a vacuum?"
    return within("absolute pressure", absolute, "Pa", (0.0, None), hint=hint) - barometer


def pressure_pa(value: FloatOrArray, unit: str, barometer_pa: float | None = None) -> FloatOrArray:
    """Absolute pressure from a value whose unit says what it is counted from.

    Parameters
    ----------
    value : float or array, in `unit`
    unit : str, a pressure unit, bare or with "(a)" for absolute, "(g)" for gauge, "vacuum" for below the barometer:
        "bar", "bar(g)", "kPa(a)", "psig", "inHg vacuum"
    barometer_pa : float [Pa absolute], needed for gauge and vacuum

    Returns
    -------
    float or array [Pa absolute]

    Raises
    ------
    NotUsable : not a number; a gauge pressure without a barometer
    OutOfRange : below zero absolute; a barometer that no school has
    UnknownName : unit

    Source
    ------
    Definition; NIST Special Publication 811, appendix B.

    Examples
    --------
    >>> round(pressure_pa(29.4, "psig", 96_000.0))
    298706
    >>> round(pressure_pa(20.0, "inHg vacuum", 101_325.0))
    33597
    """
    plain, reference = find_pressure_unit(unit)
    if reference == "absolute":
        return to_si(value, plain, "pressure")
    barometer = _needed_barometer_pa(value, unit, barometer_pa)
    limit = barometer / UNITS["pressure"][plain].factor
    limits = (None, limit) if reference == "vacuum" else (-limit, None)
    hint = f"The barometer stands at {limit:.4g} {plain}: no vacuum is deeper."
    shown = within("pressure", checked_number(value, "pressure"), unit, limits, hint=hint)
    gauge_pa = to_si(-shown if reference == "vacuum" else shown, plain, "pressure difference")
    return gauge_pa + barometer


def pressure_from_pa(absolute_pa: FloatOrArray, unit: str, barometer_pa: float | None = None) -> FloatOrArray:
    """Show an absolute pressure as an instrument with that unit does.

    Parameters
    ----------
    absolute_pa : float or array [Pa absolute]
    unit : str, as in `pressure_pa`
    barometer_pa : float [Pa absolute], needed for gauge and vacuum

    Returns
    -------
    float or array, in `unit`

    Raises
    ------
    NotUsable, OutOfRange, UnknownName : as `pressure_pa`

    Source
    ------
    Definition; NIST Special Publication 811, appendix B.

    Examples
    --------
    >>> round(pressure_from_pa(296_000.0, "bar(g)", 96_000.0), 3)
    2.0
    """
    plain, reference = find_pressure_unit(unit)
    if reference == "absolute":
        return from_si(absolute_pa, plain, "pressure")
    gauge_pa = gauge_pressure_pa(absolute_pa, _needed_barometer_pa(absolute_pa, unit, barometer_pa))
    return from_si(-gauge_pa if reference == "vacuum" else gauge_pa, plain, "pressure difference")


def gauge_suspicion(
    pressure_pa: float,
    barometer_pa: float,
    *,
    name: str = "pressure",
    margin: str = "superheat",
    margin_k: Callable[[float], float] | None = None,
) -> str | None:
    """Say why a pressure that was passed as absolute looks like a gauge reading.

    Parameters
    ----------
    pressure_pa : float [Pa], passed as absolute
    barometer_pa : float [Pa absolute]
    name : str, what the pressure is ("suction pressure")
    margin : str, what `margin_k` returns ("superheat" or "subcooling")
    margin_k : function from an absolute pressure [Pa] to the superheat or subcooling [K] that the thermometer then
        means; without it only a pressure too low for a running plant is noticed

    Returns
    -------
    str, a sentence for `notes`, or None where there is nothing to suspect

    Raises
    ------
    NotUsable, OutOfRange : not a number; a barometer that no school has

    Source
    ------
    Common practice: a plant runs above 0.25 bar absolute, with 0 ... 25 K of superheat or subcooling.

    Examples
    --------
    >>> print(gauge_suspicion(110_000.0, 96_000.0, margin_k=lambda p: 50.0 - p / 5000.0))
    None
    >>> print(gauge_suspicion(110_000.0, 96_000.0, margin_k=lambda p: 57.0 - p / 5000.0))
    pressure 1.1 bar was taken as absolute: the superheat would be 35.0 K; as a gauge reading (2.06 bar absolute)
    it would be 15.8 K. Was it a gauge pressure?
    """
    pressure, barometer = checked_number(pressure_pa, name), checked_barometer_pa(barometer_pa)
    taken = f"{name} {pressure / 1e5:.4g} bar was taken as absolute"
    if pressure < _LOWEST_RUNNING_PA:
        return f"{taken}: that is a deep vacuum. Was it a gauge pressure?"
    if margin_k is None:
        return None
    as_passed, as_gauge = _margin(margin_k, pressure), _margin(margin_k, pressure + barometer)
    if as_passed is None or as_gauge is None:
        return None
    if _BELIEVABLE_K[0] <= as_passed <= _BELIEVABLE_K[1] or not _USUAL_K[0] <= as_gauge <= _USUAL_K[1]:
        return None
    absolute_bar = (pressure + barometer) / 1e5
    return (
        f"{taken}: the {margin} would be {as_passed:.1f} K; as a gauge reading ({absolute_bar:.4g} bar absolute) "
        f"it would be {as_gauge:.1f} K. Was it a gauge pressure?"
    )


_LOWEST_RUNNING_PA = 25_000.0
# [Pa absolute], below it a plant is being evacuated, not running (common practice; R-600a at -40 C has 28 kPa)
_USUAL_K = (0.0, 25.0)
# [K], superheat or subcooling of a plant in order (common practice)
_BELIEVABLE_K = (-2.0, 30.0)
# [K], superheat or subcooling that a faulty plant may still show, thermometer error included (common practice)


def checked_barometer_pa(value: float) -> float:
    """Return a barometer reading that some school may have.

    Parameters
    ----------
    value : float [Pa absolute], 50 000 ... 112 000

    Returns
    -------
    float [Pa absolute]

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    Own limits: the standard atmosphere from -430 m to 5000 m with room for the weather.

    Examples
    --------
    >>> checked_barometer_pa(96_000.0)
    96000.0
    """
    hint = "It is the absolute pressure of the air in Pa: 1013 hPa is 101300 Pa."
    return within("barometer", checked_number(value, "barometer"), "Pa", BAROMETER_LIMITS_PA, hint=hint)


def _needed_barometer_pa(value: object, unit: str, barometer_pa: float | None) -> float:
    if barometer_pa is None:
        hint = "Give barometer_pa, for example barometer_pa(altitude_m), or an absolute pressure."
        raise NotUsable("pressure", f"{value} {unit}", "what a gauge shows needs the barometer as well", hint=hint)
    return checked_barometer_pa(barometer_pa)


def _margin(margin_k: Callable[[float], float], pressure_pa: float) -> float | None:
    """Superheat or subcooling at a pressure, None where the refrigerant has none there."""
    try:
        return margin_k(pressure_pa)
    except LabError:
        return None
