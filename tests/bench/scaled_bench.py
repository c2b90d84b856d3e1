"""A bench with its hardware scaled to another refrigerant: same cooling, same temperatures, same shares of pressure.

Own rules: displacement at equal volumetric capacity; valve areas and hand valves by mass flow over the root of density
times pressure difference; bore of capillary tubes by equal flow; resistances for the same share of the pressure;
settings in pressure at the same dew temperature; charge by the density of the liquid.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

from hvacr_lab.bench.capillary import capillary_flow
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, Controls, Metering, Pipe, ThermostaticValve
from hvacr_lab.refrigerants import Refrigerant, refrigerant

_EVAPORATING_K, _CONDENSING_K, _SUPERHEAT_K, _SUBCOOLING_K = 266.15, 311.15, 7.0, 5.0
# a refrigerator that takes 5 degC out of a box in a room of 25 degC (own values)


@dataclass(frozen=True)
class _Design:
    fluid: Refrigerant

    @functools.cached_property
    def low_pa(self) -> float:
        return self.fluid.dew_pressure(_EVAPORATING_K)

    @functools.cached_property
    def high_pa(self) -> float:
        return self.fluid.bubble_pressure(_CONDENSING_K)

    @functools.cached_property
    def suction(self):
        return self.fluid.state(
            pressure_pa=self.low_pa, temperature_k=self.fluid.dew_temperature(self.low_pa) + _SUPERHEAT_K
        )

    @functools.cached_property
    def liquid(self):
        return self.fluid.state(pressure_pa=self.high_pa, temperature_k=_CONDENSING_K - _SUBCOOLING_K)

    @property
    def effect_j_per_kg(self) -> float:
        return self.suction.enthalpy_j_per_kg - self.liquid.enthalpy_j_per_kg


@functools.cache
def _designs(one: str, other: str) -> tuple[_Design, _Design]:
    return _Design(refrigerant(one)), _Design(refrigerant(other))


def scaled(bench: Bench, name: str) -> Bench:
    """The bench for another refrigerant; the very same one for its own."""
    if refrigerant(bench.refrigerant).name == refrigerant(name).name:
        return bench
    old, new = _designs(bench.refrigerant, name)
    flow = old.effect_j_per_kg / new.effect_j_per_kg
    swept = flow * new.suction.volume_m3_per_kg / old.suction.volume_m3_per_kg
    area = flow * math.sqrt(
        (old.liquid.density_kg_per_m3 * (old.high_pa - old.low_pa))
        / (new.liquid.density_kg_per_m3 * (new.high_pa - new.low_pa))
    )
    charge = new.liquid.density_kg_per_m3 / old.liquid.density_kg_per_m3
    controls = _controls(bench.controls, old, new)
    return replace(
        bench,
        refrigerant=name,
        compressor=replace(
            bench.compressor,
            displacement_m3_per_s=bench.compressor.displacement_m3_per_s * swept,
            suction_heat_j_per_kg=bench.compressor.suction_heat_j_per_kg / flow,
        ),
        metering={key: _metering(device, old, new, area, flow) for key, device in bench.metering.items()},
        valves={key: replace(valve, flow_area_m2=valve.flow_area_m2 * area) for key, valve in bench.valves.items()},
        pipes=tuple(_pipe(pipe, old, new, flow) for pipe in bench.pipes),
        controls=controls,
        configurations={
            key: replace(
                machine,
                charge_kg=None if machine.charge_kg is None else machine.charge_kg * charge,
                settings_pa={device: _at_same_dew(pa, old, new) for device, pa in machine.settings_pa.items()},
                controls=None if machine.controls is None else _controls(machine.controls, old, new),
            )
            for key, machine in bench.configurations.items()
        },
    )


def _at_same_dew(pressure_pa: float, old: _Design, new: _Design) -> float:
    highest_k = new.fluid.limits.dew_temperature_k[1]
    return new.fluid.dew_pressure(min(old.fluid.dew_temperature(pressure_pa), highest_k))


def _controls(controls: Controls, old: _Design, new: _Design) -> Controls:
    names = ("high_cut_out_pa", "high_cut_in_pa", "low_cut_out_pa", "low_cut_in_pa")
    now = {name: getattr(controls, name) for name in names}
    return replace(controls, **{n: None if pa is None else _at_same_dew(pa, old, new) for n, pa in now.items()})


def _metering(device: Metering, old: _Design, new: _Design, area: float, flow: float) -> Metering:
    if isinstance(device, Capillary):
        return _capillary(device, old, new, flow)
    if isinstance(device, ThermostaticValve):
        limit_pa = _at_same_dew(device.maximum_operating_pressure_pa, old, new)
        return replace(device, flow_area_m2=device.flow_area_m2 * area, maximum_operating_pressure_pa=limit_pa)
    assert isinstance(device, ConstantPressureValve)
    setting_pa = _at_same_dew(device.setting_pa, old, new)
    share = setting_pa / device.setting_pa
    return replace(
        device, flow_area_m2=device.flow_area_m2 * area, setting_pa=setting_pa, opening_pa=device.opening_pa * share
    )


def _flow_of(tube: Capillary, design: _Design) -> float:
    fluid = fluid_of(design.fluid.name)
    inlet = fluid.lines(design.high_pa)
    return capillary_flow(tube, fluid, inlet, design.liquid.enthalpy_j_per_kg, design.low_pa).mass_flow_kg_per_s


def _capillary(tube: Capillary, old: _Design, new: _Design, flow: float) -> Capillary:
    """Bisection on the bore: the flow rises with it."""
    wanted, low, high = _flow_of(tube, old) * flow, 0.2 * tube.diameter_m, 5.0 * tube.diameter_m
    for _ in range(40):
        middle = math.sqrt(low * high)
        if _flow_of(replace(tube, diameter_m=middle), new) < wanted:
            low = middle
        else:
            high = middle
    return replace(tube, diameter_m=math.sqrt(low * high))


def _pipe(pipe: Pipe, old: _Design, new: _Design, flow: float) -> Pipe:
    """The same share of the pressure is lost: resistance times flow squared times volume over pressure stays."""
    pairs = {
        "gas": (old.suction.volume_m3_per_kg / old.low_pa, new.suction.volume_m3_per_kg / new.low_pa),
        "liquid": (old.liquid.volume_m3_per_kg / old.high_pa, new.liquid.volume_m3_per_kg / new.high_pa),
    }
    before, after = pairs["gas" if pipe.contents == "gas" else "liquid"]
    return replace(pipe, resistance_per_m4=pipe.resistance_per_m4 * before / (after * flow**2))
