"""Rows that are not used, and rows that disagree: each with its reason. No row leaves the table.

A row that begins to agree, or that could be computed, makes a test fail: then it moves.
"""

from __future__ import annotations

_CURVE = "empirical curve of whole machines; the library holds no such curve"
_MEASURED_MACHINE = "measurement of a whole machine: sign and rough size for the bench model, no figure to compute"
_CHARGE_RULE = "rule for the largest charge: comes with the lesson on charge"
_EXPANSION_DEVICE = "capillary tube or valve: tests/bench uses it where the row states enough"
_ARITHMETIC = "arithmetic on printed figures only: no function of the library takes part"
_TEN_COEFFICIENTS = "ten-coefficient compressor curve: tests/bench/test_compressor.py uses it"
_ABOVE_RANGE = "200 C: moist_air answers from -40 to 60 C"

UNUSED_TOPICS: dict[str, str] = {
    "heat_transfer": "heat transfer, transport properties, void fraction: tests/bench uses what the bench has",
    "charge": _MEASURED_MACHINE,
}
"""Topic -> why none of its rows can be computed; a reason below for a quantity comes first."""

UNUSED_QUANTITIES: dict[tuple[str, str], str] = {
    ("capillary", "factory_superheat_setting"): _EXPANSION_DEVICE,
    ("capillary", "fraction_of_data_within_10_percent"): _EXPANSION_DEVICE,
    ("capillary", "fraction_of_data_within_15_percent"): _EXPANSION_DEVICE,
    ("capillary", "mass_flow"): _EXPANSION_DEVICE,
    ("capillary", "measured_mass_flow_highest"): _EXPANSION_DEVICE,
    ("capillary", "measured_mass_flow_lowest"): _EXPANSION_DEVICE,
    ("capillary", "superheat_dry_expansion_gravity_coil"): _EXPANSION_DEVICE,
    ("capillary", "superheat_forced_air_evaporator"): _EXPANSION_DEVICE,
    ("capillary", "txv_static_superheat"): _EXPANSION_DEVICE,
    ("capillary", "typical_condensing_temperature_range"): _EXPANSION_DEVICE,
    ("capillary", "typical_inner_diameter_range"): _EXPANSION_DEVICE,
    ("cascade", "overall_cop_measured"): _MEASURED_MACHINE,
    ("charge", "charge_above_which_room_volume_counts"): _CHARGE_RULE,
    ("charge", "charge_without_room_limit"): _CHARGE_RULE,
    ("charge", "cooling_capacity_ratio_at_charge_fault"): _CURVE,
    ("charge", "maximum_charge_from_room_volume"): _CHARGE_RULE,
    ("charge", "maximum_charge_in_room"): _CHARGE_RULE,
    ("charge", "power_ratio_at_charge_fault"): _CURVE,
    ("charge", "practical_limit"): _CHARGE_RULE,
    ("charge", "r290_limit_standard_split"): _CHARGE_RULE,
    ("compressor", "capacity_from_10_coefficients"): _TEN_COEFFICIENTS,
    ("compressor", "power_from_10_coefficients"): _TEN_COEFFICIENTS,
    ("heat_pump", "ac_capacity_flow_modifier"): _CURVE,
    ("heat_pump", "ac_energy_input_ratio_flow_modifier"): _CURVE,
    ("heat_pump", "ac_energy_input_ratio_modifier"): _CURVE,
    ("heat_pump", "capacity_change_condenser_fins_flattened"): _MEASURED_MACHINE,
    ("heat_pump", "cop_clean_room_air_conditioner"): _MEASURED_MACHINE,
    ("heat_pump", "cop_generic_unit"): _CURVE,
    ("heat_pump", "cop_ratio_evaporator_fouled"): _MEASURED_MACHINE,
    ("heat_pump", "cop_regression_air"): _CURVE,
    ("heat_pump", "cop_regression_ground"): _CURVE,
    ("heat_pump", "heat_pump_cooling_capacity_modifier"): _CURVE,
    ("heat_pump", "heat_pump_cooling_energy_input_ratio_modifier"): _CURVE,
    ("heat_pump", "heat_pump_heating_capacity_modifier"): _CURVE,
    ("heat_pump", "heat_pump_heating_energy_input_ratio_modifier"): _CURVE,
    ("heat_pump", "heating_capacity_modifier_at_minus_8"): _CURVE,
    ("heat_pump", "part_load_fraction_at_half_load"): _CURVE,
    ("heat_pump", "power_change_at_reduced_evaporator_airflow"): _MEASURED_MACHINE,
    ("heat_pump", "seasonal_efficiency_change_condenser_fins_flattened"): _MEASURED_MACHINE,
    ("moist_air", "infiltration_latent_heat"): _ARITHMETIC,
    ("moist_air", "supply_air_flow_for_sensible_load"): _ARITHMETIC,
    ("moist_air", "supply_humidity_ratio"): _ARITHMETIC,
    ("moist_air", "wet_bulb"): _ABOVE_RANGE,
    ("safety_gwp", "gwp100_calm_2015"): "warming potential after single authors: the library holds the IPCC's",
    ("safety_gwp", "odp_montreal"): "ozone depletion potential: not in the library's table",
    ("units", "cop_from_power_per_tonne"): _ARITHMETIC,
    ("units", "dry_air_density_at_altitude"): "57.5 kPa: moist_air answers from 60 to 110 kPa",
    ("units", "ice_making_rate"): "making of ice: the library knows no ice",
    ("units", "power_for_12_tonnes"): _ARITHMETIC,
    ("units", "refrigeration_load_of_ice_plant"): "making of ice: the library knows no ice",
}
"""(topic, quantity) -> why its rows cannot be computed."""

UNUSED_ROWS: dict[str, str] = {
    "AIR-051": _ABOVE_RANGE,
    "AIR-052": _ABOVE_RANGE,
}
"""Row -> why it cannot be computed although its quantity can."""

_OLD_LIQUID = (
    "the source's older property formulation lies about 0.65 kJ/kg higher near 33-35 C (equal to about 0.45 K)"
)
_MEAN_TEMPERATURE = (
    "the printed evaporating temperature is probably a mean or bubble temperature, not the dew point; "
    "the refrigerant itself is inferred"
)
_CHART_ENTHALPY = "discharge enthalpy read from a chart and rounded to 372 kJ/kg"
_OLD_CO2 = "old CO2 tables (latent heat at 25 bar 252.9 against 263.7 kJ/kg)"
_TRANSPOSED = "the source takes 0.033363 bar for the saturation pressure at 26 C, probably transposed digits (0.03363)"
_SUCTION_VOLUME = (
    "the printed suction volume 0.0703 m3/kg belongs to about 2.5 bar (0.0734 at the stated 2.4 bar, 0 C); "
    "COP and efficiency of the same example agree"
)
_INTERPOLATED = (
    "the handbook's linearly interpolated low-stage discharge state (2.8 C, 401.51 kJ/kg) lies too low; with the state "
    "equation it is 4.4 C and the low-stage work 15.97 instead of 14.96 kJ/kg"
)

DISAGREES: dict[str, str] = {
    "SAT-054": _OLD_LIQUID,
    "STA-002": _MEAN_TEMPERATURE,
    "STA-003": _MEAN_TEMPERATURE,
    "STA-053": "probable digit misprint on the page; the other volumes of this table lie within 0.3 %",
    "CYC-119": _CHART_ENTHALPY,
    "CYC-121": _CHART_ENTHALPY,
    "CYC-125": _OLD_CO2,
    "CYC-126": _OLD_CO2,
    "AIR-085": _TRANSPOSED,
    "GWP-025": "printed so, but IPCC AR5 Table 8.A.1 has 10 200 (row GWP-059), which the library holds",
    "HPU-001": _SUCTION_VOLUME,
    "HPU-002": _SUCTION_VOLUME,
    "TWO-002": _INTERPOLATED,
    "TWO-003": _INTERPOLATED,
    "TWO-005": _INTERPOLATED,
}
"""Row -> why the published figure and ours differ by more than the tolerance of the row."""
