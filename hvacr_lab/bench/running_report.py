"""What a person reads off a bench that runs: states at the ports, sight glasses, heat, power, charge, warnings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TypedDict

from hvacr_lab.bench.chain import Chain, CoilInAir, cut_off_elements
from hvacr_lab.bench.coils import CoilResult
from hvacr_lab.bench.compressor import motor_current_a
from hvacr_lab.bench.controls import HIGH, LOW, Sensed, reports
from hvacr_lab.bench.description import COMPRESSOR_IN, COMPRESSOR_OUT, HEATING, Bench
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.line_up import LineUp
from hvacr_lab.bench.march import March
from hvacr_lab.bench.newton import Vector
from hvacr_lab.bench.operating_point import (
    HEAD_BEYOND_LIMIT,
    OVERHEATED,
    RUNNING,
    SUCTION_AT_FLOOR,
    AirSide,
    ControlState,
    OperatingPoint,
)
from hvacr_lab.bench.residuals import Loop
from hvacr_lab.bench.running_warnings import running_warnings
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.stretches import Stretch
from hvacr_lab.bench.wet_coil import AirResult, air_leaving
from hvacr_lab.states import State, phase_of_quality

VAPOUR, BUBBLES, LIQUID = "vapour", "bubbles", "liquid"
_SEEN_BUBBLES, _SEEN_DROPS = 0.02, 0.998
# share of the glass, by volume, that vapour must fill to be seen as bubbles; above the second, as gas with drops
# only (own values)


def running_point(bench: Bench, settings: Settings, line_up: LineUp, loop: Loop, x: Vector) -> OperatingPoint:
    """All that can be read at a solution.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    line_up : LineUp
    loop : Loop
    x : list of float, scaled unknowns

    Returns
    -------
    OperatingPoint
    """
    march, chain = loop.march(x), loop.chain
    ports = loop.at_ports(x)
    points = states(chain, march)
    air = {side.coil.id: _air(side, result, surface_k) for side, result, surface_k in _sides(chain, march)}
    controls = reports(
        bench.controls,
        Sensed(march.discharge.pressure_pa, march.suction.pressure_pa, _space_k(bench, settings, chain)),
        heating=settings.reversing == HEATING,
    )
    charges = {name: kg for name, kg in march.charges.items() if kg > 0.0} | shut_in(settings, line_up)
    evaporator = air[chain.evaporator.coil.id]
    lanes = {lane.device.id: through for lane, through in zip(chain.lanes, march.low.lanes, strict=True)}
    return OperatingPoint(
        outcome=RUNNING,
        refrigerant=chain.fluid.name,
        configuration=settings.configuration,
        stopped_by=first_open(controls),
        points=points,
        glasses=_glasses(bench, points, line_up, settings, chain.fluid),
        **_pressures(march),
        **_temperatures(chain.fluid, march),
        **_heat(chain, march, evaporator),
        mass_flow_kg_per_s=march.flow,
        flow_by_lane_kg_per_s={name: through.mass_flow_kg_per_s for name, through in lanes.items()},
        valve_stroke={name: through.opening for name, through in lanes.items()},
        charge_by_part=charges,
        receiver_level=march.high.level if chain.receiver is not None else None,
        accumulator_level=loop.fill(march.low) if chain.accumulator is not None else None,
        air=air,
        space_temperatures_k=dict(settings.temperatures_k),
        controls=controls,
        warnings=(*line_up.warnings, *running_warnings(chain, march, evaporator, loop.fill(march.low))),
        residuals=_closure(loop, march),
        unknowns=(ports[0], ports[1], ports[2], ports[3]),
    )


def stopped_point(
    bench: Bench, settings: Settings, line_up: LineUp, loop: Loop, x: Vector, outcome: str
) -> OperatingPoint:
    """The end of the curve at which a control stops the compressor: there is no steady point.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    line_up : LineUp
    loop : Loop
    x : list of float, the last point that was reached
    outcome : str, one of `OUTCOMES`

    Returns
    -------
    OperatingPoint
    """
    low, high = loop.box.low, loop.box.high
    discharge_pa = math.exp(high[0] if outcome == HEAD_BEYOND_LIMIT else min(max(x[0], low[0]), high[0]))
    suction_pa = math.exp(low[1] if outcome == SUCTION_AT_FLOOR else min(max(loop.at_ports(x)[1], low[1]), x[0]))
    space_k = _space_k(bench, settings, loop.chain)
    sensed = Sensed(discharge_pa, suction_pa, space_k)
    controls = reports(bench.controls, sensed, heating=settings.reversing == HEATING)
    return OperatingPoint(
        outcome=outcome,
        refrigerant=loop.fluid.name,
        configuration=settings.configuration,
        stopped_by=_STOPPED_BY.get(outcome, ""),
        converged=outcome in _STOPPED_BY,
        discharge_pressure_pa=discharge_pa,
        suction_pressure_pa=suction_pa,
        charge_by_part=shut_in(settings, line_up),
        space_temperatures_k=dict(settings.temperatures_k),
        controls=controls,
        warnings=line_up.warnings,
    )


_STOPPED_BY: Mapping[str, str] = {HEAD_BEYOND_LIMIT: HIGH, SUCTION_AT_FLOOR: LOW, OVERHEATED: "motor protector"}


def first_open(controls: tuple[ControlState, ...]) -> str:
    """Name of the control that stops the compressor.

    Parameters
    ----------
    controls : tuple of ControlState

    Returns
    -------
    str, "" when none is open
    """
    return next((control.name for control in controls if control.is_open), "")


def shut_in(settings: Settings, line_up: LineUp) -> dict[str, float]:
    """Refrigerant left behind between shut valves.

    Parameters
    ----------
    settings : Settings
    line_up : LineUp

    Returns
    -------
    dict of float [kg] by element
    """
    cut_off = cut_off_elements(line_up)
    return {name: kg for name, kg in settings.trapped_kg.items() if name in cut_off and kg > 0.0}


def state_at(fluid: Fluid, lines: Lines, enthalpy: float, gauge_pa: float) -> State:
    """A state with the pressure that a gauge shows; air in the system makes it higher than the refrigerant's own.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the refrigerant's own pressure
    enthalpy : float [J/kg]
    gauge_pa : float [Pa absolute]

    Returns
    -------
    State
    """
    found = fluid.state(lines, enthalpy)
    is_wet = lines.bubble_j_per_kg <= enthalpy <= lines.dew_j_per_kg
    quality = found.quality if is_wet else None
    return State(
        gauge_pa,
        found.temperature_k,
        enthalpy,
        found.entropy_j_per_kg_k,
        found.volume_m3_per_kg,
        quality,
        phase_of_quality(found.quality),
        found.temperature_k - lines.dew_k,
        lines.bubble_k - found.temperature_k,
    )


def states(chain: Chain, march: March) -> dict[str, State]:
    """State at every port, junction and pipe that refrigerant passes, and behind it at every dead end.

    Parameters
    ----------
    chain : Chain
    march : March

    Returns
    -------
    dict of State; of a pipe, where it ends
    """
    high, low, fluid = march.high, march.low, chain.fluid
    air_pa, entering = chain.air_pa, high.liquid.enthalpy_j_per_kg
    condenser_pa = high.condensing.pressure_pa + air_pa
    wet_lines = fluid.lines(low.metering_outlet_pa)
    hot = march.compressor.enthalpy_j_per_kg
    found = dict(_along(fluid, chain.discharge, (march.discharge.pressure_pa, hot), (condenser_pa, high.line), air_pa))
    found[COMPRESSOR_OUT] = state_at(fluid, march.discharge, hot, march.discharge.pressure_pa)
    found[chain.condenser.ends[0]] = state_at(fluid, high.condensing, high.line.enthalpy_j_per_kg, condenser_pa)
    found |= _along(fluid, chain.liquid, (condenser_pa, high.enthalpy), (high.inlet.pressure_pa, high.liquid), air_pa)
    before = state_at(fluid, high.inlet, entering, high.inlet.pressure_pa)
    after = state_at(fluid, wet_lines, entering, low.metering_outlet_pa)
    for lane in chain.lanes:
        found |= dict.fromkeys(lane.before, before) | dict.fromkeys(lane.after, after)
    evaporating_pa = low.evaporating.pressure_pa
    same = low.evaporator._replace(enthalpy_j_per_kg=entering)
    found |= _along(fluid, chain.distributor, (low.metering_outlet_pa, entering), (evaporating_pa, same), 0.0)
    found[chain.evaporator.ends[0]] = state_at(fluid, low.evaporating, entering, evaporating_pa)
    leaving = low.evaporator.enthalpy_j_per_kg
    found |= _along(fluid, chain.suction, (evaporating_pa, leaving), (march.suction.pressure_pa, low.line), 0.0)
    found[COMPRESSOR_IN] = state_at(fluid, march.suction, march.suction_enthalpy, march.suction.pressure_pa)
    for dead in chain.dead_ends:
        lines, gauge_pa = (high.condensing, condenser_pa) if dead.is_high else (low.evaporating, evaporating_pa)
        still = state_at(fluid, lines, fluid.enthalpy_of_temperature(lines, dead.wall_k), gauge_pa)
        found = dict.fromkeys((dead.id, *dead.ends), still) | found
    return found


def _along(
    fluid: Fluid, stretch: Stretch, start: tuple[float, float], end: tuple[float, CoilResult], air_pa: float
) -> Iterator[tuple[str, State]]:
    """States at the marks of a stretch, between the pressures and enthalpies of its ends."""
    (first_pa, first_h), (last_pa, last) = start, end
    for mark in stretch.marks:
        pressure_pa = first_pa + mark.resistance_share * (last_pa - first_pa)
        enthalpy = first_h + mark.heat_share * (last.enthalpy_j_per_kg - first_h)
        lines = fluid.lines(max(pressure_pa - air_pa, fluid.p_low_pa))
        yield mark.name, state_at(fluid, lines, enthalpy, pressure_pa)


def _sides(chain: Chain, march: March) -> Iterator[tuple[CoilInAir, CoilResult, float]]:
    yield chain.condenser, march.high.condenser, chain.condenser.air.temperature_k
    yield chain.evaporator, march.low.evaporator, march.low.surface_k


def _air(side: CoilInAir, result: CoilResult, surface_k: float) -> AirSide:
    leaving: AirResult = air_leaving(result, side.stream, side.air, surface_k)
    return AirSide(
        inlet_k=side.air.temperature_k,
        outlet_k=leaving.temperature_k,
        flow_kg_per_s=side.stream.flow_kg_per_s,
        inlet_humidity_ratio=side.air.humidity_ratio,
        outlet_humidity_ratio=leaving.humidity_ratio,
        surface_k=surface_k,
        heat_w=result.heat_w,
        sensible_w=leaving.sensible_w,
        latent_w=leaving.latent_w,
        condensate_kg_per_s=leaving.condensate_kg_per_s,
        fan_w=side.fan_w,
    )


class _Pressures(TypedDict):
    discharge_pressure_pa: float
    suction_pressure_pa: float
    condensing_pressure_pa: float
    evaporating_pressure_pa: float
    metering_inlet_pressure_pa: float


def _pressures(march: March) -> _Pressures:
    return {
        "discharge_pressure_pa": march.discharge.pressure_pa,
        "suction_pressure_pa": march.suction.pressure_pa,
        "condensing_pressure_pa": march.high.condensing.pressure_pa,
        "evaporating_pressure_pa": march.low.evaporating.pressure_pa,
        "metering_inlet_pressure_pa": march.high.inlet.pressure_pa,
    }


class _Heat(TypedDict):
    cooling_w: float
    sensible_w: float
    latent_w: float
    condensate_kg_per_s: float
    heating_w: float
    compressor_power_w: float
    fan_power_w: float
    current_a: float
    cop_cooling: float
    cop_heating: float


def _heat(chain: Chain, march: March, evaporator: AirSide) -> _Heat:
    """Heat and power; both coefficients of performance count the fans."""
    power_w, fan_power_w = march.compressor.power_w, chain.condenser.fan_w + chain.evaporator.fan_w
    cooling_w, heating_w = march.low.evaporator.heat_w, -march.high.condenser.heat_w
    return {
        "cooling_w": cooling_w,
        "sensible_w": evaporator.sensible_w,
        "latent_w": evaporator.latent_w,
        "condensate_kg_per_s": evaporator.condensate_kg_per_s,
        "heating_w": heating_w,
        "compressor_power_w": power_w,
        "fan_power_w": fan_power_w,
        "current_a": motor_current_a(chain.compressor, power_w),
        "cop_cooling": cooling_w / (power_w + fan_power_w),
        "cop_heating": heating_w / (power_w + fan_power_w),
    }


class _Temperatures(TypedDict):
    superheat_k: float
    total_superheat_k: float
    subcooling_k: float
    evaporator_outlet_quality: float
    metering_inlet_quality: float
    discharge_temperature_k: float


def _temperatures(fluid: Fluid, march: March) -> _Temperatures:
    """Superheats and subcooling; none where liquid, or gas, is left."""
    high, low = march.high, march.low
    leaving = low.evaporator
    quality = (leaving.enthalpy_j_per_kg - low.evaporating.bubble_j_per_kg) / low.evaporating.latent_j_per_kg
    suction_k = fluid.temperature(march.suction, march.suction_enthalpy)
    entering = (high.liquid.enthalpy_j_per_kg - high.inlet.bubble_j_per_kg) / high.inlet.latent_j_per_kg
    return {
        "superheat_k": max(leaving.temperature_k - low.evaporating.dew_k, 0.0),
        "total_superheat_k": max(suction_k - march.suction.dew_k, 0.0),
        "subcooling_k": max(high.condensing.bubble_k - fluid.temperature(high.condensing, high.enthalpy), 0.0),
        "evaporator_outlet_quality": min(max(quality, 0.0), 1.0),
        "metering_inlet_quality": min(max(entering, 0.0), 1.0),
        "discharge_temperature_k": fluid.temperature(march.discharge, march.compressor.enthalpy_j_per_kg),
    }


def _glasses(
    bench: Bench, points: Mapping[str, State], line_up: LineUp, settings: Settings, fluid: Fluid
) -> dict[str, str]:
    left_behind = shut_in(settings, line_up)
    return {
        glass: _seen(fluid, points[pipe]) if pipe in points else (LIQUID if pipe in left_behind else VAPOUR)
        for glass, pipe in bench.sight_glasses.items()
    }


def _seen(fluid: Fluid, state: State) -> str:
    """What an eye makes of a state: by the volume that the vapour fills."""
    if state.quality is None:
        return LIQUID if state.phase == "liquid" else VAPOUR
    liquid = fluid.lines(min(state.pressure_pa, fluid.p_high_pa)).bubble_m3_per_kg
    filled = 1.0 - (1.0 - state.quality) * liquid / state.volume_m3_per_kg
    if filled < _SEEN_BUBBLES:
        return LIQUID
    return BUBBLES if filled < _SEEN_DROPS else VAPOUR


def _space_k(bench: Bench, settings: Settings, chain: Chain) -> float:
    """Where the thermostat hangs: in the space that is cooled, or heated."""
    side = chain.condenser if settings.reversing == HEATING else chain.evaporator
    return side.air.temperature_k


def _closure(loop: Loop, march: March) -> dict[str, float]:
    """How well mass and energy close: shares of the charge, of the electrical power, of the flow."""
    machine, high, low = march.compressor, march.high, march.low
    flow_left, _, condenser_left, charge_left = loop.left_over(march)
    taken_w = low.evaporator.heat_w + machine.power_w + low.line.heat_w
    given_w = machine.shell_heat_w - high.condenser.heat_w - high.line.heat_w - high.liquid.heat_w
    return {
        "charge": charge_left,
        "energy": (taken_w - given_w) / machine.power_w,
        "flow": flow_left * loop.flow_scale / march.flow,
        "condenser": condenser_left,
    }
