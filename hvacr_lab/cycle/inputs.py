"""What a caller of the cycle functions may say: names, limits, nothing twice."""

from __future__ import annotations

from typing import Any

from hvacr_lab.errors import LabError, NotUsable
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.refrigerants import refrigerant as refrigerant_named
from hvacr_lab.units import checked_number, within

_LIMITS: dict[str, tuple[str, str, tuple[float | None, float | None], str]] = {
    "superheat_k": ("superheat", "K", (0.0, 150.0), "Liquid at the outlet is given as outlet_quality."),
    "suction_line_temperature_rise_k": ("temperature rise in the suction line", "K", (0.0, 150.0), ""),
    "subcooling_k": ("subcooling", "K", (0.0, 150.0), ""),
    "outlet_quality": ("quality at the evaporator outlet", "", (0.5, 1.0), "It is the vapour part of the mass."),
    "isentropic_efficiency": ("isentropic efficiency", "", (0.05, 1.0), "70 % is written 0.7."),
    "low_stage_isentropic_efficiency": ("isentropic efficiency", "", (0.05, 1.0), "70 % is written 0.7."),
    "high_stage_isentropic_efficiency": ("isentropic efficiency", "", (0.05, 1.0), "70 % is written 0.7."),
    "volumetric_efficiency": ("volumetric efficiency", "", (0.05, 1.0), "70 % is written 0.7."),
    "compressor_heat_loss_j_per_kg": ("heat loss of the compressor", "J/kg", (0.0, 1e6), ""),
    "suction_line_pressure_drop_pa": ("pressure drop in the suction line", "Pa", (0.0, None), ""),
    "discharge_line_pressure_drop_pa": ("pressure drop in the discharge line", "Pa", (0.0, None), ""),
    "liquid_line_pressure_drop_pa": ("pressure drop in the liquid line", "Pa", (0.0, None), ""),
    "mass_flow_kg_per_s": ("mass flow", "kg/s", (1e-9, 1e4), ""),
    "capacity_w": ("capacity", "W", (1e-6, 1e9), ""),
    "displacement_m3_per_s": ("displacement", "m3/s", (1e-12, 1e4), ""),
}
"""Input -> its name in words, unit, limits (own values, wide) and hint."""

_MAY_BE_MISSING = {"mass_flow_kg_per_s", "capacity_w", "displacement_m3_per_s", "volumetric_efficiency"}


def checked(**inputs: float | None) -> dict[str, float]:
    """Return the inputs that are given, as numbers within their limits.

    Parameters
    ----------
    inputs : float or None, each under its name with the unit as suffix

    Returns
    -------
    dict of float, without the flow figures that were None

    Raises
    ------
    NotUsable, OutOfRange : names the input

    Source
    ------
    Own limits.

    Examples
    --------
    >>> checked(superheat_k=6, capacity_w=None)
    {'superheat_k': 6.0}
    """
    wanted = {name: value for name, value in inputs.items() if value is not None or name not in _MAY_BE_MISSING}
    return {name: _within_limits(name, value) for name, value in wanted.items()}


def _within_limits(name: str, value: Any) -> float:
    quantity, unit, limits, hint = _LIMITS[name]
    return within(quantity, one_number(value, quantity), unit, limits, hint=hint)


def one_number(value: Any, quantity: str) -> float:
    """Return one finite number; a cycle takes no arrays.

    Parameters
    ----------
    value : float
    quantity : str, what it is, for the error

    Returns
    -------
    float

    Raises
    ------
    NotUsable : text, nothing, NaN, a list or an array

    Source
    ------
    Own rule.

    Examples
    --------
    >>> one_number(3, "subcooling")
    3.0
    """
    if hasattr(value, "__len__") and not isinstance(value, str | bytes):
        raise NotUsable(quantity, value, "one number is needed, not several", hint="Call once for each of them.")
    number: float = checked_number(value, quantity)
    return number


def known_refrigerant(refrigerant: Refrigerant | str) -> Refrigerant:
    """Return the refrigerant for a name; a refrigerant is returned as it is.

    Parameters
    ----------
    refrigerant : Refrigerant or str

    Returns
    -------
    Refrigerant

    Raises
    ------
    UnknownName

    Source
    ------
    Own rule.

    Examples
    --------
    >>> known_refrigerant("r134a").name
    'R-134a'
    """
    return refrigerant_named(refrigerant) if isinstance(refrigerant, str) else refrigerant


def one_of_two(side: str, temperature_k: float | None, pressure_pa: float | None) -> None:
    """Refuse a side of the cycle for which both temperature and pressure are given, or neither.

    Parameters
    ----------
    side : str, "evaporating", "condensing"
    temperature_k, pressure_pa : float or None

    Returns
    -------
    None

    Raises
    ------
    LabError, NotUsable

    Source
    ------
    Own rule: on the saturation lines one follows from the other.

    Examples
    --------
    >>> one_of_two("evaporating", 263.15, None)
    """
    if temperature_k is None and pressure_pa is None:
        raise LabError(f"Neither {side} temperature nor {side} pressure is given. Give one of the two.")
    if temperature_k is not None and pressure_pa is not None:
        why = "both temperature and pressure are given, but one follows from the other"
        raise NotUsable(f"{side} side", f"{temperature_k} K, {pressure_pa} Pa", why, hint="Leave one out.")


def mass_flow_and_displacement(
    given: dict[str, float], effect_j_per_kg: float, suction_volume_m3_per_kg: float
) -> tuple[float | None, float | None]:
    """Work out the flow from what is given of it.

    Parameters
    ----------
    given : dict of float, any of mass_flow_kg_per_s or capacity_w, displacement_m3_per_s, volumetric_efficiency
    effect_j_per_kg : float [J/kg], refrigeration effect
    suction_volume_m3_per_kg : float [m3/kg], at the compressor inlet

    Returns
    -------
    (mass flow [kg/s] or None, displacement [m3/s] or None)

    Raises
    ------
    NotUsable : more is given than fits together, or an efficiency of nothing

    Source
    ------
    Definitions: capacity = mass flow x effect; suction volume flow = displacement x volumetric efficiency.

    Examples
    --------
    >>> mass_flow_and_displacement({"capacity_w": 1500.0, "volumetric_efficiency": 0.75}, 150e3, 0.09)
    (0.01, 0.0012)
    """
    flow, displacement = given.get("mass_flow_kg_per_s"), given.get("displacement_m3_per_s")
    efficiency = given.get("volumetric_efficiency")
    if flow is not None and "capacity_w" in given:
        raise NotUsable("mass flow", flow, "the capacity is given as well", hint="Leave one out: it follows.")
    if flow is None and "capacity_w" in given:
        flow = given["capacity_w"] / effect_j_per_kg
    if efficiency is None:
        return flow, displacement
    if flow is not None and displacement is not None:
        why = "it follows from mass flow (or capacity) and displacement, which are given"
        raise NotUsable("volumetric efficiency", efficiency, why, hint="Leave one of the three out.")
    if flow is not None:
        return flow, flow * suction_volume_m3_per_kg / efficiency
    if displacement is not None:
        return displacement * efficiency / suction_volume_m3_per_kg, displacement
    hint = "Give the displacement, the mass flow or the capacity as well."
    raise NotUsable("volumetric efficiency", efficiency, "alone it gives no flow", hint=hint)
