"""A safe order of moves from one line-up to another, and what is wrong with an order of moves.

What is safe on paper is not leave to do it: on a real bench the moves are made under the instructor's eye, by the
local rules, and work on the refrigerant circuit is for people who are licensed for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Final

from hvacr_lab.bench.configurations import bits_wanted, charge_of
from hvacr_lab.bench.description import COOLING, HEATING, Bench
from hvacr_lab.bench.move_reasons import reason_of
from hvacr_lab.bench.move_rules import (
    JOINED,
    NO_ROOM,
    OPEN,
    PUMPING,
    SET,
    SHUT,
    START,
    STOP,
    TRAP,
    TURN,
    WAIT,
    Action,
    Rules,
    Situation,
)
from hvacr_lab.bench.routes import COMPLETE, PUMPS_DOWN, SHORT_CIRCUIT
from hvacr_lab.bench.sections import Network, bits_of, network_of
from hvacr_lab.bench.words import spoken
from hvacr_lab.errors import NotUsable, UnknownName

__all__ = ["CAUTION", "FirstFault", "Move", "check_moves", "plan"]

CAUTION: Final = (
    "On a real bench: only with the instructor's leave and by the local rules. Opening the refrigerant circuit is work "
    "for people who are licensed for it. Goggles and gloves on; read the gauges before and after each move."
)
_WHATS: Final = (OPEN, SHUT, SET, TURN, START, STOP, WAIT)
_MOST_SITUATIONS: Final = 200_000


@dataclass(frozen=True, slots=True)
class Move:
    """One step at the bench.

    Parameters
    ----------
    what : str, "open", "shut", "set", "turn" (the reversing valve), "start the compressor", "stop the compressor" or
        "wait" (compressor running, until the suction has fallen)
    valve : str or None, id of the valve that is moved
    position : float or str or None, opening 0 ... 1; of the reversing valve "cooling" or "heating"
    reason : str, why, in a sentence
    """

    what: str
    valve: str | None = None
    position: float | str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class FirstFault:
    """The first move of a sequence that must not be made.

    Parameters
    ----------
    step : int, counted from 1; one past the last when the moves are safe but do not lead to the wanted line-up
    move : Move or None
    rule : str, what kind of danger
    why : str, a sentence
    """

    step: int
    move: Move | None
    rule: str
    why: str


def plan(
    bench: Bench,
    now: Mapping[str, float],
    wanted: str | Mapping[str, float],
    *,
    running: bool,
    reversing: str | None = None,
    charge_kg: float | None = None,
) -> tuple[Move, ...]:
    """A safe order of moves, the shortest there is.

    Parameters
    ----------
    bench : Bench
    now : opening of each valve as they stand
    wanted : str, id of a configuration; or the opening of each valve
    running : bool, whether the compressor runs now; at the end it runs again if it did and the line-up is complete
    reversing : "cooling" or "heating", how the reversing valve stands now; None: it is left where it is
    charge_kg : float [kg], all the refrigerant on the bench; None: as the configurations say

    Returns
    -------
    tuple of Move, empty if nothing is to be moved

    Raises
    ------
    UnknownName : no such configuration, valve or position
    NotUsable : there is no safe order of moves, and why

    Source
    ------
    Common practice: open before start, never shut the discharge of a running compressor, shut the liquid line first
    to pump down, no liquid between two shut valves.
    """
    network = network_of(bench)
    start = bits_of(network, now, reversing)
    goal, openings = _goal(network, wanted, start, leaves_reversing=reversing is None)
    rules = Rules(network, charge_of(network, start) if charge_kg is None else charge_kg)
    _refuse(network, rules, goal, wanted)
    finish = running and rules.facts(goal).outcome == COMPLETE and rules.running_danger(goal) is None
    actions = _search(rules, Situation(start, running, 0), goal, finish)
    if actions is None:
        raise NotUsable("line-up", _named(wanted), _why_not(network, start, running, goal, finish, rules.charge_kg))
    moves = tuple(_said(rules, Situation(start, running, 0), goal, actions, openings))
    return (*moves, *_adjustments(bench, now, openings))


def _goal(
    network: Network, wanted: str | Mapping[str, float], start: int, *, leaves_reversing: bool
) -> tuple[int, dict[str, float]]:
    if isinstance(wanted, str):
        goal, openings = bits_wanted(network, wanted), network.bench.configurations[wanted].valves
    else:
        goal, openings = bits_of(network, wanted, None) | start & network.heating_bit, wanted
    if leaves_reversing:
        goal = goal & ~network.heating_bit | start & network.heating_bit
    return goal, {valve: float(openings.get(valve, 0.0)) for valve in network.valve_ids}


def _refuse(network: Network, rules: Rules, goal: int, wanted: str | Mapping[str, float]) -> None:
    if rules.facts(goal).outcome == SHORT_CIRCUIT:
        why = "it joins high and low side without a metering device, so liquid can run to the compressor"
        raise NotUsable("line-up", _named(wanted), why, hint="Shut one of the valves that join them.")


def _named(wanted: str | Mapping[str, float]) -> str:
    return wanted if isinstance(wanted, str) else " ".join(valve for valve, opening in wanted.items() if opening > 0.0)


def _search(rules: Rules, start: Situation, goal: int, finish: bool) -> list[Action] | None:
    """Fewest actions, nearest first; among equals the one that opens early."""

    def left(now: Situation) -> int:
        return (now.bits ^ goal).bit_count() + (now.on is not finish)

    came: dict[Situation, tuple[Situation, Action] | None] = {start: None}
    cost = {start: 0}
    hand = _Hand(rules, may_turn=bool((start.bits ^ goal) & rules.network.heating_bit))
    queue = [(left(start), 0, 0, start)]
    count = 0
    done: set[Situation] = set()
    while queue and len(done) < _MOST_SITUATIONS:
        *_, now = heappop(queue)
        if now.bits == goal and now.on is finish:
            return _way_back(came, now)
        if now in done:
            continue
        done.add(now)
        for action in hand.actions(now):
            then = rules.after(now, action)
            far = cost[now] + 1
            if then == now or far >= cost.get(then, far + 1) or rules.danger(now, action, then):
                continue
            cost[then], came[then] = far, (now, action)
            count += 1
            heappush(queue, (far + left(then), -far, count, then))
    return None


class _Hand:
    """Everything a hand can do, the liked first: opening before shutting, a receiver's outlet before its inlet."""

    def __init__(self, rules: Rules, *, may_turn: bool) -> None:
        self.rules = rules
        switches = {valve: 1 << index for index, valve in enumerate(rules.network.valve_ids)}
        first = _receiver_outlets(rules.network.bench)
        self.openings = tuple(Action(OPEN, switch) for switch in switches.values())
        self.closings = tuple(Action(SHUT, switches[v]) for v in sorted(switches, key=lambda v: v not in first))
        self.always = (*([Action(TURN, rules.network.heating_bit)] if may_turn else []), Action(WAIT))

    def actions(self, now: Situation) -> Iterator[Action]:
        """What can be done now. While it pumps down nothing else is shut: wait, switch off, then go on."""
        yield from (action for action in self.openings if not now.bits & action.switch)
        if not (now.on and self.rules.facts(now.bits).outcome in PUMPS_DOWN):
            yield from (action for action in self.closings if now.bits & action.switch)
        yield from self.always
        yield Action(STOP if now.on else START)


def _receiver_outlets(bench: Bench) -> set[str | None]:
    """Valves to shut first, so that what a receiver holds stays in it (common practice)."""
    outlets = {f"{vessel.id}.out" for vessel in bench.vessels.values() if vessel.kind == "receiver"}
    return {pipe.valve for pipe in bench.pipes if pipe.start in outlets}


def _way_back(came: Mapping[Situation, tuple[Situation, Action] | None], last: Situation) -> list[Action]:
    actions = []
    step = came[last]
    while step is not None:
        actions.append(step[1])
        step = came[step[0]]
    return actions[::-1]


def _why_not(network: Network, start: int, running: bool, goal: int, finish: bool, charge_kg: float | None) -> str:
    """Which rule stands in the way: the one without which there would be a plan."""
    for rule in (TRAP, NO_ROOM, JOINED, PUMPING):
        rules = Rules(network, charge_kg, frozenset({rule}))
        actions = _search(rules, Situation(start, running, 0), goal, finish)
        if actions is not None:
            broken = _first_broken(network, start, running, actions, charge_kg)
            return f"every way to it breaks a rule. {broken}".rstrip(".")
    return "every way to it breaks more than one rule of safe work"


def _first_broken(
    network: Network, start: int, running: bool, actions: Iterable[Action], charge_kg: float | None
) -> str:
    rules, now = Rules(network, charge_kg), Situation(start, running, 0)
    for action in actions:
        found = rules.danger(now, action)
        if found is not None:
            return found.why
        now = rules.after(now, action)
    return ""


def _said(
    rules: Rules, now: Situation, goal: int, actions: list[Action], openings: Mapping[str, float]
) -> Iterator[Move]:
    network = rules.network
    for count, action in enumerate(actions):
        valve = _valve(network, action)
        position: float | str | None = None
        if action.what == TURN:
            position = HEATING if not now.bits & action.switch else COOLING
        elif valve is not None:
            position = (openings[valve] or 1.0) if action.what == OPEN else 0.0
        yield Move(action.what, valve, position, reason_of(rules, now, action, actions[count + 1 :]))
        now = rules.after(now, action)


def _valve(network: Network, action: Action) -> str | None:
    if action.what == TURN:
        reversing = network.bench.reversing_valve
        return None if reversing is None else reversing.id
    return network.valve_ids[action.switch.bit_length() - 1] if action.switch else None


def _adjustments(bench: Bench, now: Mapping[str, float], openings: Mapping[str, float]) -> Iterator[Move]:
    """Valves that stay open but by another share."""
    for valve, opening in openings.items():
        before = now.get(valve, 0.0)
        if opening > 0.0 and before > 0.0 and opening != before:
            reason = f"Set {spoken(bench, valve)} to {opening:.0%}, as the wanted line-up has it."
            yield Move(SET, valve, opening, reason)


def check_moves(
    bench: Bench,
    now: Mapping[str, float],
    moves: Iterable[Move],
    *,
    running: bool,
    wanted: str | Mapping[str, float] | None = None,
    reversing: str | None = None,
    charge_kg: float | None = None,
) -> FirstFault | None:
    """Go through a sequence of moves and name the first that must not be made.

    Parameters
    ----------
    bench : Bench
    now : opening of each valve before the first move
    moves : iterable of Move, reasons are not needed
    running : bool, whether the compressor runs before the first move
    wanted : id of a configuration or opening of each valve that the moves should lead to; None: wherever
    reversing : "cooling" or "heating", how the reversing valve stands; None: cooling, and not part of what is wanted
    charge_kg : float [kg], all the refrigerant on the bench; None: as the configurations say

    Returns
    -------
    FirstFault, or None if every move is safe (and the wanted line-up is reached)

    Raises
    ------
    UnknownName, NotUsable, OutOfRange : a move that cannot be read
    """
    network = network_of(bench)
    start = bits_of(network, now, reversing)
    rules = Rules(network, charge_of(network, start) if charge_kg is None else charge_kg)
    situation, step = Situation(start, running, 0), 0
    for step, move in enumerate(moves, start=1):
        action = _read(network, situation, move)
        if action is None:
            continue
        found = rules.danger(situation, action)
        if found is not None:
            return FirstFault(step, move, found.rule, found.why)
        situation = rules.after(situation, action)
    if wanted is None:
        return None
    goal, _ = _goal(network, wanted, start, leaves_reversing=reversing is None)
    return _not_reached(network, situation, goal, step + 1)


def _read(network: Network, now: Situation, move: Move) -> Action | None:
    """A move as an action; None if it changes nothing."""
    if move.what not in _WHATS:
        raise UnknownName("kind of move", move.what, _WHATS)
    if move.what in (START, STOP):
        return None if now.on is (move.what == START) else Action(move.what)
    if move.what == WAIT:
        return Action(WAIT)
    if move.what == TURN:
        return _read_turn(network, now, move)
    if move.valve not in network.valve_ids:
        raise UnknownName("valve", move.valve, network.valve_ids)
    default = {OPEN: 1.0, SHUT: 0.0}.get(move.what, move.position)
    position = default if move.position is None else move.position
    is_to_open = bits_of(network, {move.valve: position}, None) != 0  # type: ignore[dict-item]
    switch = 1 << network.valve_ids.index(move.valve)
    if bool(now.bits & switch) is is_to_open:
        return None
    return Action(OPEN if is_to_open else SHUT, switch)


def _read_turn(network: Network, now: Situation, move: Move) -> Action | None:
    if network.bench.reversing_valve is None:
        raise NotUsable("move", move.what, "this bench has no reversing valve")
    if move.position not in (COOLING, HEATING):
        raise UnknownName("position of the reversing valve", move.position, (COOLING, HEATING))
    is_there = bool(now.bits & network.heating_bit) is (move.position == HEATING)
    return None if is_there else Action(TURN, network.heating_bit)


def _not_reached(network: Network, now: Situation, goal: int, step: int) -> FirstFault | None:
    wrong = now.bits ^ goal
    if not wrong:
        return None
    index = (wrong & -wrong).bit_length() - 1
    if index == len(network.valve_ids):
        return FirstFault(
            step, None, "not finished", "The reversing valve does not stand as the wanted line-up has it."
        )
    is_open = bool(now.bits >> index & 1)
    name = spoken(network.bench, network.valve_ids[index])
    why = f"Nothing dangerous so far, but {name} is {'open' if is_open else 'shut'} at the end and should not be."
    return FirstFault(step, None, "not finished", why)
