"""What a person sets on a bench before it runs, and what a fault changes that is no change of hardware."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from hvacr_lab.bench.description import HEATING, Bench, Configuration, as_configured
from hvacr_lab.bench.line_up import trace
from hvacr_lab.errors import UnknownName


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything that can be set on a bench; change one thing with ``dataclasses.replace``.

    ``charge_kg`` is all the refrigerant on the bench. ``trapped_kg`` says how much of it was left behind in a vessel or
    pipe when its valves were shut; it counts only while that element is cut off, so opening the valves gives it back.
    """

    valves: Mapping[str, float]
    reversing: str | None
    fans: Mapping[str, float]
    temperatures_k: Mapping[str, float]
    relative_humidity: Mapping[str, float]
    charge_kg: float
    faults: Mapping[str, float] = field(default_factory=dict)
    compressor_on: bool = True
    box_balance: bool = False
    configuration: str = ""
    trapped_kg: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Modifiers:
    """Effects of faults beside the hardware; every default means "nothing is wrong"."""

    non_condensable_pa: float = 0.0
    # partial pressure of air in the high side at 300 K; follows the absolute temperature of the high side
    bulb_contact: float = 1.0
    # 1: the bulb has the temperature of the pipe; 0: of the air around it
    bulb_offset_k: float = 0.0
    # added to the temperature of the bulb
    bulb_charge_lost: float = 0.0
    # 1: the valve stays shut but for its bleed
    valve_stuck_at: float | None = None
    # stroke 0 ... 1 of thermostatic and constant-pressure valves, whatever they sense
    metering_blockage: float = 0.0
    # part of the flow area lost at the inlet of every metering device; 1: shut
    compressor_valve_wear: float = 0.0
    # 0 ... 1 of the wear that B3's compressor model knows
    speed_share: float = 1.0
    # compressor speed over nominal speed
    extra_idle_w: float = 0.0
    # power lost in bearings
    suction_restriction_per_m4: float = 0.0
    discharge_restriction_per_m4: float = 0.0
    liquid_restriction_per_m4: float = 0.0
    # added where the line enters the compressor, leaves it, and before the metering devices: dp = zeta m^2 v
    reversing_leak_area_m2: float = 0.0
    # discharge gas that slips to the suction side inside the reversing valve (area includes the discharge coefficient)
    dip_tube_leak: float = 0.0
    # quality added to what leaves the receiver
    accumulator_bleed_blocked: float = 0.0
    # part of the bleed hole of the accumulator that is closed
    fouling: Mapping[str, float] = field(default_factory=dict)
    # coil -> 0 ... 1, dirt or frost on the air side
    fan_share: Mapping[str, float] = field(default_factory=dict)
    # coil -> factor on the fan setting
    oil_logging: Mapping[str, float] = field(default_factory=dict)
    # coil -> 0 ... 1, oil film inside the tubes


NOTHING_WRONG = Modifiers()


def default_settings(bench: Bench, configuration: str) -> Settings:
    """Settings with which a configuration of a bench is meant to run.

    Parameters
    ----------
    bench : Bench
    configuration : str, one of the bench's own configuration names

    Returns
    -------
    Settings, valves in place, fans full on, no faults

    Raises
    ------
    UnknownName : the bench has no such configuration
    """
    wanted = bench.configurations.get(configuration)
    if wanted is None:
        raise UnknownName("configuration", configuration, bench.configurations)
    from hvacr_lab.bench.charge import nominal_charge  # which needs the settings of this module

    charge_kg = nominal_charge(bench, configuration) if wanted.charge_kg is None else wanted.charge_kg
    return design_settings(bench, wanted, charge_kg)


def design_settings(bench: Bench, wanted: Configuration, charge_kg: float) -> Settings:
    """Settings at the design point of a configuration, with a charge of one's own.

    Parameters
    ----------
    bench : Bench
    wanted : Configuration
    charge_kg : float [kg]

    Returns
    -------
    Settings
    """
    conditioned = conditioned_space(bench, wanted)
    spaces = bench.spaces
    return Settings(
        valves={name: float(wanted.valves.get(name, 0.0)) for name in bench.valves},
        reversing=wanted.reversing,
        fans={name: float(wanted.fans.get(name, 1.0)) for name in bench.coils},
        temperatures_k={name: wanted.space_k if name == conditioned else wanted.ambient_k for name in spaces},
        relative_humidity={
            name: wanted.space_relative_humidity if name == conditioned else wanted.ambient_relative_humidity
            for name in spaces
        },
        charge_kg=float(charge_kg),
        configuration=wanted.id,
    )


def conditioned_space(bench: Bench, wanted: Configuration) -> str | None:
    """The space that a configuration cools or heats: that of its evaporator, or, in heating, of its condenser.

    Parameters
    ----------
    bench : Bench
    wanted : Configuration

    Returns
    -------
    str, id; None where the valves of the configuration lead past every coil
    """
    line_up = trace(bench, wanted.valves, wanted.reversing)
    way = line_up.high if wanted.reversing == HEATING else line_up.low
    coil = next((name for name in way if name in bench.coils), None)
    return as_configured(bench, wanted.id).coils[coil].space if coil is not None else None
