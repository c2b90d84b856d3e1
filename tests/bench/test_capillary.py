"""Capillary tubes against a step-by-step integration, published figures and a published equation of the same class."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from component_hardware import REFRIGERANTS, TUBE, at_dew, fluid_of
from reference.rows import Row, published_rows

from hvacr_lab.bench.capillary import CapillaryResult, capillary_flow, liquid_viscosity_pa_s
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.parts import Capillary
from hvacr_lab.refrigerants import refrigerant


def _row(name: str) -> Row:
    return next(row for row in published_rows() if row.id == name)


def _tube(diameter_mm: float, length_m: float) -> Capillary:
    return Capillary("tube", "tube", 1e-3 * diameter_mm, length_m)


def _flow(fluid: Fluid, tube: Capillary, celsius: float, quality_or_k: float, outlet_pa: float) -> CapillaryResult:
    """Flow from a condensing temperature; positive: subcooling in K, negative: quality."""
    inlet = fluid.lines(fluid.bubble_pressure(celsius + 273.15))
    if quality_or_k > 0.0:
        enthalpy = fluid.enthalpy_of_temperature(inlet, inlet.bubble_k - quality_or_k)
    else:
        enthalpy = inlet.bubble_j_per_kg - quality_or_k * inlet.latent_j_per_kg
    return capillary_flow(tube, fluid, inlet, enthalpy, outlet_pa)


def test_worked_example_of_the_handbook_correlation() -> None:
    """ASHRAE Handbook Refrigeration 2014, ch. 11, dimensionless correlation: R-134a, 1.1 mm, 3 m, 14 bar, 15 K."""
    row, fluid = _row("CAP-001"), fluid_of("R-134a")
    inlet = fluid.lines(row.inputs["inlet_pressure_pa"])
    enthalpy = fluid.enthalpy_of_temperature(inlet, inlet.bubble_k - row.inputs["inlet_subcooling_k"])
    tube = _tube(1e3 * row.inputs["inner_diameter_m"], row.inputs["length_m"])
    found = capillary_flow(tube, fluid, inlet, enthalpy, 2e5)
    assert found.choked
    assert found.mass_flow_kg_per_s == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def test_published_measurement_that_contradicts_its_own_pressures() -> None:
    """CAP-002: 6.6 kg/h through 1.07 mm. We give about twice as much; so do the pressures printed beside it.

    From 12.95 to 4.68 bar within 2.5 m; liquid alone (Blasius) would lose an eighth of that at 6.6 kg/h, and the tube
    holds liquid for most of its length (15 K subcooled). The bore or the flow of the abstract must be another.
    """
    row, fluid = _row("CAP-002"), fluid_of("R-134a")
    inputs = row.inputs
    inlet = fluid.lines(13e5)
    enthalpy = fluid.enthalpy_of_temperature(inlet, inputs["inlet_temperature_c"] + 273.15)
    tube = _tube(1e3 * inputs["inner_diameter_m"], inputs["length_m"])
    found = capillary_flow(tube, fluid, inlet, enthalpy, 4e5).mass_flow_kg_per_s
    assert 1.7 < found / row.expected < 2.2
    flux = row.expected / (0.25 * math.pi * tube.diameter_m**2)
    reynolds = flux * tube.diameter_m / liquid_viscosity_pa_s(fluid, 309.0)
    liquid_drop = 0.3164 * reynolds**-0.25 * 2.5 / tube.diameter_m * 0.5 * flux**2 * fluid.volume(inlet, enthalpy)
    assert liquid_drop < 0.15 * (inputs["pressure_at_0p5_m_pa"] - inputs["pressure_at_3_m_pa"])


def test_published_range_of_household_tubes_with_isobutane() -> None:
    """0.64 ... 1.93 kg/h measured on small refrigerators (geometry not printed): household tubes land there."""
    fluid = fluid_of("R-600a")
    lowest, highest = _row("CAP-012").expected, _row("CAP-013").expected
    for diameter_mm, length_m, celsius in ((0.6, 2.5, 35.0), (0.7, 2.5, 40.0), (0.7, 2.0, 45.0)):
        found = _flow(fluid, _tube(diameter_mm, length_m), celsius, 5.0, fluid.dew_pressure(250.0))
        assert lowest < found.mass_flow_kg_per_s < highest


def _one_equation(fluid: Fluid, tube: Capillary, celsius: float, subcooling_k: float, outlet_pa: float) -> float:
    """Hermes, Melo and Knabben, Applied Thermal Engineering 30 (2010) 449-457; constants from memory."""
    inlet = fluid.lines(fluid.bubble_pressure(celsius + 273.15))
    enthalpy = fluid.enthalpy_of_temperature(inlet, inlet.bubble_k - subcooling_k)
    flash = fluid.pressure_of_bubble_enthalpy(enthalpy, inlet.pressure_pa)
    volume = fluid.volume(inlet, enthalpy)
    k = 1.63e5 * flash**-0.72
    a, b = volume * (1.0 - k), volume * flash * k
    drive = (inlet.pressure_pa - flash) / volume + (flash - outlet_pa) / a
    drive += b / a**2 * math.log((a * outlet_pa + b) / (a * flash + b))
    return 6.0 * math.sqrt(tube.diameter_m**5 / tube.length_m * drive)


@pytest.mark.parametrize("name", ["R-134a", "R-600a"])
@pytest.mark.parametrize("tube", [_tube(0.64, 2.0), _tube(0.69, 3.0), _tube(0.82, 3.0)], ids=lambda tube: str(tube))
@pytest.mark.parametrize(("celsius", "subcooling_k"), [(40.0, 3.0), (45.0, 8.0), (50.0, 12.0)])
def test_published_one_equation_model(name: str, tube: Capillary, celsius: float, subcooling_k: float) -> None:
    """More than 90 % of its authors' data lie within 10 % of it, nearly all within 15 % (CAP-004, CAP-005)."""
    fluid = fluid_of(name)
    outlet_pa = fluid.dew_pressure(250.0)
    ours = _flow(fluid, tube, celsius, subcooling_k, outlet_pa).mass_flow_kg_per_s
    assert ours == pytest.approx(_one_equation(fluid, tube, celsius, subcooling_k, outlet_pa), rel=0.15)


class Fanno:
    """Step-by-step homogeneous equilibrium flow on the equation of state: the independent way.

    Adiabatic with kinetic energy, friction by Blasius with McAdams' viscosity, pressure steps from the inlet until the
    next step would need a negative length (choked) or the outlet pressure is reached.
    """

    STEPS = 150

    def __init__(self, equation: str, tube: Capillary, inlet_pa: float, outlet_pa: float) -> None:
        coolprop = pytest.importorskip("CoolProp", reason="could not import 'CoolProp'")
        self.by_enthalpy, self.by_quality = coolprop.HmassP_INPUTS, coolprop.PQ_INPUTS
        self.by_temperature = coolprop.PT_INPUTS
        self.state = coolprop.AbstractState("HEOS", equation)
        self.tube, self.inlet_pa, self.outlet_pa = tube, inlet_pa, outlet_pa
        self.viscosities = [self._viscosity_at(pressure) for pressure in self._pressures()]

    def _pressures(self) -> list[float]:
        drop = (self.inlet_pa - self.outlet_pa) / self.STEPS
        return [self.inlet_pa - drop * i for i in range(self.STEPS + 1)]

    def _viscosity_at(self, pressure: float) -> tuple[float, float]:
        found = []
        for quality in (0.0, 1.0):
            self.state.update(self.by_quality, pressure, quality)
            found.append(self.state.viscosity())
        return found[0], found[1]

    def inlet_enthalpy(self, quality_or_k: float) -> float:
        self.state.update(self.by_quality, self.inlet_pa, max(-quality_or_k, 0.0))
        if quality_or_k > 0.0:
            self.state.update(self.by_temperature, self.inlet_pa, self.state.T() - quality_or_k)
        return float(self.state.hmass())

    def length(self, flow: float, enthalpy: float) -> float:
        bore = self.tube.diameter_m
        flux = flow / (0.25 * math.pi * bore**2)
        self.state.update(self.by_enthalpy, enthalpy, self.inlet_pa)
        volume = 1.0 / self.state.rhomass()
        total = enthalpy + 0.5 * (flux * volume) ** 2
        length, pressures = 0.0, self._pressures()
        for before, after, (liquid, vapour) in zip(pressures, pressures[1:], self.viscosities[1:], strict=False):
            try:
                next_volume = self._next_volume(after, total, flux, volume)
            except ValueError:
                return length  # faster than the enthalpy allows: choked
            quality = self.state.Q()
            viscosity = 1.0 / (quality / vapour + (1.0 - quality) / liquid) if 0.0 < quality < 1.0 else liquid
            friction = 0.3164 * (flux * bore / viscosity) ** -0.25
            drive = (before - after) / (0.5 * (volume + next_volume)) / flux**2
            step = (drive - math.log(next_volume / volume)) * 2.0 * bore / friction
            if step < 0.0 or length > 2.0 * self.tube.length_m:
                return length
            length, volume = length + step, next_volume
        return length

    def _next_volume(self, pressure: float, total: float, flux: float, volume: float) -> float:
        for _ in range(6):
            self.state.update(self.by_enthalpy, total - 0.5 * (flux * volume) ** 2, pressure)
            volume = 1.0 / self.state.rhomass()
        return volume

    def flow(self, quality_or_k: float) -> float:
        enthalpy = self.inlet_enthalpy(quality_or_k)
        low, high = 1e-5, 2e-2
        for _ in range(22):
            flow = math.sqrt(low * high)
            low, high = (flow, high) if self.length(flow, enthalpy) > self.tube.length_m else (low, flow)
        return math.sqrt(low * high)


@pytest.mark.parametrize(("name", "equation"), [("R-134a", "R134a"), ("R-290", "Propane"), ("R-32", "R32")])
@pytest.mark.parametrize(
    ("tube", "celsius", "quality_or_k"),
    [
        (_tube(0.66, 1.5), 40.0, 5.0),
        (_tube(1.1, 3.0), 50.0, 15.0),
        (_tube(0.8, 2.0), 35.0, 3.0),
        (_tube(0.8, 2.0), 40.0, -0.1),
    ],
    ids=["narrow", "wide, well subcooled", "hardly subcooled", "flash gas at the inlet"],
)
def test_step_by_step_integration(
    name: str, equation: str, tube: Capillary, celsius: float, quality_or_k: float
) -> None:
    fluid = fluid_of(name)
    inlet_pa = fluid.bubble_pressure(celsius + 273.15)
    by_steps = Fanno(equation, tube, inlet_pa, 0.15 * inlet_pa).flow(quality_or_k)
    ours = _flow(fluid, tube, celsius, quality_or_k, 0.15 * inlet_pa).mass_flow_kg_per_s
    assert ours == pytest.approx(by_steps, rel=0.06)


def _viscosity_rows() -> list[Row]:
    return [row for row in published_rows() if row.quantity == "viscosity_saturated_liquid"]


@pytest.mark.parametrize("row", _viscosity_rows(), ids=lambda row: row.id)
def test_published_viscosities(row: Row) -> None:
    """An estimate for want of tables; a third off moves the flow by 4 %. Ammonia, polar, is what it does worst."""
    found = liquid_viscosity_pa_s(fluid_of(row.refrigerant), row.kelvin("temperature_c"))
    assert found == pytest.approx(row.expected, rel=0.45 if row.refrigerant == "R-717" else 0.25)


@pytest.mark.reference
def test_viscosity_of_an_independent_library() -> None:
    viscosity = pytest.importorskip("chemicals.viscosity", reason="could not import 'chemicals'")
    fluid = fluid_of("R-32")
    critical_pa, critical_k = fluid.critical_pressure_pa, fluid.critical_temperature_k
    acentric = -math.log10(refrigerant("R-32").dew_pressure(0.7 * critical_k) / critical_pa) - 1.0
    theirs = viscosity.Letsou_Stiel(300.0, 1e3 * fluid.molar_mass_kg_per_mol, critical_k, critical_pa, acentric)
    assert liquid_viscosity_pa_s(fluid, 300.0) == pytest.approx(theirs, rel=1e-6)


def _steepest(function: Callable[[float], float], low: float, high: float, count: int = 1000) -> float:
    values = [function(low + (high - low) * i / count) for i in range(count + 1)]
    gaps = [abs(later - earlier) for earlier, later in pairwise(values)]
    return max(gaps) / (max(values) - min(values))


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_flow_has_no_step_from_liquid_to_gas_at_the_inlet(name: str) -> None:
    fluid = fluid_of(name)
    inlet, outlet_pa = at_dew(fluid, 40.0), fluid.dew_pressure(263.15)

    def flow(quality: float) -> float:
        enthalpy = inlet.bubble_j_per_kg + quality * inlet.latent_j_per_kg
        return capillary_flow(TUBE, fluid, inlet, enthalpy, outlet_pa).mass_flow_kg_per_s

    assert _steepest(flow, -0.4, 1.3) < 0.02
    assert flow(-1e-7) == pytest.approx(flow(1e-7), rel=1e-5)


def test_flow_is_smooth_across_choking_and_constant_below_it() -> None:
    fluid = fluid_of("R-134a")
    inlet = at_dew(fluid, 38.0)
    enthalpy = inlet.bubble_j_per_kg - 1e4

    def flow(outlet_pa: float) -> CapillaryResult:
        return capillary_flow(TUBE, fluid, inlet, enthalpy, outlet_pa)

    choke_pa = flow(1e5).exit_pa
    assert flow(1e5).choked and not flow(1.01 * choke_pa).choked
    assert flow(0.3 * choke_pa).mass_flow_kg_per_s == pytest.approx(flow(0.999 * choke_pa).mass_flow_kg_per_s, rel=1e-4)
    assert flow(1.001 * choke_pa).mass_flow_kg_per_s == pytest.approx(flow(choke_pa).mass_flow_kg_per_s, rel=1e-6)
    assert _steepest(lambda pressure: flow(pressure).mass_flow_kg_per_s, 1e5, inlet.pressure_pa - 200.0) < 0.04


def test_longer_narrower_or_kinked_tubes_pass_less() -> None:
    fluid = fluid_of("R-134a")
    inlet = at_dew(fluid, 40.0)
    enthalpy = inlet.bubble_j_per_kg - 8e3

    def flow(tube: Capillary, area_m2: float = math.inf) -> float:
        return capillary_flow(tube, fluid, inlet, enthalpy, 2e5, area_m2).mass_flow_kg_per_s

    base = flow(TUBE)
    assert flow(replace(TUBE, length_m=2.0 * TUBE.length_m)) < 0.8 * base
    assert flow(replace(TUBE, diameter_m=0.8 * TUBE.diameter_m)) < 0.65 * base
    assert 0.0 < flow(TUBE, 1e-7) < flow(TUBE, 3e-7) < base
    assert flow(TUBE, 0.0) == 0.0


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_answers_everywhere(name: str) -> None:
    fluid = fluid_of(name)
    for inlet_pa in (1e3, 1e5, 1e6, fluid.p_high_pa, 1.2 * fluid.p_high_pa):
        inlet = fluid.lines(inlet_pa)
        for quality in (-3.0, -0.5, 0.0, 0.5, 1.0, 3.0):
            enthalpy = inlet.bubble_j_per_kg + quality * inlet.latent_j_per_kg
            for outlet_pa in (1.0, 0.5 * inlet_pa, inlet_pa * (1.0 - 1e-9), inlet_pa, 2.0 * inlet_pa):
                found = capillary_flow(TUBE, fluid, inlet, enthalpy, outlet_pa)
                assert math.isfinite(found.mass_flow_kg_per_s)
                assert found.mass_flow_kg_per_s >= 0.0
