"""Look-ups of students' cells: the printed table as a function; each US twin means the same."""

from __future__ import annotations

import pytest

from hvacr_lab.errors import LabError
from hvacr_lab.exercises import look_ups

TABLE_K = 0.25
# [K], spread between an older table and the present equation of state (note of SAT-190 ... SAT-204)


@pytest.mark.parametrize(
    ("absolute_bar", "boils_c", "latent_kj"),
    [(1.0, -26.52, 217.4), (2.0, -10.18, 205.8), (6.0, 21.54, 181.1), (10.0, 39.41, 164.0)],
)
def test_r134a_against_a_printed_table(absolute_bar: float, boils_c: float, latent_kj: float) -> None:
    """M. Kutz, Mechanical Engineers' Handbook, 2006, table 14 (SAT-190 ... SAT-204)."""
    assert look_ups.dew_temperature_c("R-134a", absolute_bar) == pytest.approx(boils_c, abs=TABLE_K)
    assert look_ups.bubble_temperature_c("R-134a", absolute_bar) == pytest.approx(boils_c, abs=TABLE_K)
    vapour, liquid = (
        look_up("R-134a", absolute_bar)
        for look_up in (look_ups.vapour_enthalpy_kj_per_kg, look_ups.liquid_enthalpy_kj_per_kg)
    )
    assert vapour - liquid == pytest.approx(latent_kj, rel=0.01, abs=0.1)


def test_vapour_of_r134a_at_a_pressure_and_a_temperature() -> None:
    """Sonntag and Borgnakke, example 11.7: 394.9 kJ/kg at 125 kPa and -10 degC, IIR reference (STA-004)."""
    assert look_ups.enthalpy_kj_per_kg("R-134a", 1.25, -10.0) == pytest.approx(394.9, rel=0.001, abs=0.1)


def test_the_ends_of_the_glide() -> None:
    """ASHRAE Fundamentals 2021, ch. 29, table 2: R-407C -43.8 to -36.7 degC at 1 atm."""
    assert look_ups.bubble_temperature_c("R-407C", 1.01325) == pytest.approx(-43.8, abs=0.25)
    assert look_ups.dew_temperature_c("R-407C", 1.01325) == pytest.approx(-36.7, abs=0.25)


PSI_PER_BAR, KJ_PER_BTU_PER_LB = 14.503_77, 2.326
# NIST Special Publication 811


@pytest.mark.parametrize("absolute_bar", [1.5, 4.0, 12.0])
def test_the_us_twins_mean_the_same(absolute_bar: float) -> None:
    psia = absolute_bar * PSI_PER_BAR
    for line in ("dew", "bubble"):
        celsius = getattr(look_ups, f"{line}_temperature_c")("R-134a", absolute_bar)
        fahrenheit = getattr(look_ups, f"{line}_temperature_f")("R-134a", psia)
        assert fahrenheit == pytest.approx(1.8 * celsius + 32.0, abs=0.001)
    for name in ("liquid_enthalpy", "vapour_enthalpy"):
        si, us = (getattr(look_ups, f"{name}_{unit}") for unit in ("kj_per_kg", "btu_per_lb"))
        assert us("R-134a", psia) == pytest.approx(si("R-134a", absolute_bar) / KJ_PER_BTU_PER_LB, abs=0.001)
    assert look_ups.enthalpy_btu_per_lb("R-134a", psia, 140.0) == pytest.approx(
        look_ups.enthalpy_kj_per_kg("R-134a", absolute_bar, 60.0) / KJ_PER_BTU_PER_LB, abs=0.001
    )


def test_a_slip_at_the_keyboard_gets_a_sentence() -> None:
    for call in (
        lambda: look_ups.dew_temperature_c("R-134b", 2.0),
        lambda: look_ups.dew_temperature_c("R-134a", -0.4),
        lambda: look_ups.dew_temperature_c("R-134a", 80.0),
        lambda: look_ups.enthalpy_kj_per_kg("R-134a", 2.0, 4000.0),
    ):
        with pytest.raises(LabError):
            call()
