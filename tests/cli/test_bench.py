"""`hvacr-lab bench` as people and scripts call it."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from hvacr_lab.bench import bench_names, load_bench
from hvacr_lab.bench.faults import FAULTS
from hvacr_lab.bench.settings import default_settings
from hvacr_lab.bench.steady import solve
from hvacr_lab.cli.bench import bench
from hvacr_lab.cli.bench_changes import KINDS, changed
from hvacr_lab.errors import LabError, NotUsable, OutOfRange, UnknownName

HERE = ("--altitude", "430 m")


def called(*words: str) -> Result:
    return CliRunner().invoke(bench, list(words), catch_exceptions=True)


def said(*words: str) -> str:
    result = called(*words)
    assert result.exit_code == 0, (result.output, result.exception)
    return result.stdout


def answer(*words: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(said(*words, "--json"))
    return found


def mistake(*words: str) -> str:
    problem = called(*words).exception
    assert isinstance(problem, LabError), problem
    return str(problem)


# help and errors


@pytest.mark.parametrize("command", [*bench.commands, ""])
def test_help_has_two_examples_that_start_like_the_program(command: str) -> None:
    text = said(*([command] if command else []), "--help")
    examples = re.findall(r"^\s*hvacr-lab bench .+$", text, flags=re.MULTILINE)
    assert len(examples) == 2, text
    assert max(len(line) for line in text.splitlines()) <= 120


def examples() -> list[str]:
    texts = [command.help or "" for command in (bench, *bench.commands.values())]
    return re.findall(r"^ *hvacr-lab bench (.+)$", "\n".join(texts), flags=re.MULTILINE)


def test_every_example_of_the_help_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "course").mkdir()
    monkeypatch.chdir(tmp_path)
    first = [line for line in examples() if line.startswith("new ")]
    for line in dict.fromkeys([*first, *examples()]):
        line = line.replace("--configuration freezer --picture", "--picture")  # a new bench names its own
        result = called(*shlex.split(line))
        assert result.exit_code == 0, (line, result.exception)


def test_all_seven_commands_are_there() -> None:
    assert set(bench.commands) == {"show", "new", "solve", "compare", "sweep", "line-up", "faults"}


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("solve", "--bench", "domo"), "demo"),
        (("solve", "--configuration", "fridge"), "refrigerator"),
        (("solve", "--fault", "dirty-condensor=0.5"), "dirty-condenser"),
        (("solve", "--fault", "overcharge=3"), "1"),
        (("solve", "--fan", "condenser"), "nothing to change to"),
        (("solve", "--fan", "radiator=50 %"), "not a known coil"),
        (("solve", "--valve", "V99=0"), "not a known valve"),
        (("solve", "--ambient", "30"), "no unit"),
        (("solve", "--metering", "orifice"), "txv"),
        (("solve", "--set", "weather=fine"), "ambient"),
        (("compare", "--change", "ambient:yard=30 C"), "takes no name"),
        (("sweep", "fan", "--from", "100 %", "--to", "20 %"), "name behind the colon"),
        (("faults", "no-such-fault"), "not a known fault"),
        (("line-up", "--to", "oven"), "oven"),
    ],
)
def test_mistake_ends_in_one_sentence(words: tuple[str, ...], sentence: str) -> None:
    place = () if words[0] in ("line-up",) else HERE
    said_so = mistake(*words, *place)
    assert sentence in said_so
    assert "\n" not in said_so


def test_the_real_program_shows_no_traceback(tmp_path: Path) -> None:
    words = ["solve", "--fault", "nonsense=0.5", *HERE]
    code = "from hvacr_lab import cli; cli._COMMANDS.setdefault('bench', ('bench', 'bench', '')); cli.main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "bench", *words], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1 and "Traceback" not in done.stderr


# solve


def test_solve_answers_a_script_with_what_the_solver_found() -> None:
    found = answer("solve", "--configuration", "refrigerator", *HERE)
    demo = load_bench("demo")
    point = solve(demo, default_settings(demo, "refrigerator"))
    assert found["outcome"] == "running"
    assert found["discharge_pressure_pa"] == pytest.approx(point.discharge_pressure_pa, rel=1e-6)
    assert found["cooling_w"] == pytest.approx(point.cooling_w, rel=1e-6)
    assert found["shown_head_pa"] == pytest.approx(point.discharge_pressure_pa, abs=6e3), "rounded as the gauge shows"
    assert all(value is None or isinstance(value, (int, float, str, bool)) for value in found.values()), "flat"


def test_gauges_count_from_the_air_of_the_place() -> None:
    low, high = (answer("solve", "--altitude", place)["shown_suction_pa"] for place in ("0 m", "2000 m"))
    assert low == pytest.approx(high, abs=2.1e3), "absolute pressure is the same; only the division differs"
    gauge = re.compile(r"compressor suction +gauge pressure +([\d.]+) bar")
    shown = [float(gauge.search(said("solve", "--altitude", place))[1]) for place in ("0 m", "2000 m")]
    assert shown[1] - shown[0] == pytest.approx((101_325 - 79_495) / 1e5, abs=0.021)  # standard atmosphere


@pytest.mark.parametrize("units", ["SI", "US"])
def test_solve_fits_into_80_columns(units: str) -> None:
    text = said("solve", "--units", units, *HERE)
    assert max(len(line) for line in text.splitlines()) <= 80
    unit = {"SI": "bar(g)", "US": "psig"}[units]
    assert text.count(unit) >= 2
    assert "Worked out from them" in text and "What no instrument shows" in text


def test_instruments_with_a_key_are_off_by_a_little_and_always_by_the_same() -> None:
    words = ("solve", "--instruments", "bench 3", *HERE)
    one, again, exact = answer(*words), answer(*words), answer("solve", *HERE)
    assert one == again
    assert one["shown_head_pa"] != exact["shown_head_pa"] or one["shown_liquid_pipe_k"] != exact["shown_liquid_pipe_k"]
    assert one["discharge_pressure_pa"] == exact["discharge_pressure_pa"]


def test_compressor_off_shows_equal_gauges() -> None:
    found = answer("solve", "--off", *HERE)
    assert found["outcome"] == "equalised, compressor off"
    assert "Worked out" not in said("solve", "--off", *HERE)


def test_metering_device_and_vessels_can_be_chosen() -> None:
    starved = answer("solve", "--metering", "cap_medium", "--receiver", "out", "--accumulator", "in", *HERE)
    assert starved["receiver_level"] is None and starved["accumulator_level"] is not None
    assert "point_cap_medium.in_pressure_pa" in starved
    assert answer("solve", "--receiver", "in", *HERE)["receiver_level"] is not None
    assert "no receiver" in mistake("solve", "--bench", "propane", "--receiver", "in", *HERE)


def test_words_and_options_say_the_same() -> None:
    by_option = answer("solve", "--ambient", "30", "C", "--fan", "condenser=50 %", "--fault", "overcharge=0.2", *HERE)
    by_set = answer(
        "solve", "--set", "ambient=30 C", "--set", "fan:condenser=50 %", "--set", "fault:overcharge=0.2", *HERE
    )
    assert by_option == by_set


@pytest.mark.parametrize("name", bench_names())
def test_every_bench_and_configuration_solves_or_says_why(name: str) -> None:
    for configuration in load_bench(name).configurations:
        found = answer("solve", "--bench", name, "--configuration", configuration, *HERE)
        assert found["outcome"] and found["converged"], (name, configuration)


@pytest.mark.parametrize("chart", ["pressure-enthalpy", "temperature-entropy", "air"])
@pytest.mark.parametrize("ending", ["svg", "png"])
def test_solve_writes_pictures(tmp_path: Path, chart: str, ending: str) -> None:
    file = tmp_path / f"picture.{ending}"
    said("solve", "--chart", chart, "--picture", str(file), *HERE)
    assert file.read_bytes().startswith({"svg": b"<svg", "png": b"\x89PNG"}[ending])


def test_other_picture_endings_are_refused(tmp_path: Path) -> None:
    assert ".svg or .png" in mistake("solve", "--picture", str(tmp_path / "picture.jpg"), *HERE)


# compare, sweep


def test_compare_says_what_rises() -> None:
    words = ("compare", "--configuration", "refrigerator", "--change", "fan:condenser=50 %", *HERE)
    text, found = said(*words), answer(*words)
    assert re.search(r"head pressure .*rises", text)
    assert found["head_change"] == "rises"
    assert found["head_pa_after"] > found["head_pa_before"]
    assert max(len(line) for line in text.splitlines()) <= 80


def test_compare_draws_both_cycles(tmp_path: Path) -> None:
    file = tmp_path / "both.svg"
    said("compare", "--change", "ambient=35 C", "--picture", str(file), *HERE)
    assert "before" in file.read_text("utf-8") and "after" in file.read_text("utf-8")


def test_compare_needs_a_change() -> None:
    assert called("compare", *HERE).exit_code == 2


def test_sweep_walks_from_one_end_to_the_other(tmp_path: Path) -> None:
    file = tmp_path / "curves.svg"
    words = ("sweep", "fan:condenser", "--from", "100", "%", "--to", "40 %", "--points", "4", *HERE)
    found = answer(*words)
    assert found["fan:condenser"] == pytest.approx([1.0, 0.8, 0.6, 0.4])
    assert found["head"] == sorted(found["head"]), "less air, more head pressure (common practice)"
    text = said(*words, "--picture", str(file))
    assert "100 %" in text and "40 %" in text
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "head pressure" in file.read_text("utf-8")


# show, new, line-up, faults


def test_show_names_every_valve_and_configuration(tmp_path: Path) -> None:
    text, demo = said("show"), load_bench("demo")
    for name in (*demo.valves, *demo.configurations):
        assert name in text
    file = tmp_path / "bench.svg"
    said("show", "--picture", str(file))
    assert file.read_text("utf-8").startswith("<svg")
    assert answer("show")["refrigerant"] == "R-134a"


def test_a_new_bench_file_can_be_used_as_it_is_and_is_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "our_bench.toml"
    assert str(file) in said("new", str(file))
    assert answer("solve", "--bench", str(file), *HERE)["outcome"]
    assert "exists already" in mistake("new", str(file))


def test_line_up_explains_and_plans() -> None:
    assert "goes round" in said("line-up", "--configuration", "refrigerator")
    assert answer("line-up", "--configuration", "refrigerator")["outcome"] == "complete"
    moves = answer("line-up", "--configuration", "refrigerator", "--to", "refrigerator-capillary")
    assert moves["moves"] >= 1
    text = said("line-up", "--configuration", "refrigerator", "--to", "refrigerator-capillary")
    assert text.count("\n") >= moves["moves"]
    assert "nothing to move" in said("line-up", "--configuration", "refrigerator", "--to", "refrigerator")


def test_faults_are_listed_with_what_they_mean() -> None:
    text = said("faults")
    for name in FAULTS:
        assert name in text
    assert set(answer("faults")) == set(FAULTS)
    assert "leaking-reversing-valve" not in answer("faults", "--bench", "propane")


def test_one_fault_stands_beside_the_textbook() -> None:
    words = ("faults", "dirty-condenser", "--severity", "0.6", "--configuration", "refrigerator", *HERE)
    found = answer(*words)
    assert found["head_change"] == found["head_textbook"] == "rises"
    assert "textbook, thermostatic valve" in said(*words)


# the words for what can be set


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_shows_an_example_that_works(kind: str) -> None:
    demo = load_bench("demo")
    start = default_settings(demo, "refrigerator")
    text = re.search(r'"([^"]+)"$', KINDS[kind].meaning)[1].replace("temperature:box", "temperature:cabinet")
    assert changed(demo, start, [text]) != start


def test_charge_is_a_share_or_a_mass() -> None:
    demo = load_bench("demo")
    start = default_settings(demo, "refrigerator")
    assert changed(demo, start, ["charge=80 %"]).charge_kg == pytest.approx(0.8 * start.charge_kg)
    assert changed(demo, start, ["charge=350 g"]).charge_kg == pytest.approx(0.35)
    assert changed(demo, start, ["charge=12 oz"]).charge_kg == pytest.approx(0.3402, abs=1e-4)  # 1 oz = 28.35 g


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("fan:condenser=150 %", OutOfRange),
        ("valve:V3=-1", OutOfRange),
        ("humidity=130 %", OutOfRange),
        ("temperature:attic=5 C", UnknownName),
        ("charge=much", NotUsable),
        ("fault", NotUsable),
    ],
)
def test_what_cannot_be_set_is_refused(text: str, error: type[LabError]) -> None:
    demo = load_bench("demo")
    with pytest.raises(error):
        changed(demo, default_settings(demo, "refrigerator"), [text])
