"""Every key that a bench file may hold, with its limits, its unit and how to find the number.

The limits are wide: they catch a slipped point or a wrong unit, not an unusual bench. Pressures are absolute, hence
``_bar_abs``; a gauge reading gets the barometer added, about 1 bar.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from hvacr_lab.bench.bench_text import REQUIRED, Key, flag, name, names, number, one_of, table, text
from hvacr_lab.refrigerants import refrigerant_names

_LITRE, _CM3, _MM, _MM2, _BAR, _KELVIN = 1e-3, 1e-6, 1e-3, 1e-6, 1e5, 273.15
AIR_DENSITY_KG_PER_M3 = 1.2
# of the air that a fan's volume flow is stated for: standard air of fan catalogues (common practice)

_ABSOLUTE = "Absolute pressure: gauge reading + about 1 bar."
_WIDE_OPEN = "About 0.18 mm2 for each kW of rated R-134a capacity."


def _percent(low: float, high: float, default: float | None) -> Key:
    return number(low, high, "%", factor=0.01, default=default)


def _pressure(default: object = REQUIRED) -> Key:
    return number(0.05, 80, "bar", factor=_BAR, hint=_ABSOLUTE, default=default)


BENCH: Mapping[str, Key] = {"title": text(), "refrigerant": one_of(refrigerant_names())}
COMPRESSOR: Mapping[str, Key] = {
    "label": text(30, default="Compressor"),
    "displacement_cm3": number(0.5, 500, "cm3", factor=_CM3, hint="Swept volume of one turn, from the data sheet."),
    "speed_per_min": number(300, 8000, "1/min", factor=1 / 60, hint="2900 on 50 Hz, 3500 on 60 Hz."),
    "clearance_percent": _percent(0.5, 15, 0.03),
    "polytropic_exponent": number(1.0, 1.6, "", default=1.12),
    "filling_percent": _percent(50, 100, 0.95),
    "best_efficiency_percent": _percent(20, 85, 0.68),
    "ratio_at_best": number(1.2, 8, "", default=2.5),
    "falloff_percent_per_ratio": _percent(0, 20, 0.07),
    "shell_loss_percent": _percent(0, 60, 0.25),
    "suction_heat_kj_per_kg": number(0, 60, "kJ/kg", factor=1e3, default=12e3),
    "idle_w": number(0, 1000, "W", default=40.0),
    "shell_volume_l": number(0.05, 50, "l", factor=_LITRE, default=1.2e-3),
    "voltage_v": number(50, 500, "V"),
    "no_load_a": number(0, 100, "A"),
    "locked_rotor_a": number(0.5, 500, "A"),
}
COIL: Mapping[str, Key] = {
    "label": text(30),
    "space": name("a space"),
    "inside_volume_l": number(0.02, 20, "l", factor=_LITRE, hint="0.785 x bore x bore x tube length."),
    "ua_inside_w_per_k": number(5, 10_000, "W/K", hint="About 1.7 x ua_outside."),
    "ua_outside_w_per_k": number(5, 10_000, "W/K", hint="Rated capacity over rated temperature difference, x 2.5."),
    "vapour_share_percent": _percent(5, 100, 0.35),
    "liquid_share_percent": _percent(5, 100, 0.5),
    "air_flow_m3_per_h": number(
        20, 20_000, "m3/h", factor=AIR_DENSITY_KG_PER_M3 / 3600, hint="Mean air speed x face area x 3600."
    ),
    "fan_w": number(0, 2000, "W"),
    "draught_percent": _percent(1, 50, 0.08),
}
VESSEL: Mapping[str, Key] = {
    "label": text(30),
    "kind": one_of(("receiver", "accumulator")),
    "volume_l": number(0.05, 50, "l", factor=_LITRE),
    "bleed_percent": _percent(0.5, 50, 0.05),
    "relief": flag(default=False),
    "isolated_by": names("valves", default=()),
    "bypassed_by": name("a valve", default=None),
}
CAPILLARY: Mapping[str, Key] = {
    "label": text(30),
    "bore_mm": number(0.3, 5, "mm", factor=_MM, hint="Bore, not outside diameter."),
    "length_m": number(0.2, 10, "m"),
}
THERMOSTATIC: Mapping[str, Key] = {
    "label": text(30),
    "flow_area_mm2": number(0.005, 50, "mm2", factor=_MM2, hint=_WIDE_OPEN),
    "static_superheat_k": number(1, 15, "K", default=4.0),
    "opening_superheat_k": number(1, 15, "K", default=5.0),
    "maximum_operating_pressure_bar_abs": _pressure(),
    "bulb": name("the port, junction or pipe with the bulb"),
    "external_equaliser": flag(default=False),
}
CONSTANT_PRESSURE: Mapping[str, Key] = {
    "label": text(30),
    "flow_area_mm2": number(0.005, 50, "mm2", factor=_MM2, hint=_WIDE_OPEN),
    "setting_bar_abs": _pressure(),
    "opening_bar": number(0.05, 5, "bar", factor=_BAR, default=0.5e5),
}
VALVE: Mapping[str, Key] = {
    "label": text(40),
    "bore_mm": number(0.5, 80, "mm", factor=_MM, hint="Narrowest bore, wide open."),
    "discharge_coefficient": number(0.1, 1.0, "", default=0.6),
}
PIPE: Mapping[str, Key] = {
    "from": name("a port (part.out) or junction"),
    "to": name("a port (part.in) or junction"),
    "bore_mm": number(1, 80, "mm", factor=_MM, hint="Outside diameter less twice the wall."),
    "length_m": number(0.01, 50, "m"),
    "loss_coefficient": number(0, 500, "", default=0.0),
    "insulated": flag(default=False),
    "contents": one_of(("liquid", "gas", "mixed")),
    "valve": name("a valve", default=None),
    "relief": flag(default=False),
    "drier": flag(default=False),
}
PORT: Mapping[str, Key] = {
    "label": text(40),
    "at": name("a port or junction"),
    "kind": one_of(("gauge", "pressure control", "thermometer", "access"), default="gauge"),
}
SIGHT_GLASS: Mapping[str, Key] = {"pipe": name("a pipe")}
FOUR_PORT: Mapping[str, Key] = {
    "label": text(30),
    "bore_mm": number(1, 80, "mm", factor=_MM),
    "loss_coefficient": number(0, 500, "", default=5.0),
}
SPACE: Mapping[str, Key] = {
    "label": text(40),
    "kind": one_of(("box", "room", "outdoors")),
    "ua_w_per_k": number(0, 5000, "W/K", default=0.0),
    "load_w": number(0, 20_000, "W", default=0.0),
}
CONTROLS: Mapping[str, Key] = {
    "high_cut_out_bar_abs": _pressure(),
    "high_cut_in_bar_abs": _pressure(default=None),
    "low_cut_out_bar_abs": _pressure(),
    "low_cut_in_bar_abs": _pressure(),
    "thermostat_c": number(-50, 60, "C", offset=_KELVIN),
    "differential_k": number(0.2, 20, "K"),
    "minimum_off_s": number(0, 3600, "s", default=180.0),
}
CONFIGURATION: Mapping[str, Key] = {
    "title": text(),
    "kind": one_of(("refrigerator", "freezer", "air conditioner", "heat pump")),
    "reversing": one_of(("cooling", "heating"), default=None),
    "metering": name("a metering device"),
    "open": names("valves"),
    "partly_open_percent": table(_percent(0, 100, None)),
    "charge_g": number(5, 100_000, "g", factor=1e-3, default=None),
    "ambient_c": number(-30, 60, "C", offset=_KELVIN),
    "space_c": number(-40, 50, "C", offset=_KELVIN),
    "space_humidity_percent": _percent(1, 100, 0.5),
    "ambient_humidity_percent": _percent(1, 100, 0.5),
    "fans_percent": table(_percent(0, 100, None)),
    "coil_spaces": table(name("a space")),
    "settings_bar_abs": table(_pressure()),
    "controls": table(Key(lambda key, value: value)),
}
SECTIONS = {
    "bench": "what it is",
    "compressor": "its one compressor",
    "coil": "at least two coils",
    "vessel": "",
    "capillary": "",
    "thermostatic": "",
    "constant_pressure": "",
    "valve": "",
    "pipe": "how it is piped",
    "port": "",
    "sight_glass": "",
    "reversing_valve": "",
    "check_valve_bridge": "",
    "space": "the air around the coils",
    "controls": "pressure controls and thermostat",
    "configuration": "at least one configuration",
}


def hole_m2(bore_m: float) -> float:
    """Cross-section of a bore.

    Parameters
    ----------
    bore_m : float [m]

    Returns
    -------
    float [m2]

    Examples
    --------
    >>> round(hole_m2(0.010) * 1e6, 1)
    78.5
    """
    return 0.25 * math.pi * bore_m * bore_m


def pipe_resistance_per_m4(bore_m: float, length_m: float, loss_coefficient: float) -> float:
    """Pressure drop of a pipe over mass flow squared times specific volume.

    Parameters
    ----------
    bore_m, length_m : float [m]
    loss_coefficient : float, sum over bends and fittings [-]

    Returns
    -------
    float [1/m4], (f L/d + K)/(2 A2)

    Source
    ------
    Darcy-Weisbach; friction factor 0.02: smooth copper pipe at Reynolds numbers of some 10^4 (Moody chart, from
    memory).

    Examples
    --------
    >>> f"{pipe_resistance_per_m4(0.012, 1.0, 2.0):.1e}"
    '1.4e+08'
    """
    return (0.02 * length_m / bore_m + loss_coefficient) / (2.0 * hole_m2(bore_m) ** 2)


def pipe_ua_w_per_k(bore_m: float, length_m: float, insulated: bool) -> float:
    """Conductance between the refrigerant in a pipe and the air around it.

    Parameters
    ----------
    bore_m, length_m : float [m]
    insulated : bool

    Returns
    -------
    float [W/K]: bare 10 W/(m2 K) on a wall of 1 mm; insulated 0.2 W/(m K), as 13 mm of foam on small pipe (from memory)

    Examples
    --------
    >>> round(pipe_ua_w_per_k(0.010, 2.0, False), 2), pipe_ua_w_per_k(0.010, 2.0, True)
    (0.75, 0.4)
    """
    return 0.2 * length_m if insulated else 10.0 * math.pi * (bore_m + 2e-3) * length_m
