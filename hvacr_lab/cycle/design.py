"""A single-stage cycle from what a designer chooses."""

from __future__ import annotations

from dataclasses import replace

from hvacr_lab.cycle.inputs import checked, known_refrigerant, mass_flow_and_displacement, one_number, one_of_two
from hvacr_lab.cycle.notes import notes_on
from hvacr_lab.cycle.points import Cycle
from hvacr_lab.cycle.steps import CONVENTIONS, SATURATED_K, compressed, condensing_pressure_pa, evaporating_pressure_pa
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.states import State
from hvacr_lab.units import ICE_POINT_K


def single_stage(
    refrigerant: Refrigerant | str,
    *,
    evaporating_temperature_k: float | None = None,
    evaporating_pressure_pa: float | None = None,
    condensing_temperature_k: float | None = None,
    condensing_pressure_pa: float | None = None,
    temperature_convention: str = "dew",
    superheat_k: float = 0.0,
    outlet_quality: float = 1.0,
    suction_line_temperature_rise_k: float = 0.0,
    subcooling_k: float = 0.0,
    isentropic_efficiency: float = 1.0,
    compressor_heat_loss_j_per_kg: float = 0.0,
    suction_line_pressure_drop_pa: float = 0.0,
    discharge_line_pressure_drop_pa: float = 0.0,
    liquid_line_pressure_drop_pa: float = 0.0,
    mass_flow_kg_per_s: float | None = None,
    capacity_w: float | None = None,
    displacement_m3_per_s: float | None = None,
    volumetric_efficiency: float | None = None,
) -> Cycle:
    """Work out a single-stage cycle from design values.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    evaporating_temperature_k, evaporating_pressure_pa : float [K], [Pa absolute], one of the two
    condensing_temperature_k, condensing_pressure_pa : float [K], [Pa absolute], one of the two
    temperature_convention : what the temperatures of a blend mean: "dew" (both are dew temperatures), "dew-bubble"
        (condensing is the bubble temperature), "mean" (evaporating: of inlet and dew; condensing: of both ends)
    superheat_k : float [K], at the evaporator outlet, above the dew point
    outlet_quality : float, vapour part of the mass at the evaporator outlet; below 1 liquid is left
    suction_line_temperature_rise_k : float [K], from the evaporator to the compressor
    subcooling_k : float [K], at the condenser outlet, below the bubble point
    isentropic_efficiency : float, 0 ... 1
    compressor_heat_loss_j_per_kg : float [J/kg], through the shell
    suction_line_pressure_drop_pa, discharge_line_pressure_drop_pa, liquid_line_pressure_drop_pa : float [Pa]
    mass_flow_kg_per_s, capacity_w : float [kg/s], [W of cooling], at most one of the two
    displacement_m3_per_s, volumetric_efficiency : float [m3/s], 0 ... 1, for the flow or to go with it

    Returns
    -------
    Cycle

    Raises
    ------
    NotUsable : text, NaN; too little or too much is given
    OutOfRange : evaporating above condensing; outside the refrigerant's limits; negative superheat or subcooling

    Source
    ------
    Standard vapour-compression cycle, ASHRAE Fundamentals 2021, ch. 2; constant enthalpy in expansion device and lines.

    Examples
    --------
    >>> cycle = single_stage(
    ...     "R-134a",
    ...     evaporating_temperature_k=253.15,
    ...     condensing_temperature_k=303.15,
    ...     capacity_w=50e3,
    ... )
    >>> round(cycle.cop_cooling, 2), round(cycle.mass_flow_kg_per_s, 3)
    (3.97, 0.345)
    """
    given = checked(
        superheat_k=superheat_k,
        outlet_quality=outlet_quality,
        suction_line_temperature_rise_k=suction_line_temperature_rise_k,
        subcooling_k=subcooling_k,
        isentropic_efficiency=isentropic_efficiency,
        compressor_heat_loss_j_per_kg=compressor_heat_loss_j_per_kg,
        suction_line_pressure_drop_pa=suction_line_pressure_drop_pa,
        discharge_line_pressure_drop_pa=discharge_line_pressure_drop_pa,
        liquid_line_pressure_drop_pa=liquid_line_pressure_drop_pa,
        mass_flow_kg_per_s=mass_flow_kg_per_s,
        capacity_w=capacity_w,
        displacement_m3_per_s=displacement_m3_per_s,
        volumetric_efficiency=volumetric_efficiency,
    )
    fluid = known_refrigerant(refrigerant)
    high = _high_side(fluid, condensing_temperature_k, condensing_pressure_pa, temperature_convention, given)
    low = _low_side(fluid, evaporating_temperature_k, evaporating_pressure_pa, temperature_convention, given, high)
    return _joined(fluid, low, high, given)


def _high_side(
    fluid: Refrigerant, temperature_k: float | None, pressure_pa: float | None, convention: str, given: dict[str, float]
) -> tuple[State, State]:
    """Condenser outlet and expansion inlet."""
    one_of_two("condensing", temperature_k, pressure_pa)
    if convention not in CONVENTIONS:
        raise UnknownName("temperature convention", convention, CONVENTIONS)
    if temperature_k is not None:
        pressure_pa = condensing_pressure_pa(fluid, temperature_k, convention)
    outlet = _subcooled(fluid, _pressure(pressure_pa, "condensing pressure"), given["subcooling_k"])
    return outlet, _after_drop(fluid, outlet, given["liquid_line_pressure_drop_pa"], "liquid line")


def _low_side(
    fluid: Refrigerant,
    temperature_k: float | None,
    pressure_pa: float | None,
    convention: str,
    given: dict[str, float],
    high: tuple[State, State],
) -> tuple[State, State, State]:
    """Evaporator inlet and outlet, compressor inlet."""
    one_of_two("evaporating", temperature_k, pressure_pa)
    condenser_outlet, liquid = high
    if temperature_k is not None:
        _refuse_warm_evaporator(temperature_k, fluid.dew_temperature(condenser_outlet.pressure_pa))
        pressure_pa = evaporating_pressure_pa(fluid, temperature_k, convention, liquid.enthalpy_j_per_kg)
    pressure = _pressure(pressure_pa, "evaporating pressure")
    if pressure >= liquid.pressure_pa:
        hint = "That is the pressure before the expansion device. Were the two sides mixed up?"
        raise OutOfRange("evaporating pressure", pressure, "Pa", high=liquid.pressure_pa, hint=hint)
    inlet = fluid.state(pressure_pa=pressure, enthalpy_j_per_kg=liquid.enthalpy_j_per_kg)
    outlet = _evaporated(fluid, pressure, given["superheat_k"], given["outlet_quality"])
    return inlet, outlet, _after_suction_line(fluid, outlet, given)


def _refuse_warm_evaporator(evaporating_k: float, condensing_k: float) -> None:
    if one_number(evaporating_k, "evaporating temperature") >= condensing_k:
        hint = (
            f"It condenses at {condensing_k - ICE_POINT_K:.1f} °C and would evaporate at "
            f"{evaporating_k - ICE_POINT_K:.1f} °C. Were the two sides mixed up?"
        )
        raise OutOfRange("evaporating temperature", evaporating_k, "K", high=condensing_k, hint=hint)


def _joined(
    fluid: Refrigerant, low: tuple[State, State, State], high: tuple[State, State], given: dict[str, float]
) -> Cycle:
    """The compressor between the two sides, the flow through all of it, and what is to be said about it."""
    (evaporator_inlet, evaporator_outlet, suction), (condenser_outlet, liquid) = low, high
    discharge_pressure = condenser_outlet.pressure_pa + given["discharge_line_pressure_drop_pa"]
    heat_loss = given["compressor_heat_loss_j_per_kg"]
    discharge, isentropic_work = compressed(
        fluid, suction, discharge_pressure, given["isentropic_efficiency"], heat_loss
    )
    effect = evaporator_outlet.enthalpy_j_per_kg - evaporator_inlet.enthalpy_j_per_kg
    flow, displacement = mass_flow_and_displacement(given, effect, suction.volume_m3_per_kg)
    cycle = Cycle(
        refrigerant=fluid,
        evaporator_inlet=evaporator_inlet,
        evaporator_outlet=evaporator_outlet,
        compressor_inlet=suction,
        compressor_outlet=discharge,
        condenser_inlet=_after_drop(fluid, discharge, given["discharge_line_pressure_drop_pa"], "discharge line"),
        condenser_outlet=condenser_outlet,
        expansion_inlet=liquid,
        isentropic_work_j_per_kg=isentropic_work,
        compressor_heat_loss_j_per_kg=heat_loss,
        known_mass_flow_kg_per_s=flow,
        known_displacement_m3_per_s=displacement,
    )
    return replace(cycle, notes=notes_on(cycle))


def _pressure(value: float | None, quantity: str) -> float:
    assert value is not None, "one_of_two has seen to it"
    return one_number(value, quantity)


def _subcooled(fluid: Refrigerant, pressure_pa: float, subcooling_k: float) -> State:
    if subcooling_k <= SATURATED_K:
        return fluid.state(pressure_pa=pressure_pa, quality=0.0)
    return fluid.state(pressure_pa=pressure_pa, temperature_k=fluid.bubble_temperature(pressure_pa) - subcooling_k)


def _evaporated(fluid: Refrigerant, pressure_pa: float, superheat_k: float, quality: float) -> State:
    if superheat_k <= SATURATED_K:
        return fluid.state(pressure_pa=pressure_pa, quality=quality)
    if quality < 1.0:
        hint = "Liquid at the outlet means superheat 0."
        raise NotUsable(
            "quality at the evaporator outlet", quality, f"a superheat of {superheat_k} K is given", hint=hint
        )
    return fluid.state(pressure_pa=pressure_pa, temperature_k=fluid.dew_temperature(pressure_pa) + superheat_k)


def _after_suction_line(fluid: Refrigerant, outlet: State, given: dict[str, float]) -> State:
    """Pressure lost at constant enthalpy, then warmed up."""
    state = _after_drop(fluid, outlet, given["suction_line_pressure_drop_pa"], "suction line")
    rise = given["suction_line_temperature_rise_k"]
    if rise == 0.0:
        return state
    if given["outlet_quality"] < 1.0:
        why = "liquid in the line takes up heat without getting warmer"
        raise NotUsable(
            "temperature rise in the suction line", rise, why, hint="Leave it out where outlet_quality < 1."
        )
    return fluid.state(pressure_pa=state.pressure_pa, temperature_k=outlet.temperature_k + rise)


def _after_drop(fluid: Refrigerant, state: State, drop_pa: float, line: str) -> State:
    """Friction takes pressure, not enthalpy."""
    if drop_pa == 0.0:
        return state
    if drop_pa >= state.pressure_pa:
        raise OutOfRange(f"pressure drop in the {line}", drop_pa, "Pa", high=state.pressure_pa)
    return fluid.state(pressure_pa=state.pressure_pa - drop_pa, enthalpy_j_per_kg=state.enthalpy_j_per_kg)
