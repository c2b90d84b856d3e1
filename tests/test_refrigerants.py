"""What the rest of the house asks a refrigerant, and what it answers to bad input."""

from __future__ import annotations

import copy
import math
import os
import pickle
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.errors import LabError, NotUsable, OutOfRange, UnknownName
from hvacr_lab.refrigerants import Refrigerant, State, refrigerant, refrigerant_names
from hvacr_lab.refrigerants.data import all_refrigerants

NAMES = refrigerant_names()
quick = settings(max_examples=50, deadline=None)
any_refrigerant = st.sampled_from(NAMES).map(refrigerant)
share = st.floats(0.0, 1.0)


def at_share(limits: tuple[float, float], part: float) -> float:
    """A number between two limits, on them at 0 and 1."""
    return min(max(limits[0] + part * (limits[1] - limits[0]), limits[0]), limits[1])


def pressure_at(r: Refrigerant, part: float) -> float:
    low, high = r.limits.pressure_pa
    return at_share((low, high), math.expm1(part * math.log(high / low)) / (high / low - 1.0))


def enthalpy_at(r: Refrigerant, pressure_pa: float, part: float) -> float:
    """From liquid 5 K above the cold end of the table to vapour 5 K below the hot end."""
    cold, hot = r.limits.temperature_k
    ends = r.enthalpy_pt(pressure_pa, cold + 5.0), r.enthalpy_pt(pressure_pa, hot - 5.0)
    return at_share(ends, part)


# --- names and facts


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("R-134a", "R-134a"),
        ("r134a", "R-134a"),
        ("134a", "R-134a"),
        (" R 134A ", "R-134a"),
        ("R1234ze", "R-1234ze(E)"),
        ("r-1234ZE(e)", "R-1234ze(E)"),
        ("R454b", "R-454B"),
        ("ammonia", "R-717"),
        ("Carbon dioxide", "R-744"),
    ],
)
def test_any_usual_spelling_finds_it(typed: str, name: str) -> None:
    assert refrigerant(typed) is refrigerant(name)
    assert refrigerant(typed).name == name


@pytest.mark.parametrize(("typed", "closest"), [("R-143b", "R-143a"), ("R-454", "R-454B"), ("R410", "R-410A")])
def test_an_unknown_name_gets_the_closest_ones(typed: str, closest: str) -> None:
    with pytest.raises(UnknownName) as trouble:
        refrigerant(typed)
    assert closest in trouble.value.closest
    assert f"{typed!r} is not a known refrigerant" in str(trouble.value)


@pytest.mark.parametrize("typed", ["", "R", 134, None, ["R-134a"]])
def test_what_is_no_name_is_refused(typed: Any) -> None:
    with pytest.raises(UnknownName, match="is not a known refrigerant"):
        refrigerant(typed)


def test_the_refrigerants_of_the_trade_are_there() -> None:
    classic = {"R-12", "R-22", "R-134a", "R-404A", "R-407C", "R-410A", "R-507A"}
    lower_warming = {"R-32", "R-152a", "R-448A", "R-449A", "R-450A", "R-452B", "R-454B", "R-454C", "R-455A", "R-513A"}
    natural_and_olefins = {"R-290", "R-600", "R-600a", "R-717", "R-744", "R-1270", "R-1234yf", "R-1234ze(E)"}
    assert classic | lower_warming | natural_and_olefins <= set(NAMES)
    assert "Montreal" in refrigerant("R-12").note


def test_composition_adds_up_and_its_components_are_known() -> None:
    for name in NAMES:
        r = refrigerant(name)
        assert sum(r.mass_fractions) == pytest.approx(1.0)
        assert set(r.components) <= set(NAMES)
        assert r.kind == ("blend" if len(r.components) > 1 else "pure")
        assert (r.triple_temperature_k is None) == (r.kind == "blend") == (r.triple_pressure_pa is None)


def test_molar_mass_of_a_blend_follows_from_its_components() -> None:
    """One over the mean of the reciprocals by mass; R-134a 102.03 g/mol (ASHRAE 34, from memory)."""
    assert refrigerant("R-134a").molar_mass_kg_per_mol == pytest.approx(0.10203, abs=1e-5)
    for name in NAMES:
        r = refrigerant(name)
        parts = zip(r.mass_fractions, r.components, strict=True)
        reciprocal = sum(part / refrigerant(component).molar_mass_kg_per_mol for part, component in parts)
        assert r.molar_mass_kg_per_mol == pytest.approx(1.0 / reciprocal, rel=1e-5)


@pytest.mark.parametrize(
    ("name", "edition", "printed", "within"),
    [
        ("R-404A", "AR4", 3920, 5),
        ("R-404A", "AR5", 3940, 6),
        ("R-410A", "AR4", 2090, 5),
        ("R-410A", "AR5", 1920, 6),
        ("R-507A", "AR4", 3990, 6),
        ("R-449A", "AR5", 1280, 6),
        ("R-454B", "AR4", 466, 1),
        ("R-513A", "AR4", 631, 1),
    ],
)
def test_warming_of_blends_by_mass(name: str, edition: str, printed: float, within: float) -> None:
    """ASHRAE Handbook Fundamentals 2021, chapter 29, table 4, printed to three digits."""
    assert refrigerant(name).gwp(edition) == pytest.approx(printed, abs=within)


def test_every_refrigerant_has_a_warming_potential_in_every_edition() -> None:
    assert all(refrigerant(name).gwp(edition) >= 0.0 for name in NAMES for edition in ("AR4", "AR5", "AR6"))
    assert refrigerant("R-134a").gwp() == refrigerant("R-134a").gwp("AR6") == 1530


def test_an_unknown_edition_is_refused() -> None:
    with pytest.raises(UnknownName, match="'AR7' is not a known edition of warming potentials"):
        refrigerant("R-32").gwp("AR7")


def test_every_fact_names_its_source() -> None:
    for name in NAMES:
        assert all(refrigerant(name).sources.values())
        entry = all_refrigerants()[name]
        for fact in (entry.safety_class, entry.odp, *entry.gwp.values()):
            assert fact.source
            assert fact.basis in {"read", "secondary", "memory"}
            assert (fact.basis == "memory") == ("from memory" in fact.source)
    assert "from memory" in refrigerant("R-455A").sources["safety class"]


def test_ozone_depletion_only_with_chlorine() -> None:
    """ASHRAE Handbook Fundamentals 2021, chapter 29, table 3A."""
    assert {name: refrigerant(name).odp for name in NAMES if refrigerant(name).odp} == {"R-12": 1.0, "R-22": 0.055}


@pytest.mark.parametrize(
    ("name", "boils_c", "glide_k"),
    [
        ("R-134a", -26.07, 0.0),
        ("R-22", -40.81, 0.0),
        ("R-290", -42.11, 0.0),
        ("R-407C", -43.63, 7.0),
        ("R-404A", -46.22, 0.8),
    ],
)
def test_normal_boiling_point_and_glide(name: str, boils_c: float, glide_k: float) -> None:
    """ASHRAE Handbook Fundamentals 2021, chapter 29, table 5."""
    boils_k = refrigerant(name).normal_boiling_point_k
    assert boils_k is not None
    assert boils_k - 273.15 == pytest.approx(boils_c, abs=0.02)
    assert refrigerant(name).glide(101_325.0) == pytest.approx(glide_k, abs=0.06)


def test_carbon_dioxide_has_no_normal_boiling_point() -> None:
    """At one atmosphere it sublimes; liquid begins at the triple point, 5.18 bar (from memory)."""
    assert refrigerant("R-744").normal_boiling_point_k is None
    assert refrigerant("R-744").triple_pressure_pa == pytest.approx(5.18e5, rel=1e-3)


def test_it_stays_as_it_is_and_travels_by_name() -> None:
    r = refrigerant("R-454B")
    assert pickle.loads(pickle.dumps(r)) is r
    assert copy.deepcopy(r) is r
    assert repr(r) == 'refrigerant("R-454B")'
    with pytest.raises(AttributeError):
        r.data = None  # type: ignore[misc]


def test_a_child_process_answers_the_same() -> None:
    """The grader forks after the tables are loaded."""
    r = refrigerant("R-134a")
    before = r.dew_pressure(280.0)
    child = os.fork()
    if child == 0:
        os._exit(0 if r.dew_pressure(280.0) == before else 1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_tables_need_no_home_and_write_nothing() -> None:
    code = "from hvacr_lab.refrigerants import refrigerant; print(round(refrigerant('R-455A').glide(1e5), 1))"
    run = subprocess.run([sys.executable, "-c", code], env={}, capture_output=True, text=True, check=True)
    assert (run.stdout, run.stderr) == ("13.5\n", "")


# --- states


def test_a_wet_a_dry_and_a_liquid_state() -> None:
    r = refrigerant("R-134a")
    wet = r.state(pressure_pa=2e5, quality=0.3)
    assert (wet.phase, wet.quality, wet.superheat_k) == ("two-phase", 0.3, 0.0)
    dry = r.state(pressure_pa=2e5, temperature_k=273.15)
    assert (dry.phase, dry.quality) == ("vapour", None)
    assert dry.superheat_k == pytest.approx(10.08, abs=0.005)
    assert dry.density_kg_per_m3 == pytest.approx(1.0 / dry.volume_m3_per_kg)
    liquid = r.state(pressure_pa=10e5, temperature_k=303.15)
    assert (liquid.phase, liquid.quality) == ("liquid", None)
    assert liquid.subcooling_k == pytest.approx(9.37, abs=0.03)  # 10 bar boils at 39.39 degC (own value)


def test_on_the_lines_quality_is_known_and_phase_is_pure() -> None:
    for name in NAMES:
        dew, bubble = (refrigerant(name).state(pressure_pa=8e5, quality=quality) for quality in (1.0, 0.0))
        assert (dew.phase, dew.quality, dew.superheat_k) == ("vapour", 1.0, pytest.approx(0.0, abs=1e-6))
        assert (bubble.phase, bubble.quality, bubble.subcooling_k) == ("liquid", 0.0, pytest.approx(0.0, abs=1e-6))
        back = refrigerant(name).state(pressure_pa=8e5, enthalpy_j_per_kg=dew.enthalpy_j_per_kg)
        assert (back.phase, back.quality) == ("vapour", pytest.approx(1.0))


def test_inside_the_dome_superheat_and_subcooling_of_a_blend_are_negative() -> None:
    wet = refrigerant("R-407C").state(pressure_pa=5e5, quality=0.5)
    assert wet.superheat_k is not None and wet.superheat_k < -2.0
    assert wet.subcooling_k is not None and wet.subcooling_k < -2.0
    assert wet.superheat_k + wet.subcooling_k == pytest.approx(-refrigerant("R-407C").glide(5e5))


def test_superheat_and_subcooling_keep_their_sign() -> None:
    """R-134a boils at -10.09 degC under 2 bar, 39.39 under 10, 46.32 under 12 bar (from memory)."""
    r = refrigerant("R-134a")
    assert r.superheat(2e5, 258.15) == pytest.approx(-4.91, abs=0.02)
    assert r.subcooling(np.array([10e5, 12e5]), 308.15) == pytest.approx([4.39, 11.32], abs=0.02)


def same_state(one: State, other: State) -> bool:
    fields = ("temperature_k", "enthalpy_j_per_kg", "entropy_j_per_kg_k", "volume_m3_per_kg")
    return all(getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-7) for name in fields)


@quick
@given(any_refrigerant, share, share)
def test_every_pair_leads_to_the_same_state(r: Refrigerant, high: float, warm: float) -> None:
    pressure = pressure_at(r, 0.98 * high)
    state = r.state(pressure_pa=pressure, enthalpy_j_per_kg=enthalpy_at(r, pressure, warm))
    assert same_state(state, r.state(pressure_pa=pressure, entropy_j_per_kg_k=state.entropy_j_per_kg_k))
    if state.quality is None:
        assert state.superheat_k is not None and state.subcooling_k is not None
        if max(state.superheat_k, state.subcooling_k) > 1e-4:
            assert same_state(state, r.state(pressure_pa=pressure, temperature_k=state.temperature_k))
    else:
        assert same_state(state, r.state(pressure_pa=pressure, quality=state.quality))
        again = r.state(temperature_k=state.temperature_k, quality=state.quality)
        assert again.pressure_pa == pytest.approx(pressure, rel=1e-6)


@quick
@given(any_refrigerant, share)
def test_boiling_pressure_and_temperature_undo_each_other(r: Refrigerant, part: float) -> None:
    dew = at_share(r.limits.dew_temperature_k, 1e-6 + part * (1.0 - 2e-6))
    bubble = at_share(r.limits.bubble_temperature_k, 1e-6 + part * (1.0 - 2e-6))
    assert r.dew_temperature(r.dew_pressure(dew)) == pytest.approx(dew, abs=3e-5)
    assert r.bubble_temperature(r.bubble_pressure(bubble)) == pytest.approx(bubble, abs=3e-5)


@quick
@given(any_refrigerant, share, share)
def test_hotter_boils_at_more_pressure(r: Refrigerant, one: float, other: float) -> None:
    cold, warm = sorted(at_share(r.limits.dew_temperature_k, part) for part in (one, other))
    if warm - cold > 1e-6:
        assert r.dew_pressure(cold) < r.dew_pressure(warm)
    pressure = pressure_at(r, one)
    assert r.bubble_temperature(pressure) <= r.dew_temperature(pressure) + 1e-5


@quick
@given(any_refrigerant, share, share, share)
def test_heating_raises_temperature_entropy_and_volume(r: Refrigerant, high: float, one: float, other: float) -> None:
    pressure = pressure_at(r, high)
    less, more = sorted(enthalpy_at(r, pressure, part) for part in (one, other))
    if more - less > 1.0:
        assert r.temperature_ph(pressure, less) <= r.temperature_ph(pressure, more) + 1e-9
        assert r.entropy_ph(pressure, less) < r.entropy_ph(pressure, more)
        assert r.volume_ph(pressure, less) < r.volume_ph(pressure, more)
        assert r.quality_ph(pressure, less) <= r.quality_ph(pressure, more)


@quick
@given(any_refrigerant, st.lists(st.tuples(share, share), min_size=1, max_size=8))
def test_arrays_give_what_plain_numbers_give(r: Refrigerant, places: list[tuple[float, float]]) -> None:
    pressures = np.array([pressure_at(r, high) for high, _ in places])
    enthalpies = np.array([enthalpy_at(r, pressure_at(r, high), warm) for high, warm in places])
    for method in (r.temperature_ph, r.volume_ph, r.entropy_ph, r.quality_ph):
        one_by_one = [method(p, h) for p, h in zip(pressures.tolist(), enthalpies.tolist(), strict=True)]
        assert method(pressures, enthalpies).tolist() == pytest.approx(one_by_one, rel=1e-12, abs=1e-12)
    entropies = r.entropy_ph(pressures, enthalpies)
    assert r.enthalpy_ps(pressures, entropies) == pytest.approx(enthalpies, rel=1e-8)
    for method in (r.dew_temperature, r.bubble_temperature, r.glide):
        assert method(pressures).tolist() == pytest.approx([method(p) for p in pressures.tolist()], rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_the_ends_of_the_table_belong_to_it(name: str) -> None:
    """What is computed at one end must not fall off the other by rounding, for plain numbers and for arrays."""
    r = refrigerant(name)
    for pressure in r.limits.pressure_pa:
        assert r.dew_pressure(r.dew_temperature(pressure)) == pytest.approx(pressure, rel=1e-5)
        assert r.bubble_pressure(r.bubble_temperature(pressure)) == pytest.approx(pressure, rel=1e-5)
        for kelvins in r.limits.temperature_k:
            enthalpy = r.enthalpy_pt(pressure, kelvins)
            assert r.temperature_ph(pressure, enthalpy) == pytest.approx(kelvins, abs=1e-6)
            many = np.full(3, pressure)
            assert r.temperature_ph(many, r.enthalpy_pt(many, kelvins)) == pytest.approx(kelvins, abs=1e-6)
            assert r.enthalpy_ps(many, r.entropy_ph(many, enthalpy)) == pytest.approx(enthalpy, abs=0.01)
    for kelvins in r.limits.dew_temperature_k:
        assert r.dew_temperature(r.dew_pressure(kelvins)) == pytest.approx(kelvins, abs=3e-5)


def test_arrays_keep_their_shape() -> None:
    r = refrigerant("R-454B")
    kelvins = np.linspace(250.0, 300.0, 6).reshape(2, 3)
    assert r.dew_pressure(kelvins).shape == (2, 3)
    assert r.dew_pressure(np.array([])).shape == (0,)
    assert r.enthalpy_pt(np.full(3, 2e5), np.array([[280.0], [300.0]])).shape == (2, 3)
    assert r.temperature_ph(2e5, np.array([])).shape == (0,)
    assert r.saturation(np.array([1e5, 2e5])).dew_volume_m3_per_kg.shape == (2,)
    assert r.dew_pressure([250.0, 260.0]) == pytest.approx([r.dew_pressure(250.0), r.dew_pressure(260.0)])


@pytest.mark.parametrize("number", [280, np.float64(280.0), np.float32(280.0), np.int64(280), np.array(280.0)])
def test_every_kind_of_plain_number_gives_a_float(number: Any) -> None:
    pressure = refrigerant("R-134a").dew_pressure(number)
    assert isinstance(pressure, float)
    assert pressure == refrigerant("R-134a").dew_pressure(280.0)


# --- bad input


def message(error: type[LabError], function: Any, *given: Any, **named: Any) -> str:
    with pytest.raises(error) as trouble:
        function(*given, **named)
    return str(trouble.value)


def test_above_the_critical_point() -> None:
    said = message(OutOfRange, refrigerant("R-134a").dew_pressure, 400.0)
    assert said.startswith(
        "R-134a: dew temperature 400 K is above the limit of 366.728 K. That is 126.85 °C; the limit is 93.58 °C"
    )
    assert "critical point (101.06 °C, 40.59 bar), beyond which nothing boils" in said
    assert 'refrigerant("R-134a").exact() reaches up to it' in said
    said = message(OutOfRange, refrigerant("R-454B").bubble_temperature, 60e5)
    assert "R-454B: pressure 6.0000e+06 Pa is above the limit" in said
    assert "That is 60 bar; the limit is 45.33 bar" in said
    assert "exact()" not in said


def test_the_error_carries_its_numbers() -> None:
    with pytest.raises(OutOfRange) as trouble:
        refrigerant("R-744").dew_pressure(303.15)
    error = trouble.value
    assert (error.quantity, error.value, error.unit, error.subject) == ("dew temperature", 303.15, "K", "R-744")
    assert error.high == pytest.approx(273.15 + 27.94, abs=0.01)
    assert error.low is None


def test_below_the_triple_point() -> None:
    said = message(OutOfRange, refrigerant("R-717").dew_pressure, 190.0)
    assert "below the limit of 203.15 K" in said
    assert "triple point -77.65 °C" in said


def test_degrees_celsius_given_as_kelvin() -> None:
    said = message(OutOfRange, refrigerant("R-134a").dew_pressure, -10.0)
    assert said.endswith("Temperatures are in kelvin; if you meant -10 °C, write 263.15.")


@pytest.mark.parametrize(
    ("given_pa", "slip"), [(8.0, "if you meant 8 bar, write 800000"), (200.0, "if you meant 200 kPa, write 200000")]
)
def test_bar_or_kilopascal_given_as_pascal(given_pa: float, slip: str) -> None:
    assert f"Pressures are in pascals; {slip}." in message(OutOfRange, refrigerant("R-134a").dew_temperature, given_pa)


def test_gauge_pressure_below_zero() -> None:
    said = message(OutOfRange, refrigerant("R-134a").dew_temperature, -1e4)
    assert "Pressures are absolute; add the barometer to what a gauge shows." in said


def test_kilojoules_given_as_joules() -> None:
    said = message(OutOfRange, refrigerant("R-134a").temperature_ph, 2e5, 400.0)
    assert "if you meant 400 kJ/kg, write 400000" in said
    said = message(OutOfRange, refrigerant("R-134a").enthalpy_ps, 2e5, 1.75)
    assert "if you meant 1.75 kJ/(kg K), write 1750" in said


def test_hotter_than_the_table() -> None:
    said = message(OutOfRange, refrigerant("R-134a").temperature_ph, 2e5, 600e3)
    assert "above the limit of 576549 J/kg" in said
    assert "for vapour of 181.85 °C" in said
    for method in (refrigerant("R-134a").quality_ph, refrigerant("R-134a").volume_ph):
        assert "for vapour of 181.85 °C" in message(OutOfRange, method, 30e5, 570e3)  # only low pressures reach so far
    assert "above the limit of 455 K" in message(OutOfRange, refrigerant("R-134a").enthalpy_pt, 2e5, 500.0)
    assert "above the limit of 455 K" in message(OutOfRange, refrigerant("R-134a").superheat, 2e5, 500.0)


@pytest.mark.parametrize("name", ["R-134a", "R-407C"])
def test_pressure_and_temperature_on_the_boiling_line(name: str) -> None:
    r = refrigerant(name)
    for kelvins in (
        r.dew_temperature(5e5),
        r.bubble_temperature(5e5),
        0.5 * (r.dew_temperature(5e5) + r.bubble_temperature(5e5)),
    ):
        for ask in (
            lambda at=kelvins: r.enthalpy_pt(5e5, at),
            lambda at=kelvins: r.state(pressure_pa=5e5, temperature_k=at),
        ):
            said = message(NotUsable, ask)
            assert "p and T do not fix a state on the boiling line" in said
            assert "Give quality" in said
    said = message(NotUsable, r.enthalpy_pt, 5e5, np.array([300.0, r.dew_temperature(5e5)]))
    assert "p and T do not fix a state" in said


@pytest.mark.parametrize("bad", [math.nan, math.inf, "273.15", None, True, [250.0, math.nan], [[250.0], ["x"]], 3 + 2j])
def test_what_is_no_number(bad: Any) -> None:
    r = refrigerant("R-134a")
    message(NotUsable, r.dew_pressure, bad)
    message(NotUsable, r.dew_temperature, bad)
    message(NotUsable, r.temperature_ph, 2e5, bad)
    message(NotUsable, r.temperature_ph, bad, 4e5)
    message(NotUsable, r.superheat, 2e5, bad)


def test_one_bad_number_in_an_array_is_found() -> None:
    said = message(OutOfRange, refrigerant("R-134a").dew_pressure, np.array([250.0, 260.0, 400.0, 120.0, 270.0]))
    assert "dew temperature 400 K is above the limit" in said
    assert "This is element 2; 2 of 5 values lie outside." in said
    said = message(OutOfRange, refrigerant("R-134a").dew_pressure, np.array([[250.0, 260.0], [270.0, 120.0]]))
    assert "This is element (1, 1); 1 of 4 values lie outside." in said
    said = message(OutOfRange, refrigerant("R-134a").temperature_ph, np.full(3, 2e5), np.array([4e5, 6e5, 4e5]))
    assert "This is element 1; 1 of 3 values lie outside." in said


def test_arrays_that_do_not_fit_each_other() -> None:
    said = message(NotUsable, refrigerant("R-134a").temperature_ph, np.full(3, 2e5), np.full(2, 4e5))
    assert "their shapes do not fit each other" in said


@pytest.mark.parametrize("quality", [-0.01, 1.2])
def test_quality_outside_zero_and_one(quality: float) -> None:
    for given_too in ({"pressure_pa": 2e5}, {"temperature_k": 280.0}):
        for name in ("R-134a", "R-407C"):
            assert "quality" in message(OutOfRange, refrigerant(name).state, quality=quality, **given_too)


@pytest.mark.parametrize(
    "given_names",
    [(), ("pressure_pa",), ("temperature_k", "enthalpy_j_per_kg"), ("pressure_pa", "temperature_k", "quality")],
)
def test_what_does_not_fix_a_state(given_names: tuple[str, ...]) -> None:
    values = {"pressure_pa": 2e5, "temperature_k": 280.0, "enthalpy_j_per_kg": 4e5, "quality": 0.5}
    said = message(NotUsable, refrigerant("R-134a").state, **{name: values[name] for name in given_names})
    assert "Give the pressure and one of temperature, enthalpy, entropy, quality; or temperature and quality." in said


def test_a_state_takes_plain_numbers() -> None:
    said = message(NotUsable, refrigerant("R-134a").state, pressure_pa=np.array([1e5, 2e5]), quality=0.5)
    assert "For arrays use enthalpy_pt" in said


def test_wet_vapour_too_hot_for_its_quality() -> None:
    r = refrigerant("R-407C")
    assert "temperature" in message(OutOfRange, r.state, temperature_k=r.limits.dew_temperature_k[1] + 1.0, quality=0.5)


@quick
@given(any_refrigerant, st.floats(allow_nan=True), st.floats(allow_nan=True))
def test_no_number_leads_to_anything_but_an_answer_or_a_sentence(r: Refrigerant, one: float, other: float) -> None:
    for ask in (r.temperature_ph, r.enthalpy_pt, r.enthalpy_ps, r.superheat):
        try:
            assert math.isfinite(ask(one, other))
        except LabError as trouble:
            assert len(str(trouble)) > 20
