"""What may be done next on a bench: one state, one action, the state after it or the first danger.

The state knows the valves, whether the compressor runs, and which places have been pumped empty of liquid.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Final, NamedTuple

from hvacr_lab.bench.line_up_words import shut_in_sentence
from hvacr_lab.bench.liquid_traps import can_be_liquid, holds, liquid_expansion
from hvacr_lab.bench.routes import (
    COMPLETE,
    CONDENSER_BYPASSED,
    DISCHARGE_SHUT,
    EVAPORATOR_BYPASSED,
    PUMPS_DOWN,
    SHORT_CIRCUIT,
    SUCTION_SHUT,
    Facts,
    facts_of,
)
from hvacr_lab.bench.sections import Network
from hvacr_lab.bench.words import listed, spoken

OPEN: Final = "open"
SHUT: Final = "shut"
SET: Final = "set"
TURN: Final = "turn"
START: Final = "start the compressor"
STOP: Final = "stop the compressor"
WAIT: Final = "wait"

TRAP: Final = "liquid shut in"
JOINED: Final = "high and low side joined"
NO_ROOM: Final = "no room to pump down"
PUMPING: Final = "compressor pumps where it must not"
TURNING: Final = "reversing valve turned under pressure"
NOTHING_RUNS: Final = "nothing is pumped"

RUNNING_DANGERS: Final[Mapping[str, str]] = {
    DISCHARGE_SHUT: "The compressor would pump against a shut valve; it can burst before the pressure control acts.",
    SUCTION_SHUT: "The compressor would pull a vacuum in its own shell, without gas to cool its motor.",
    SHORT_CIRCUIT: "High and low side would be joined without a metering device while the compressor runs, and liquid "
    "can run to it.",
    CONDENSER_BYPASSED: "The hot gas would not pass a condenser while the compressor runs.",
    EVAPORATOR_BYPASSED: "Liquid would reach the running compressor without passing an evaporator.",
}


class Situation(NamedTuple):
    """Switches of the bench, compressor on or off, and the places that have been pumped empty."""

    bits: int
    on: bool
    emptied: int


class Action(NamedTuple):
    """One thing a hand can do; ``switch`` is the bit of the valve that is moved."""

    what: str
    switch: int = 0


class Danger(NamedTuple):
    """Why an action is refused: the rule, and the sentence."""

    rule: str
    why: str


class Rules:
    """The rules on one bench with one charge; remembers what it has worked out about each line-up."""

    def __init__(self, network: Network, charge_kg: float | None, relaxed: frozenset[str] = frozenset()) -> None:
        self.network, self.charge_kg, self.relaxed = network, charge_kg, relaxed
        self._facts: dict[int, Facts] = {}
        self._liquid: dict[int, bool] = {}
        self._drained: dict[int, int] = {}
        self._volumes = 0
        for place in network.place_of.values():
            self._volumes |= 1 << place

    def facts(self, bits: int) -> Facts:
        """What a line-up does, worked out once."""
        if bits not in self._facts:
            self._facts[bits] = facts_of(self.network, bits)
        return self._facts[bits]

    def trapped(self, now: Situation) -> int:
        """Places where liquid can be shut in."""
        mask = 0
        for section in self.facts(now.bits).joined.shut_in:
            if section & self._volumes & ~now.emptied and self._can_be_liquid(section):
                mask |= section
        return mask

    def _can_be_liquid(self, section: int) -> bool:
        if section not in self._liquid:
            self._liquid[section] = can_be_liquid(self.network, section, self.charge_kg)
        return self._liquid[section]

    def after(self, now: Situation, action: Action) -> Situation:
        """The situation after an action, dangerous or not."""
        bits = now.bits ^ action.switch
        on = {START: True, STOP: False}.get(action.what, now.on)
        emptied = now.emptied
        if action.what == WAIT and on:
            emptied |= self.drained(bits)
        return Situation(bits, on, self._still_empty(bits, on, emptied))

    def drained(self, bits: int) -> int:
        """Places that a running compressor empties: open to the suction, cut off from the discharge, off the flow."""
        if bits not in self._drained:
            facts = self.facts(bits)
            self._drained[bits] = facts.joined.to_suction & ~facts.joined.high & ~facts.on_route
        return self._drained[bits]

    def _still_empty(self, bits: int, on: bool, emptied: int) -> int:
        """A section stays empty if nothing in it and no check valve into it brings refrigerant."""
        if not emptied:
            return 0
        facts = self.facts(bits)
        kept = 0
        for section in facts.joined.sections:
            if section & self._volumes & ~emptied or self._is_fed(section, emptied):
                kept |= section & emptied & self.drained(bits) if on else 0
            else:
                kept |= section
        return kept

    def _is_fed(self, section: int, emptied: int) -> bool:
        ways = self.network.one_way
        return any(section >> way.end & 1 and not (section | emptied) >> way.start & 1 for way in ways)

    def danger(self, now: Situation, action: Action, then: Situation | None = None) -> Danger | None:
        """The first thing that is wrong with an action, None if it may be done."""
        then = self.after(now, action) if then is None else then
        checks = (_CHECKS[action.what], Rules._new_trap)
        dangers = (check(self, now, then) for check in checks)
        return next((each for each in dangers if each is not None and each.rule not in self.relaxed), None)

    def _new_trap(self, now: Situation, then: Situation) -> Danger | None:
        fresh = self.trapped(then) & ~self.trapped(now)
        if not fresh:
            return None
        section = next(section for section in self.facts(then.bits).joined.shut_in if section & fresh)
        return Danger(TRAP, _shut_in(self.network, section, then.bits))

    def running_danger(self, bits: int) -> Danger | None:
        """What is wrong with letting the compressor run on this line-up."""
        facts = self.facts(bits)
        if facts.outcome in RUNNING_DANGERS:
            return Danger(PUMPING, RUNNING_DANGERS[facts.outcome])
        if facts.liquid_reaches_compressor:
            return Danger(PUMPING, RUNNING_DANGERS[EVAPORATOR_BYPASSED])
        if facts.outcome in PUMPS_DOWN and not holds(self.network, facts.joined.high, self.charge_kg):
            parts = (name for name in self.network.elements_in(facts.joined.high) if name in self.network.bench.parts())
            names = listed(spoken(self.network.bench, name) for name in parts)
            why = (
                f"The compressor would pump all the refrigerant into {names}, which has no room for it: the "
                "head pressure would rise until the high-pressure control opens."
            )
            return Danger(NO_ROOM, why)
        return None


@lru_cache(maxsize=4096)
def _shut_in(network: Network, section: int, bits: int) -> str:
    names, closed_by = network.elements_in(section), network.closed_by(section, bits)
    return shut_in_sentence(network.bench, names, closed_by, liquid_expansion(network.bench.refrigerant))


def _moved(rules: Rules, now: Situation, then: Situation) -> Danger | None:
    if now.on and rules.running_danger(now.bits):
        return _stop_first(rules, now)
    if then.on:
        return rules.running_danger(then.bits)
    joins = rules.facts(then.bits).outcome == SHORT_CIRCUIT and rules.facts(now.bits).outcome != SHORT_CIRCUIT
    if joins:
        return Danger(
            JOINED,
            "High and low side would be joined without a metering device: liquid runs into the low side and to the "
            "compressor, and hammers it at the next start.",
        )
    return None


def _stop_first(rules: Rules, now: Situation) -> Danger:
    found = rules.running_danger(now.bits)
    assert found is not None
    return Danger(found.rule, f"Stop the compressor first. {found.why}")


def _started(rules: Rules, now: Situation, then: Situation) -> Danger | None:
    found = rules.running_danger(then.bits)
    if found is None and rules.facts(then.bits).outcome != COMPLETE:
        return Danger(PUMPING, "Open the way round before the start: no refrigerant could come back to the compressor.")
    return found


def _stopped(rules: Rules, now: Situation, then: Situation) -> Danger | None:
    return None


def _waited(rules: Rules, now: Situation, then: Situation) -> Danger | None:
    if not now.on:
        return Danger(NOTHING_RUNS, "The compressor stands still: waiting pumps nothing down.")
    return _stop_first(rules, now) if rules.running_danger(now.bits) else None


def _turned(rules: Rules, now: Situation, then: Situation) -> Danger | None:
    if now.on:
        return Danger(
            TURNING,
            "Stop the compressor before the reversing valve is switched over: full of liquid, the coil that was the "
            "condenser would be opened to the suction.",
        )
    return _moved(rules, now, then)


_CHECKS: Final[Mapping[str, Callable[[Rules, Situation, Situation], Danger | None]]] = {
    OPEN: _moved,
    SHUT: _moved,
    TURN: _turned,
    START: _started,
    STOP: _stopped,
    WAIT: _waited,
}
