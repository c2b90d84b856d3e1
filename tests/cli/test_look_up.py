"""`hvacr-lab properties` and `hvacr-lab cycle` as people and scripts call them."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner, Result

from hvacr_lab.cli import figure_lists, figures
from hvacr_lab.cli.look_up import cycle, properties
from hvacr_lab.cli.spoken import joined
from hvacr_lab.cycle import single_stage
from hvacr_lab.errors import LabError
from hvacr_lab.refrigerants import refrigerant, refrigerant_names
from hvacr_lab.units import quantities, units_of

REFRIGERATOR = shlex.split(
    "R-134a --evaporating -10 C --condensing 40 C --superheat 6 K --subcooling 4 K --isentropic-efficiency 0.7"
)


def called(command: Any, *words: str) -> Result:
    return CliRunner().invoke(command, list(words), catch_exceptions=True)


def answer(command: Any, *words: str) -> dict[str, Any]:
    result = called(command, *words, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def program(*words: str) -> subprocess.CompletedProcess[str]:
    call = [sys.executable, "-m", "hvacr_lab", *words]
    return subprocess.run(call, capture_output=True, text=True, check=False, encoding="utf-8")


# the real program


def test_the_program_answers_a_script_in_si() -> None:
    done = program("cycle", *REFRIGERATOR, "--capacity", "1", "kW", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    expected = single_stage(
        "R-134a",
        evaporating_temperature_k=263.15,
        condensing_temperature_k=313.15,
        superheat_k=6.0,
        subcooling_k=4.0,
        isentropic_efficiency=0.7,
        capacity_w=1000.0,
    )
    assert found["refrigeration_effect_j_per_kg"] == pytest.approx(expected.refrigeration_effect_j_per_kg)
    assert found["mass_flow_kg_per_s"] == pytest.approx(expected.mass_flow_kg_per_s)
    assert done.stderr == ""


def test_a_mistake_ends_in_one_sentence_and_a_wrong_call_in_two() -> None:
    mistake = program("properties", "R-134", "--pressure", "2", "bar")
    assert mistake.returncode == 1
    assert mistake.stderr.count("\n") == 1
    assert "Closest: R-134a" in mistake.stderr
    assert "Traceback" not in mistake.stderr
    wrong = program("cycle", "R-134a", "--evaporating", "-10", "C")
    assert wrong.returncode == 2
    assert "--condensing" in wrong.stderr


def test_the_tables_fit_into_80_columns_and_carry_no_colour_in_a_pipe() -> None:
    for units in ("SI", "US"):
        text = program("cycle", *REFRIGERATOR, "--capacity", "1 kW", "--units", units).stdout
        assert max(len(line) for line in text.splitlines()) <= 80
        assert "\x1b" not in text
        assert "evaporator outlet" in text


# properties


@pytest.mark.parametrize(
    "words",
    [
        ("--dew-pressure", "2 bar"),
        ("--dew-pressure", "2", "bar"),
        ("--dew-pressure=2", "bar"),
        ("--pressure", "200", "kPa"),
        ("--bubble-pressure", "2bar"),
        ("--pressure", "2,0 bar"),
        ("--pressure", "1.0", "bar(g)", "--barometer", "1000 hPa"),
        ("--pressure", "1", "bar", "gauge", "--barometer", "100", "kPa"),
        ("--dew-temperature", "-10.0763 C"),
    ],
)
def test_two_bar_however_it_is_said(words: tuple[str, ...]) -> None:
    found = answer(properties, "R134a", *words)
    # -10.18 C within 0.25 K at 2 bar: Kutz, Mechanical Engineers' Handbook, Table 14
    assert found["dew_temperature_k"] - 273.15 == pytest.approx(-10.08, abs=0.005)
    assert found["pressure_pa"] == pytest.approx(200e3, rel=1e-5)
    assert found["glide_k"] == pytest.approx(0.0, abs=1e-9)


def test_a_blend_has_two_pressures_at_one_temperature() -> None:
    found = answer(properties, "R-407C", "--temperature", "-10 C")
    r407c = refrigerant("R-407C")
    assert found["dew_pressure_pa"] == pytest.approx(r407c.dew_pressure(263.15))
    assert found["bubble_pressure_pa"] == pytest.approx(r407c.bubble_pressure(263.15))
    assert found["bubble_pressure_pa"] > 1.2 * found["dew_pressure_pa"]


def test_bubble_temperature_stands_for_its_own_pressure() -> None:
    found = answer(properties, "R-407C", "--bubble-temperature", "40 C")
    assert found["pressure_pa"] == pytest.approx(refrigerant("R-407C").bubble_pressure(313.15))
    assert found["bubble_temperature_k"] == pytest.approx(313.15)


@pytest.mark.parametrize(
    ("words", "phase"),
    [
        (("--pressure", "2 bar", "--temperature", "0 C"), "vapour"),
        (("--pressure", "10 bar", "--temperature", "30 C"), "liquid"),
        (("--pressure", "2 bar", "--quality", "30 %"), "two-phase"),
        (("--pressure", "2 bar", "--enthalpy", "250 kJ/kg"), "two-phase"),
        (("--pressure", "10 bar", "--entropy", "1.75 kJ/(kg K)"), "vapour"),
        (("--temperature", "-10 C", "--quality", "0.3"), "two-phase"),
        (("--dew-temperature", "-10 C", "--temperature", "-4 C"), "vapour"),
    ],
)
def test_two_known_values_give_the_state(words: tuple[str, ...], phase: str) -> None:
    assert answer(properties, "R-134a", *words)["phase"] == phase


def test_superheat_at_a_school_in_the_hills() -> None:
    found = answer(properties, "R-134a", "--pressure", "1.04 bar(g)", "--altitude", "430 m", "--temperature", "0 C")
    # 1.04 bar at the gauge and 0.963 bar in the air make 2.003 bar; ASHRAE Fundamentals 2021, ch. 1, eq. 3
    assert found["pressure_pa"] == pytest.approx(104e3 + 96265, abs=2.0)
    assert found["pressure_gauge_pa"] == pytest.approx(104e3)
    assert found["superheat_k"] == pytest.approx(10.0, abs=0.1)


def test_the_screen_shows_superheat_of_a_gas_and_subcooling_of_a_liquid() -> None:
    gas = called(properties, "R-134a", "--pressure", "2 bar", "--temperature", "0 C").output
    liquid = called(properties, "R-134a", "--pressure", "10 bar", "--temperature", "30 C").output
    assert "Superheat" in gas
    assert "Subcooling" not in gas
    assert "Subcooling" in liquid
    assert "Superheat" not in liquid


def test_us_units_on_the_screen() -> None:
    text = called(properties, "R-134a", "--pressure", "29.0 psia", "--units", "us").output
    assert "29.00   psi" in text
    assert "13.8" in text  # dew temperature in F: 2 bar, -10.1 C


def test_the_data_sheet_names_class_warming_composition_cautions_and_sources() -> None:
    text = called(properties, "R-454B").output
    for words in ("68.9 % R-32", "A2L", "AR6", "AR4", "ASHRAE", "Burns slowly", "licensed practice"):
        assert words in text
    found = answer(properties, "R-454B")
    assert found["safety_class"] == "A2L"
    assert found["mass_fraction_of_R-32"] == pytest.approx(0.689)
    # 466 (AR4) and 467 (AR5): ASHRAE Fundamentals 2021, ch. 29, Table 4
    assert found["gwp_100_years_ar4"] == pytest.approx(466, abs=2)
    assert found["gwp_100_years_ar5"] == pytest.approx(467, abs=2)


@pytest.mark.parametrize("name", refrigerant_names())
def test_every_refrigerant_has_a_data_sheet(name: str) -> None:
    assert called(properties, name).exit_code == 0


def test_without_a_name_all_refrigerants_are_listed() -> None:
    text = called(properties).output
    assert all(name in text for name in refrigerant_names())
    assert set(answer(properties)) == set(refrigerant_names())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("R-143b",), "Closest"),
        (("R-134a", "--pressure", "2 baar"), "baar"),
        (("R-134a", "--pressure", "2"), "it has no unit"),
        (("R-134a", "--pressure", "two bar"), "does not start with a number"),
        (("R-134a", "--pressure", "2 bar(g)"), "--altitude"),
        (("R-134a", "--pressure", "-2 bar"), "-2"),
        (("R-134a", "--pressure", "2 bar", "--dew-temperature", "4 C"), "stand for each other"),
        (("R-134a", "--quality", "0.3"), "Give the pressure or the temperature as well"),
        (("R-134a", "--temperature", "120 C"), "R-134a"),
        (("R-134a", "--pressure", "2 bar", "--altitude", "430 m", "--barometer", "963 hPa"), "Leave one out"),
        (("R-134a", "--pressure", "2 bar", "--quality", "130 %"), "quality"),
    ],
)
def test_look_ups_that_cannot_be_are_refused_in_a_sentence(words: tuple[str, ...], said: str) -> None:
    result = called(properties, *words)
    assert isinstance(result.exception, LabError)  # hvacr_lab.cli.main turns it into one line and exit code 1
    assert said in str(result.exception)


# cycle


def test_pressures_and_temperatures_give_the_same_cycle() -> None:
    by_temperature = answer(cycle, *REFRIGERATOR)
    r134a = refrigerant("R-134a")
    low, high = (r134a.dew_pressure(273.15 + degrees) / 1e5 for degrees in (-10.0, 40.0))
    by_pressure = answer(
        cycle, "R-134a", "--evaporating", f"{low:.6f} bar", "--condensing", f"{high:.6f} bar", *REFRIGERATOR[7:]
    )
    assert by_pressure["cop_cooling"] == pytest.approx(by_temperature["cop_cooling"], rel=1e-5)


def test_the_answer_is_one_flat_object_with_the_unit_in_each_key() -> None:
    found = answer(cycle, *REFRIGERATOR, "--mass-flow", "20 kg/h", "--displacement", "3 m3/h", "--altitude", "430 m")
    assert all(value is None or isinstance(value, (str, int, float)) for value in found.values())
    without_unit = {
        key
        for key in found
        if not key.endswith(("_pa", "_k", "_j_per_kg", "_j_per_kg_k", "_m3_per_kg", "_w", "_kg_per_s", "_m3_per_s"))
    }
    assert {key for key in without_unit if not key.endswith("_quality")} == {
        "refrigerant",
        "notes",
        "compression_ratio",
        "flash_gas_fraction",
        "isentropic_efficiency",
        "volumetric_efficiency",
        "cop_cooling",
        "cop_heating",
        "eer_btu_per_wh",
    }
    assert found["evaporating_pressure_gauge_pa"] == pytest.approx(found["evaporating_pressure_pa"] - 96265, abs=2)


def test_flow_figures_appear_only_where_the_flow_is_known() -> None:
    assert "power_w" not in answer(cycle, *REFRIGERATOR)
    assert "volumetric_efficiency" not in answer(cycle, *REFRIGERATOR, "--capacity", "1 kW")
    sized = answer(cycle, *REFRIGERATOR, "--capacity", "12000 Btu/h", "--volumetric-efficiency", "75 %")
    assert sized["capacity_w"] == pytest.approx(3516.85, rel=1e-5)  # ton of refrigeration; Borgnakke, Table A.1
    assert sized["volumetric_efficiency"] == pytest.approx(0.75)


def test_every_option_reaches_the_cycle() -> None:
    plain = answer(cycle, *REFRIGERATOR)
    lines = {
        "--suction-line-rise": ("5 K", "suction_line_heat_gain_j_per_kg"),
        "--suction-line-drop": ("10 kPa", "suction_line_pressure_drop_pa"),
        "--discharge-line-drop": ("5 psi", "discharge_line_pressure_drop_pa"),
        "--liquid-line-drop": ("20 kPa", "liquid_line_pressure_drop_pa"),
    }
    for option, (value, key) in lines.items():
        assert answer(cycle, *REFRIGERATOR, option, value)[key] > plain[key]
    blend = ("R-407C", *REFRIGERATOR[1:])
    assert answer(cycle, *blend, "--temperatures", "mean")["cop_cooling"] != answer(cycle, *blend)["cop_cooling"]


def test_notes_are_shown_and_told() -> None:
    words = ("R-134a", "--evaporating", "-30 C", "--condensing", "40 C")
    assert "Liquid may reach the compressor" in called(cycle, *words).output
    assert "below the atmosphere" in answer(cycle, *words)["notes"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--evaporating", "50 C", "--condensing", "40 C"), "two sides mixed up"),
        (("--evaporating", "-10 kg", "--condensing", "40 C"), "neither of temperature nor of pressure"),
        (("--evaporating", "1 bar(g)", "--condensing", "40 C"), "--barometer"),
        (("--evaporating", "-10 C", "--condensing", "40 C", "--superheat", "-3 K"), "superheat -3 K"),
        (("--evaporating", "-10 C", "--condensing", "40 C", "--isentropic-efficiency", "70"), "70 % is written 0.7"),
        (("--evaporating", "-10 C", "--condensing", "40 C", "--capacity", "1 kW", "--mass-flow", "1 kg/h"), "capacity"),
    ],
)
def test_cycles_that_cannot_be_are_refused_in_a_sentence(words: tuple[str, ...], said: str) -> None:
    result = called(cycle, "R-134a", *words)
    assert isinstance(result.exception, LabError)
    assert said in str(result.exception)


# help, keys, units


@pytest.mark.parametrize("command", [properties, cycle], ids=["properties", "cycle"])
def test_help_shows_two_examples_and_every_key(command: Any) -> None:
    text = called(command, "--help").output
    assert text.count("  hvacr-lab ") == 2
    assert "Keys of --json" in text


def test_every_key_that_cycle_tells_is_explained() -> None:
    text = called(cycle, "--help").output
    told = answer(cycle, *REFRIGERATOR, "--mass-flow", "20 kg/h", "--displacement", "3 m3/h", "--altitude", "430 m")
    points = tuple(single_stage("R-134a", evaporating_temperature_k=263.15, condensing_temperature_k=313.15).points)
    of_points = {key for key in told if key.startswith(points)}
    assert all(f"  {key}:" in text for key in told.keys() - of_points - {"refrigerant"})
    assert all(point in text for point in points)
    assert {key.removeprefix(point + "_") for point in points for key in of_points if key.startswith(point)} == {
        figure.key for figure in figure_lists.POINT_FIGURES
    }


@pytest.mark.parametrize("words", [(), ("--pressure", "2 bar"), ("--pressure", "2 bar", "--temperature", "0 C")])
def test_every_key_that_properties_tells_is_explained(words: tuple[str, ...]) -> None:
    text = called(properties, "--help").output
    patterns = ("dew_", "bubble_", "gwp_100_years_", "mass_fraction_of_")
    told = answer(properties, "R-407C", *words)
    assert all(key in text or key.startswith(patterns) for key in told if key != "refrigerant")


def test_every_figure_has_a_unit_in_both_systems() -> None:
    groups = [value for name, value in vars(figure_lists).items() if name.endswith("_FIGURES")]
    for figure in (figure for group in groups for figure in group):
        assert figure.quantity in quantities()
        for system in ("SI", "US"):
            assert figures.SHOWN[system][figure.quantity].unit in units_of(figure.quantity)


def test_a_negative_zero_is_written_without_its_sign() -> None:
    assert figures.written(-1e-9, "temperature difference", "SI") == "0.00"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["--p", "2", "bar", "R-134a"], ["--p", "2 bar", "R-134a"]),
        (["--p", "2", "R-134a"], ["--p", "2", "R-134a"]),
        (["--p", "-10", "C", "--json"], ["--p", "-10 C", "--json"]),
        (["--p", "20", "inHg", "vacuum"], ["--p", "20 inHg vacuum"]),
        (["--p", "2 bar", "134a"], ["--p", "2 bar", "134a"]),
        (["--p"], ["--p"]),
        (["R-134a"], ["R-134a"]),
    ],
)
def test_number_and_unit_are_joined_and_nothing_else(words: list[str], expected: list[str]) -> None:
    assert joined(words, {"--p"}) == expected
