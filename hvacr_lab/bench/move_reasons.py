"""Why a move is made, in a sentence for the person at the bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.move_rules import OPEN, SHUT, START, STOP, TURN, WAIT, Action, Rules, Situation
from hvacr_lab.bench.routes import COMPLETE, PUMPS_DOWN
from hvacr_lab.bench.sections import Network
from hvacr_lab.bench.words import listed, spoken


class _Step(NamedTuple):
    """One action between two situations, and what comes after it."""

    rules: Rules
    now: Situation
    then: Situation
    action: Action
    rest: Sequence[Action]

    @property
    def network(self) -> Network:
        return self.rules.network

    @property
    def bench(self) -> Bench:
        return self.rules.network.bench

    @property
    def valve(self) -> str:
        return self.network.valve_ids[self.action.switch.bit_length() - 1]

    def outcome(self, situation: Situation) -> str:
        return self.rules.facts(situation.bits).outcome


def reason_of(rules: Rules, now: Situation, action: Action, rest: Sequence[Action]) -> str:
    """The reason of a safe action.

    Parameters
    ----------
    rules : Rules
    now : Situation, before the action
    action : Action
    rest : the actions after it

    Returns
    -------
    str, one or two sentences
    """
    return _REASONS[action.what](_Step(rules, now, rules.after(now, action), action, rest))


def _open(step: _Step) -> str:
    before, after = step.outcome(step.now), step.outcome(step.then)
    way = _behind(step.bench, step.valve)
    if before != COMPLETE and after == COMPLETE:
        return f"Opens {way}: the refrigerant has a way round again."
    follower = _needs_it(step)
    if follower is not None and after == COMPLETE:
        other = spoken(step.bench, follower)
        return f"Open before you shut: {way} is ready before {other} closes, so the refrigerant always has a way round."
    return f"Opens {way}, which the wanted line-up needs."


def _needs_it(step: _Step) -> str | None:
    """The valve that is shut later and would stop the flow if this one were not open."""
    bits = step.then.bits
    for action in step.rest:
        bits ^= action.switch
        if action.what == SHUT and step.rules.facts(bits & ~step.action.switch).outcome != COMPLETE:
            return step.network.valve_ids[action.switch.bit_length() - 1]
    return None


def _shut(step: _Step) -> str:
    facts = step.rules.facts(step.then.bits)
    way = _behind(step.bench, step.valve)
    if step.then.on and facts.outcome in PUMPS_DOWN and step.outcome(step.now) == COMPLETE:
        store = listed(spoken(step.bench, name) for name in _vessels(step, facts.joined.high))
        return f"Shut the liquid side first and let the compressor run: it pumps the low side empty into {store}."
    before = step.rules.facts(step.now.bits).joined.shut_in
    fresh = next((s for s in facts.joined.shut_in if s not in before and step.network.elements_in(s)), None)
    if fresh is None:
        return f"Closes {way}, which the wanted line-up does not use; no liquid is shut in by it."
    return f"Closes {way}. {_why_not_dangerous(step, fresh)}"


def _why_not_dangerous(step: _Step, section: int) -> str:
    bench, names = step.bench, step.network.elements_in(section)
    inside = listed(spoken(bench, name) for name in names)
    if not step.network.elements_in(section & ~step.then.emptied):
        return f"What is shut in ({inside}) has been pumped empty of liquid."
    guarded = [name for name in names if name in bench.vessels and bench.vessels[name].has_relief]
    if guarded:
        names_of = listed(spoken(bench, name) for name in guarded)
        return (
            f"What is in the {names_of} stays there, guarded by its relief device; the rest of the circuit has that "
            "much less, so look at superheat and subcooling afterwards."
        )
    return f"What is shut in ({inside}) keeps room for its gas, so no liquid pressure can build up."


def _wait(step: _Step) -> str:
    if step.outcome(step.now) in PUMPS_DOWN:
        setting = step.bench.controls.low_cut_out_pa / 1e5
        return (
            f"Wait until the suction has fallen to the low-pressure setting ({setting:.1f} bar absolute, or what the "
            "configuration sets) and the control stops the compressor: the low side holds no liquid then."
        )
    inside = listed(spoken(step.bench, name) for name in step.network.elements_in(_shut_next(step)))
    return (
        f"Let it run some minutes until {inside} has boiled empty into the suction and feels warm, so that only gas is "
        "shut in next."
    )


def _shut_next(step: _Step) -> int:
    """Of the places emptied by waiting, those that a later move shuts in."""
    emptied, bits = step.then.emptied & ~step.now.emptied, step.then.bits
    for action in step.rest:
        bits ^= action.switch
        fresh = sum(section for section in step.rules.facts(bits).joined.shut_in if section & emptied == section)
        if fresh:
            return fresh
    return emptied


def _stop(step: _Step) -> str:
    if step.rules.running_danger(step.now.bits):
        return "The compressor must not run on this line-up."
    if step.outcome(step.now) in PUMPS_DOWN:
        return "Switch it off, or it starts again by itself when the suction pressure creeps up to the cut-in."
    if not step.rest:
        return "Nothing is left to move, and it stood still before."
    return "The next moves are made with the compressor at rest."


def _start(step: _Step) -> str:
    if any(action.what == WAIT for action in step.rest):
        return "The way round is open, so it may run: it is needed to pump down."
    rest_s = step.bench.controls.minimum_off_s
    return f"The way round is open. Give it {rest_s:.0f} s of rest first, then watch both gauges for the first minute."


def _turn(step: _Step) -> str:
    mode = "heating" if step.then.bits & step.network.heating_bit else "cooling"
    return (
        f"Switched to {mode} with the compressor at rest and the pressures equalised; the valve itself may slide over "
        "only when the compressor builds up pressure again."
    )


_REASONS: Final[Mapping[str, Callable[[_Step], str]]] = {
    OPEN: _open,
    SHUT: _shut,
    WAIT: _wait,
    STOP: _stop,
    START: _start,
    TURN: _turn,
}


def _vessels(step: _Step, places: int) -> tuple[str, ...]:
    """Coils and vessels at these places."""
    bench = step.bench
    return tuple(name for name in step.network.elements_in(places) if name in bench.coils or name in bench.vessels)


def _behind(bench: Bench, valve: str) -> str:
    """What a valve opens or closes, in words."""
    round_vessel = next((vessel for vessel in bench.vessels.values() if vessel.bypassed_by == valve), None)
    if round_vessel is not None:
        return f"the way round the {spoken(bench, round_vessel.id)}"
    pipe = next(pipe for pipe in bench.pipes if pipe.valve == valve)
    parts = bench.parts()
    ends = [part for part in (pipe.end.partition(".")[0], pipe.start.partition(".")[0]) if part in parts]
    return f"the way to the {spoken(bench, ends[0])}" if ends else f"the way through pipe {pipe.id}"
