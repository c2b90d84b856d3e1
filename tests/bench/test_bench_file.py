"""The bench file: what an instructor writes is understood, and every mistake is answered with line, key and remedy."""

from __future__ import annotations

import math
import random
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.bench import bench_names, load_bench, new_bench_text
from hvacr_lab.bench.bench_keys import AIR_DENSITY_KG_PER_M3, hole_m2, pipe_resistance_per_m4
from hvacr_lab.errors import FileProblem, UnknownName

SHIPPED = Path(load_bench.__code__.co_filename).parent.parent / "data" / "benches"
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(SHIPPED.glob("*.toml"))}


@pytest.fixture
def problem(tmp_path: Path):
    """Load a text and hand back the sentence it is refused with."""

    def refused(text: str) -> str:
        path = tmp_path / "bench.toml"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(FileProblem) as caught:
            load_bench(path)
        return str(caught.value).removeprefix(str(tmp_path) + "/")

    return refused


def changed(old: str, new: str, name: str = "template") -> str:
    """A shipped file with one thing changed."""
    assert TEXTS[name].count(old) >= 1, old
    return TEXTS[name].replace(old, new, 1)


def line_of(text: str, part: str) -> int:
    return next(number for number, line in enumerate(text.splitlines(), start=1) if part in line)


# ---- what is understood


def test_units_of_the_file_become_si() -> None:
    demo = load_bench("demo")
    assert demo.compressor.displacement_m3_per_s == pytest.approx(8.0e-6 * 2900 / 60)
    assert demo.coils["outdoor"].air_flow_kg_per_s == pytest.approx(360 / 3600 * AIR_DENSITY_KG_PER_M3)
    assert demo.coils["outdoor"].volume_m3 == pytest.approx(0.45e-3)
    assert demo.metering["txv"].flow_area_m2 == pytest.approx(0.22e-6)
    assert demo.metering["cap_low"].diameter_m == pytest.approx(0.83e-3)
    assert demo.valves["V13"].flow_area_m2 == pytest.approx(0.6 * math.pi / 4 * 0.012**2)
    assert demo.controls.high_cut_out_pa == pytest.approx(18.5e5)
    assert demo.controls.thermostat_k == pytest.approx(276.15)
    refrigerator = demo.configurations["refrigerator"]
    assert (refrigerator.ambient_k, refrigerator.space_k) == (pytest.approx(298.15), pytest.approx(278.15))
    assert (refrigerator.charge_kg, refrigerator.space_relative_humidity) == (pytest.approx(0.450), pytest.approx(0.4))


def test_a_pipe_follows_from_bore_length_and_fittings() -> None:
    pipe = load_bench("demo").pipe("liquid_line")  # 6 mm, 0.8 m, K = 15
    assert pipe.volume_m3 == pytest.approx(math.pi / 4 * 0.006**2 * 0.8)
    # Darcy-Weisbach by hand for 5 g/s of liquid at 0.9 l/kg: w = m v / A = 0.159 m/s
    speed = 0.005 * 0.9e-3 / hole_m2(0.006)
    drop_pa = (0.02 * 0.8 / 0.006 + 15) * speed**2 / (2 * 0.9e-3)
    assert pipe.resistance_per_m4 * 0.005**2 * 0.9e-3 == pytest.approx(drop_pa)
    assert pipe_resistance_per_m4(0.006, 1.6, 0.0) == 2 * pipe_resistance_per_m4(0.006, 0.8, 0.0)


def test_every_number_is_a_plain_float() -> None:
    """One number of another kind slows the solver by a factor of three."""
    for name in bench_names():
        bench = load_bench(name)
        records = [bench.compressor, bench.controls, *bench.coils.values(), *bench.vessels.values(), *bench.pipes]
        records += [*bench.metering.values(), *bench.valves.values(), *bench.spaces.values()]
        numbers = [getattr(record, field) for record in records for field in record.__slots__]
        assert {type(value) for value in numbers if not isinstance(value, str | bool | tuple | None)} == {float}


def test_like_takes_over_what_is_not_said() -> None:
    first, second = (load_bench("propane").configurations[name] for name in ("fridge-t", "fridge-tube"))
    assert (second.kind, second.ambient_k, second.charge_kg) == (first.kind, first.ambient_k, first.charge_kg)
    assert (second.metering, second.title) == ("tube_b", "Refrigerator, capillary tube")


def test_partly_open_valves_and_the_charge_may_be_left_open(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    text = changed(
        'open = ["V1", "V2", "V3", "V5", "V7"]', 'open = ["V1", "V2", "V3", "V7"]\npartly_open_percent = { V5 = 40 }'
    )
    path.write_text(text.replace("charge_g = 450", "#"), encoding="utf-8")
    first = load_bench(path).configurations["refrigerator"]
    assert (first.valves["V5"], first.valves["V4"], first.charge_kg) == (pytest.approx(0.4), 0.0, None)


def test_the_file_to_start_from_loads_as_it_is_and_explains_each_key(tmp_path: Path) -> None:
    path = tmp_path / "our-bench.toml"
    path.write_text(new_bench_text(), encoding="utf-8")
    assert load_bench(path).name == "our-bench"
    keys = set(re.findall(r"^(\w+) = [^{]", new_bench_text(), flags=re.MULTILINE))
    remarks = " ".join(line.split("#", 1)[1] for line in new_bench_text().splitlines() if "#" in line)
    explained = {key for key in keys if re.search(rf"^{key} = .*#", new_bench_text(), flags=re.MULTILINE)}
    self_evident = {"label", "title", "low_cut_out_bar_abs", "low_cut_in_bar_abs", "metering", "ambient_c", "space_c"}
    assert not {key for key in keys - explained - self_evident if key not in remarks}


def test_a_shipped_bench_goes_by_its_name_and_another_name_gets_the_closest() -> None:
    assert [load_bench(name).name for name in bench_names()] == ["demo", "propane"]
    with pytest.raises(UnknownName, match="Closest: propane"):
        load_bench("propan")


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path, problem) -> None:
    with pytest.raises(FileProblem, match="cannot be read"):
        load_bench(tmp_path / "none.toml")
    (tmp_path / "picture.toml").write_bytes(b"\xff\xd8\xff")
    with pytest.raises(FileProblem, match="UTF-8"):
        load_bench(tmp_path / "picture.toml")
    assert "line 1" in problem("bench = [")


# ---- every mistake has its answer

MISTAKES = {
    "unknown key": (
        "bore_mm = 1.05",
        "boar_mm = 1.05",
        "`boar_mm` is not a key of [capillary.tube]. Did you mean bore_mm?",
    ),
    "missing key": (
        "length_m = 1.7",
        "",
        "`length_m` is missing in [capillary.tube]. It is a number from 0.2 to 10 m.",
    ),
    "text for a number": (
        "voltage_v = 230",
        'voltage_v = "230 V"',
        "[compressor] `voltage_v` is a number without quotes, in V.",
    ),
    "out of limits": (
        "bore_mm = 1.05",
        "bore_mm = 105",
        "[capillary.tube] bore_mm = 105 mm is outside 0.3 ... 5 mm. Bore, not outside diameter.",
    ),
    "not a number": ("length_m = 1.7", "length_m = nan", "length_m = nan m is outside 0.2 ... 10 m."),
    "true for a number": ("fan_w = 20", "fan_w = true", "[coil.condenser] `fan_w` is a number without quotes, in W."),
    "number for yes or no": ("relief = true", "relief = 1", "`relief = 1`. It is true or false, without quotes."),
    "word not in the list": (
        'kind = "receiver"',
        'kind = "reciever"',
        'It is "receiver" or "accumulator". Did you mean receiver?',
    ),
    "unknown refrigerant": ('refrigerant = "R-134a"', 'refrigerant = "R-143"', "Did you mean R-"),
    "unknown section": (
        "[compressor]",
        "[compresor]",
        "`compresor` is not a section of a bench file. Did you mean comp",
    ),
    "name with a space": ("[coil.condenser]", '[coil."my coil"]', "`my coil` cannot be a name."),
    "unknown space": (
        'space = "workshop"',
        'space = "workshp"',
        '[coil.condenser] `space`: there is no space "workshp" on this bench. Did you mean workshop?',
    ),
    "pipe to no part": (
        'to = "condenser.in"',
        'to = "condensr.in"',
        '[pipe.discharge] `to = "condensr.in"`: there is no such port. Did you mean condenser.in?',
    ),
    "pipe to no port": (
        'to = "condenser.in"',
        'to = "condenser.inlet"',
        "there is no such port. Did you mean condenser.in?",
    ),
    "pipe to a part without port": (
        'to = "condenser.in"',
        'to = "condenser"',
        "which port of it? Write condenser.in or condenser.out.",
    ),
    "pipe to a valve": ('to = "tee_1"', 'to = "V2"', "`V2` is a pipe or a valve. Pipes meet at junctions"),
    "pipe to itself": ('to = "tee_1"', 'to = "condenser.out"', "begins and ends at `condenser.out`"),
    "misspelt junction": (
        'from = "tee_2", to = "tee_3"',
        'from = "tee_2", to = "te_3"',
        "only one pipe ends at junction `te_3`, so it leads nowhere.",
    ),
    "two pipes on a port": ('to = "tee_1"', 'to = "receiver.in"', "2 pipes end at `receiver.in`. One pipe fits a port"),
    "valve in no pipe": ('valve = "V1", ', "", "valve `V1` sits in no pipe."),
    "valve in two pipes": ('valve = "V2"', 'valve = "V1"', "valve `V1` sits in pipe discharge already."),
    "unknown valve in a pipe": (
        'valve = "V2"',
        'valve = "V22"',
        'there is no valve "V22" on this bench. Did you mean V2?',
    ),
    "unknown valve of a configuration": (
        '"V3", "V5", "V7"]',
        '"V3", "V5", "V77"]',
        '[configuration.refrigerator] `open`: there is no valve "V77" on this bench. Did you mean V7?',
    ),
    "shut lane": (
        'open = ["V1", "V2", "V3", "V5", "V7"]',
        'open = ["V1", "V2", "V3", "V6", "V7"]',
        "there is no way round through txv. Open V5.",
    ),
    "two shut valves": ('"V3", "V5", "V7"]', '"V3"]', "More than one shut valve is in the way."),
    "bulb nowhere": ('bulb = "evaporator.out"', 'bulb = "evaporator.exit"', "Did you mean evaporator.in?"),
    "bulb elsewhere": (
        'bulb = "evaporator.out"',
        'bulb = "condenser.out"',
        "`bulb`: `condenser.out` is not between the coil that this valve feeds and the compressor.",
    ),
    "glass in no pipe": ('G1 = { pipe = "liquid_line" }', 'G1 = { pipe = "liquid" }', "Did you mean liquid_line?"),
    "gauge nowhere": ('at = "condenser.out"', 'at = "condenser"', 'there is no port or junction "condenser"'),
    "coils the wrong way round": (
        'from = "condenser.out", to = "tee_1"',
        'from = "evaporator.out", to = "tee_1"',
        "pipes end at `evaporator.out`",
    ),
    "past every metering device": (
        'to = "txv.in", valve = "V5"',
        'to = "tee_4", valve = "V5"',
        "no pipe ends at `txv.in`. Pipe it or remove the part.",
    ),
    "part that nothing reaches": (
        'from = "tee_3", to = "tube.in"',
        'from = "tee_4", to = "tube.in"',
        "there is no way round through tube, whatever valve is open. Check its pipes.",
    ),
    "control upside down": (
        "low_cut_in_bar_abs = 2.2",
        "low_cut_in_bar_abs = 0.2",
        "[controls] `low_cut_out_bar_abs = 1` is not below `low_cut_in_bar_abs = 0.2` bar.",
    ),
    "like of nobody": ('like = "refrigerator"', 'like = "refrigrator"', "Did you mean refrigerator?"),
    "reversing without a valve": (
        'kind = "refrigerator"\n',
        'kind = "refrigerator"\nreversing = "cooling"\n',
        "this bench has no reversing valve. Remove the key.",
    ),
    "name used twice": ("[vessel.receiver]", "[vessel.V1]", "`V1` is also the name of [vessel.V1]."),
    "no configuration": (
        "[configuration.refrigerator]",
        "[configuration]",
        "`configuration.title` is a block of its own",
    ),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_answered_with_its_line_and_a_remedy(problem, name: str) -> None:
    old, new, answer = MISTAKES[name]
    sentence = problem(changed(old, new))
    assert answer in sentence
    assert re.match(r"bench\.toml, line \d+: ", sentence)


@pytest.mark.parametrize(
    "part",
    ["bore_mm = 1.05", "voltage_v = 230", 'to = "condenser.in"', "low_cut_in_bar_abs = 2.2", 'metering = "txv"'],
)
def test_the_line_is_the_one_with_the_mistake(problem, part: str) -> None:
    key, _, _ = part.partition(" = ")
    text = changed(part, f"{key} = []")
    assert problem(text).startswith(f"bench.toml, line {line_of(text, f'{key} = []')}: ")


def test_a_bench_needs_its_sections(problem) -> None:
    assert problem("") == "bench.toml: section [bench] is missing: what it is."
    without_coil = re.sub(r"\[coil\.evaporator\].*?\n\n", "\n", TEXTS["template"], flags=re.DOTALL)
    assert "a bench has at least two coils" in problem(without_coil)
    bare = re.sub(r"\[(thermostatic|capillary)\.\w+\]\n(\w.*\n)+", "", TEXTS["template"])
    assert "a bench has a metering device" in problem(bare)


def test_refrigerant_must_not_run_past_the_metering_devices(problem) -> None:
    short = 'short = { from = "tee_3", to = "tee_4", bore_mm = 6, length_m = 0.2, contents = "liquid" }'
    assert "past every metering device" in problem(changed("lane_1 = {", f"{short}\nlane_1 = {{"))


def test_a_reversible_bench_needs_the_position_in_each_configuration(problem) -> None:
    assert '`reversing` is missing: "cooling" or "heating"' in problem(changed('reversing = "cooling"\n', "", "demo"))


def test_one_reversing_valve_is_enough(problem) -> None:
    second = '[reversing_valve.other]\nlabel = "Other"\nbore_mm = 8\n\n[check_valve'
    assert "at most one [reversing_valve...]" in problem(changed("[check_valve", second, "demo"))


def test_a_bulb_that_is_right_in_cooling_only_is_refused(problem) -> None:
    sentence = problem(changed('bulb = "four_way.suction"', 'bulb = "indoor.out"', "demo"))
    assert "is not between the coil that this valve feeds in heating and the compressor" in sentence


JUNK = (
    "nan",
    "inf",
    "-1",
    "0",
    "1e400",
    "9" * 5000,
    "0x" + "F" * 5000,
    "[0x" + "F" * 5000 + "]",
    "true",
    '"x"',
    '""',
    "[]",
    "{}",
    "[1]",
    "{ a = 1 }",
    '"V1"',
    "1979-05-27",
)


def mutilated(text: str, chance: random.Random) -> str:
    """Lines lost, doubled, exchanged; values and letters replaced; words mixed up."""
    lines = text.splitlines()
    words = re.findall(r"\w+", text)
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        line = lines[at]
        spot = chance.randrange(len(line) + 1)
        lines[at : at + 1] = chance.choice(
            (
                [],
                [line, lines[other]],
                [re.sub(r"=.*", lambda found: "= " + chance.choice(JUNK), line, count=1)],
                [line[:spot] + chance.choice("\"'.[]{}=#0A\n\0☃") + line[spot + 1 :]],
                [re.sub(r"\b\w+\b", lambda found: chance.choice(words) if chance.random() < 0.3 else found[0], line)],
            )
        )
    return "\n".join(lines)


@settings(max_examples=200, deadline=None)
@given(name=st.sampled_from(sorted(TEXTS)), seed=st.integers(0, 2**32))
def test_a_mutilated_file_loads_or_is_refused_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, name: str, seed: int
) -> None:
    path = tmp_path_factory.getbasetemp() / "mutilated.toml"
    path.write_text(mutilated(TEXTS[name], random.Random(seed)), encoding="utf-8")
    try:
        load_bench(path)
    except FileProblem as refusal:
        assert "Traceback" not in str(refusal)
        assert len(str(refusal)) < 900
