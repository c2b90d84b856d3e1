"""What the valve positions make of a bench: the way of the refrigerant, dead ends, shut-in liquid, dangers.

Sentences for people speak of the labels of the bench file. A partly open valve counts as open.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from hvacr_lab.bench.configurations import bits_wanted, charge_of, is_line_up_of
from hvacr_lab.bench.dead_ends import DeadEnd, dead_ends, nearest_first
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.line_up_words import sentence_on, shut_in_sentence, shut_the_rest
from hvacr_lab.bench.liquid_traps import (
    LiquidExpansion,
    can_be_liquid,
    holds,
    liquid_expansion,
    liquid_share,
)
from hvacr_lab.bench.routes import (
    COMPLETE,
    CONDENSER_BYPASSED,
    DISCHARGE_SHUT,
    EVAPORATOR_BYPASSED,
    LIQUID_LINE_SHUT,
    METERING_SHUT,
    OUTCOMES,
    PUMPS_DOWN,
    SHORT_CIRCUIT,
    SUCTION_SHUT,
    Facts,
    Split,
    facts_of,
    split,
)
from hvacr_lab.bench.sections import Network, Section, bits_of, network_of, sections
from hvacr_lab.bench.words import spoken

__all__ = [
    "COMPLETE",
    "CONDENSER_BYPASSED",
    "DISCHARGE_SHUT",
    "EVAPORATOR_BYPASSED",
    "LIQUID_LINE_SHUT",
    "METERING_SHUT",
    "OUTCOMES",
    "PUMPS_DOWN",
    "SHORT_CIRCUIT",
    "SUCTION_SHUT",
    "DeadEnd",
    "LineUp",
    "Section",
    "Trapped",
    "WrongValve",
    "check_line_up",
    "is_line_up_of",
    "sections",
    "trace",
]


@dataclass(frozen=True, slots=True)
class Trapped:
    """A space between shut valves.

    Parameters
    ----------
    elements : tuple of str, ids of pipes and parts with a volume
    closed_by : tuple of str, the shut valves (and a check-valve bridge) around it
    can_be_liquid : bool, whether it can be full of liquid, with no relief and no gas space
    liquid_share : float, share of its volume that is filled with liquid while the bench runs
    expansion : LiquidExpansion or None, what warming does to it, where it can be full of liquid
    hazard : str, a sentence that says what to do, "" where there is no hazard
    """

    elements: tuple[str, ...]
    closed_by: tuple[str, ...]
    can_be_liquid: bool
    liquid_share: float
    expansion: LiquidExpansion | None
    hazard: str


@dataclass(frozen=True, slots=True)
class LineUp:
    """What the valve positions make of the bench.

    Parameters
    ----------
    outcome : str, one of ``OUTCOMES``
    high, low : tuple of str, ids of valves, pipes and parts in the order of flow: compressor to metering bank, bank to
        compressor. Where nothing can go round: everything open to the discharge, or to the suction, nearest first
        (of the suction: last)
    lanes : tuple of tuple of str, parallel ways through the metering bank, each with its valves, pipes and device
    bypasses : tuple of tuple of str, other open ways, each with what it passes that the flow above does not
    dead_ends : tuple of DeadEnd
    trapped : tuple of Trapped
    liquid_can_reach_compressor : bool, a way from the liquid to the suction without an evaporator
    compressor_can_dead_head : bool, the discharge is shut off from every coil
    sides_joined : bool, high and low side are joined without a metering device
    sentence : str, what it comes to and what to do
    warnings : tuple of str, each says what to do
    """

    outcome: str
    high: tuple[str, ...]
    lanes: tuple[tuple[str, ...], ...]
    low: tuple[str, ...]
    bypasses: tuple[tuple[str, ...], ...]
    dead_ends: tuple[DeadEnd, ...]
    trapped: tuple[Trapped, ...]
    liquid_can_reach_compressor: bool
    compressor_can_dead_head: bool
    sides_joined: bool
    sentence: str
    warnings: tuple[str, ...]

    @property
    def is_complete(self) -> bool:
        """Whether the refrigerant goes round through condenser, metering device and evaporator."""
        return self.outcome == COMPLETE


def trace(bench: Bench, valves: Mapping[str, float], reversing: str | None = None) -> LineUp:
    """Follow the refrigerant through the bench at these valve positions.

    Parameters
    ----------
    bench : Bench
    valves : opening of each valve, 0 shut ... 1 open; partly open counts as open, a valve not named is shut
    reversing : "cooling", "heating" or None, which is cooling

    Returns
    -------
    LineUp

    Raises
    ------
    UnknownName : no such valve; no such position of the reversing valve
    NotUsable, OutOfRange : an opening that is no number from 0 to 1
    """
    network = network_of(bench)
    return _traced(network, bits_of(network, valves, reversing))


@lru_cache(maxsize=256)
def _traced(network: Network, bits: int) -> LineUp:
    facts = facts_of(network, bits)
    flow = split(network, facts) if facts.outcome == COMPLETE else _spread(network, facts)
    trapped = tuple(_trapped(network, facts))
    sentence = sentence_on(network, facts, flow)
    return LineUp(
        outcome=facts.outcome,
        high=flow.high,
        lanes=flow.lanes,
        low=flow.low,
        bypasses=flow.others,
        dead_ends=tuple(dead_ends(network, facts)) if facts.outcome == COMPLETE else (),
        trapped=trapped,
        liquid_can_reach_compressor=facts.liquid_reaches_compressor,
        compressor_can_dead_head=not facts.joined.high & network.coils and facts.outcome != SHORT_CIRCUIT,
        sides_joined=facts.outcome == SHORT_CIRCUIT,
        sentence=sentence,
        warnings=tuple(_warnings(network, facts, flow, sentence, trapped)),
    )


def _spread(network: Network, facts: Facts) -> Split:
    """Where nothing goes round: what is open to either port of the compressor, in the order of distance."""
    high = nearest_first(network, facts, network.outlet, facts.joined.high)
    low = nearest_first(network, facts, network.inlet, facts.joined.low)[::-1]
    return Split(high, (), low, ())


def _trapped(network: Network, facts: Facts) -> Iterator[Trapped]:
    bench = network.bench
    for places in facts.joined.shut_in:
        names = network.elements_in(places)
        if not names:
            continue
        closed_by = network.closed_by(places, facts.bits)
        liquid = can_be_liquid(network, places, charge_of(network, facts.bits))
        expansion = liquid_expansion(bench.refrigerant) if liquid else None
        hazard = shut_in_sentence(bench, names, closed_by, expansion) if expansion else ""
        yield Trapped(names, closed_by, liquid, liquid_share(network, places), expansion, hazard)


def _warnings(
    network: Network, facts: Facts, flow: Split, sentence: str, trapped: tuple[Trapped, ...]
) -> Iterator[str]:
    bench = network.bench
    if facts.outcome != COMPLETE:
        yield sentence
    elif facts.liquid_reaches_compressor:
        yield "Liquid can pass the evaporator by and reach the compressor. " + shut_the_rest(bench, flow.others)
    elif flow.others:
        yield "Part of the refrigerant can go another way. " + shut_the_rest(bench, flow.others)
    if facts.outcome in PUMPS_DOWN and not holds(network, facts.joined.high, charge_of(network, facts.bits)):
        yield (
            "The high side alone has no room for all the refrigerant: the head pressure would rise until the "
            "high-pressure control stops the compressor. Do not pump down in this line-up."
        )
    yield from (space.hazard for space in trapped if space.hazard)


@dataclass(frozen=True, slots=True)
class WrongValve:
    """The first valve, in the order of flow, that does not stand as wanted.

    Parameters
    ----------
    valve : str, id; of the reversing valve where that is wrong
    is_now, should_be : str, "open", "shut", "cooling" or "heating"
    sentence : str, what is wrong and what it does
    """

    valve: str
    is_now: str
    should_be: str
    sentence: str


def check_line_up(
    bench: Bench, valves: Mapping[str, float], wanted: str, reversing: str | None = None
) -> WrongValve | None:
    """What is wrong first, from the compressor's outlet on.

    Parameters
    ----------
    bench : Bench
    valves : opening of each valve; partly open counts as open
    wanted : str, id of the configuration
    reversing : "cooling", "heating"; None: the reversing valve is not looked at

    Returns
    -------
    WrongValve, or None if everything stands as wanted
    """
    network = network_of(bench)
    goal = bits_wanted(network, wanted)
    now = bits_of(network, valves, reversing)
    if reversing is not None and (now ^ goal) & network.heating_bit and bench.reversing_valve is not None:
        return _wrong_reversing(bench, reversing, str(bench.configurations[wanted].reversing))
    wrong = now ^ goal
    for valve in _in_order_of_flow(network, goal):
        bit = 1 << network.valve_ids.index(valve)
        if wrong & bit:
            return _wrong_valve(network, valve, bool(goal & bit), wanted, facts_of(network, now).outcome)
    return None


def _in_order_of_flow(network: Network, bits: int) -> tuple[str, ...]:
    """Valves as the refrigerant meets them in a line-up, a shut one where its pipe leaves, the others last."""
    flow = _traced(network, bits)
    ordered: dict[str, None] = {}
    ends = {pipe.start: pipe.valve for pipe in network.bench.pipes if pipe.valve}
    for name in (*flow.high, *(name for lane in flow.lanes for name in lane), *flow.low):
        if name in network.bench.valves:
            ordered[name] = None
        for pipe in network.bench.pipes:
            leaves = pipe.id == name and ends.get(pipe.end)
            if leaves:
                ordered[leaves] = None
    return tuple(dict.fromkeys((*ordered, *network.valve_ids)))


def _wrong_valve(network: Network, valve: str, should_be_open: bool, wanted: str, outcome: str) -> WrongValve:
    bench = network.bench
    title = bench.configurations[wanted].title or wanted
    name = spoken(bench, valve)
    is_now, should_be = ("shut", "open") if should_be_open else ("open", "shut")
    effect = "" if outcome == COMPLETE else f" As it stands: {outcome}."
    text = f'{name[0].upper()}{name[1:]} is {is_now}; for "{title}" it has to be {should_be}.{effect}'
    return WrongValve(valve, is_now, should_be, text)


def _wrong_reversing(bench: Bench, is_now: str, should_be: str) -> WrongValve:
    assert bench.reversing_valve is not None
    name = bench.reversing_valve.id
    return WrongValve(name, is_now, should_be, f"The reversing valve stands in {is_now}; it has to be in {should_be}.")
