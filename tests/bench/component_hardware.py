"""Small hardware for the tests of single parts: own values, the size of a bench that stands on a table."""

from __future__ import annotations

from hvacr_lab.bench.fluid import Fluid, fluid_of
from hvacr_lab.bench.parts import (
    Capillary,
    Coil,
    Compressor,
    ConstantPressureValve,
    ThermostaticValve,
)

REFRIGERANTS = ("R-134a", "R-404A", "R-410A", "R-32", "R-290", "R-454B", "R-1234yf")

COMPRESSOR = Compressor(
    displacement_m3_per_s=3.86e-4,
    clearance=0.03,
    polytropic_exponent=1.12,
    filling=0.95,
    isentropic_peak=0.62,
    ratio_at_peak=2.5,
    isentropic_falloff=0.06,
    shell_loss=0.25,
    suction_heat_j_per_kg=12e3,
    idle_w=40.0,
    shell_volume_m3=1.2e-3,
    voltage_v=230.0,
    no_load_a=0.9,
    locked_rotor_a=12.0,
)
COIL = Coil(
    id="finned",
    label="Finned coil",
    volume_m3=0.35e-3,
    ua_refrigerant_w_per_k=220.0,
    vapour_share=0.35,
    liquid_share=0.5,
    ua_air_w_per_k=150.0,
    air_flow_kg_per_s=0.0944,
    fan_w=25.0,
    draught=0.08,
    space="room",
)
TUBE = Capillary("tube", "Capillary tube", 1.05e-3, 1.7)
THERMOSTATIC = ThermostaticValve("txv", "Thermostatic valve", 1.6e-7, 4.0, 5.0, 5.5e5, "bulb", True)
CONSTANT_PRESSURE = ConstantPressureValve("axv", "Constant-pressure valve", 2.4e-7, 2.4e5, 0.5e5)


def at_dew(fluid: Fluid, celsius: float):
    """Lines at the pressure whose dew point is this temperature."""
    return fluid.lines(fluid.dew_pressure(celsius + 273.15))


__all__ = ["COIL", "COMPRESSOR", "CONSTANT_PRESSURE", "REFRIGERANTS", "THERMOSTATIC", "TUBE", "at_dew", "fluid_of"]
