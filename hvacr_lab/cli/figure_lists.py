"""Which figures `properties` and `cycle` show, in which order, and what each one means."""

from __future__ import annotations

from hvacr_lab.cli.figures import Figure

P, DP, T, DT = "pressure", "pressure difference", "temperature", "temperature difference"
H, S, V, D = "specific enthalpy", "specific entropy", "specific volume", "density"

SATURATION_FIGURES = (
    Figure("pressure_pa", "Pressure, absolute", P, "absolute pressure, where that was asked for"),
    Figure("pressure_gauge_pa", "Pressure, gauge", DP, "gauge pressure, with --barometer or --altitude"),
    Figure("temperature_k", "Temperature", T, "temperature, where that was asked for"),
    Figure("dew_temperature_k", "Dew temperature", T, "where the last liquid evaporates"),
    Figure("bubble_temperature_k", "Bubble temperature", T, "where the first bubble forms"),
    Figure("glide_k", "Glide", DT, "dew less bubble temperature at this pressure"),
    Figure("dew_pressure_pa", "Dew pressure, absolute", P, "pressure of saturated vapour"),
    Figure("dew_pressure_gauge_pa", "Dew pressure, gauge", DP, "the same as a gauge shows it"),
    Figure("bubble_pressure_pa", "Bubble pressure, absolute", P, "pressure of saturated liquid"),
    Figure("bubble_pressure_gauge_pa", "Bubble pressure, gauge", DP, "the same as a gauge shows it"),
    Figure("latent_heat_j_per_kg", "Latent heat", H, "enthalpy of saturated vapour less that of saturated liquid"),
)
"""Answers to one known value."""

LINE_FIGURES = (
    Figure("enthalpy_j_per_kg", "Enthalpy", H, "specific enthalpy, 200 kJ/kg for saturated liquid at 0 °C"),
    Figure("entropy_j_per_kg_k", "Entropy", S, "specific entropy, 1 kJ/(kg K) for saturated liquid at 0 °C"),
    Figure("volume_m3_per_kg", "Volume", V, "specific volume"),
    Figure("density_kg_per_m3", "Density", D, "density"),
)
"""What is told of each saturation line; in --json with `dew_` or `bubble_` in front."""

STATE_FIGURES = (
    Figure("pressure_pa", "Pressure, absolute", P, "absolute pressure"),
    Figure("pressure_gauge_pa", "Pressure, gauge", DP, "gauge pressure, with --barometer or --altitude"),
    Figure("temperature_k", "Temperature", T, "temperature"),
    *LINE_FIGURES,
    Figure("quality", "Quality", "ratio", "vapour part of the mass, between the saturation lines only"),
    Figure("superheat_k", "Superheat", DT, "temperature above the dew point at this pressure"),
    Figure("subcooling_k", "Subcooling", DT, "temperature below the bubble point at this pressure"),
    Figure("dew_temperature_k", "Dew temperature", T, "at this pressure"),
    Figure("bubble_temperature_k", "Bubble temperature", T, "at this pressure"),
)
"""Answers to two known values."""

DATA_FIGURES = (
    Figure("normal_boiling_point_k", "Normal boiling point", T, "bubble temperature at 1.01325 bar"),
    Figure("glide_at_normal_boiling_point_k", "Glide there", DT, "dew less bubble temperature at 1.01325 bar"),
    Figure("critical_temperature_k", "Critical temperature", T, "above it there is no liquid"),
    Figure("critical_pressure_pa", "Critical pressure", P, "absolute"),
    Figure("triple_temperature_k", "Triple temperature", T, "below it there is no liquid; pure refrigerants"),
    Figure("lowest_dew_temperature_k", "Dew temperatures from", T, "coldest saturation that can be looked up"),
    Figure("highest_dew_temperature_k", "Dew temperatures to", T, "warmest saturation that can be looked up"),
)
"""The data sheet of a refrigerant, as far as it is numbers with units."""

CYCLE_FIGURES = (
    Figure("evaporating_pressure_pa", "Evaporating pressure, absolute", P, "at the evaporator outlet"),
    Figure("evaporating_pressure_gauge_pa", "Evaporating pressure, gauge", DP, "with --barometer or --altitude"),
    Figure("evaporating_dew_temperature_k", "Evaporating temperature (dew)", T, "dew at the evaporating pressure"),
    Figure("condensing_pressure_pa", "Condensing pressure, absolute", P, "at the condenser outlet"),
    Figure("condensing_pressure_gauge_pa", "Condensing pressure, gauge", DP, "with --barometer or --altitude"),
    Figure("condensing_dew_temperature_k", "Condensing temperature (dew)", T, "where condensing begins"),
    Figure("condensing_bubble_temperature_k", "Condensing temperature (bubble)", T, "where condensing ends"),
    Figure(
        "compression_ratio",
        "Compression ratio",
        "ratio",
        "absolute pressure after the compressor / before it",
        digits=2,
    ),
    Figure("superheat_k", "Superheat", DT, "at the evaporator outlet, above the dew point"),
    Figure("total_superheat_k", "Total superheat", DT, "at the compressor inlet, above the dew point"),
    Figure("subcooling_k", "Subcooling", DT, "at the condenser outlet, below the bubble point"),
    Figure("subcooling_at_expansion_k", "Subcooling at the expansion device", DT, "negative: gas bubbles in the line"),
    Figure("discharge_temperature_k", "Discharge temperature", T, "at the compressor outlet"),
    Figure("flash_gas_fraction", "Flash gas fraction", "ratio", "vapour part of the mass that enters the evaporator"),
    Figure("refrigeration_effect_j_per_kg", "Refrigeration effect", H, "heat taken up in the evaporator"),
    Figure(
        "suction_line_heat_gain_j_per_kg",
        "Heat gain of the suction line",
        H,
        "heat that cools nothing useful",
        silent_at_zero=True,
    ),
    Figure("specific_work_j_per_kg", "Specific work", H, "work of the compressor"),
    Figure("heat_of_compression_j_per_kg", "Heat of compression", H, "part of the work that stays in the gas"),
    Figure("heat_of_rejection_j_per_kg", "Heat of rejection", H, "heat given off on the high side"),
    Figure("isentropic_efficiency", "Isentropic efficiency", "ratio", "loss-free work / real work"),
    Figure("cop_cooling", "COP cooling", "COP", "refrigeration effect / work", digits=2),
    Figure("cop_heating", "COP heating", "COP", "heat of rejection / work", digits=2),
    Figure("eer_btu_per_wh", "EER, Btu/(W h)", "ratio", "COP cooling in Btu for each watt-hour", digits=2),
    Figure(
        "suction_line_pressure_drop_pa",
        "Pressure drop, suction line",
        DP,
        "evaporator to compressor",
        silent_at_zero=True,
    ),
    Figure(
        "discharge_line_pressure_drop_pa",
        "Pressure drop, discharge line",
        DP,
        "compressor to condenser",
        silent_at_zero=True,
    ),
    Figure(
        "liquid_line_pressure_drop_pa",
        "Pressure drop, liquid line",
        DP,
        "condenser to expansion device",
        silent_at_zero=True,
    ),
)
"""Figures of every cycle."""

FLOW_FIGURES = (
    Figure("mass_flow_kg_per_s", "Mass flow", "mass flow", "refrigerant that circulates"),
    Figure("capacity_w", "Capacity", "power", "cooling capacity"),
    Figure("power_w", "Power", "power", "put into the refrigerant; the motor needs more"),
    Figure("heat_rejected_w", "Heat rejected", "power", "heating capacity of a heat pump"),
    Figure("suction_volume_flow_m3_per_s", "Suction volume flow", "volume flow", "gas that enters the compressor"),
)
"""Figures of a cycle whose mass flow is known."""

DISPLACEMENT_FIGURES = (
    Figure("displacement_m3_per_s", "Displacement", "volume flow", "volume that the compressor sweeps"),
    Figure("volumetric_efficiency", "Volumetric efficiency", "ratio", "suction volume flow / displacement"),
)
"""Figures of a cycle whose mass flow and displacement are known."""

POINT_FIGURES = (
    Figure("pressure_pa", "p", P, "absolute pressure"),
    Figure("temperature_k", "t", T, "temperature"),
    Figure("enthalpy_j_per_kg", "h", H, "specific enthalpy, 200 kJ/kg for saturated liquid at 0 °C"),
    Figure("entropy_j_per_kg_k", "s", S, "specific entropy, 1 kJ/(kg K) for saturated liquid at 0 °C"),
    Figure("volume_m3_per_kg", "v", V, "specific volume"),
    Figure("quality", "x", "ratio", "vapour part of the mass, null outside the dome"),
)
"""Figures of each state point; in --json with the name of the point in front."""
