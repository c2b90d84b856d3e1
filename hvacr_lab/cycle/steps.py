"""The steps that every cycle here is made of: pressure from temperature, states, compression."""

from __future__ import annotations

from collections.abc import Callable

from hvacr_lab.cycle.inputs import one_number
from hvacr_lab.errors import LabError, OutOfRange
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.states import State
from hvacr_lab.units import ICE_POINT_K

SATURATED_K = 0.05
# [K], half of the last digit of a thermometer: a state so close to its saturation line counts as saturated (own value)


def condensing_pressure_pa(refrigerant: Refrigerant, temperature_k: float, convention: str) -> float:
    """Pressure that belongs to a condensing temperature.

    Parameters
    ----------
    refrigerant
    temperature_k : float [K]
    convention : str, "dew" (the temperature where condensing begins), "dew-bubble" (where it ends) or "mean" of both

    Returns
    -------
    float [Pa absolute]

    Raises
    ------
    OutOfRange : above the critical or below the triple point

    Source
    ------
    "dew": rating of compressors, EN 12900 (from memory); "mean": ASHRAE Fundamentals 2021, ch. 29, Table 8.

    Examples
    --------
    >>> from hvacr_lab.refrigerants import refrigerant
    >>> r407c = refrigerant("R-407C")
    >>> [round(condensing_pressure_pa(r407c, 313.15, convention) / 1e5, 1) for convention in ("dew", "mean")]
    [15.4, 16.4]
    """
    return _CONDENSING[convention](refrigerant, one_number(temperature_k, "condensing temperature"))


def evaporating_pressure_pa(
    refrigerant: Refrigerant, temperature_k: float, convention: str, liquid_enthalpy_j_per_kg: float
) -> float:
    """Pressure that belongs to an evaporating temperature.

    Parameters
    ----------
    refrigerant
    temperature_k : float [K]
    convention : str, "dew", "dew-bubble" (both: where evaporating ends) or "mean" of that and the inlet temperature
    liquid_enthalpy_j_per_kg : float [J/kg], before the expansion device; it fixes the inlet temperature

    Returns
    -------
    float [Pa absolute]

    Raises
    ------
    OutOfRange : above the critical or below the triple point

    Source
    ------
    "dew": rating of compressors, EN 12900 (from memory); "mean": ASHRAE Fundamentals 2021, ch. 29, Table 8.

    Examples
    --------
    >>> from hvacr_lab.refrigerants import refrigerant
    >>> r407c = refrigerant("R-407C")
    >>> [round(evaporating_pressure_pa(r407c, 263.15, how, 260e3) / 1e5, 2) for how in ("dew", "mean")]
    [3.2, 3.47]
    """
    temperature = one_number(temperature_k, "evaporating temperature")
    at_dew = refrigerant.dew_pressure(temperature)
    if convention != "mean":
        return at_dew

    def too_warm(pressure_pa: float) -> float:
        inlet_k = refrigerant.temperature_ph(pressure_pa, liquid_enthalpy_j_per_kg)
        return (inlet_k + refrigerant.dew_temperature(pressure_pa)) / 2.0 - temperature

    return _zero(too_warm, at_dew, refrigerant.bubble_pressure(temperature))


def _mean_condensing_pressure_pa(refrigerant: Refrigerant, temperature_k: float) -> float:
    def too_warm(pressure_pa: float) -> float:
        ends = refrigerant.dew_temperature(pressure_pa) + refrigerant.bubble_temperature(pressure_pa)
        return ends / 2.0 - temperature_k

    return _zero(too_warm, refrigerant.dew_pressure(temperature_k), refrigerant.bubble_pressure(temperature_k))


_CONDENSING: dict[str, Callable[[Refrigerant, float], float]] = {
    "dew": lambda refrigerant, temperature_k: refrigerant.dew_pressure(temperature_k),
    "dew-bubble": lambda refrigerant, temperature_k: refrigerant.bubble_pressure(temperature_k),
    "mean": _mean_condensing_pressure_pa,
}
CONVENTIONS = tuple(_CONDENSING)
"""What a temperature of a blend means: "dew", "dew-bubble" (dew when evaporating, bubble when condensing), "mean"."""


def _zero(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is zero; halving, because it cannot fail between two ends."""
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if function(middle) < 0.0 else (low, middle)
    return (low + high) / 2.0


def vapour_state(refrigerant: Refrigerant, pressure_pa: float, temperature_k: float, place: str) -> State:
    """State of a vapour from pressure and temperature.

    Parameters
    ----------
    refrigerant
    pressure_pa : float [Pa absolute]
    temperature_k : float [K]
    place : str, where it is, for the error

    Returns
    -------
    State, saturated when the temperature meets the dew point within `SATURATED_K`

    Raises
    ------
    OutOfRange : below the dew temperature

    Source
    ------
    Definition.

    Examples
    --------
    >>> from hvacr_lab.refrigerants import refrigerant
    >>> round(vapour_state(refrigerant("R-134a"), 200e3, 273.15, "suction gas").superheat_k, 1)
    10.1
    """
    pressure_pa = one_number(pressure_pa, f"pressure of the {place}")
    above_k = refrigerant.superheat(pressure_pa, one_number(temperature_k, f"temperature of the {place}"))
    if above_k > SATURATED_K:
        return refrigerant.state(pressure_pa=pressure_pa, temperature_k=temperature_k)
    if above_k < -SATURATED_K:
        dew_k, bar = temperature_k - above_k, pressure_pa / 1e5
        hint = (
            f"Its dew temperature at {bar:.4g} bar absolute is {dew_k:.2f} K: colder, there is liquid in it. "
            "Check the thermometer and whether the pressure was gauge or absolute."
        )
        raise OutOfRange(
            f"temperature of the {place}", temperature_k, "K", low=dew_k, subject=refrigerant.name, hint=hint
        )
    return refrigerant.state(pressure_pa=pressure_pa, quality=1.0)


def liquid_state(refrigerant: Refrigerant, pressure_pa: float, temperature_k: float, place: str) -> State:
    """State of a liquid from pressure and temperature.

    Parameters
    ----------
    refrigerant
    pressure_pa : float [Pa absolute]
    temperature_k : float [K]
    place : str, where it is, for the error

    Returns
    -------
    State, saturated when the temperature meets the bubble point within `SATURATED_K`

    Raises
    ------
    OutOfRange : above the bubble temperature

    Source
    ------
    Definition.

    Examples
    --------
    >>> from hvacr_lab.refrigerants import refrigerant
    >>> round(liquid_state(refrigerant("R-134a"), 800e3, 299.15, "liquid").subcooling_k, 1)
    5.3
    """
    pressure_pa = one_number(pressure_pa, f"pressure of the {place}")
    below_k = refrigerant.subcooling(pressure_pa, one_number(temperature_k, f"temperature of the {place}"))
    if below_k > SATURATED_K:
        return refrigerant.state(pressure_pa=pressure_pa, temperature_k=temperature_k)
    if below_k < -SATURATED_K:
        bubble_k, bar = temperature_k + below_k, pressure_pa / 1e5
        hint = (
            f"Its bubble temperature at {bar:.4g} bar absolute is {bubble_k:.2f} K: warmer, there is vapour in it. "
            "Was the dew column read, or the pressure gauge instead of absolute?"
        )
        raise OutOfRange(
            f"temperature of the {place}", temperature_k, "K", high=bubble_k, subject=refrigerant.name, hint=hint
        )
    return refrigerant.state(pressure_pa=pressure_pa, quality=0.0)


def compressed(
    refrigerant: Refrigerant, inlet: State, pressure_pa: float, isentropic_efficiency: float, heat_loss_j_per_kg: float
) -> tuple[State, float]:
    """Compress from an inlet state to a pressure.

    Parameters
    ----------
    refrigerant
    inlet : State
    pressure_pa : float [Pa absolute], after the compressor
    isentropic_efficiency : float, loss-free work divided by real work
    heat_loss_j_per_kg : float [J/kg], through the shell

    Returns
    -------
    (State after the compressor, loss-free work [J/kg])

    Raises
    ------
    LabError : the gas would leave hotter than the properties go
    OutOfRange : pressure above critical

    Source
    ------
    Definition of the isentropic efficiency.

    Examples
    --------
    >>> from hvacr_lab.refrigerants import refrigerant
    >>> r134a = refrigerant("R-134a")
    >>> outlet, work = compressed(r134a, r134a.state(pressure_pa=200e3, temperature_k=273.15), 1e6, 0.7, 0.0)
    >>> round(outlet.temperature_k - 273.15), round(work / 1000)
    (70, 35)
    """
    hottest_k = refrigerant.limits.temperature_k[1] - 0.01
    hottest = refrigerant.state(pressure_pa=pressure_pa, temperature_k=hottest_k)
    if inlet.entropy_j_per_kg_k > hottest.entropy_j_per_kg_k:
        raise _too_hot(refrigerant, hottest)
    isentropic_work = refrigerant.enthalpy_ps(pressure_pa, inlet.entropy_j_per_kg_k) - inlet.enthalpy_j_per_kg
    enthalpy = inlet.enthalpy_j_per_kg + isentropic_work / isentropic_efficiency - heat_loss_j_per_kg
    if enthalpy > hottest.enthalpy_j_per_kg:
        raise _too_hot(refrigerant, hottest)
    return refrigerant.state(pressure_pa=pressure_pa, enthalpy_j_per_kg=enthalpy), isentropic_work


def _too_hot(refrigerant: Refrigerant, hottest: State) -> LabError:
    limit_c = hottest.temperature_k - ICE_POINT_K
    return LabError(
        f"{refrigerant.name}: the gas would leave the compressor hotter than {limit_c:.0f} °C, "
        "where its properties end; no oil stands that. Check the isentropic efficiency and the two pressures."
    )
