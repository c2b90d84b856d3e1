"""The nominal charge: computed from the design point, not scaled."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_points import REFRIGERANTS, bench_with

from hvacr_lab.bench import bench_names, load_bench
from hvacr_lab.bench.charge import NOMINAL_LEVEL, NOMINAL_SUBCOOLING_K, nominal_charge
from hvacr_lab.bench.settings import default_settings, design_settings
from hvacr_lab.bench.steady import solve
from hvacr_lab.errors import LabError, UnknownName

EVERY = [(name, configuration) for name in bench_names() for configuration in load_bench(name).configurations]


@pytest.mark.parametrize(("name", "configuration"), EVERY)
def test_gives_five_kelvin_of_subcooling_or_a_receiver_a_third_full(name: str, configuration: str) -> None:
    """Common practice; solving with that charge must come back to it."""
    bench = load_bench(name)
    charge_kg = nominal_charge(bench, configuration)
    point = solve(bench, design_settings(bench, bench.configurations[configuration], charge_kg))
    if point.receiver_level is not None:
        assert point.receiver_level == pytest.approx(NOMINAL_LEVEL, abs=1e-4)
    else:
        assert point.subcooling_k == pytest.approx(NOMINAL_SUBCOOLING_K, abs=0.05)


@pytest.mark.parametrize("refrigerant", REFRIGERANTS)
def test_exists_for_every_refrigerant(refrigerant: str) -> None:
    bench = bench_with("demo", refrigerant)
    for configuration in bench.configurations:
        assert 0.05 < nominal_charge(bench, configuration) < 1.0


def test_is_used_where_the_bench_file_leaves_the_charge_open() -> None:
    bench = bench_with("demo", "R-1234yf")
    assert bench.configurations["refrigerator"].charge_kg is None
    expected = nominal_charge(bench, "refrigerator")
    assert default_settings(bench, "refrigerator").charge_kg == pytest.approx(expected, rel=1e-9)


def test_a_configuration_that_leads_nowhere_has_none() -> None:
    bench = load_bench("demo")
    shut = replace(bench.configurations["refrigerator"], valves=dict.fromkeys(bench.valves, 0.0))
    stuck = replace(bench, configurations={"refrigerator": shut})
    with pytest.raises(LabError, match="no charge can be worked out"):
        nominal_charge(stuck, "refrigerator")


def test_an_unknown_configuration_is_answered_with_the_known_ones() -> None:
    with pytest.raises(UnknownName, match="freezer"):
        nominal_charge(load_bench("demo"), "freezr")
