"""How the library answers the published figures about refrigerants: saturation, states, safety classes, warming."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hvacr_lab.cycle import single_stage
from hvacr_lab.refrigerants import refrigerant
from hvacr_lab.units import ICE_POINT_K, STANDARD_ATMOSPHERE_PA

from .rows import Row

COLD_ZERO_K = 233.15
# saturated liquid at -40 C is the zero of enthalpy and entropy in older tables
TABLE_8_CONDENSING_K = 303.15
# condensing temperature of ASHRAE Fundamentals 2021, ch. 29, Table 8


def fluid(row: Row) -> Any:
    """The refrigerant of a row; the exact equations for what lies nearer to the critical point than the tables go."""
    known = refrigerant(row.refrigerant)
    hottest = max((row.kelvin(name) for name in row.inputs if name.startswith("condensing_temperature")), default=0.0)
    return known.exact() if hottest > known.limits.dew_temperature_k[1] else known


def _saturated(row: Row, quality: float) -> Any:
    """State on a saturation line at the one temperature or pressure of the inputs."""
    known = fluid(row)
    for name, value in row.inputs.items():
        if name.endswith("temperature_c"):
            return known.state(temperature_k=value + ICE_POINT_K, quality=quality)
        if name.endswith("pressure_pa"):
            return known.state(pressure_pa=value, quality=quality)
    raise AssertionError(f"{row.id}: neither temperature nor pressure")


def bubble(row: Row) -> Any:
    """Saturated liquid of a row."""
    return _saturated(row, 0.0)


def dew(row: Row) -> Any:
    """Saturated vapour of a row."""
    return _saturated(row, 1.0)


def superheated(row: Row) -> Any:
    """Vapour at the pressure and temperature of a row."""
    return fluid(row).state(pressure_pa=row.inputs["pressure_pa"], temperature_k=row.kelvin("temperature_c"))


def gas_at_evaporating_pressure(row: Row) -> Any:
    """Vapour warmed up at the pressure that belongs to an evaporating (dew) temperature."""
    known = fluid(row)
    pressure_pa = known.dew_pressure(row.kelvin("evaporating_temperature_c"))
    return known.state(pressure_pa=pressure_pa, temperature_k=row.kelvin("vapour_temperature_c"))


def on_its_zero(row: Row, state: Any, what: str) -> float:
    """Enthalpy or entropy of a state counted from the zero that the source uses."""
    if not row.convention.startswith(("h=0", "s=0")):
        return float(getattr(state, what))
    zero = fluid(row).state(temperature_k=COLD_ZERO_K, quality=0.0)
    return float(getattr(state, what) - getattr(zero, what))


def _evaporator_pressure_pa(row: Row) -> float:
    if "averages" not in row.convention:
        return float(dew(row).pressure_pa)
    cycle = single_stage(
        row.refrigerant,
        evaporating_temperature_k=row.kelvin("evaporating_temperature_c"),
        condensing_temperature_k=TABLE_8_CONDENSING_K,
        temperature_convention="mean",
    )
    return cycle.evaporating_pressure_pa


def _enthalpy_difference_j_per_kg(row: Row) -> float:
    known, pressure_pa = fluid(row), row.inputs["pressure_pa"]
    ends = [known.enthalpy_pt(pressure_pa, row.kelvin(f"temperature_{end}_c")) for end in ("from", "to")]
    return float(ends[1] - ends[0])


def _gwp(edition: str) -> Callable[[Row], float]:
    return lambda row: float(refrigerant(row.refrigerant).gwp(edition))


H, S = "enthalpy_j_per_kg", "entropy_j_per_kg_k"

FORMULAS: dict[tuple[str, str], Callable[[Row], Any]] = {
    ("saturation", "bubble_pressure"): lambda row: bubble(row).pressure_pa,
    ("saturation", "critical_temperature"): lambda row: fluid(row).critical_temperature_k - ICE_POINT_K,
    ("saturation", "density_saturated_liquid"): lambda row: bubble(row).density_kg_per_m3,
    ("saturation", "density_saturated_vapour"): lambda row: dew(row).density_kg_per_m3,
    ("saturation", "dew_temperature_at_1_atm"): lambda row: dew(row).temperature_k - ICE_POINT_K,
    ("saturation", "enthalpy_saturated_liquid"): lambda row: on_its_zero(row, bubble(row), H),
    ("saturation", "enthalpy_saturated_vapour"): lambda row: on_its_zero(row, dew(row), H),
    ("saturation", "entropy_of_evaporation"): lambda row: dew(row).entropy_j_per_kg_k - bubble(row).entropy_j_per_kg_k,
    ("saturation", "entropy_saturated_vapour"): lambda row: on_its_zero(row, dew(row), S),
    ("saturation", "evaporator_pressure"): _evaporator_pressure_pa,
    ("saturation", "glide_at_1_atm"): lambda row: fluid(row).glide(STANDARD_ATMOSPHERE_PA),
    ("saturation", "latent_heat"): lambda row: dew(row).enthalpy_j_per_kg - bubble(row).enthalpy_j_per_kg,
    ("saturation", "normal_boiling_point"): lambda row: bubble(row).temperature_k - ICE_POINT_K,
    ("saturation", "partial_pressure_non_condensables"): lambda row: (
        row.inputs["observed_pressure_pa"] - fluid(row).bubble_pressure(row.kelvin("ambient_temperature_c"))
    ),
    ("saturation", "saturation_pressure"): lambda row: dew(row).pressure_pa,
    ("saturation", "saturation_pressure_vapour"): lambda row: dew(row).pressure_pa,
    ("saturation", "saturation_temperature"): lambda row: dew(row).temperature_k - ICE_POINT_K,
    ("saturation", "specific_volume_saturated_liquid"): lambda row: bubble(row).volume_m3_per_kg,
    ("saturation", "specific_volume_saturated_vapour"): lambda row: dew(row).volume_m3_per_kg,
    ("capillary", "outlet_saturation_temperature"): lambda row: dew(row).temperature_k - ICE_POINT_K,
    ("state", "density_superheated"): lambda row: superheated(row).density_kg_per_m3,
    ("state", "enthalpy_difference_superheated"): _enthalpy_difference_j_per_kg,
    ("state", "enthalpy_superheated"): lambda row: on_its_zero(row, superheated(row), H),
    ("state", "enthalpy_superheated_vapour"): lambda row: gas_at_evaporating_pressure(row).enthalpy_j_per_kg,
    ("state", "entropy_superheated"): lambda row: on_its_zero(row, superheated(row), S),
    ("state", "specific_enthalpy"): lambda row: on_its_zero(row, superheated(row), H),
    ("state", "specific_volume_superheated"): lambda row: superheated(row).volume_m3_per_kg,
    ("state", "suction_specific_volume"): lambda row: gas_at_evaporating_pressure(row).volume_m3_per_kg,
    ("safety_gwp", "gwp100_ar4"): _gwp("AR4"),
    ("safety_gwp", "gwp100_ar5"): _gwp("AR5"),
    ("safety_gwp", "gwp100_ar6"): _gwp("AR6"),
    ("safety_gwp", "safety_group"): lambda row: refrigerant(row.refrigerant).safety_class,
}
