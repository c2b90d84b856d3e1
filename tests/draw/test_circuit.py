"""The circuit of any bench: everything there, nothing on anything, flow where the valves let it, the same in words."""

from __future__ import annotations

import functools
import itertools
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import picture_boxes as boxes
import pytest

from hvacr_lab.bench import Bench, load_bench, new_bench_text
from hvacr_lab.bench.parts import HandValve, Pipe
from hvacr_lab.draw import style
from hvacr_lab.draw.circuit import circuit_svg, circuit_text
from hvacr_lab.draw.circuit_walk import Bank, Chain, pieces, walk
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName

GREY = f'stroke="{style.QUIET}"'


def small() -> Bench:
    """One coil against the other, one capillary tube, one valve: the least that is a bench."""
    demo = load_bench("demo")
    coils = {name: replace(demo.coils[of], id=name) for name, of in (("hot", "outdoor"), ("cold", "indoor"))}
    tube = replace(demo.metering["cap_medium"], id="tube", label="Capillary")
    ends = (
        ("one", "compressor.out", "hot.in", None),
        ("two", "hot.out", "tube.in", "only"),
        ("three", "tube.out", "cold.in", None),
        ("four", "cold.out", "compressor.in", None),
    )
    pipes = tuple(Pipe(name, start, end, 1e-5, 1e9, 0.1, valve, "mixed") for name, start, end, valve in ends)
    return replace(
        demo,
        title="Small bench",
        coils=coils,
        vessels={},
        metering={"tube": tube},
        valves={"only": HandValve("only", "Stop valve", 3e-6)},
        pipes=pipes,
        sight_glasses={"glass": "two"},
        ports={},
        reversing_valve=None,
        bridge=None,
        configurations={},
    )


@functools.cache
def template() -> Bench:
    path = Path(load_bench.__code__.co_filename).parent.parent / "data" / "benches" / "template.toml"
    assert path.read_text(encoding="utf-8") == new_bench_text()
    return load_bench(path)


@functools.cache
def without_bridge() -> Bench:
    """The demo bench with plain pipes where its check-valve bridge was: drawn in cooling only."""
    demo = load_bench("demo")
    ports = {"bridge.a": "joint_a", "bridge.liquid": "joint_a", "bridge.return": "joint_b", "bridge.b": "joint_b"}
    pipes = [
        replace(pipe, start=ports.get(pipe.start, pipe.start), end=ports.get(pipe.end, pipe.end)) for pipe in demo.pipes
    ]
    return replace(demo, bridge=None, pipes=tuple(pipes))


BENCHES = {
    "demo": lambda: load_bench("demo"),
    "propane": lambda: load_bench("propane"),
    "template": template,
    "small": small,
    "without bridge": without_bridge,
}
CASES = [
    ("demo", "refrigerator", "cooling"),
    ("demo", "heat-pump-heating-capillary", "heating"),
    ("demo", "all shut", None),
    ("propane", "fridge-t", None),
    ("propane", "deep-tube", None),
    ("propane", "all shut", None),
    ("template", "refrigerator", None),
    ("template", "all shut", None),
    ("small", "all shut", None),
    ("without bridge", "refrigerator", "cooling"),
]


def valves_of(bench: Bench, configuration: str) -> Mapping[str, float]:
    return {} if configuration == "all shut" else bench.configurations[configuration].valves


@functools.cache
def drawn(name: str, configuration: str, mode: str | None) -> str:
    bench = BENCHES[name]()
    return circuit_svg(bench, valves_of(bench, configuration), mode)


def pipe_pieces(svg: str) -> list[boxes.Box]:
    """Straight pieces of every pipe, moved down by the heading."""
    down = float(re.findall(r'<g transform="translate\(0 ([\d.]+)\)">', svg)[0])
    found = []
    for path in re.findall(r'<path d="(M[^"]*)" fill="none" stroke="#', svg):
        points = [tuple(map(float, pair.split())) for pair in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", path)]
        for (x, y), (to_x, to_y) in itertools.pairwise(points):
            low, high = sorted((y, to_y))
            found.append(boxes.Box("pipe", min(x, to_x), low + down, max(x, to_x), high + down))
    return found


@pytest.mark.parametrize(("name", "configuration", "mode"), CASES)
def test_no_text_lies_on_text_or_pipe_or_beyond_the_edge(name: str, configuration: str, mode: str | None) -> None:
    svg = drawn(name, configuration, mode)
    texts = boxes.text_boxes(svg)
    for first, second in itertools.combinations(texts, 2):
        assert not first.hits(second, 5.0, -1.5), (first.what, second.what)
    words = [text for text in texts if not text.what.isdigit()]  # the numbers of marks stand on their pipes
    for text, pipe in itertools.product(words, pipe_pieces(svg)):
        assert not text.hits(pipe, 1.0, 0.0), (text.what, pipe)
    assert all(text.inside(*boxes.size(svg)) for text in texts)


@pytest.mark.parametrize(("name", "configuration", "mode"), CASES)
def test_symbols_keep_clear_of_each_other(name: str, configuration: str, mode: str | None) -> None:
    """Every symbol is a group at a place; its first shape stands for it."""
    svg = drawn(name, configuration, mode)
    places = [tuple(map(float, place.split())) for place in re.findall(r'translate\((-?[\d.]+ -?[\d.]+)\)" fill', svg)]
    for (x, y), (other_x, other_y) in itertools.combinations(places, 2):
        assert abs(x - other_x) >= 20 or abs(y - other_y) >= 20, ((x, y), (other_x, other_y))


@pytest.mark.parametrize("name", BENCHES)
def test_everything_is_there_once(name: str) -> None:
    bench = BENCHES[name]()
    words = boxes.words(circuit_svg(bench, dict.fromkeys(bench.valves, 1.0)))
    said = " ".join(words)
    for one in (*bench.valves, *bench.sight_glasses):
        assert words.count(one) == 1, one
    for part in (*bench.coils.values(), *bench.vessels.values(), *bench.metering.values()):
        assert part.label.split()[-1] in said
    assert said.count("drier") == sum(pipe.has_drier for pipe in bench.pipes)


def test_a_valve_is_told_by_shape_and_by_word() -> None:
    bench = small()
    shut, half, wide = (circuit_svg(bench, {"only": opening}) for opening in (0.0, 0.4, 1.0))
    ink, paper = f'Z" fill="{style.INK}"/>', f'Z" fill="{style.PAPER}"/>'
    assert [(svg.count(ink), svg.count(paper)) for svg in (shut, half, wide)] == [(2, 0), (1, 1), (0, 2)]
    assert "shut" in boxes.words(shut)
    assert "40 %" in boxes.words(half)
    assert "open" in boxes.words(wide)


def grey_pipes(svg: str) -> int:
    return len(re.findall(rf'<path d="M[^"]*" fill="none" {GREY}', svg))


def test_a_shut_valve_in_the_only_way_stops_every_flow() -> None:
    bench = small()
    assert grey_pipes(circuit_svg(bench, {"only": 1.0})) == 0
    stopped = circuit_svg(bench, {"only": 0.0})
    assert grey_pipes(stopped) == len(re.findall(r'<path d="M[^"]*" fill="none" stroke="#', stopped))
    assert "No way round: shut are only." in circuit_text(bench, {"only": 0.0})


def test_lanes_that_are_shut_have_no_flow_and_the_others_have() -> None:
    """Propane bench, thermostatic lane: grey are two pieces of each of three lanes and more, the trap and its valve."""
    bench = load_bench("propane")
    one = grey_pipes(circuit_svg(bench, bench.configurations["fridge-t"].valves))
    every = grey_pipes(circuit_svg(bench, dict.fromkeys(bench.valves, 1.0)))
    assert every == 0
    assert one > 8


def flow_line(bench: Bench, configuration: str) -> str:
    one = bench.configurations[configuration]
    return next(line for line in circuit_text(bench, one.valves, one.reversing).splitlines() if line.startswith("Flow"))


def test_the_way_of_the_refrigerant_in_words() -> None:
    demo = load_bench("demo")
    assert flow_line(demo, "refrigerator") == (
        "Flow: Compressor > V1 > Reversing valve > Outdoor coil > Check-valve bridge > V2 > Receiver > V3 > V8 > "
        "Thermostatic valve > Check-valve bridge > Indoor coil > Reversing valve > V12 > V13 > Compressor."
    )
    assert flow_line(demo, "heat-pump-heating-capillary") == (
        "Flow: Compressor > V1 > Reversing valve > Indoor coil > Check-valve bridge > V4 > V6 > "
        "Capillary, medium range > Check-valve bridge > Outdoor coil > Reversing valve > V10 > Accumulator > V11 > "
        "V13 > Compressor."
    )


def test_two_open_lanes_stand_side_by_side() -> None:
    bench = load_bench("propane")
    both = {**bench.configurations["fridge-t"].valves, "a_in": 1.0}
    assert "(t_in > Thermostatic valve > t_out | a_in > Tube A)" in circuit_text(bench, both)


def test_the_valve_table_names_each_valve_its_state_and_what_it_is() -> None:
    bench = load_bench("demo")
    text = circuit_text(bench, {"V1": 1.0, "V13": 0.25}, "heating")
    assert "reversing valve in heating" in text
    assert re.search(r"^V1 +open +Discharge service valve$", text, flags=re.MULTILINE)
    assert re.search(r"^V2 +shut +Receiver inlet valve$", text, flags=re.MULTILINE)
    assert re.search(r"^V13 +25 % +Suction service valve$", text, flags=re.MULTILINE)


def test_heat_arrows_change_sides_with_the_reversing_valve() -> None:
    bench = load_bench("demo")
    valves = bench.configurations["refrigerator"].valves
    away, towards = 'd="M0 -29V-48', 'd="M0 -48V-29'
    for mode, first, second in (("cooling", away, towards), ("heating", towards, away)):
        svg = circuit_svg(bench, valves, mode)
        assert svg.index(first) < svg.index(second)  # the outdoor coil is drawn first
        assert mode in boxes.words(svg)


def test_what_is_measured_stands_under_its_number() -> None:
    said = boxes.words(drawn("demo", "refrigerator", "cooling"))
    assert "1  P1 Discharge gauge, HP High-pressure control, T1 Discharge pipe" in said
    assert any(line.endswith("bulb of Thermostatic valve") for line in said)


def test_screen_readers_hear_the_way_and_the_valves() -> None:
    bench = load_bench("demo")
    one = bench.configurations["freezer"]
    tree = boxes.root(circuit_svg(bench, one.valves, one.reversing))
    assert tree.get("role") == "img"
    assert tree.findtext(f"{boxes.SVG}desc") == circuit_text(bench, one.valves, one.reversing)


def ids(chain: Chain) -> list[object]:
    return [tuple(tuple(ids(lane)) for lane in step.lanes) if isinstance(step, Bank) else step.id for step in chain]


def test_the_loop_of_a_bench_from_its_pipes() -> None:
    loop, left_out = walk(template(), None)
    receiver = (("bypass",), ("receiver_in", "receiver", "receiver_out"))
    lanes = (("lane_1", "txv", "after_1"), ("lane_2", "tube", "after_2"))
    assert ids(loop) == [
        *("discharge", "condenser", "condensate", receiver, "liquid_line", lanes, "feed", "evaporator", "suction"),
    ]
    assert not left_out


def test_the_order_of_the_pipes_in_the_file_does_not_matter() -> None:
    bench = load_bench("demo")
    for mode in ("cooling", "heating"):
        again = walk(replace(bench, pipes=bench.pipes[::-1]), mode)[0]
        assert [piece.id for piece in again if not isinstance(piece, Bank)] == [
            piece.id for piece in walk(bench, mode)[0] if not isinstance(piece, Bank)
        ]


def with_pipe(bench: Bench, start: str, end: str) -> Bench:
    """A pipe with a valve laid across a bench, between two of its junctions."""
    across = Pipe("across", start, end, 1e-5, 1e9, 0.1, "cross", "gas")
    valves = {**bench.valves, "cross": HandValve("cross", "Cross valve", 3e-6)}
    return replace(bench, pipes=(*bench.pipes, across), valves=valves)


@pytest.mark.parametrize(("start", "end"), [("tee_1", "tee_4"), ("tee_2", "tee_4"), ("tee_1", "tee_3")])
def test_a_pipe_across_is_named_if_it_cannot_be_drawn(start: str, end: str) -> None:
    bench = with_pipe(template(), start, end)
    svg = circuit_svg(bench, {"V1": 1.0})
    drawn_ids = {piece.id for piece in pieces(walk(bench, None)[0])}
    said = " ".join(boxes.words(svg))
    assert ("across" in drawn_ids) != ("Not drawn: pipe across" in said)


def test_piping_that_is_no_loop_is_refused_with_a_sentence() -> None:
    bench = small()
    with pytest.raises(NotUsable, match="loop that can be drawn"):
        circuit_svg(replace(bench, pipes=bench.pipes[:-1]), {})


def test_wrong_names_and_openings_are_refused() -> None:
    bench = small()
    with pytest.raises(UnknownName, match="Closest: only"):
        circuit_svg(bench, {"onl": 1.0})
    with pytest.raises(OutOfRange, match="opening of valve only"):
        circuit_text(bench, {"only": 40.0})
    with pytest.raises(UnknownName, match="position of the reversing valve"):
        circuit_text(bench, {}, "heat")
