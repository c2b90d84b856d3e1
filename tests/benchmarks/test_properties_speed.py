"""Speed of the property tables beside CoolProp in the same run; no time in seconds is asserted, only ratios.

Run ``pytest tests/benchmarks/test_properties_speed.py --benchmark-columns=median,ops``; each test adds the ratio to the
table as ``extra_info`` and prints it with ``-s``.
"""

from __future__ import annotations

import timeit
from collections.abc import Callable

import CoolProp
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from hvacr_lab.refrigerants import refrigerant

POINTS = 100_000
KELVINS = np.linspace(240.0, 330.0, POINTS)
PRESSURES = np.linspace(2e5, 15e5, POINTS)
ENTHALPIES = np.tile(np.linspace(190e3, 450e3, 1000), POINTS // 1000)
FEW = 10
# of a blend CoolProp answers so slowly that ten points must do


def seconds(function: Callable[[], object]) -> float:
    return min(timeit.repeat(function, number=1, repeat=3))


def report(benchmark: pytest.FixtureRequest, what: str, points: int, other: float, other_points: int) -> float:
    """Points a second here over points a second there."""
    here = points / benchmark.stats.stats.median
    ratio = here / (other_points / other)
    benchmark.extra_info[what] = round(ratio, 1)
    print(f"\n{what}: {here:.3g} points/s, {ratio:.1f} times CoolProp")
    return ratio


def test_saturation_pressures_of_r134a_as_an_array(benchmark) -> None:
    benchmark(refrigerant("R-134a").dew_pressure, KELVINS)
    other = seconds(lambda: PropsSI("P", "T", KELVINS, "Q", 1.0, "R134a"))
    assert report(benchmark, "R-134a p(T), array", POINTS, other, POINTS) > 1.0


def test_saturation_pressures_of_a_blend_as_an_array(benchmark) -> None:
    benchmark(refrigerant("R-448A").dew_pressure, KELVINS)
    other = seconds(lambda: PropsSI("P", "T", KELVINS[:FEW], "Q", 1.0, "R448A.mix"))
    assert report(benchmark, "R-448A p(T), array", POINTS, other, FEW) > 1000.0


def test_temperatures_from_pressure_and_enthalpy_as_an_array(benchmark) -> None:
    benchmark(refrigerant("R-134a").temperature_ph, PRESSURES, ENTHALPIES)
    few = POINTS // 100
    other = seconds(lambda: PropsSI("T", "P", PRESSURES[:few], "H", ENTHALPIES[:few], "R134a"))
    assert report(benchmark, "R-134a T(p,h), array", POINTS, other, few) > 1.0


def test_a_saturation_pressure_as_a_plain_number(benchmark) -> None:
    benchmark(refrigerant("R-134a").dew_pressure, 280.0)
    other = seconds(lambda: [PropsSI("P", "T", 280.0, "Q", 1.0, "R134a") for _ in range(1000)])
    assert report(benchmark, "R-134a p(T), one", 1, other, 1000) > 1.0


def test_a_temperature_from_pressure_and_enthalpy_as_a_plain_number(benchmark) -> None:
    benchmark(refrigerant("R-134a").temperature_ph, 3e5, 420e3)
    state = CoolProp.AbstractState("HEOS", "R134a")
    other = seconds(lambda: [state.update(CoolProp.HmassP_INPUTS, 420e3, 3e5) for _ in range(1000)])
    assert report(benchmark, "R-134a T(p,h), one", 1, other, 1000) > 1.0


def test_an_ideal_compression_as_a_plain_number(benchmark) -> None:
    benchmark(refrigerant("R-134a").enthalpy_ps, 10e5, 1760.0)
    state = CoolProp.AbstractState("HEOS", "R134a")
    other = seconds(lambda: [state.update(CoolProp.PSmass_INPUTS, 10e5, 1760.0) for _ in range(1000)])
    assert report(benchmark, "R-134a h(p,s), one", 1, other, 1000) > 0.5


def test_a_whole_state_of_a_blend(benchmark) -> None:
    benchmark(lambda: refrigerant("R-454B").state(pressure_pa=10e5, enthalpy_j_per_kg=300e3))
    state = CoolProp.AbstractState("HEOS", "R454B.mix")
    other = seconds(lambda: state.update(CoolProp.HmassP_INPUTS, 300e3, 10e5))
    assert report(benchmark, "R-454B state(p,h), one", 1, other, 1) > 100.0


def test_three_hundred_thousand_points_a_second(benchmark) -> None:
    """The demand on R-134a, with the machine's own CoolProp loop as the yardstick: 2 million a second in the design."""
    benchmark(refrigerant("R-134a").dew_pressure, KELVINS)
    assert POINTS / benchmark.stats.stats.median > 300_000
