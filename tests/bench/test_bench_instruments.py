"""Instruments: how finely they are divided, how far they may be off, how fast they follow."""

from __future__ import annotations

import itertools
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.bench.instruments import (
    EDITIONS,
    INSTRUMENTS,
    Instrument,
    follow,
    gauges_for,
    glass_as_seen,
    instrument,
    largest_error,
    read,
)
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.refrigerants import refrigerant, refrigerant_names
from hvacr_lab.units import quantities

BAROMETER_PA = 96_300.0  # a school at 430 m on an average day
LOW, HIGH = INSTRUMENTS["low-side gauge"], INSTRUMENTS["high-side gauge"]
CLAMP = INSTRUMENTS["clamp thermometer"]
TRUE = {"pressure": 3.3e5, "temperature": 285.0, "ratio": 0.47, "current": 2.31, "power": 258.0}


def shown(device: Instrument, true_si: float, key: str | None = None, **more: object) -> float:
    return read(device, true_si, key=key, barometer_pa=BAROMETER_PA, **more).si


def test_gauge_shows_pressure_above_the_air_around_it_at_its_divisions() -> None:
    here = read(LOW, BAROMETER_PA + 1.337e5, key=None, barometer_pa=BAROMETER_PA)
    assert (here.number, here.text) == (1.34, "1.34 bar(g)")
    assert here.si == pytest.approx(BAROMETER_PA + 1.34e5)
    american = read(HIGH, BAROMETER_PA + 9.0e5, key=None, edition="US", barometer_pa=BAROMETER_PA)
    assert american.text == "131 psig"  # 9 bar is 130.5 psi: 1 bar = 14.5038 psi (NIST SP 811)


def test_gauge_open_to_the_air_shows_zero_and_in_a_vacuum_less() -> None:
    assert read(LOW, BAROMETER_PA, key=None, barometer_pa=BAROMETER_PA).number == 0.0
    assert read(LOW, 0.3e5, key=None, barometer_pa=BAROMETER_PA).text == "-0.66 bar(g)"


def test_pointer_stops_at_the_end_of_the_scale_and_says_so() -> None:
    beyond = read(LOW, 14e5, key=None, barometer_pa=BAROMETER_PA)
    assert beyond.at_stop
    assert beyond.text == "10.00 bar(g) (at its stop)"
    assert not read(HIGH, 14e5, key=None, barometer_pa=BAROMETER_PA).at_stop


def test_gauge_needs_the_barometer() -> None:
    with pytest.raises(NotUsable, match="air around it"):
        read(LOW, 3e5, key=None)


def test_class_one_gauge_may_be_off_by_one_per_cent_of_its_span() -> None:
    # class 1.0: 1 % of the span (EN 837-1, from memory); -1 ... 35 bar has 36 bar
    assert largest_error(HIGH, 9e5) == pytest.approx(0.36e5)
    assert largest_error(LOW, 2e5) == pytest.approx(0.11e5)


@pytest.mark.parametrize("name", INSTRUMENTS)
@given(key=st.text(max_size=20), share=st.floats(0.02, 0.98), edition=st.sampled_from(EDITIONS))
@settings(max_examples=25, deadline=None)
def test_no_instrument_in_order_is_off_by_more_than_it_may(name: str, key: str, share: float, edition: str) -> None:
    device = INSTRUMENTS[name]
    lowest, highest = (read_back(device, end) for end in ends(device))
    true = lowest + share * (highest - lowest)
    found = shown(device, true, key, edition=edition)
    step = abs(read_back(device, device.scales[edition].step, edition) - read_back(device, 0.0, edition))
    assert abs(found - true) <= largest_error(device, true) + 0.51 * step or is_at_an_end(device, found, edition)


def ends(device: Instrument) -> tuple[float, float]:
    scale = device.scales["SI"]
    return max(scale.low, -0.9), scale.high


def read_back(device: Instrument, number: float, edition: str = "SI") -> float:
    """SI value of a number on the scale, by the units room."""
    from hvacr_lab.units import pressure_pa, to_si

    unit = device.scales[edition].unit
    if device.quantity == "pressure":
        return pressure_pa(number, unit, BAROMETER_PA)
    return number if device.quantity == "current" else to_si(number, unit, device.quantity)


def is_at_an_end(device: Instrument, value: float, edition: str) -> bool:
    scale = device.scales[edition]
    return any(
        value == pytest.approx(read_back(device, end, edition), rel=1e-6) for end in (scale.low, scale.high) if end > -1
    )


def test_same_key_same_reading_and_other_keys_scatter() -> None:
    first = [shown(HIGH, 9e5, f"bench 1/{number}") for number in range(40)]
    again = [shown(HIGH, 9e5, f"bench 1/{number}") for number in reversed(range(40))]
    assert first == again[::-1]
    assert 0 < statistics.pstdev(first) < 0.25 * largest_error(HIGH, 9e5), "about one division"


def test_the_error_of_the_instrument_itself_stays_with_it() -> None:
    """Two benches differ by more than two readings of one bench."""
    benches = [statistics.fmean(shown(HIGH, 9e5, f"bench {b}/{n}") for n in range(20)) for b in range(30)]
    assert statistics.pstdev(benches) > 0.25 * largest_error(HIGH, 9e5)
    assert statistics.fmean(benches) == pytest.approx(9e5, abs=0.3 * largest_error(HIGH, 9e5))


def test_without_a_key_nothing_but_the_division_is_lost() -> None:
    for device in INSTRUMENTS.values():
        true = TRUE[device.quantity]
        step = abs(read_back(device, device.scales["SI"].step) - read_back(device, 0.0))
        if device.label != "barometer":
            assert shown(device, true) == pytest.approx(true, abs=0.51 * step)


def test_clamp_on_a_hot_pipe_reads_low_and_on_a_cold_pipe_high() -> None:
    """A clamp loses a little to the air around it (common practice)."""
    hot = [shown(CLAMP, 350.0, f"{n}/1", air_k=298.0) for n in range(200)]
    cold = [shown(CLAMP, 265.0, f"{n}/1", air_k=298.0) for n in range(200)]
    assert statistics.fmean(hot) < 349.0 and statistics.fmean(cold) > 265.5


@pytest.mark.parametrize("name", refrigerant_names())
def test_gauges_show_a_hot_condenser_of_their_refrigerant(name: str) -> None:
    low, high = gauges_for(name)
    fluid = refrigerant(name)
    hottest_k = min(338.15, fluid.limits.bubble_temperature_k[1])
    if name != "R-744":  # carbon dioxide needs gauges of another kind
        assert not read(high, fluid.bubble_pressure(hottest_k), key=None, barometer_pa=BAROMETER_PA).at_stop
    assert low.scales["SI"].step < high.scales["SI"].step


def test_an_instrument_follows_in_its_own_time() -> None:
    # first-order lag: 63.2 % after one time constant, 95.0 % after three (any textbook)
    assert follow(0.0, 100.0, 12.0, 12.0) == pytest.approx(63.2, abs=0.05)
    assert follow(0.0, 100.0, 36.0, 12.0) == pytest.approx(95.0, abs=0.05)
    assert follow(20.0, 100.0, 5.0, 0.0) == 100.0
    with pytest.raises(OutOfRange):
        follow(0.0, 1.0, -1.0, 1.0)


@given(split=st.floats(0.0, 1.0))
@settings(max_examples=30, deadline=None)
def test_two_short_waits_are_one_long_wait(split: float) -> None:
    once = follow(10.0, 50.0, 20.0, 8.0)
    twice = follow(follow(10.0, 50.0, 20.0 * split, 8.0), 50.0, 20.0 * (1 - split), 8.0)
    assert twice == pytest.approx(once)


def test_a_clear_glass_is_full_or_empty() -> None:
    assert [glass_as_seen(contents) for contents in ("vapour", "bubbles", "liquid")] == ["clear", "bubbles", "clear"]
    with pytest.raises(UnknownName, match="bubbles"):
        glass_as_seen("bubble")


def test_names_and_editions_are_checked() -> None:
    assert instrument("wattmeter") is INSTRUMENTS["wattmeter"]
    with pytest.raises(UnknownName, match="wattmeter"):
        instrument("watt meter")
    with pytest.raises(UnknownName, match="edition"):
        read(LOW, 3e5, key=None, edition="metric", barometer_pa=BAROMETER_PA)
    with pytest.raises(NotUsable):
        read(CLAMP, float("nan"), key=None)


def test_scales_are_what_an_eye_can_read() -> None:
    for device, edition in itertools.product(INSTRUMENTS.values(), EDITIONS):
        scale = device.scales[edition]
        assert device.quantity in {*quantities(), "current"}
        assert 20 <= (scale.high - scale.low) / scale.step <= 10_000, (device.label, edition)
