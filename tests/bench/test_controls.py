"""Controls: what stops the compressor, when it may start again, and what a person is told."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.bench.controls import (
    HIGH,
    LOW,
    THERMOSTAT,
    TIMER,
    Sensed,
    Switches,
    after,
    reports,
    reset_by_hand,
    why_it_rests,
)
from hvacr_lab.bench.parts import Controls
from hvacr_lab.errors import LabError, OutOfRange

# a small R-134a refrigerator; settings of the usual size (common practice)
AUTOMATIC = Controls(
    high_cut_out_pa=18.5e5,
    high_cut_in_pa=14.0e5,
    low_cut_out_pa=0.9e5,
    low_cut_in_pa=2.0e5,
    thermostat_k=276.15,
    differential_k=3.0,
    minimum_off_s=180.0,
)
BY_HAND = dataclasses.replace(AUTOMATIC, high_cut_in_pa=None)
WARM_BOX = Sensed(discharge_pa=9.5e5, suction_pa=2.2e5, space_k=281.15)
RUNNING = Switches(running=True, rested_s=0.0)


def later(
    controls: Controls, before: Switches, seconds: float = 1.0, heating: bool = False, **sensed: float
) -> Switches:
    return after(controls, before, dataclasses.replace(WARM_BOX, **sensed), seconds, heating=heating)


def test_runs_on_while_everything_is_in_order() -> None:
    assert later(AUTOMATIC, RUNNING) == RUNNING


@pytest.mark.parametrize(
    ("sensed", "stopped_by"),
    [
        ({"discharge_pa": 18.5e5}, HIGH),
        ({"suction_pa": 0.9e5}, LOW),
        ({"space_k": 276.15}, THERMOSTAT),
    ],
)
def test_each_control_stops_the_compressor_at_its_own_setting(sensed: dict[str, float], stopped_by: str) -> None:
    stopped = later(AUTOMATIC, RUNNING, **sensed)
    assert not stopped.running
    assert why_it_rests(AUTOMATIC, stopped) == (stopped_by, TIMER)
    open_ones = [
        report.name for report in reports(AUTOMATIC, dataclasses.replace(WARM_BOX, **sensed)) if report.is_open
    ]
    assert open_ones == [stopped_by]


@pytest.mark.parametrize(
    ("opens", "between", "closes"),
    [
        ({"discharge_pa": 19e5}, {"discharge_pa": 15e5}, {"discharge_pa": 13.9e5}),
        ({"suction_pa": 0.8e5}, {"suction_pa": 1.5e5}, {"suction_pa": 2.0e5}),
        ({"space_k": 276.0}, {"space_k": 278.0}, {"space_k": 279.15}),
    ],
)
def test_contact_stays_as_it_is_between_cut_out_and_cut_in(
    opens: dict[str, float], between: dict[str, float], closes: dict[str, float]
) -> None:
    assert later(AUTOMATIC, RUNNING, **between).closed, "on the way out it is still closed"
    opened = later(AUTOMATIC, RUNNING, **opens)
    assert not later(AUTOMATIC, opened, **between).closed, "on the way back it is still open"
    assert later(AUTOMATIC, opened, **closes).closed


def test_compressor_rests_its_minimum_time_even_when_everything_has_closed() -> None:
    stopped = later(AUTOMATIC, RUNNING, space_k=276.0)
    resting = later(AUTOMATIC, stopped, 179.0, space_k=280.0)
    assert resting.closed and not resting.running
    assert why_it_rests(AUTOMATIC, resting) == (TIMER,)
    assert later(AUTOMATIC, resting, 1.0, space_k=280.0).running


def test_first_start_needs_no_rest() -> None:
    assert Switches().rested_s == math.inf
    assert later(AUTOMATIC, Switches()).running


def test_manual_reset_waits_for_a_person() -> None:
    opened = later(BY_HAND, RUNNING, discharge_pa=19e5)
    for _ in range(10):
        opened = later(BY_HAND, opened, 600.0, discharge_pa=5e5)
    assert opened.high_open and not opened.running
    pressed = reset_by_hand(BY_HAND, opened, WARM_BOX)
    assert later(BY_HAND, pressed).running


def test_reset_does_not_hold_while_the_pressure_is_still_up() -> None:
    opened = later(BY_HAND, RUNNING, discharge_pa=19e5)
    with pytest.raises(LabError, match=r"19\.0 bar absolute.*18\.5 bar.*reason"):
        reset_by_hand(BY_HAND, opened, dataclasses.replace(WARM_BOX, discharge_pa=19e5))


def test_thermostat_of_a_heat_pump_works_the_other_way_round() -> None:
    heater = dataclasses.replace(AUTOMATIC, thermostat_k=294.15, differential_k=1.0)
    assert later(heater, RUNNING, heating=True, space_k=290.0).running
    warm = later(heater, RUNNING, heating=True, space_k=294.2)
    assert warm.thermostat_open
    assert later(heater, warm, heating=True, space_k=293.5).thermostat_open
    assert not later(heater, warm, heating=True, space_k=293.1).thermostat_open


def test_report_says_in_a_sentence_what_happens_next() -> None:
    high_pressure = dataclasses.replace(WARM_BOX, discharge_pa=20e5)
    (by_hand, *_), (automatic, *_) = reports(BY_HAND, high_pressure), reports(AUTOMATIC, high_pressure)
    assert "press its reset" in by_hand.why and "by itself" in automatic.why
    assert (by_hand.reads, by_hand.opens_at, by_hand.unit) == (20e5, 18.5e5, "Pa")
    for sensed in (WARM_BOX, high_pressure, Sensed(5e5, 0.5e5, 270.0)):
        for heating in (False, True):
            assert all(report.why.endswith(".") for report in reports(AUTOMATIC, sensed, heating=heating))


def test_report_knows_what_was_open_before() -> None:
    recovering = dataclasses.replace(WARM_BOX, discharge_pa=15e5)
    assert not reports(AUTOMATIC, recovering)[0].is_open
    assert reports(AUTOMATIC, recovering, switches=Switches(high_open=True))[0].is_open


def test_time_does_not_run_backwards() -> None:
    with pytest.raises(OutOfRange, match="elapsed time"):
        later(AUTOMATIC, RUNNING, -1.0)


PRESSURE = st.floats(0.1e5, 30e5)


@given(
    steps=st.lists(st.tuples(PRESSURE, PRESSURE, st.floats(240.0, 320.0), st.floats(0.0, 400.0)), max_size=12),
    heating=st.booleans(),
)
@settings(max_examples=50, deadline=None)
def test_never_runs_with_an_open_contact_and_never_restarts_too_early(
    steps: list[tuple[float, float, float, float]], heating: bool
) -> None:
    now, rested = Switches(), math.inf
    for discharge, suction, space, seconds in steps:
        before, now = now, after(AUTOMATIC, now, Sensed(discharge, suction, space), seconds, heating=heating)
        rested = 0.0 if before.running else rested + seconds
        assert not now.running or now.closed
        if now.running and not before.running:
            assert rested >= AUTOMATIC.minimum_off_s
