"""Anything that can be set ends in a solution or in a named condition, and closes.

``tools/bench_envelope.py`` runs the twenty thousand points; here are a few hundred, of another seed.
"""

from __future__ import annotations

from itertools import islice

import pytest
from random_points import REFRIGERANTS, points

from hvacr_lab.bench.operating_point import OUTCOMES, RUNNING, UNRESOLVED, OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.steady import solve


def check(name: str, settings: Settings, point: OperatingPoint) -> None:
    said = f"{name}: {settings}"
    assert point.outcome in OUTCOMES, said
    assert point.outcome != UNRESOLVED, said
    assert point.converged, said
    if point.outcome == RUNNING:
        assert abs(point.residuals["charge"]) < 1e-6, said
        assert abs(point.residuals["energy"]) < 1e-4, said
        assert abs(point.residuals["flow"]) < 1e-4, said
        for air in point.air.values():
            assert (air.outlet_k - air.inlet_k) * air.heat_w <= 1e-9 or air.latent_w > 0.0, said


@pytest.mark.parametrize("refrigerant", REFRIGERANTS)
def test_thirty_random_points(refrigerant: str) -> None:
    for name, bench, settings in islice(points(5, (refrigerant,)), 30):
        check(name, settings, solve(bench, settings))


@pytest.mark.slow
def test_two_thousand_random_points() -> None:
    for name, bench, settings in islice(points(6), 2000):
        check(name, settings, solve(bench, settings))


@pytest.mark.slow
def test_another_start_gives_the_same_point() -> None:
    near: dict[str, OperatingPoint] = {}
    for name, bench, settings in islice(points(8), 600):
        point = solve(bench, settings)
        if point.outcome == RUNNING:
            start = near.setdefault(name, point)
            again = solve(bench, settings, start=start)
            assert again.unknowns == pytest.approx(point.unknowns, abs=1e-4), f"{name}: {settings}"
