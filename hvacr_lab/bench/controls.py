"""Thermostat, high- and low-pressure control and the timer against short rests: what stops the compressor, and why.

Pure functions on frozen records: the steady bench asks which control would open, the bench in motion carries `Switches`
from step to step.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hvacr_lab.bench.operating_point import ControlState
from hvacr_lab.bench.parts import Controls
from hvacr_lab.errors import LabError
from hvacr_lab.units import checked_number, within

HIGH, LOW, THERMOSTAT = "high-pressure control", "low-pressure control", "thermostat"
TIMER = "rest before a restart"


@dataclass(frozen=True, slots=True)
class Sensed:
    """What the controls feel.

    Parameters
    ----------
    discharge_pa, suction_pa : float [Pa absolute], at the ports of the compressor
    space_k : float [K], air of the space that the thermostat stands in
    """

    discharge_pa: float
    suction_pa: float
    space_k: float


@dataclass(frozen=True, slots=True)
class Switches:
    """Contacts of the controls, and how long the compressor has rested.

    Parameters
    ----------
    high_open, low_open, thermostat_open : bool, an open contact stops the compressor
    running : bool
    rested_s : float [s], since the compressor stopped; infinite: it may start at once
    """

    high_open: bool = False
    low_open: bool = False
    thermostat_open: bool = False
    running: bool = False
    rested_s: float = math.inf

    @property
    def closed(self) -> bool:
        """True when every contact lets the compressor run."""
        return not (self.high_open or self.low_open or self.thermostat_open)


def after(controls: Controls, before: Switches, sensed: Sensed, elapsed_s: float, *, heating: bool = False) -> Switches:
    """The switches a while later.

    Parameters
    ----------
    controls : Controls
    before : Switches
    sensed : Sensed, at the end of that while
    elapsed_s : float [s], zero or positive
    heating : bool, the space is heated, so the thermostat is satisfied when it is warm

    Returns
    -------
    Switches

    Raises
    ------
    OutOfRange : negative time

    Source
    ------
    Common practice: a control opens at its cut-out, closes at its cut-in and keeps its contact in between; one with
    manual reset stays open.

    Examples
    --------
    >>> controls = Controls(18e5, 14e5, 0.7e5, 1.5e5, 276.15, 3.0, 180.0)
    >>> stopped = after(controls, Switches(running=True), Sensed(18.2e5, 2e5, 280.0), 1.0)
    >>> stopped.high_open, stopped.running, stopped.rested_s
    (True, False, 0.0)
    """
    elapsed = within("elapsed time", checked_number(elapsed_s, "elapsed time"), "s", (0.0, None))
    contacts = replace(
        before,
        high_open=_high_opens(controls, before.high_open, sensed.discharge_pa),
        low_open=_low_opens(controls, before.low_open, sensed.suction_pa),
        thermostat_open=_is_satisfied(controls, before.thermostat_open, sensed.space_k, heating),
    )
    rested = before.rested_s if before.running else before.rested_s + elapsed
    may_run = before.running or rested >= controls.minimum_off_s
    if contacts.closed and may_run:
        return replace(contacts, running=True, rested_s=0.0)
    return replace(contacts, running=False, rested_s=0.0 if before.running else rested)


def reset_by_hand(controls: Controls, before: Switches, sensed: Sensed) -> Switches:
    """Press the reset button of the high-pressure control.

    Parameters
    ----------
    controls : Controls
    before : Switches
    sensed : Sensed

    Returns
    -------
    Switches, with its contact closed; the same as before where it was closed

    Raises
    ------
    LabError : the pressure is still at the cut-out or above, so the button does not hold

    Source
    ------
    Common practice. Before anyone presses it, the reason has to be found: a control that opened has seen a pressure
    that can hurt.

    Examples
    --------
    >>> controls = Controls(18e5, None, 0.7e5, 1.5e5, 276.15, 3.0, 180.0)
    >>> reset_by_hand(controls, Switches(high_open=True), Sensed(8e5, 6e5, 280.0)).high_open
    False
    """
    if before.high_open and sensed.discharge_pa >= controls.high_cut_out_pa:
        raise LabError(
            f"The reset does not hold: the head pressure, {sensed.discharge_pa / 1e5:.1f} bar absolute, is still not "
            f"below the cut-out of {controls.high_cut_out_pa / 1e5:.1f} bar. Find the reason first."
        )
    return replace(before, high_open=False)


def reports(
    controls: Controls, sensed: Sensed, *, heating: bool = False, switches: Switches | None = None
) -> tuple[ControlState, ...]:
    """What each control does at an operating point.

    Parameters
    ----------
    controls : Controls
    sensed : Sensed
    heating : bool, the space is heated
    switches : Switches or None; None: all contacts were closed before

    Returns
    -------
    tuple of ControlState: high-pressure control, low-pressure control, thermostat; `why` is a sentence

    Source
    ------
    As `after`.

    Examples
    --------
    >>> controls = Controls(18e5, None, 0.7e5, 1.5e5, 276.15, 3.0, 180.0)
    >>> for control in reports(controls, Sensed(19e5, 2e5, 278.0)):
    ...     print(control.name, control.is_open)
    high-pressure control True
    low-pressure control False
    thermostat False
    """
    was = switches or Switches()
    high = _high_opens(controls, was.high_open, sensed.discharge_pa)
    low = _low_opens(controls, was.low_open, sensed.suction_pa)
    warm_enough = _is_satisfied(controls, was.thermostat_open, sensed.space_k, heating)
    return (
        ControlState(HIGH, high, sensed.discharge_pa, controls.high_cut_out_pa, "Pa", _why_high(controls, high)),
        ControlState(LOW, low, sensed.suction_pa, controls.low_cut_out_pa, "Pa", _WHY_LOW[low]),
        ControlState(
            THERMOSTAT, warm_enough, sensed.space_k, controls.thermostat_k, "K", _WHY_THERMOSTAT[heating][warm_enough]
        ),
    )


def why_it_rests(controls: Controls, switches: Switches) -> tuple[str, ...]:
    """Everything that keeps the compressor from running.

    Parameters
    ----------
    controls : Controls
    switches : Switches

    Returns
    -------
    tuple of str, names of controls and of the timer; empty while it runs

    Source
    ------
    As `after`.

    Examples
    --------
    >>> controls = Controls(18e5, None, 0.7e5, 1.5e5, 276.15, 3.0, 180.0)
    >>> why_it_rests(controls, Switches(low_open=True, rested_s=20.0))
    ('low-pressure control', 'rest before a restart')
    """
    if switches.running:
        return ()
    contacts = {HIGH: switches.high_open, LOW: switches.low_open, THERMOSTAT: switches.thermostat_open}
    return (
        *(name for name, is_open in contacts.items() if is_open),
        *((TIMER,) if switches.rested_s < controls.minimum_off_s else ()),
    )


def _high_opens(controls: Controls, was_open: bool, pressure_pa: float) -> bool:
    if not was_open:
        return pressure_pa >= controls.high_cut_out_pa
    return controls.high_cut_in_pa is None or pressure_pa > controls.high_cut_in_pa


def _low_opens(controls: Controls, was_open: bool, pressure_pa: float) -> bool:
    return pressure_pa < controls.low_cut_in_pa if was_open else pressure_pa <= controls.low_cut_out_pa


def _is_satisfied(controls: Controls, was_open: bool, space_k: float, heating: bool) -> bool:
    """Cooling: open at the setting or below, closed again one differential above it; heating: the other way round."""
    beyond_k = (space_k - controls.thermostat_k) * (-1.0 if heating else 1.0)
    return beyond_k < controls.differential_k if was_open else beyond_k <= 0.0


def _why_high(controls: Controls, is_open: bool) -> str:
    if not is_open:
        return "The head pressure is below the cut-out."
    again = (
        "Somebody has to press its reset once the reason is found."
        if controls.high_cut_in_pa is None
        else "It closes by itself once the pressure has fallen to the cut-in."
    )
    return f"The head pressure has reached the cut-out, so the compressor stops. {again}"


_WHY_LOW = {
    False: "The suction pressure is above the cut-out.",
    True: "The suction pressure has fallen to the cut-out, so the compressor stops. "
    "It closes by itself once the pressure has risen to the cut-in.",
}
_WHY_THERMOSTAT = {
    False: {
        False: "The space is warmer than the setting: the thermostat calls for cooling.",
        True: "The space is as cold as the thermostat is set, so the compressor rests.",
    },
    True: {
        False: "The space is colder than the setting: the thermostat calls for heat.",
        True: "The space is as warm as the thermostat is set, so the compressor rests.",
    },
}
# heating? -> open? -> sentence
