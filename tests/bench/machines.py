"""Machines for the tests: configurations of both benches, vessels in line or bypassed, for any refrigerant."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, replace

from scaled_bench import scaled

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.description import Bench, with_vessel
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings, default_settings
from hvacr_lab.bench.steady import solve


@dataclass(frozen=True)
class Machine:
    """One line-up of one bench."""

    bench: str
    configuration: str
    device: str
    receiver: bool = False
    accumulator: bool = False

    def __str__(self) -> str:
        vessels = [name for name in ("receiver", "accumulator") if getattr(self, name)]
        return " + ".join([f"{self.bench}, {self.device}", *vessels])


CAP, TXV, AXV = "capillary tube", "thermostatic valve", "constant-pressure valve"
MACHINES = (
    Machine("demo", "refrigerator-capillary", CAP),
    Machine("demo", "refrigerator-capillary", CAP, accumulator=True),
    Machine("demo", "refrigerator", TXV),
    Machine("demo", "refrigerator", TXV, receiver=True),
    Machine("demo", "refrigerator-constant-pressure", AXV),
    Machine("demo", "refrigerator-constant-pressure", AXV, receiver=True),
    Machine("propane", "fridge-tube", CAP, accumulator=True),
    Machine("propane", "fridge-t", TXV),
    Machine("propane", "fridge-p", AXV),
)


@functools.cache
def set_up(machine: Machine, refrigerant_name: str = "") -> tuple[Bench, Settings]:
    """Bench and settings of a machine, its hardware scaled where another refrigerant is asked for."""
    bench = load_bench(machine.bench)
    configuration = bench.configurations[machine.configuration]
    for name, vessel in bench.vessels.items():
        configuration = with_vessel(bench, configuration, name, in_line=getattr(machine, vessel.kind))
    bench = replace(bench, configurations={**bench.configurations, configuration.id: configuration})
    start = default_settings(bench, configuration.id)
    if not refrigerant_name or refrigerant_name == bench.refrigerant:
        return bench, start
    filled = replace(configuration, charge_kg=start.charge_kg)
    bench = scaled(replace(bench, configurations={**bench.configurations, configuration.id: filled}), refrigerant_name)
    return bench, _well_filled(bench, default_settings(bench, configuration.id))


def _well_filled(bench: Bench, settings: Settings) -> Settings:
    """As a technician fills a machine: a receiver to a third, else until the liquid is subcooled by 5 K."""
    low, high = 0.3 * settings.charge_kg, 3.0 * settings.charge_kg
    for _ in range(20):
        middle = (low * high) ** 0.5
        point = solved(bench, replace(settings, charge_kg=middle))
        full = point.subcooling_k > 5.0 if point.receiver_level is None else point.receiver_level > 1.0 / 3.0
        low, high = (low, middle) if full or not point.is_solved else (middle, high)
    return replace(settings, charge_kg=(low * high) ** 0.5)


def at(bench: Bench, settings: Settings, ambient_k: float, space_k: float) -> Settings:
    """The same settings at other air temperatures; the air around the bench is that of the condenser."""
    from hvacr_lab.bench.service_sheet import spaces_in_use

    spaces = spaces_in_use(bench, settings)
    temperatures = {**settings.temperatures_k, spaces["ambient"]: ambient_k, spaces["space"]: space_k}
    return replace(settings, temperatures_k=temperatures)


def with_faults(settings: Settings, faults: Mapping[str, float]) -> Settings:
    return replace(settings, faults={**settings.faults, **faults})


def solved(bench: Bench, settings: Settings, start: OperatingPoint | None = None) -> OperatingPoint:
    return solve(bench, settings, start=start)
