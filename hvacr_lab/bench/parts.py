"""The parts of a bench, as plain numbers in SI: what a maker's data sheet, a ruler and a thermometer can tell.

Every part that can be passed through has ports, named ``part.port`` in the pipes: ``.in`` and ``.out`` for the
compressor, coils, vessels and metering devices; ``.discharge``, ``.suction``, ``.a``, ``.b`` for the reversing valve;
``.liquid``, ``.return``, ``.a``, ``.b`` for the check-valve bridge. A coil is passed from in to out when the bench
cools; with the reversing valve in heating it is passed from out to in.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Compressor:
    """The hermetic compressor: a clearance model with an efficiency that peaks at one pressure ratio.

    Parameters
    ----------
    displacement_m3_per_s : float, swept volume times speed [m3/s]
    clearance : float, dead volume over swept volume [-]
    polytropic_exponent : float, of the re-expansion of the dead volume [-]
    filling : float, volumetric efficiency that is left at pressure ratio one [-]
    isentropic_peak : float, best isentropic efficiency, electrical losses in it [-]
    ratio_at_peak : float, pressure ratio of that best efficiency [-]
    isentropic_falloff : float, share of the peak lost per unit of pressure ratio above it [-]
    shell_loss : float, share of the power that leaves through the shell [-]
    suction_heat_j_per_kg : float, heat that motor and shell give to the suction gas [J/kg]
    idle_w : float, electrical power at no flow [W]
    shell_volume_m3 : float, gas volume of the shell at suction pressure [m3]
    voltage_v : float, supply voltage [V]
    no_load_a : float, magnetising current of the motor [A]
    locked_rotor_a : float, current while the rotor stands still [A]
    label : str, name in drawings
    """

    displacement_m3_per_s: float
    clearance: float
    polytropic_exponent: float
    filling: float
    isentropic_peak: float
    ratio_at_peak: float
    isentropic_falloff: float
    shell_loss: float
    suction_heat_j_per_kg: float
    idle_w: float
    shell_volume_m3: float
    voltage_v: float
    no_load_a: float
    locked_rotor_a: float
    label: str = "Compressor"


@dataclass(frozen=True, slots=True)
class Coil:
    """A finned coil with its fan; whether it condenses or evaporates is for the line-up to say.

    Parameters
    ----------
    id, label : str
    volume_m3 : float, inside volume [m3]
    ua_refrigerant_w_per_k : float, conductance inside while all of it condenses or evaporates [W/K]
    vapour_share, liquid_share : float, the same with vapour or liquid in it, as a share of that [-]
    ua_air_w_per_k : float, conductance outside with the fan full on [W/K]
    air_flow_kg_per_s : float, dry air with the fan full on [kg/s]
    fan_w : float, electrical power of the fan full on [W]
    draught : float, air flow with the fan off as a share of the full one [-]
    space : str, id of the space whose air it sees
    """

    id: str
    label: str
    volume_m3: float
    ua_refrigerant_w_per_k: float
    vapour_share: float
    liquid_share: float
    ua_air_w_per_k: float
    air_flow_kg_per_s: float
    fan_w: float
    draught: float
    space: str


@dataclass(frozen=True, slots=True)
class Vessel:
    """A receiver or a suction accumulator.

    Parameters
    ----------
    id, label : str
    kind : str, "receiver" or "accumulator"
    volume_m3 : float [m3]
    bleed_quality : float, accumulator: how much vapour is missing (1 - quality) before it begins to fill [-]
    has_relief : bool, whether a relief device protects it
    isolated_by : tuple of str, valves that are open when it is in line and shut when it is not
    bypassed_by : str or None, valve that is shut when it is in line and open when it is not
    """

    id: str
    label: str
    kind: str
    volume_m3: float
    bleed_quality: float
    has_relief: bool
    isolated_by: tuple[str, ...] = ()
    bypassed_by: str | None = None


@dataclass(frozen=True, slots=True)
class Capillary:
    """A capillary tube.

    Parameters
    ----------
    id, label : str
    diameter_m, length_m : float, bore and length [m]
    """

    id: str
    label: str
    diameter_m: float
    length_m: float


@dataclass(frozen=True, slots=True)
class ThermostaticValve:
    """A thermostatic expansion valve: flow area times stroke, stroke from the superheat at its bulb.

    Parameters
    ----------
    id, label : str
    flow_area_m2 : float, wide open, discharge coefficient in it: m = K sqrt(2 rho dp) [m2]
    static_superheat_k : float, at which it begins to open [K]
    opening_superheat_k : float, more superheat from there to wide open [K]
    maximum_operating_pressure_pa : float, outlet pressure above which it closes, absolute [Pa]
    bulb : str, port or pipe on which the bulb is clamped
    external_equaliser : bool, whether it feels the pressure at the bulb instead of at its own outlet
    """

    id: str
    label: str
    flow_area_m2: float
    static_superheat_k: float
    opening_superheat_k: float
    maximum_operating_pressure_pa: float
    bulb: str
    external_equaliser: bool


@dataclass(frozen=True, slots=True)
class ConstantPressureValve:
    """A constant-pressure (automatic) expansion valve: it opens when its outlet pressure falls below the setting.

    Parameters
    ----------
    id, label : str
    flow_area_m2 : float, wide open, discharge coefficient in it [m2]
    setting_pa : float, outlet pressure at which it shuts, absolute [Pa]
    opening_pa : float, pressure below the setting from shut to wide open [Pa]
    """

    id: str
    label: str
    flow_area_m2: float
    setting_pa: float
    opening_pa: float


Metering = Capillary | ThermostaticValve | ConstantPressureValve


@dataclass(frozen=True, slots=True)
class HandValve:
    """A valve that is opened and shut by hand.

    Parameters
    ----------
    id, label : str
    flow_area_m2 : float, wide open, discharge coefficient in it: m = K u sqrt(2 rho dp) at opening u [m2]
    """

    id: str
    label: str
    flow_area_m2: float


@dataclass(frozen=True, slots=True)
class Pipe:
    """A piece of pipe between two ports or junctions; its valve, if any, sits at the start, so its volume is behind it.

    Parameters
    ----------
    id : str
    start, end : str, ``part.port``, or the name of a junction (any name that is no part)
    volume_m3 : float [m3]
    resistance_per_m4 : float, pressure drop over mass flow squared times specific volume: dp = zeta m2 v [1/m4]
    ua_ambient_w_per_k : float, conductance to the air of the surroundings [W/K]
    valve : str or None, hand valve in it
    contents : str, "liquid", "gas" or "mixed" while the bench runs as it should
    has_relief : bool
    has_drier : bool, whether a filter drier sits in it
    """

    id: str
    start: str
    end: str
    volume_m3: float
    resistance_per_m4: float
    ua_ambient_w_per_k: float
    valve: str | None
    contents: str
    has_relief: bool = False
    has_drier: bool = False


@dataclass(frozen=True, slots=True)
class Port:
    """A place where something is connected or clamped on to measure or to guard.

    Parameters
    ----------
    id, label : str
    at : str, port of a part or name of a junction
    kind : str, "gauge", "pressure control", "thermometer" or "access"
    """

    id: str
    label: str
    at: str
    kind: str


@dataclass(frozen=True, slots=True)
class ReversingValve:
    """The four-way valve: cooling joins discharge to a and b to suction, heating discharge to b and a to suction.

    Parameters
    ----------
    id, label : str
    resistance_per_m4 : float, of each of its two ways [1/m4]
    """

    id: str
    label: str
    resistance_per_m4: float


@dataclass(frozen=True, slots=True)
class CheckValveBridge:
    """Four check valves that give the liquid line one direction whichever coil condenses.

    Cooling: in at a, out at liquid; in at return, out at b. Heating: in at b, out at liquid; in at return, out at a.
    It moves by itself. At rest, refrigerant can leave the coils towards ``liquid`` and reach them from ``return``,
    never the other way, so liquid between the bridge and a shut valve cannot flow back into a coil.

    Parameters
    ----------
    id, label : str
    resistance_per_m4 : float, of each of its two ways [1/m4]
    """

    id: str
    label: str
    resistance_per_m4: float


@dataclass(frozen=True, slots=True)
class Space:
    """Air around a coil.

    Parameters
    ----------
    id, label : str
    kind : str, "box", "room" or "outdoors"
    ua_w_per_k : float, conductance of its walls to the surroundings [W/K]
    load_w : float, heat set free in it [W]
    """

    id: str
    label: str
    kind: str
    ua_w_per_k: float
    load_w: float


@dataclass(frozen=True, slots=True)
class Controls:
    """Pressure controls, thermostat and timer; pressures absolute.

    Parameters
    ----------
    high_cut_out_pa : float, discharge pressure at which the compressor is stopped [Pa]
    high_cut_in_pa : float or None, at which it may start again [Pa]; None: reset by hand
    low_cut_out_pa, low_cut_in_pa : float, the same at the suction [Pa]
    thermostat_k : float, temperature of the space at which the thermostat is satisfied [K]
    differential_k : float, how far from that it calls again [K]
    minimum_off_s : float, rest before a restart [s]
    """

    high_cut_out_pa: float
    high_cut_in_pa: float | None
    low_cut_out_pa: float
    low_cut_in_pa: float
    thermostat_k: float
    differential_k: float
    minimum_off_s: float
