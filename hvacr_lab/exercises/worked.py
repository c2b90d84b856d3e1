"""The worked way of the usual questions, step by step with a student's own numbers and units.

Shown after the due date, and at once for practice.
"""

from __future__ import annotations

from hvacr_lab.exercises.instruments import PLACES
from hvacr_lab.exercises.sheet import Shown
from hvacr_lab.exercises.steady_refrigerator import state_at


def superheat_steps(r: Shown, place: str) -> tuple[str, ...]:
    """Work out the superheat at a place.

    Parameters
    ----------
    r : Shown
    place : str, "evaporator_outlet" or "suction"

    Returns
    -------
    tuple of str
    """
    pressure_pa, pipe_k = r.at(place)
    dew_k = r.refrigerant.dew_temperature(pressure_pa)
    return (
        _absolute(r, place),
        f"Boiling temperature of {r.refrigerant.name} at that pressure (dew line): {r.temperature(dew_k)}",
        f"Superheat: {r.text(f'{place}_pipe')} - ({r.temperature(dew_k)}) = {r.difference(pipe_k - dew_k)}",
    )


def subcooling_steps(r: Shown, place: str) -> tuple[str, ...]:
    """Work out the subcooling at a place.

    Parameters
    ----------
    r : Shown
    place : str, "condenser_outlet" or "liquid"

    Returns
    -------
    tuple of str
    """
    pressure_pa, pipe_k = r.at(place)
    bubble_k = r.refrigerant.bubble_temperature(pressure_pa)
    return (
        _absolute(r, place),
        f"Condensing temperature of {r.refrigerant.name} at that pressure (bubble line): {r.temperature(bubble_k)}",
        f"Subcooling: {r.temperature(bubble_k)} - {r.text(f'{place}_pipe')} = {r.difference(bubble_k - pipe_k)}",
    )


def flash_gas_steps(r: Shown) -> tuple[str, ...]:
    """Work out how much of the liquid boils at once behind the expansion device.

    Parameters
    ----------
    r : Shown, with liquid and evaporator_inlet_pressure

    Returns
    -------
    tuple of str
    """
    before = r.refrigerant.enthalpy_pt(*r.at("liquid"))
    lines = r.refrigerant.saturation(r.evaporator_inlet_pressure_pa)
    liquid, vapour = float(lines.bubble_enthalpy_j_per_kg), float(lines.dew_enthalpy_j_per_kg)
    share = (before - liquid) / (vapour - liquid)
    return (
        _absolute(r, "liquid"),
        f"Enthalpy of the liquid at that pressure and {r.text('liquid_pipe')}: {r.enthalpy(before)}",
        _absolute(r, "evaporator_inlet"),
        f"Enthalpy there of liquid alone: {r.enthalpy(liquid)}; of vapour alone: {r.enthalpy(vapour)}",
        f"Share of vapour: ({r.enthalpy(before)} - {r.enthalpy(liquid)}) / "
        f"({r.enthalpy(vapour)} - {r.enthalpy(liquid)})"
        f" = {r.percent(share)}",
    )


def glass_steps(r: Shown, places: tuple[str, ...]) -> tuple[str, ...]:
    """Say for each place what its glass shows, and why.

    Parameters
    ----------
    r : Shown
    places : names of places

    Returns
    -------
    tuple of str
    """
    return tuple(_glass_step(r, place) for place in places)


def _glass_step(r: Shown, place: str) -> str:
    pressure_pa, pipe_k = r.at(place)
    boiling = r.temperature(r.refrigerant.bubble_temperature(pressure_pa))
    state = state_at(r.refrigerant, pressure_pa, pipe_k)
    return f"{PLACES[place]}: pipe {r.text(f'{place}_pipe')}, boiling temperature {boiling}: {state}"


def _absolute(r: Shown, place: str) -> str:
    pressure_pa = getattr(r, f"{place}_pressure_pa")
    return f"Absolute pressure: {r.text(f'{place}_pressure')} + {r.text('barometer')} = {r.pressure(pressure_pa)}"
