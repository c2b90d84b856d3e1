"""Moves: every planned order is gone through by a second, plain checker; what is dangerous is common practice."""

from __future__ import annotations

from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_checker import check, goes_round, running_fault
from small_piping import (
    BYPASS_ROUND_A_BYPASS,
    DANGEROUS,
    FOUR_AT_ONE,
    LOOP,
    REVERSIBLE,
    TWO_RECEIVERS,
    all_but,
    opened,
    piped,
)

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.description import Bench, Configuration
from hvacr_lab.bench.moves import Move, check_moves, plan
from hvacr_lab.errors import NotUsable, UnknownName


def _order(moves: tuple[Move, ...]) -> list[str]:
    return [move.what if move.valve is None else f"{move.what} {move.valve}" for move in moves]


def _after(valves: dict[str, float], moves: tuple[Move, ...]) -> dict[str, float]:
    moved = {str(m.valve): float(m.position or 0.0) for m in moves if m.what in ("open", "shut", "set")}
    return {**valves, **moved}


def _different(bench: Bench) -> list[Configuration]:
    line_ups = {(tuple(c.valves.items()), c.reversing): c for c in bench.configurations.values()}
    return list(line_ups.values())


@pytest.mark.parametrize("running", [True, False])
@pytest.mark.parametrize("name", ["demo", "propane"])
def test_every_plan_between_two_configurations_is_safe(name: str, running: bool) -> None:
    bench = load_bench(name)
    for now, wanted in permutations(_different(bench), 2):
        moves = plan(bench, now.valves, wanted.id, running=running, reversing=now.reversing)
        told = f"{now.id} -> {wanted.id}: {_order(moves)}"
        assert check(bench, now.valves, now.reversing, moves, running=running) == "", told
        assert _after(dict(now.valves), moves) == wanted.valves, told
        turned = [move.position for move in moves if move.what == "turn"]
        assert turned == ([wanted.reversing] if wanted.reversing != now.reversing else [])
        assert all(move.reason.endswith(".") for move in moves)
        again = check_moves(bench, now.valves, moves, running=running, wanted=wanted.id, reversing=now.reversing)
        assert again is None, told


def test_the_classic_change_from_thermostatic_valve_to_capillary() -> None:
    """Open the new way before the old one is shut; the receiver's outlet first, so that it keeps what is in it."""
    demo = load_bench("demo")
    now = demo.configurations["refrigerator"]
    moves = plan(demo, now.valves, "refrigerator-capillary", running=True)
    order = _order(moves)
    assert order.index("open V4") < order.index("shut V3") < order.index("shut V2")
    assert order.index("open V6") < order.index("shut V8")
    assert len(moves) == 8


def test_the_reversing_valve_is_switched_at_rest() -> None:
    demo = load_bench("demo")
    now = demo.configurations["heat-pump-heating"]
    moves = plan(demo, now.valves, "heat-pump-cooling", running=True, reversing="heating")
    assert _order(moves) == ["stop the compressor", "turn four_way", "start the compressor"]
    assert moves[1].position == "cooling"


def test_pump_down_before_the_low_side_is_shut_in() -> None:
    """Liquid line first, wait for the low pressure, switch off, then the rest (common practice)."""
    demo = load_bench("demo")
    now = demo.configurations["refrigerator"].valves
    stored = {**now, "V3": 0.0, "V8": 0.0, "V13": 0.0}
    moves = plan(demo, now, stored, running=True)
    assert _order(moves)[:3] == ["shut V3", "wait", "stop the compressor"]
    assert sorted(_order(moves)[3:]) == ["shut V13", "shut V8"]
    assert "low-pressure setting" in moves[1].reason
    assert check(demo, now, "cooling", moves, running=True) == ""


def test_a_stopped_bench_is_started_to_be_pumped_down() -> None:
    loop = piped(LOOP)
    moves = plan(loop, opened(loop, *loop.valves), opened(loop, "D", "S"), running=False)
    assert _order(moves) == ["start the compressor", "shut L", "wait", "stop the compressor", "shut M"]
    assert check(loop, opened(loop, *loop.valves), None, moves, running=False) == ""


def test_a_lane_with_two_valves_is_boiled_empty_before_the_second_is_shut() -> None:
    propane = load_bench("propane")
    now = propane.configurations["fridge-t"].valves
    order = _order(plan(propane, now, "fridge-p", running=True))
    assert order == ["open p_in", "open p_out", "shut t_in", "wait", "shut t_out"]


def test_valves_that_only_change_their_share_are_set_last() -> None:
    loop = piped(LOOP)
    wanted = {**opened(loop, *loop.valves), "M": 0.3}
    assert _order(plan(loop, opened(loop, *loop.valves), wanted, running=True)) == ["set M"]
    moves = plan(loop, opened(loop, "D", "S"), wanted, running=False)
    assert ("open", "M", 0.3) in {(move.what, move.valve, move.position) for move in moves}


def test_nothing_to_move() -> None:
    loop = piped(LOOP)
    assert plan(loop, opened(loop, *loop.valves), "all", running=True) == ()


def test_a_compressor_that_pumps_against_a_shut_valve_is_stopped_first() -> None:
    loop = piped(LOOP)
    moves = plan(loop, all_but(loop, "D"), "all", running=True)
    assert _order(moves) == ["stop the compressor", "open D", "start the compressor"]


def test_no_plan_joins_the_two_sides() -> None:
    bench = piped(DANGEROUS)
    good = opened(bench, *["D", "CI", "CO", "M", "EI", "EO", "S"])
    with pytest.raises(NotUsable, match="without a metering device"):
        plan(bench, good, {**good, "Q": 1.0}, running=False)


def test_no_plan_where_liquid_cannot_be_pumped_out() -> None:
    """Between the check valves and the lanes nothing can be shut upstream, so nothing can be emptied."""
    demo = load_bench("demo")
    now = demo.configurations["refrigerator-capillary"].valves
    with pytest.raises(NotUsable, match="Liquid can be shut in"):
        plan(demo, now, {**now, "V6": 0.0}, running=True)


def test_no_pump_down_into_a_condenser_that_is_too_small() -> None:
    """0.35 l hold 0.8 x 0.35 l x 1.1 kg/l = 0.31 kg with room for gas (80 %, common practice)."""
    full, light = piped(LOOP, charge_kg=0.5), piped(LOOP, charge_kg=0.2)
    everything = opened(full, *full.valves)
    stored = opened(full, "D", "S")
    assert plan(light, everything, stored, running=True)
    with pytest.raises(NotUsable, match="Liquid can be shut in"):
        plan(full, everything, stored, running=True)
    found = check_moves(light, everything, [Move("shut", "L")], running=True, charge_kg=0.5)
    assert found is not None
    assert "no room" in found.why


@pytest.mark.parametrize(
    ("moves", "step", "why"),
    [
        ([Move("shut", "D")], 1, "pump against a shut valve"),
        ([Move("shut", "S")], 1, "pull a vacuum"),
        ([Move("stop the compressor"), Move("shut", "L"), Move("shut", "M")], 3, "Liquid can be shut in"),
        ([Move("shut", "L"), Move("stop the compressor"), Move("shut", "M")], 3, "Liquid can be shut in"),
        ([Move("stop the compressor"), Move("wait")], 2, "stands still"),
        ([Move("stop the compressor"), Move("shut", "L"), Move("start the compressor")], 3, "Open the way round"),
        ([Move("stop the compressor"), Move("shut", "D"), Move("start the compressor")], 3, "pump against"),
    ],
)
def test_the_first_thing_that_goes_wrong_is_named(moves: list[Move], step: int, why: str) -> None:
    loop = piped(LOOP)
    found = check_moves(loop, opened(loop, *loop.valves), moves, running=True)
    assert found is not None
    assert found.step == step
    assert why in found.why


def test_a_students_own_safe_order_is_accepted() -> None:
    loop = piped(LOOP)
    moves = [Move("shut", "L"), Move("wait"), Move("stop the compressor"), Move("shut", "M"), Move("shut", "S")]
    now = opened(loop, *loop.valves)
    assert check_moves(loop, now, moves, running=True) is None
    left = check_moves(loop, now, moves[:-1], running=True, wanted=opened(loop, "D"))
    assert left is not None
    assert (left.step, left.rule) == (5, "not finished")
    assert "valve S is open" in left.why


def test_waiting_does_not_help_once_liquid_has_come_back() -> None:
    """Pumped down, the line filled again, then shut at both ends: liquid is shut in after all."""
    loop = piped(LOOP)
    down = [Move("shut", "L"), Move("wait"), Move("stop the compressor")]
    refilled = [*down, Move("open", "L"), Move("shut", "L"), Move("shut", "M")]
    found = check_moves(loop, opened(loop, *loop.valves), refilled, running=True)
    assert found is not None
    assert found.step == 6


def test_reversing_while_running_is_refused() -> None:
    bench = piped(REVERSIBLE)
    now = opened(bench, *bench.valves)
    found = check_moves(bench, now, [Move("turn", "rv", "heating")], running=True)
    assert found is not None
    assert check_moves(bench, now, [Move("turn", "rv", "heating")], running=False) is None


def test_moves_that_cannot_be_read_are_refused() -> None:
    loop = piped(LOOP)
    now = opened(loop, *loop.valves)
    for move in (Move("kick", "D"), Move("open", "V99"), Move("set", None, 0.5)):
        with pytest.raises(UnknownName):
            check_moves(loop, now, [move], running=True)
    with pytest.raises(NotUsable, match="no reversing valve"):
        check_moves(loop, now, [Move("turn", None, "heating")], running=True)


@pytest.mark.parametrize("text", [LOOP, TWO_RECEIVERS, FOUR_AT_ONE, BYPASS_ROUND_A_BYPASS, DANGEROUS])
def test_plans_between_any_two_line_ups_that_may_run(text: str) -> None:
    bench = piped(text)
    names = list(bench.valves)
    every = [dict(zip(names, states, strict=True)) for states in product((0.0, 1.0), repeat=len(names))]
    may_run = [v for v in every if goes_round(bench, v, None) and not running_fault(bench, v, None)]
    assert may_run
    for now, wanted in list(permutations(may_run, 2))[::7] or [(may_run[0], may_run[0])]:
        moves = plan(bench, now, wanted, running=True)
        assert check(bench, now, None, moves, running=True) == "", (now, _order(moves))
        assert _after(now, moves) == wanted


_ACTIONS = st.sampled_from(["D", "L", "M", "S", "wait", "start the compressor", "stop the compressor"])


@settings(max_examples=50, deadline=None)
@given(steps=st.lists(_ACTIONS, max_size=10), running=st.booleans())
def test_both_checkers_find_the_same_first_fault(steps: list[str], running: bool) -> None:
    """On a plain loop with a small charge, where capacity does not matter."""
    loop = piped(LOOP)
    now = opened(loop, *loop.valves)
    moves, stands, runs = [], dict(now), running
    for step in steps:
        if step in stands:
            stands[step] = 1.0 - stands[step]
            moves.append(Move("open" if stands[step] else "shut", step, stands[step]))
        elif step == "wait" or runs is not (step == "start the compressor"):
            runs = {"start the compressor": True, "stop the compressor": False}.get(step, runs)
            moves.append(Move(step))
    ours = check_moves(loop, now, moves, running=running)
    theirs = check(loop, now, None, moves, running=running)
    assert (ours is None) is (theirs == "")
    if ours is not None:
        assert theirs.startswith(f"{ours.step}:")
