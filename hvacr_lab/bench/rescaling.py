"""The same bench for another refrigerant: hardware of the same capacity, controls at the same temperatures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from hvacr_lab.bench.capillary import capillary_flow
from hvacr_lab.bench.description import Bench, Configuration
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, Controls, Metering
from hvacr_lab.refrigerants import Refrigerant, refrigerant

_EVAPORATING_K: Final = 265.15
_CONDENSING_K: Final = 311.15
_SUPERHEAT_K: Final = 6.0
_SUBCOOLING_K: Final = 5.0
# the point at which capacity and flow are matched: a refrigerator (own choice)
_CAPILLARY_STEPS = 60
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class _Point:
    """A refrigerant at the matching point."""

    refrigerant: Refrigerant
    low_pa: float
    high_pa: float
    effect_j_per_kg: float
    suction_m3_per_kg: float
    liquid_m3_per_kg: float
    liquid_j_per_kg: float

    @property
    def flow_area(self) -> float:
        """Orifice area for a flow of one kilogram per second, up to a constant."""
        return float(((self.high_pa - self.low_pa) / self.liquid_m3_per_kg) ** -0.5)


def with_refrigerant(bench: Bench, name: str) -> Bench:
    """A bench whose hardware is scaled to another refrigerant.

    Displacement is scaled to equal cooling capacity, expansion valves and the hand valves of liquid pipes by flow over
    the root of density times pressure difference, capillary tubes by matching the flow; settings of valves and controls
    keep their saturation temperature. Coils, vessels and pipes stay. The charge is left open: it is computed as the
    nominal charge of each configuration.

    Parameters
    ----------
    bench : Bench
    name : str, refrigerant, spelt as `refrigerant` accepts it

    Returns
    -------
    Bench, the very same one if it has that refrigerant already

    Raises
    ------
    UnknownName : no such refrigerant
    OutOfRange : it cannot condense at 38 C

    Source
    ------
    Equal volumetric capacity, orifice equation: any textbook on refrigeration.

    Examples
    --------
    >>> from hvacr_lab.bench import load_bench
    >>> demo = load_bench("demo")
    >>> scaled = with_refrigerant(demo, "R-32")
    >>> round(scaled.compressor.displacement_m3_per_s / demo.compressor.displacement_m3_per_s, 1)
    0.4
    """
    new, old = refrigerant(name), refrigerant(bench.refrigerant)
    if new.name == old.name:
        return bench
    before, after = _point(old), _point(new)
    flow = before.effect_j_per_kg / after.effect_j_per_kg
    area = flow * after.flow_area / before.flow_area
    compressor = replace(
        bench.compressor,
        displacement_m3_per_s=bench.compressor.displacement_m3_per_s
        * flow
        * after.suction_m3_per_kg
        / before.suction_m3_per_kg,
        suction_heat_j_per_kg=bench.compressor.suction_heat_j_per_kg / flow,
    )

    def moved(pressure_pa: float) -> float:
        return float(new.dew_pressure(float(old.dew_temperature(pressure_pa))))

    liquid = {pipe.valve for pipe in bench.pipes if pipe.contents == "liquid"}
    valves = {
        key: replace(valve, flow_area_m2=valve.flow_area_m2 * (area if key in liquid else 1.0))
        for key, valve in bench.valves.items()
    }
    return replace(
        bench,
        refrigerant=new.name,
        compressor=compressor,
        valves=valves,
        metering={key: _device(device, before, after, flow, area, moved) for key, device in bench.metering.items()},
        controls=_controls(bench.controls, moved),
        configurations={key: _configuration(one, moved) for key, one in bench.configurations.items()},
    )


def _point(fluid: Refrigerant) -> _Point:
    low_pa, high_pa = float(fluid.dew_pressure(_EVAPORATING_K)), float(fluid.bubble_pressure(_CONDENSING_K))
    gas = fluid.state(pressure_pa=low_pa, temperature_k=_EVAPORATING_K + _SUPERHEAT_K)
    liquid = fluid.state(pressure_pa=high_pa, temperature_k=_CONDENSING_K - _SUBCOOLING_K)
    return _Point(
        refrigerant=fluid,
        low_pa=low_pa,
        high_pa=high_pa,
        effect_j_per_kg=float(gas.enthalpy_j_per_kg - liquid.enthalpy_j_per_kg),
        suction_m3_per_kg=float(gas.volume_m3_per_kg),
        liquid_m3_per_kg=float(liquid.volume_m3_per_kg),
        liquid_j_per_kg=float(liquid.enthalpy_j_per_kg),
    )


def _device(
    device: Metering, before: _Point, after: _Point, flow: float, area: float, moved: Callable[[float], float]
) -> Metering:
    if isinstance(device, Capillary):
        return _capillary(device, after, flow * _tube_flow(device, before))
    if isinstance(device, ConstantPressureValve):
        setting_pa = moved(device.setting_pa)
        return replace(
            device,
            flow_area_m2=device.flow_area_m2 * area,
            setting_pa=setting_pa,
            opening_pa=setting_pa - moved(device.setting_pa - device.opening_pa),
        )
    return replace(
        device,
        flow_area_m2=device.flow_area_m2 * area,
        maximum_operating_pressure_pa=moved(device.maximum_operating_pressure_pa),
    )


def _tube_flow(tube: Capillary, point: _Point) -> float:
    fluid = fluid_of(point.refrigerant.name)
    result = capillary_flow(tube, fluid, fluid.lines(point.high_pa), point.liquid_j_per_kg, point.low_pa)
    return result.mass_flow_kg_per_s


def _capillary(tube: Capillary, point: _Point, wanted_kg_per_s: float) -> Capillary:
    """The tube of the same length that passes the wanted flow; the flow grows about as the bore to the power 2.6."""
    for _ in range(_CAPILLARY_STEPS):
        ratio = wanted_kg_per_s / _tube_flow(tube, point)
        tube = replace(tube, diameter_m=tube.diameter_m * ratio ** (1.0 / 2.6))
        if abs(ratio - 1.0) < _CLOSE:
            break
    return tube


def _controls(controls: Controls, moved: Callable[[float], float]) -> Controls:
    return replace(
        controls,
        high_cut_out_pa=moved(controls.high_cut_out_pa),
        high_cut_in_pa=None if controls.high_cut_in_pa is None else moved(controls.high_cut_in_pa),
        low_cut_out_pa=moved(controls.low_cut_out_pa),
        low_cut_in_pa=moved(controls.low_cut_in_pa),
    )


def _configuration(configuration: Configuration, moved: Callable[[float], float]) -> Configuration:
    return replace(
        configuration,
        charge_kg=None,
        settings_pa={device: moved(setting_pa) for device, setting_pa in configuration.settings_pa.items()},
        controls=None if configuration.controls is None else _controls(configuration.controls, moved),
    )
