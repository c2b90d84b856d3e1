"""Machines for the comparison with published curves, made from the demo bench: a heat pump and a condensing unit.

The heat pump stands for a residential split unit on R-410A. It is sized as such machines are, by air flow for each
kilowatt, but for one kilowatt only: the published curves are ratios. All numbers are own values unless marked. Fitted
to the curves against outdoor temperature are the losses of its compressor and the size of its outdoor coil; what comes
out for charge, air flow and moisture is then a prediction.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass, replace

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.charge import nominal_charge
from hvacr_lab.bench.compressor import compressor_flow
from hvacr_lab.bench.description import Bench, Configuration, with_vessel
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.parts import Coil, Compressor
from hvacr_lab.bench.rescaling import with_refrigerant
from hvacr_lab.bench.settings import Settings, default_settings, design_settings
from hvacr_lab.bench.steady import changed_settings, solve
from hvacr_lab.units import ICE_POINT_K
from tests.reference.rows import Row, published_rows

COOLING, COOLING_CAPILLARY, HEATING = "heat-pump-cooling", "heat-pump-cooling-capillary", "heat-pump-heating"
OUTDOOR, INDOOR = "outdoor", "indoor"

INDOOR_AIR_M3_PER_S = 0.057
# for 1.17 kW: 0.049 m3/s for each kilowatt; 0.047 ... 0.0605 are recommended (HPU-027 and HPU-028, Parker et al. 1997)
OUTDOOR_AIR_M3_PER_S = 0.14
# about two and a half times the indoor air (common practice)
INDOOR_FAN_W_PER_M3_PER_S = 773.0
# 365 W for each 1000 cubic feet a minute (AHRI 210/240, coils rated without a fan; from memory)
OUTDOOR_FAN_W = 25.0
AIR_KG_PER_M3 = 1.17

RATED_C = {COOLING: (35.0, 26.67), COOLING_CAPILLARY: (35.0, 26.67), HEATING: (8.33, 21.11)}
# outdoor and indoor air at which the published curves are one (NREL/TP-5500-56354; AHRI 210/240 tests A and H1)
INDOOR_HUMIDITY = 0.51
# 19.44 degC wet bulb at 26.67 degC, sea level
OUTDOOR_HUMIDITY = 0.71
# 6.1 degC wet bulb at 8.3 degC are 73 %, -9.4 degC at -8.3 degC are 69 % (AHRI 210/240 tests H1 and H3; from memory)

RECIPROCATING = {"clearance": 0.045, "ratio_at_peak": 3.0, "isentropic_falloff": 0.02}
# what three published maps of reciprocating compressors ask for (CMP-007 ... CMP-012): with the 40 W of idle power of
# the demo bench all their shapes come out within about 5 %
_SCROLL = {"clearance": 0.045, "ratio_at_peak": 2.0, "isentropic_falloff": 0.10}
# one built-in volume ratio loses more at high pressure ratios; the published heat pump curves ask for it


@functools.cache
def heat_pump() -> Bench:
    """The residential machine: no receiver, no accumulator, all charge in coils and lines."""
    bench = with_refrigerant(load_bench("demo"), "R-410A")
    compressor = replace(
        bench.compressor,
        displacement_m3_per_s=1.3 * bench.compressor.displacement_m3_per_s,
        isentropic_peak=0.72,
        idle_w=5.0,
        suction_heat_j_per_kg=8e3,
        shell_loss=0.1,
        **_SCROLL,
    )
    valve, tube = bench.metering["txv"], bench.metering["cap_high"]
    valve = replace(valve, flow_area_m2=1.15 * valve.flow_area_m2, maximum_operating_pressure_pa=30e5)
    # room to open at 80 % charge, and no limit of pressure (common practice in air conditioners)
    tube = replace(tube, diameter_m=1.17 * tube.diameter_m)
    # 9 K of superheat at the rated point, as an orifice is sized (common practice: 5 ... 10 K)
    return replace(
        bench,
        compressor=compressor,
        coils={name: _coil(coil) for name, coil in bench.coils.items()},
        metering={**bench.metering, "txv": valve, "cap_high": tube},
        configurations={name: _rated(bench, bench.configurations[name]) for name in RATED_C},
    )


def _coil(coil: Coil) -> Coil:
    if coil.id == OUTDOOR:
        size = {"ua_refrigerant_w_per_k": 900.0, "ua_air_w_per_k": 400.0, "fan_w": OUTDOOR_FAN_W}
        return replace(coil, air_flow_kg_per_s=OUTDOOR_AIR_M3_PER_S * AIR_KG_PER_M3, **size)
    fan_w = INDOOR_FAN_W_PER_M3_PER_S * INDOOR_AIR_M3_PER_S
    size = {"ua_refrigerant_w_per_k": 450.0, "ua_air_w_per_k": 180.0, "fan_w": fan_w}
    return replace(coil, air_flow_kg_per_s=INDOOR_AIR_M3_PER_S * AIR_KG_PER_M3, **size)


def _rated(bench: Bench, configuration: Configuration) -> Configuration:
    for vessel in ("receiver", "accumulator"):
        configuration = with_vessel(bench, configuration, vessel, in_line=False)
    outdoor_c, indoor_c = RATED_C[configuration.id]
    return replace(
        configuration,
        fans={},
        charge_kg=None,
        ambient_k=ICE_POINT_K + outdoor_c,
        space_k=ICE_POINT_K + indoor_c,
        space_relative_humidity=INDOOR_HUMIDITY,
        ambient_relative_humidity=OUTDOOR_HUMIDITY,
    )


@functools.cache
def rated(configuration: str) -> Settings:
    """Settings at the rated point. One machine, one charge: it heats with the charge that it was given for cooling."""
    bench = heat_pump()
    charge_kg = nominal_charge(bench, COOLING if configuration == HEATING else configuration)
    return design_settings(bench, bench.configurations[configuration], charge_kg)


@functools.cache
def runs(
    configuration: str, outdoor_c: float | None = None, charge_share: float = 1.0, indoor_fan: float = 1.0
) -> OperatingPoint:
    """The heat pump at the rated point, but for what is given."""
    settings = rated(configuration)
    outdoor_k = ICE_POINT_K + (RATED_C[configuration][0] if outdoor_c is None else outdoor_c)
    changed = replace(
        settings,
        temperatures_k={**settings.temperatures_k, heat_pump().coils[OUTDOOR].space: outdoor_k},
        charge_kg=charge_share * settings.charge_kg,
        fans={**settings.fans, INDOOR: indoor_fan},
    )
    point = solve(heat_pump(), changed)
    assert point.is_solved, point.table()
    return point


def power_w(point: OperatingPoint) -> float:
    """Compressor and outdoor fan: the published energy input ratios leave the indoor fan out."""
    return point.compressor_power_w + OUTDOOR_FAN_W


@functools.cache
def compressor_of(refrigerant: str, *, reciprocating: bool) -> Compressor:
    """The demo bench's compressor scaled to a refrigerant: as it is, or with the losses of the published maps."""
    compressor = with_refrigerant(load_bench("demo"), refrigerant).compressor
    return replace(compressor, **RECIPROCATING) if reciprocating else compressor


@functools.cache
def condensing_unit(refrigerant: str) -> tuple[Bench, Settings]:
    """The demo bench on another refrigerant, as the freezer with a thermostatic valve and a large condenser in 25 degC.

    Its valve has no limit of pressure, so that one machine can be run from low to medium temperature.
    """
    bench = with_refrigerant(load_bench("demo"), refrigerant)
    valve = replace(bench.metering["txv"], maximum_operating_pressure_pa=30e5)
    bench = replace(
        bench, compressor=compressor_of(refrigerant, reciprocating=True), metering={**bench.metering, "txv": valve}
    )
    return bench, default_settings(bench, "freezer")


# ---- Published compressor maps --------------------------------------------------------------------------------------


@functools.cache
def row(key: str) -> Row:
    return next(row for row in published_rows() if row.id == key)


RETURN_GAS_C = 18.3
# of the published maps, liquid not subcooled


@dataclass(frozen=True)
class Map:
    """A published map as ten coefficients each for capacity and power, and the points at which shapes are compared."""

    name: str
    refrigerant: str
    capacity: str
    power: str
    base: tuple[float, float]
    points: tuple[tuple[float, float], ...]
    # evaporating and condensing dew temperature [degC]


MAPS = (
    Map("low temperature", "R-404A", "CMP-007", "CMP-008", (-25, 35), ((-35, 35), (-35, 43.3), (-25, 43.3), (-20, 35))),
    Map(
        "medium temperature",
        "R-404A",
        "CMP-009",
        "CMP-010",
        (-6.7, 35),
        ((-12, 35), (-6.7, 43.3), (0, 43.3), (-20, 35)),
    ),
    Map(
        "high temperature",
        "R-134a",
        "CMP-011",
        "CMP-012",
        (7.2, 43.3),
        ((0, 43.3), (7.2, 54.4), (-6.7, 43.3), (0, 54.4)),
    ),
)


def cubic(key: str, x: float, y: float) -> float:
    """The ten-coefficient form of AHRI 540 in the order of the table."""
    c = row(key).inputs["coefficients_w"]
    terms = (1.0, x, x * x, y, y * y, x * y, x**3, y**3, x * x * y, x * y * y)
    return sum(factor * term for factor, term in zip(c, terms, strict=True))


def on_map(
    compressor: Compressor, name: str, evaporating_c: float, condensing_c: float, liquid_c: float | None = None,
    return_c: float = RETURN_GAS_C,
) -> tuple[float, float]:  # fmt: skip
    """Capacity and power as a map counts them."""
    fluid = fluid_of(name)
    suction, discharge = (fluid.lines(fluid.dew_pressure(ICE_POINT_K + c)) for c in (evaporating_c, condensing_c))
    gas = fluid.enthalpy_of_temperature(suction, ICE_POINT_K + return_c)
    result = compressor_flow(compressor, fluid, suction, gas, discharge)
    liquid = discharge.bubble_j_per_kg
    if liquid_c is not None:
        liquid = fluid.enthalpy_of_temperature(discharge, ICE_POINT_K + liquid_c)
    return result.mass_flow_kg_per_s * (gas - liquid), result.power_w


def shape(chart: Map, compressor: Compressor, point: tuple[float, float], which: int) -> Callable[[], float]:
    return lambda: (
        on_map(compressor, chart.refrigerant, *point)[which] / on_map(compressor, chart.refrigerant, *chart.base)[which]
    )


def low_pressure_cop(compressor: Compressor) -> float:
    cooling_w, power = on_map(compressor, "R-134a", -23.3, 54.4, liquid_c=32.2, return_c=32.2)
    return cooling_w / power


@functools.cache
def unit_at(space_c: float) -> OperatingPoint:
    """The condensing unit on R-404A, at work in a space."""
    bench, settings = condensing_unit("R-404A")
    return solve(bench, changed_settings(settings, {"temperatures_k": {"cabinet": ICE_POINT_K + space_c}}))


def dews_c(point: OperatingPoint) -> tuple[float, float]:
    fluid = fluid_of("R-404A")
    low, high = fluid.lines(point.suction_pressure_pa), fluid.lines(point.discharge_pressure_pa)
    return low.dew_k - ICE_POINT_K, high.dew_k - ICE_POINT_K


def against_map(which: int, space_c: float, base_c: float) -> float:
    """Flow or power of the running unit, over what the map says at the dew points that it has found for itself.

    The map's flow is corrected for the density of the gas at the compressor, as AHRI 540 has it.
    """

    def miss(space: float) -> float:
        point, fluid = unit_at(space), fluid_of("R-404A")
        evaporating_c, condensing_c = dews_c(point)
        if which:
            return point.compressor_power_w / cubic("CMP-008", evaporating_c, condensing_c)
        suction, discharge = fluid.lines(point.suction_pressure_pa), fluid.lines(point.discharge_pressure_pa)
        gas = fluid.enthalpy_of_temperature(suction, ICE_POINT_K + RETURN_GAS_C)
        mapped = cubic("CMP-007", evaporating_c, condensing_c) / (gas - discharge.bubble_j_per_kg)
        mapped *= fluid.volume(suction, gas) / point.points["compressor.in"].volume_m3_per_kg
        return point.mass_flow_kg_per_s / mapped

    return miss(space_c) / miss(base_c)
