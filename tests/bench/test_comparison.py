"""Rises, falls, about the same: the one definition, at its edges."""

from __future__ import annotations

import dataclasses

import pytest

from hvacr_lab.bench.comparison import (
    DIRECTIONS,
    FALLS,
    MARGINS,
    RISES,
    SAME,
    SYMPTOMS,
    WATCHED,
    change,
    compare,
    gauge_subcooling_k,
    symptoms,
)
from hvacr_lab.bench.operating_point import DEAD_HEADED, RUNNING, OperatingPoint
from hvacr_lab.errors import UnknownName

# own values of the usual size: R-134a refrigerator, 25 degC around it, 5 degC inside
BEFORE = OperatingPoint(
    outcome=RUNNING,
    refrigerant="R-134a",
    discharge_pressure_pa=9.5e5,
    condensing_pressure_pa=9.5e5,
    suction_pressure_pa=2.3e5,
    superheat_k=6.7,
    total_superheat_k=10.0,
    subcooling_k=5.0,
    discharge_temperature_k=336.0,
    compressor_power_w=258.0,
    current_a=1.9,
    mass_flow_kg_per_s=0.0036,
    cooling_w=540.0,
    heating_w=720.0,
)


@pytest.mark.parametrize(
    ("margin", "before", "same", "beyond"),
    [
        ("pressure", 10e5, 10.3e5, 10.31e5),
        ("superheat or subcooling", 6.0, 7.5, 7.6),
        ("discharge temperature", 340.0, 343.0, 343.1),
        ("electrical", 200.0, 208.0, 208.1),
    ],
)
def test_margins_of_the_trade(margin: str, before: float, same: float, beyond: float) -> None:
    """Pressure 3 %, superheat and subcooling 1.5 K, discharge temperature 3 K, current 4 % (common practice)."""
    assert change(before, same, margin) == SAME
    assert change(before, beyond, margin) == RISES
    assert change(before, 2 * before - same, margin) == SAME
    assert change(before, 2 * before - beyond, margin) == FALLS


def test_each_watched_quantity_has_a_margin_and_the_tell_tales_are_watched() -> None:
    assert {watched.margin for watched in WATCHED.values()} <= set(MARGINS)
    assert set(SYMPTOMS) <= set(WATCHED)


def test_nothing_changed_is_about_the_same() -> None:
    assert set(symptoms(BEFORE, BEFORE).values()) == {SAME}


def test_each_change_shows_in_its_own_row() -> None:
    after = dataclasses.replace(BEFORE, suction_pressure_pa=2.1e5, superheat_k=12.0)
    assert symptoms(BEFORE, after) == {**dict.fromkeys(SYMPTOMS, SAME), "suction": FALLS, "superheat": RISES}


def test_air_in_the_system_shows_as_subcooling_on_the_gauge() -> None:
    """The gauge shows air and refrigerant together; the refrigerant's own pressure has not moved (common practice)."""
    with_air = dataclasses.replace(BEFORE, discharge_pressure_pa=11.5e5)
    # R-134a: bubble temperature 37.5 degC at 9.5 bar, 44.6 degC at 11.5 bar (CoolProp)
    assert gauge_subcooling_k(with_air) == pytest.approx(5.0 + 7.1, abs=0.1)
    assert symptoms(BEFORE, with_air)["subcooling"] == RISES


def test_without_a_steady_point_there_is_nothing_to_compare() -> None:
    stopped = OperatingPoint(outcome=DEAD_HEADED, refrigerant="R-134a")
    rows = compare(BEFORE, stopped)
    assert {row.change for row in rows.values()} == {""}
    assert rows["head"].before == 9.5e5 and rows["head"].after is None


def test_receiver_level_is_compared_only_where_there_is_a_receiver() -> None:
    full, low = (dataclasses.replace(BEFORE, receiver_level=level) for level in (0.5, 0.2))
    assert compare(full, low)["receiver level"].change == FALLS
    assert compare(BEFORE, low)["receiver level"].change == ""


def test_unknown_margin_is_refused() -> None:
    with pytest.raises(UnknownName, match="pressure"):
        change(1.0, 2.0, "pressures")


def test_three_directions() -> None:
    assert DIRECTIONS == ("rises", "falls", "about the same")
