"""What can be wrong with a bench: each fault a pure function of how bad it is, from 0 (nothing) to 1.

Severity 0 gives the very same records back. Faults commute, except a wrong refrigerant with whatever depends on its
properties; they are applied in the order of `FAULTS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from hvacr_lab.bench import fault_actions as acts
from hvacr_lab.bench.description import Bench, as_configured
from hvacr_lab.bench.fault_actions import Act, Case
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, ThermostaticValve
from hvacr_lab.bench.settings import NOTHING_WRONG, Modifiers, Settings
from hvacr_lab.errors import UnknownName
from hvacr_lab.units import checked_number, within


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault.

    Parameters
    ----------
    label : str, for people
    means : str, a sentence: what is wrong, and how much at severity 1
    act : (Case, severity above 0) -> Case
    needs : str, the part that a bench must have for it, "" for nothing in particular
    """

    label: str
    means: str
    act: Act
    needs: str = ""


CAPILLARY, THERMOSTATIC, CONSTANT_PRESSURE = "capillary tube", "thermostatic valve", "constant-pressure valve"
_HAS: Mapping[str, Callable[[Bench], bool]] = {
    "": lambda bench: True,
    CAPILLARY: lambda bench: _any_of(bench.metering.values(), Capillary),
    THERMOSTATIC: lambda bench: _any_of(bench.metering.values(), ThermostaticValve),
    CONSTANT_PRESSURE: lambda bench: _any_of(bench.metering.values(), ConstantPressureValve),
    "expansion valve": lambda bench: _any_of(bench.metering.values(), ThermostaticValve | ConstantPressureValve),
    "receiver": lambda bench: any(vessel.kind == "receiver" for vessel in bench.vessels.values()),
    "accumulator": lambda bench: any(vessel.kind == "accumulator" for vessel in bench.vessels.values()),
    "reversing valve": lambda bench: bench.reversing_valve is not None,
    "filter drier": lambda bench: any(pipe.has_drier for pipe in bench.pipes),
}
# part -> does the bench have it?

FAULTS: Mapping[str, Fault] = MappingProxyType(
    {
        "undercharge": Fault("too little refrigerant", "At 1 only a tenth of it is left.", acts.charge(-0.9)),
        "overcharge": Fault(
            "too much refrigerant", "At 1 there is twice as much as there should be.", acts.charge(1.0)
        ),
        "wrong-refrigerant": Fault(
            "wrong refrigerant", "The whole filling is of another kind.", acts.wrong_refrigerant
        ),
        "air-in-system": Fault(
            "air in the system",
            "Air gathers in the condenser; at 1 it adds 4 bar at 27 degrees Celsius.",
            acts.modified(non_condensable_pa=4e5),
        ),
        "dirty-condenser": Fault(
            "dirty condenser",
            "Dirt on the fins; at 1 it takes 70 % of the air flow and half of the conductance.",
            acts.on_coil("fouling", "high"),
        ),
        "slow-condenser-fan": Fault(
            "slow condenser fan",
            "At 1 the fan stands still.",
            acts.on_coil("fan_share", "high", lambda severity: 1.0 - severity),
        ),
        "dirty-evaporator": Fault(
            "dirty evaporator",
            "Dirt on the fins; at 1 it takes 70 % of the air flow and half of the conductance.",
            acts.on_coil("fouling", "low"),
        ),
        "frosted-evaporator": Fault(
            "frost on the evaporator", "Frost acts on the air as dirt does.", acts.on_coil("fouling", "low")
        ),
        "slow-evaporator-fan": Fault(
            "slow evaporator fan",
            "At 1 the fan stands still.",
            acts.on_coil("fan_share", "low", lambda severity: 1.0 - severity),
        ),
        "oil-in-condenser": Fault(
            "oil film in the condenser",
            "At 1 the conductance inside the tubes is 40 % smaller.",
            acts.on_coil("oil_logging", "high"),
        ),
        "oil-in-evaporator": Fault(
            "oil film in the evaporator",
            "At 1 the conductance inside the tubes is 40 % smaller.",
            acts.on_coil("oil_logging", "low"),
        ),
        "liquid-line-restriction": Fault(
            "restriction in the liquid line",
            "A kink or a part-shut valve before the metering device; at 1 next to nothing passes.",
            acts.restriction("liquid_restriction_per_m4", acts.IN_LIQUID_LINE),
        ),
        "blocked-drier": Fault(
            "blocked filter drier",
            "Dirt in the drier; at 1 next to nothing passes.",
            acts.blocked_drier,
            "filter drier",
        ),
        "blocked-metering-inlet": Fault(
            "blocked inlet of the metering device",
            "Dirt on the inlet strainer; at 1 nothing passes.",
            acts.modified(metering_blockage=1.0),
        ),
        "ice-in-metering": Fault(
            "ice in the metering device",
            "Moisture that has frozen at the outlet, so only where the refrigerant boils below 0 degrees Celsius; at 1 "
            "nothing passes.",
            acts.modified(metering_blockage=1.0),
        ),
        "kinked-capillary": Fault(
            "kinked capillary tube",
            "At 1 it passes as little as one a hundred times as long.",
            acts.kinked_capillary,
            CAPILLARY,
        ),
        "suction-restriction": Fault(
            "suction service valve part shut",
            "At 1 next to nothing passes.",
            acts.restriction("suction_restriction_per_m4", acts.IN_SUCTION),
        ),
        "discharge-restriction": Fault(
            "discharge service valve part shut",
            "At 1 next to nothing passes.",
            acts.restriction("discharge_restriction_per_m4", acts.IN_DISCHARGE),
        ),
        "bulb-loose": Fault(
            "bulb off the pipe",
            "The bulb of the thermostatic valve feels the air as well; at 1 nothing but the air.",
            acts.modified(bulb_contact=0.0),
            THERMOSTATIC,
        ),
        "bulb-warm": Fault(
            "bulb in a warm place",
            "At 1 it is 10 K warmer than the pipe.",
            acts.modified(bulb_offset_k=10.0),
            THERMOSTATIC,
        ),
        "bulb-charge-lost": Fault(
            "bulb has lost its charge",
            "At 1 the thermostatic valve stays shut but for its bleed.",
            acts.modified(bulb_charge_lost=1.0),
            THERMOSTATIC,
        ),
        "valve-stuck-open": Fault(
            "expansion valve stuck open",
            "It stands at half stroke or, at 1, wide open.",
            acts.stuck(0.5, 1.0),
            "expansion valve",
        ),
        "valve-stuck-shut": Fault(
            "expansion valve stuck shut",
            "It stands at half stroke or, at 1, shut.",
            acts.stuck(0.5, 0.0),
            "expansion valve",
        ),
        "superheat-set-high": Fault("superheat set too high", "At 1 by 8 K.", acts.superheat_set(8.0), THERMOSTATIC),
        "superheat-set-low": Fault(
            "superheat set too low", "At 1 by 8 K, though never below zero.", acts.superheat_set(-8.0), THERMOSTATIC
        ),
        "pressure-set-high": Fault(
            "constant-pressure valve set too high", "At 1 by 30 %.", acts.pressure_set(0.3), CONSTANT_PRESSURE
        ),
        "pressure-set-low": Fault(
            "constant-pressure valve set too low", "At 1 by 30 %.", acts.pressure_set(-0.3), CONSTANT_PRESSURE
        ),
        "worn-compressor-valves": Fault(
            "worn compressor valves",
            "Gas flows back past the valves of the compressor.",
            acts.modified(compressor_valve_wear=1.0),
        ),
        "worn-bearings": Fault(
            "worn bearings", "At 1 the compressor needs four times its power at no flow.", acts.worn_bearings
        ),
        "slow-compressor": Fault(
            "compressor too slow",
            "A slipping belt or too low a frequency; at 1 by 40 %.",
            acts.modified(speed_share=0.6),
        ),
        "low-voltage": Fault("low voltage", "At 1 by a fifth.", acts.low_voltage),
        "leaking-reversing-valve": Fault(
            "reversing valve leaks",
            "Hot gas slips to the suction side; at 1 about a third of the flow.",
            acts.leaking_reversing_valve,
            "reversing valve",
        ),
        "leaking-dip-tube": Fault(
            "dip tube of the receiver leaks",
            "Gas is drawn in with the liquid; at 1 a tenth of the mass.",
            acts.modified(dip_tube_leak=0.1),
            "receiver",
        ),
        "blocked-accumulator-bleed": Fault(
            "bleed hole of the accumulator blocked",
            "Liquid is no longer drawn out of the accumulator.",
            acts.modified(accumulator_bleed_blocked=1.0),
            "accumulator",
        ),
        "high-control-set-low": Fault(
            "high-pressure control set too low",
            "At 1 by 40 %.",
            acts.controls_set(high_cut_out_pa=-0.4, high_cut_in_pa=-0.4),
        ),
        "low-control-set-high": Fault(
            "low-pressure control set too high",
            "At 1 to twice the pressure.",
            acts.controls_set(low_cut_out_pa=1.0, low_cut_in_pa=1.0),
        ),
        "thermostat-set-warm": Fault(
            "thermostat set too warm",
            "Cooling ends too early and heating too late; at 1 by 10 K.",
            acts.thermostat_off_by(10.0),
        ),
        "thermostat-set-cold": Fault(
            "thermostat set too cold",
            "Cooling ends too late and heating too early; at 1 by 10 K.",
            acts.thermostat_off_by(-10.0),
        ),
    }
)
"""Id -> fault."""


def apply_faults(bench: Bench, settings: Settings) -> tuple[Bench, Settings, Modifiers]:
    """Let every fault act that the settings name.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    tuple of Bench, Settings and Modifiers; the settings then name no fault, and the bench has its screws turned as the
    configuration wants. Without faults, or with severity 0 only, the very same records. A fault of a part that the
    bench does not have changes nothing.

    Raises
    ------
    UnknownName : there is no such fault
    NotUsable, OutOfRange : severity outside 0 ... 1
    """
    active = {name: _checked(name, severity) for name, severity in settings.faults.items()}
    active = {name: severity for name, severity in active.items() if severity > 0.0}
    if not active:
        return bench, settings, NOTHING_WRONG
    case = Case(_settled(bench, settings.configuration), settings)
    for name in (name for name in FAULTS if name in active and is_possible(name, bench)):
        case = FAULTS[name].act(case, active[name])
    return case.bench, replace(case.settings, faults={}), case.modifiers


def fault(name: str) -> Fault:
    """Look a fault up by its id.

    Parameters
    ----------
    name : str, one of `FAULTS`

    Returns
    -------
    Fault

    Raises
    ------
    UnknownName : there is no such fault
    """
    if name not in FAULTS:
        raise UnknownName("fault", name, FAULTS)
    return FAULTS[name]


def is_possible(name: str, bench: Bench) -> bool:
    """Whether a bench has the part that a fault needs.

    Parameters
    ----------
    name : str, one of `FAULTS`
    bench : Bench

    Returns
    -------
    bool

    Raises
    ------
    UnknownName : there is no such fault
    """
    return _HAS[fault(name).needs](bench)


def _settled(bench: Bench, configuration: str) -> Bench:
    """The bench with its screws turned for good: configuring it again cannot undo what a fault does to them."""
    configured = as_configured(bench, configuration)
    if configured is bench:
        return bench
    done = replace(bench.configurations[configuration], controls=None, settings_pa={}, coil_spaces={})
    return replace(configured, configurations={**bench.configurations, configuration: done})


def _checked(name: str, severity: float) -> float:
    what = f"severity of {fault(name).label}"
    hint = "0 is nothing, 1 is as bad as it gets."
    return within(what, checked_number(severity, what), "", (0.0, 1.0), hint=hint)


def _any_of(parts: Iterable[object], kind: Any) -> bool:
    return any(isinstance(part, kind) for part in parts)
