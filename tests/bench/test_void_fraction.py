"""Void fraction against published check values and an independent library; the mean against a fine sum."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from component_hardware import fluid_of
from reference.rows import published_rows

from hvacr_lab.bench.void_fraction import HOMOGENEOUS, ZIVI, density, flowing_quality, mean_wet_density, void_fraction

POWERS = {"void_fraction_zivi": ZIVI, "void_fraction_homogeneous": HOMOGENEOUS}
ROWS = [row for row in published_rows() if row.quantity in POWERS]


@pytest.mark.parametrize("row", ROWS, ids=[row.id for row in ROWS])
def test_published_check_values(row) -> None:
    ratio = row.inputs["rho_g_kg_m3"] / row.inputs["rho_l_kg_m3"]
    ours = void_fraction(row.inputs["quality"], ratio, POWERS[row.quantity])
    assert ours == pytest.approx(row.expected, rel=row.tolerance_rel)


@pytest.mark.reference
@pytest.mark.parametrize("quality", [0.01, 0.2, 0.5, 0.9])
def test_zivi_of_an_independent_library(quality: float) -> None:
    voidage = pytest.importorskip("fluids.two_phase_voidage", reason="could not import 'fluids'")
    lines = fluid_of("R-134a").lines(3e5)
    rho_l, rho_g = 1.0 / lines.bubble_m3_per_kg, 1.0 / lines.dew_m3_per_kg
    assert void_fraction(quality, rho_g / rho_l) == pytest.approx(voidage.Zivi(quality, rho_l, rho_g), rel=1e-12)
    homogeneous = voidage.homogeneous(quality, rho_l, rho_g)
    assert void_fraction(quality, rho_g / rho_l, HOMOGENEOUS) == pytest.approx(homogeneous, rel=1e-12)


@pytest.mark.parametrize("power", [ZIVI, HOMOGENEOUS])
@pytest.mark.parametrize(("first", "last"), [(0.2, 1.0), (1.0, 0.0), (0.31, 0.3101)])
def test_closed_mean_equals_a_fine_sum(power: float, first: float, last: float) -> None:
    lines = fluid_of("R-134a").lines(3e5)
    cells = 4000
    middles = [first + (last - first) * (i + 0.5) / cells for i in range(cells)]
    by_sum = sum(mean_wet_density(lines, x, x, slip_power=power) for x in middles) / cells
    assert mean_wet_density(lines, first, last, slip_power=power) == pytest.approx(by_sum, rel=2e-5)


@pytest.mark.parametrize("log_ratio", [-1e-9, -0.3, -3.0, -30.0, 0.8])
@pytest.mark.parametrize(("first", "last"), [(1.0, 0.0), (0.2, 0.9), (0.9, 0.1)])
def test_closed_mean_along_a_glide_equals_a_fine_sum(log_ratio: float, first: float, last: float) -> None:
    lines = fluid_of("R-454B").lines(8e5)
    cells = 20_000
    by_sum = 0.0
    for i in range(cells):
        part = (i + 0.5) / cells
        way = math.expm1(log_ratio * part) / math.expm1(log_ratio)
        quality = first + (last - first) * way
        by_sum += mean_wet_density(lines, quality, quality) / cells
    assert mean_wet_density(lines, first, last, log_ratio) == pytest.approx(by_sum, rel=2e-4)


@pytest.mark.parametrize("shift", [-1e-5, -1e-7, 0.0, 1e-7, 1e-5])
def test_closed_mean_where_its_two_fractions_coincide(shift: float) -> None:
    """There the formula is 0/0: the temperature difference runs as the nominator c + a x of the void fraction."""
    lines = fluid_of("R-134a").lines(9e5)
    c = (lines.bubble_m3_per_kg / lines.dew_m3_per_kg) ** (2.0 / 3.0)
    at = math.log(c / 1.0)
    exact = mean_wet_density(lines, 1.0, 0.0, at + 1e-3), mean_wet_density(lines, 1.0, 0.0, at - 1e-3)
    assert mean_wet_density(lines, 1.0, 0.0, at + shift) == pytest.approx(sum(exact) / 2.0, rel=1e-5)


def test_no_step_where_boiling_begins_and_ends() -> None:
    fluid = fluid_of("R-454B")
    lines = fluid.lines(8e5)
    for edge in (lines.bubble_j_per_kg, lines.dew_j_per_kg):
        assert density(fluid, lines, edge - 1e-3) == pytest.approx(density(fluid, lines, edge + 1e-3), rel=1e-5)


def test_mean_goes_on_smoothly_below_quality_zero() -> None:
    lines = fluid_of("R-134a").lines(9e5)
    at = [mean_wet_density(lines, 1.0, x) for x in (-2e-6, -1e-6, 0.0, 1e-6, 2e-6)]
    slopes = [(later - earlier) / 1e-6 for earlier, later in pairwise(at)]
    assert slopes == pytest.approx([slopes[0]] * 4, rel=1e-3)


@pytest.mark.parametrize("quality", [0.0, 0.03, 0.5, 1.0])
def test_flowing_quality_is_the_way_back(quality: float) -> None:
    assert flowing_quality(void_fraction(quality, 0.02), 0.02) == pytest.approx(quality, abs=1e-12)
