"""How the library answers the published worked examples of cycles, in one stage, two stages and a cascade."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hvacr_lab.cycle import (
    Cycle,
    StagedCycle,
    carnot_cop,
    cascade,
    clearance_volumetric_efficiency,
    measured_cycle,
    single_stage,
    two_stage,
)
from hvacr_lab.units import ICE_POINT_K

from .refrigerant_formulas import fluid
from .rows import Row

STANDARD_GRAVITY_M_PER_S2 = 9.80665


def cycle(row: Row) -> Cycle:
    """The cycle of a row: measured if it names a discharge temperature, else designed."""
    if "liquid_saturated_at_pa" in row.inputs or "discharge_temperature_c" in row.inputs:
        return _measured(row)
    return _designed(row, outlet_quality=1.0)


def _designed(row: Row, *, outlet_quality: float) -> Cycle:
    given = row.inputs
    known = fluid(row)
    sides = {}
    for side in ("evaporating", "condensing"):
        if f"{side}_pressure_pa" in given:
            sides[f"{side}_pressure_pa"] = given[f"{side}_pressure_pa"]
        else:
            sides[f"{side}_temperature_k"] = row.kelvin(f"{side}_temperature_c")
    return single_stage(
        known,
        **sides,
        temperature_convention="mean" if "averages" in row.convention else "dew",
        superheat_k=given.get("superheat_k", 0.0),
        subcooling_k=_subcooling_k(row, known),
        outlet_quality=outlet_quality,
        isentropic_efficiency=given.get("isentropic_efficiency", 1.0),
        mass_flow_kg_per_s=given.get("mass_flow_kg_s"),
        capacity_w=given.get("capacity_w", given.get("load_w")),
    )


def _subcooling_k(row: Row, known: Any) -> float:
    given = row.inputs
    if "liquid_temperature_c" in given:
        return float(known.bubble_temperature(given["condensing_pressure_pa"]) - row.kelvin("liquid_temperature_c"))
    return float(given.get("subcooling_k", given.get("liquid_enthalpy_corresponds_to_subcooling_k", 0.0)))


def _measured(row: Row) -> Cycle:
    given, known = row.inputs, fluid(row)
    saturated_pa = given.get("liquid_saturated_at_pa")
    optional = {
        "evaporator_outlet_pressure_pa": given.get("evaporator_outlet_pressure_pa"),
        "compressor_heat_loss_j_per_kg": given.get("compressor_heat_loss_j_kg", 0.0),
        "mass_flow_kg_per_s": given.get("mass_flow_kg_s"),
    }
    if "evaporator_outlet_temperature_c" in given:
        optional["evaporator_outlet_temperature_k"] = row.kelvin("evaporator_outlet_temperature_c")
    if "suction_volume_flow_m3_s" in given:
        optional |= {"displacement_m3_per_s": given["suction_volume_flow_m3_s"], "volumetric_efficiency": 1.0}
    return measured_cycle(
        known,
        suction_pressure_pa=given["suction_pressure_pa"],
        suction_temperature_k=row.kelvin("suction_temperature_c"),
        discharge_pressure_pa=given["discharge_pressure_pa"],
        discharge_temperature_k=row.kelvin("discharge_temperature_c"),
        liquid_pressure_pa=saturated_pa or given["liquid_pressure_pa"],
        liquid_temperature_k=known.bubble_temperature(saturated_pa)
        if saturated_pa
        else row.kelvin("liquid_temperature_c"),
        **optional,
    )


def dry_after_compression(row: Row) -> Cycle:
    """The cycle whose wet suction gas is compressed just onto the dew line."""
    known, dry = fluid(row), cycle(row)
    ends = known.state(pressure_pa=dry.condensing_pressure_pa, quality=1.0)
    starts = known.state(pressure_pa=dry.evaporating_pressure_pa, entropy_j_per_kg_k=ends.entropy_j_per_kg_k)
    return _designed(row, outlet_quality=starts.quality)


def staged(row: Row) -> StagedCycle:
    """The two-stage cycle of a row; without an intermediate temperature, at the geometric mean of the pressures."""
    given = row.inputs
    if "evaporating_pressure_pa" in given:
        levels = {name: given[name] for name in ("evaporating_pressure_pa", "condensing_pressure_pa")}
    else:
        levels = {
            f"{side}_temperature_k": row.kelvin(f"{side}_temperature_c")
            for side in ("evaporating", "intermediate", "condensing")
        }
    efficiency = given["isentropic_efficiency"]
    return two_stage(
        fluid(row),
        **levels,
        capacity_w=given["capacity_w"],
        low_stage_isentropic_efficiency=efficiency,
        high_stage_isentropic_efficiency=efficiency,
    )


def stacked(row: Row) -> StagedCycle:
    """The cascade of a row, whose circuits share the intermediate pressure."""
    given = row.inputs
    low = single_stage(
        fluid(row),
        evaporating_pressure_pa=given["low_pressure_pa"],
        condensing_pressure_pa=given["intermediate_pressure_pa"],
        isentropic_efficiency=given["isentropic_efficiency"],
    )
    high = single_stage(
        fluid(row),
        evaporating_pressure_pa=given["intermediate_pressure_pa"],
        condensing_pressure_pa=given["high_pressure_pa"],
        isentropic_efficiency=given["isentropic_efficiency"],
        mass_flow_kg_per_s=given["high_circuit_mass_flow_kg_s"],
    )
    return cascade(low, high)


def _carnot_cop(row: Row) -> float:
    given = row.inputs
    if "cold_temperature_k" in given:
        return carnot_cop(given["cold_temperature_k"], given.get("hot_temperature_k") or given["ambient_temperature_k"])
    return carnot_cop(row.kelvin("cold_temperature_c"), row.kelvin("hot_temperature_c"))


def _lorenz_cop(row: Row) -> float:
    """Carnot between the mean temperatures of two gliding streams."""
    half = row.inputs["glide_each_side_k"] / 2.0
    return carnot_cop(row.inputs["refrigerated_temperature_k"] - half, row.inputs["ambient_temperature_k"] + half)


def _part_of_carnot(row: Row) -> float:
    best = carnot_cop(row.kelvin("evaporating_temperature_c"), row.kelvin("condensing_temperature_c"))
    return cycle(row).cop_cooling / best


def _sign_of_heat_exchanger(row: Row) -> float:
    """+1 if suction gas warmed by the liquid up to its temperature cools more for each cubic metre of suction gas.

    The source names no temperatures; -20 and 40 C are those of SOURCES.md.
    """
    known = fluid(row)
    plain = single_stage(known, evaporating_temperature_k=253.15, condensing_temperature_k=313.15)
    gas_in, liquid_in = plain.compressor_inlet, plain.expansion_inlet
    gas_out = known.state(pressure_pa=gas_in.pressure_pa, temperature_k=liquid_in.temperature_k)
    liquid_out_j_per_kg = liquid_in.enthalpy_j_per_kg - (gas_out.enthalpy_j_per_kg - gas_in.enthalpy_j_per_kg)
    with_exchanger = (gas_in.enthalpy_j_per_kg - liquid_out_j_per_kg) / gas_out.volume_m3_per_kg
    return 1.0 if with_exchanger > plain.volumetric_cooling_capacity_j_per_m3 else -1.0


def _evaporator_mass_flow(row: Row) -> float:
    """Heat taken up between liquid and gas of given temperatures, both at saturation pressure or above."""
    known = fluid(row)
    low_pa = known.dew_pressure(row.kelvin("refrigerant_evaporating_temperature_c"))
    gas = known.state(pressure_pa=low_pa, temperature_k=row.kelvin("vapour_temperature_c"))
    liquid = known.state(temperature_k=row.kelvin("liquid_temperature_c"), quality=0.0)
    return float(row.inputs["capacity_w"] / (gas.enthalpy_j_per_kg - liquid.enthalpy_j_per_kg))


def _liquid_lift_m(row: Row) -> float:
    known = fluid(row)
    spare_pa = known.bubble_pressure(row.kelvin("condensing_temperature_c")) - known.bubble_pressure(
        row.kelvin("liquid_temperature_c")
    )
    return float(spare_pa / (row.inputs["liquid_density_kg_m3"] * STANDARD_GRAVITY_M_PER_S2))


def _suction(row: Row, temperature: str) -> Any:
    known = fluid(row)
    low_pa = known.dew_pressure(row.kelvin("evaporating_temperature_c"))
    return known.state(pressure_pa=low_pa, temperature_k=row.kelvin(temperature))


def _cooler_suction_mass_flow_ratio(row: Row) -> float:
    warm, cool = _suction(row, "rating_suction_temperature_c"), _suction(row, "actual_suction_temperature_c")
    return float(warm.volume_m3_per_kg / cool.volume_m3_per_kg)


def _corrected_capacity_w(row: Row, counted_from: str) -> float:
    """Rated capacity carried over to other suction gas and other liquid; the compressor moves the same volume."""
    known, given = fluid(row), row.inputs
    rated, actual = _suction(row, "rating_suction_temperature_c"), _suction(row, "suction_temperature_c")
    saturated = known.state(temperature_k=row.kelvin("condensing_temperature_c"), quality=0.0)
    liquid = known.state(temperature_k=row.kelvin("liquid_temperature_c"), quality=0.0)
    rated_effect = rated.enthalpy_j_per_kg - saturated.enthalpy_j_per_kg
    effect = _suction(row, counted_from).enthalpy_j_per_kg - liquid.enthalpy_j_per_kg
    flow_ratio = rated.volume_m3_per_kg / actual.volume_m3_per_kg
    return float(given["rated_capacity_w"] * flow_ratio * effect / rated_effect)


def _clearance_efficiency(row: Row, compression_ratio: float) -> float:
    given = row.inputs
    return clearance_volumetric_efficiency(given["clearance_fraction"], compression_ratio, given["polytropic_exponent"])


def _displacement_per_revolution_m3(row: Row) -> float:
    plain = cycle(row)
    sized = plain.suction_volume_flow_m3_per_s / _clearance_efficiency(row, plain.compression_ratio)
    return sized / (row.inputs["speed_rpm"] / 60.0)


def _work_saved(row: Row) -> float:
    """Power that a single stage needs more, as a part of the two-stage power: so the source counts it."""
    return staged(row).cop_cooling / cycle(row).cop_cooling - 1.0


CycleFigure = Callable[[Cycle], float]

_OF_A_CYCLE: dict[str, CycleFigure] = {
    "compression_work": lambda cycle: cycle.specific_work_j_per_kg,
    "compressor_power": lambda cycle: cycle.power_w,
    "condensing_pressure": lambda cycle: cycle.condensing_pressure_pa,
    "cooling_capacity": lambda cycle: cycle.capacity_w,
    "cop": lambda cycle: cycle.cop_cooling,
    "discharge_enthalpy": lambda cycle: cycle.compressor_outlet.enthalpy_j_per_kg,
    "discharge_temperature": lambda cycle: cycle.discharge_temperature_k - ICE_POINT_K,
    "evaporating_pressure": lambda cycle: cycle.evaporating_pressure_pa,
    "flash_gas_fraction": lambda cycle: cycle.flash_gas_fraction,
    "heat_rejected": lambda cycle: cycle.heat_rejected_w,
    "isentropic_efficiency": lambda cycle: cycle.isentropic_efficiency,
    "mass_flow": lambda cycle: cycle.mass_flow_kg_per_s,
    "net_refrigerating_effect": lambda cycle: cycle.refrigeration_effect_j_per_kg,
    "pressure_ratio": lambda cycle: cycle.compression_ratio,
    "quality_after_expansion": lambda cycle: cycle.flash_gas_fraction,
    "refrigerating_effect": lambda cycle: cycle.refrigeration_effect_j_per_kg,
    "suction_enthalpy": lambda cycle: cycle.compressor_inlet.enthalpy_j_per_kg,
    "suction_entropy": lambda cycle: cycle.compressor_inlet.entropy_j_per_kg_k,
    "suction_specific_volume": lambda cycle: cycle.compressor_inlet.volume_m3_per_kg,
    "suction_volume_flow": lambda cycle: cycle.suction_volume_flow_m3_per_s,
    "theoretical_cop": lambda cycle: cycle.cop_cooling,
}

_WET: dict[str, CycleFigure] = {
    "cop_dry_saturated_after_compression": lambda cycle: cycle.cop_cooling,
    "cop_dry_saturated_after_compression_20k_subcooled": lambda cycle: cycle.cop_cooling,
    "ideal_cop_dry_saturated_after_compression": lambda cycle: cycle.cop_cooling,
    "mass_flow_for_ice_load": lambda cycle: cycle.mass_flow_kg_per_s,
    "refrigerating_capacity": lambda cycle: cycle.capacity_w,
}

_HEAT_PUMP: dict[str, CycleFigure] = {
    "compressor_power": lambda cycle: cycle.power_w,
    "cop_heating": lambda cycle: cycle.cop_heating,
    "heating_capacity": lambda cycle: cycle.heat_rejected_w,
    "isentropic_efficiency": lambda cycle: cycle.isentropic_efficiency,
}

_OF_TWO_STAGES: dict[str, Callable[[StagedCycle], float]] = {
    "cop": lambda both: both.cop_cooling,
    "flash_quality": lambda both: both.high.flash_gas_fraction,
    "high_stage_discharge_temperature": lambda both: both.high.discharge_temperature_k - ICE_POINT_K,
    "high_stage_mass_flow": lambda both: both.high.mass_flow_kg_per_s,
    "high_stage_power": lambda both: both.high.power_w,
    "intermediate_pressure": lambda both: both.low.condensing_pressure_pa,
    "low_stage_mass_flow": lambda both: both.low.mass_flow_kg_per_s,
    "low_stage_power": lambda both: both.low.power_w,
    "total_compressor_power": lambda both: both.power_w,
}

_OF_A_CASCADE: dict[str, Callable[[StagedCycle], float]] = {
    "cooling_capacity": lambda both: both.capacity_w,
    "cop": lambda both: both.cop_cooling,
    "low_circuit_mass_flow": lambda both: both.low.mass_flow_kg_per_s,
}


def _asked_of(topic: str, figures: dict[str, Any], build: Callable[[Row], Any]) -> dict[tuple[str, str], Any]:
    return {(topic, quantity): _then(build, figure) for quantity, figure in figures.items()}


def _then(build: Callable[[Row], Any], figure: Callable[[Any], float]) -> Callable[[Row], float]:
    return lambda row: figure(build(row))


FORMULAS: dict[tuple[str, str], Callable[[Row], Any]] = {
    **_asked_of("cycle", _OF_A_CYCLE, cycle),
    **_asked_of("cycle", _WET, dry_after_compression),
    **_asked_of("heat_pump", _HEAT_PUMP, cycle),
    **_asked_of("two_stage", _OF_TWO_STAGES, staged),
    **_asked_of("cascade", _OF_A_CASCADE, stacked),
    ("cycle", "carnot_cop_refrigeration"): _carnot_cop,
    ("cycle", "carnot_power"): lambda row: row.inputs["heat_removed_w"] / _carnot_cop(row),
    ("cycle", "carnot_work_input"): lambda row: row.inputs["refrigeration_load_j"] / _carnot_cop(row),
    ("cycle", "lorenz_cop"): _lorenz_cop,
    ("cycle", "lorenz_work_input"): lambda row: row.inputs["refrigeration_load_j"] / _lorenz_cop(row),
    ("cycle", "power_at_one_third_of_carnot"): lambda row: (
        row.inputs["heat_leak_w"] / (row.inputs["fraction_of_carnot"] * _carnot_cop(row))
    ),
    ("cycle", "refrigerating_efficiency_vs_carnot"): _part_of_carnot,
    ("cycle", "refrigerant_mass_flow"): _evaporator_mass_flow,
    ("cycle", "permissible_liquid_lift"): _liquid_lift_m,
    ("cycle", "sign_of_capacity_change_with_liquid_suction_heat_exchanger"): _sign_of_heat_exchanger,
    ("heat_pump", "carnot_cop_heating"): lambda row: _carnot_cop(row) + 1.0,
    ("two_stage", "single_stage_cop"): lambda row: cycle(row).cop_cooling,
    ("two_stage", "work_saving_fraction_single_vs_two_stage"): _work_saved,
    ("cascade", "low_circuit_carnot_bound"): lambda row: carnot_cop(
        row.kelvin("evaporating_temperature_c"), row.kelvin("condensing_temperature_c")
    ),
    ("compressor", "mass_flow_ratio_for_cooler_suction"): _cooler_suction_mass_flow_ratio,
    ("compressor", "capacity_corrected_for_suction_temperature"): lambda row: _corrected_capacity_w(
        row, "suction_temperature_c"
    ),
    ("compressor", "capacity_with_5k_subcooling"): lambda row: _corrected_capacity_w(row, "suction_temperature_c"),
    ("compressor", "useful_evaporator_capacity"): lambda row: _corrected_capacity_w(
        row, "evaporator_outlet_temperature_c"
    ),
    ("compressor", "clearance_volumetric_efficiency"): lambda row: _clearance_efficiency(
        row, row.inputs["pressure_ratio"]
    ),
    ("compressor", "displacement_per_revolution"): _displacement_per_revolution_m3,
}
