"""How a fault changes a bench: on its settings, its hardware, or the `Modifiers`; never on a result.

Each `Act` takes the bench as it stands and a severity above 0. All sizes of effects at severity 1 are own values,
chosen so that a few tenths show on the gauges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.line_up import trace
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, ThermostaticValve
from hvacr_lab.bench.settings import NOTHING_WRONG, Modifiers, Settings


@dataclass(frozen=True, slots=True)
class Case:
    """A bench as it stands there: hardware, what is set on it, and what is wrong beside the hardware."""

    bench: Bench
    settings: Settings
    modifiers: Modifiers = NOTHING_WRONG


Act = Callable[[Case, float], Case]

IN_LIQUID_LINE, IN_SUCTION, IN_DISCHARGE = 2e6, 9e3, 4e4
# [1], resistance at severity 0.5 times displacement squared: about 1 bar in the liquid line, a fifth of the suction
# pressure, an eighth of the head pressure (own values)
_LEAK_AREA_S_PER_M = 6e-4
# [s/m], area over displacement: about a third of what the compressor pumps slips back at severity 1 (own value)
_WRONG_BOTTLE = {
    "R-134a": "R-404A",
    "R-404A": "R-134a",
    "R-410A": "R-407C",
    "R-32": "R-410A",
    "R-290": "R-134a",
    "R-454B": "R-410A",
    "R-1234yf": "R-134a",
}
# what may stand beside the right one (own choice); everything else is mistaken for R-134a


def coil_in_use(bench: Bench, settings: Settings, side: str) -> str | None:
    """The coil that condenses or evaporates as the valves stand.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    side : str, "high" or "low"

    Returns
    -------
    str, id of the coil; None where the line-up passes none on that side
    """
    on_the_way: Iterable[str] = getattr(trace(bench, settings.valves, settings.reversing), side)
    return next((part for part in on_the_way if part in bench.coils), None)


def charge(change: float) -> Act:
    """Too much or too little refrigerant.

    Parameters
    ----------
    change : float, share of the charge that is added at severity 1, negative: taken away

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        charge_kg = case.settings.charge_kg * (1.0 + change * severity)
        return replace(case, settings=replace(case.settings, charge_kg=charge_kg))

    return act


def modified(**at_one: float) -> Act:
    """Modifiers that move in a straight line.

    Parameters
    ----------
    at_one : name of a modifier -> value at severity 1

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        neutral = {name: getattr(NOTHING_WRONG, name) for name in at_one}
        moved = {name: getattr(case.modifiers, name) + severity * (end - neutral[name]) for name, end in at_one.items()}
        return replace(case, modifiers=replace(case.modifiers, **moved))

    return act


def on_coil(field: str, side: str, value: Callable[[float], float] = lambda severity: severity) -> Act:
    """An entry in a modifier for the coil that condenses or evaporates.

    Parameters
    ----------
    field : str, name of the modifier
    side : str, "high": the condensing coil, "low": the evaporating one
    value : severity -> entry

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        coil = coil_in_use(case.bench, case.settings, side)
        if coil is None:
            return case
        changes: dict[str, Any] = {field: {**getattr(case.modifiers, field), coil: value(severity)}}
        return replace(case, modifiers=replace(case.modifiers, **changes))

    return act


def restriction(field: str, half_shut: float) -> Act:
    """A narrow place in a line; the same severity costs about the same share of the pressure on every bench.

    Parameters
    ----------
    field : str, name of the modifier
    half_shut : float, resistance at severity 0.5 times displacement squared [1]

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        resistance = getattr(case.modifiers, field) + _resistance_per_m4(case.bench, half_shut, severity)
        return replace(case, modifiers=replace(case.modifiers, **{field: resistance}))

    return act


def blocked_drier(case: Case, severity: float) -> Case:
    """Dirt in every filter drier.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """
    added = _resistance_per_m4(case.bench, IN_LIQUID_LINE, severity)
    pipes = tuple(
        replace(pipe, resistance_per_m4=pipe.resistance_per_m4 + added) if pipe.has_drier else pipe
        for pipe in case.bench.pipes
    )
    return replace(case, bench=replace(case.bench, pipes=pipes))


def stuck(at_first: float, at_last: float) -> Act:
    """A valve that no longer moves: where it stands depends on the severity, that it stands does not.

    Parameters
    ----------
    at_first, at_last : float, stroke 0 ... 1 at the smallest severity and at 1

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        place = at_first + severity * (at_last - at_first)
        return replace(case, modifiers=replace(case.modifiers, valve_stuck_at=place))

    return act


def worn_bearings(case: Case, severity: float) -> Case:
    """Friction: four times the power at no flow at severity 1.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """
    extra_w = case.modifiers.extra_idle_w + 3.0 * severity * case.bench.compressor.idle_w
    return replace(case, modifiers=replace(case.modifiers, extra_idle_w=extra_w))


def low_voltage(case: Case, severity: float) -> Case:
    """A fifth less voltage at severity 1; the motor slips a little more and draws more current for the same work.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """
    slower = modified(speed_share=0.96)(case, severity)
    compressor = replace(case.bench.compressor, voltage_v=case.bench.compressor.voltage_v * (1.0 - 0.2 * severity))
    return replace(slower, bench=replace(case.bench, compressor=compressor))


def leaking_reversing_valve(case: Case, severity: float) -> Case:
    """Hot gas slips past the slide of the reversing valve to the suction side.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """
    area_m2 = _LEAK_AREA_S_PER_M * severity * case.bench.compressor.displacement_m3_per_s
    return replace(case, modifiers=replace(case.modifiers, reversing_leak_area_m2=area_m2))


def kinked_capillary(case: Case, severity: float) -> Case:
    """A capillary tube that passes as little as one 100 times as long at severity 1.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """

    def longer(tube: Capillary) -> Capillary:
        return replace(tube, length_m=tube.length_m / (1.0 - 0.9 * severity) ** 2)

    return _on_metering(case, Capillary, longer)


def superheat_set(by_k: float) -> Act:
    """The adjusting screw of every thermostatic valve turned.

    Parameters
    ----------
    by_k : float [K], change of the static superheat at severity 1; it ends at zero

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        def turned(valve: ThermostaticValve) -> ThermostaticValve:
            return replace(valve, static_superheat_k=max(valve.static_superheat_k + by_k * severity, 0.0))

        return _on_metering(case, ThermostaticValve, turned)

    return act


def pressure_set(change: float) -> Act:
    """The adjusting screw of every constant-pressure valve turned.

    Parameters
    ----------
    change : float, share of the setting that is added at severity 1

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        def turned(valve: ConstantPressureValve) -> ConstantPressureValve:
            return replace(valve, setting_pa=valve.setting_pa * (1.0 + change * severity))

        return _on_metering(case, ConstantPressureValve, turned)

    return act


def controls_set(**share_at_one: float) -> Act:
    """Settings of the pressure controls moved by a share; a manual reset stays one.

    Parameters
    ----------
    share_at_one : name of a setting -> share that is added at severity 1

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        now = {name: getattr(case.bench.controls, name) for name in share_at_one}
        moved: dict[str, Any] = {
            name: value if value is None else value * (1.0 + share_at_one[name] * severity)
            for name, value in now.items()
        }
        return replace(case, bench=replace(case.bench, controls=replace(case.bench.controls, **moved)))

    return act


def thermostat_off_by(shift_k: float) -> Act:
    """A thermostat that opens and closes at another temperature than the one on its dial.

    Parameters
    ----------
    shift_k : float [K], at severity 1

    Returns
    -------
    Act
    """

    def act(case: Case, severity: float) -> Case:
        controls = case.bench.controls
        moved = replace(controls, thermostat_k=controls.thermostat_k + shift_k * severity)
        return replace(case, bench=replace(case.bench, controls=moved))

    return act


def wrong_refrigerant(case: Case, severity: float) -> Case:
    """The whole filling from the wrong bottle; there is no half of it, so every severity above 0 does the same.

    Parameters
    ----------
    case : Case
    severity : float

    Returns
    -------
    Case
    """
    poured = _WRONG_BOTTLE.get(case.bench.refrigerant, "R-134a")
    return replace(case, bench=replace(case.bench, refrigerant=poured)) if severity > 0.0 else case


def _on_metering(case: Case, kind: type, change: Callable[[Any], Any]) -> Case:
    """Every metering device of one kind changed."""
    devices = {
        name: change(device) if isinstance(device, kind) else device for name, device in case.bench.metering.items()
    }
    return replace(case, bench=replace(case.bench, metering=devices))


def _resistance_per_m4(bench: Bench, half_shut: float, severity: float) -> float:
    """As an orifice of the share 1 - severity of the pipe, never quite shut: 2500 times the half-shut one at 1."""
    narrowness = (severity / (1.02 - severity)) ** 2 * (0.52 / 0.5) ** 2
    return half_shut / bench.compressor.displacement_m3_per_s**2 * narrowness
