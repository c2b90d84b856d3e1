"""The piping as a graph of integers: which places are joined at given valve positions, and which are shut in.

A place is a port of a part or a junction. A set of places is one integer, bit by bit, and so are the open valves;
the highest bit says that the reversing valve stands in heating. That keeps 2^n line-ups a matter of a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from hvacr_lab.bench.description import (
    COMPRESSOR,
    COMPRESSOR_IN,
    COMPRESSOR_OUT,
    COOLING,
    HEATING,
    Bench,
    Passage,
    passages,
)
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName

HIGH: Final = "high"
LOW: Final = "low"
THROUGH: Final = "through"
SHUT_IN: Final = "shut in"


class Way(NamedTuple):
    """One step of the graph: from place to place, if the switches allow it, passing the elements named."""

    start: int
    end: int
    needs: int
    forbids: int
    elements: tuple[str, ...]
    is_metering: bool
    is_coil: bool


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """A bench turned into integers.

    ``two_way`` and ``one_way`` are the ways through pipes and parts, the compressor left out; ``place_of`` says at
    which place an element with a volume hangs: a pipe at its end, because its valve sits at its start.
    """

    bench: Bench
    places: tuple[str, ...]
    valve_ids: tuple[str, ...]
    two_way: tuple[Way, ...]
    one_way: tuple[Way, ...]
    place_of: Mapping[str, int]
    inlet: int
    outlet: int
    coils: int
    lane_ends: int
    # places between a metering bank and the rest
    steps: tuple[tuple[Way, ...], ...]
    # from each place, both directions where there are two

    @property
    def heating_bit(self) -> int:
        """The switch that stands for the reversing valve."""
        return 1 << len(self.valve_ids)

    def elements_in(self, places: int) -> tuple[str, ...]:
        """Pipes and parts with a volume at these places, in the order of the file."""
        return tuple(name for name, place in self.place_of.items() if places >> place & 1)

    def closed_by(self, places: int, bits: int) -> tuple[str, ...]:
        """Shut valves (and the check-valve bridge) between these places and the rest."""
        return tuple(dict.fromkeys(self._fences(places, bits)))

    def _fences(self, places: int, bits: int) -> Iterator[str]:
        for way in self.two_way:
            shut = way.needs & ~bits & (self.heating_bit - 1)
            if shut and (places >> way.start | places >> way.end) & 1:
                yield self.valve_ids[shut.bit_length() - 1]
        for way in self.one_way:
            if (places >> way.start ^ places >> way.end) & 1:
                yield way.elements[0]


class _Same:
    """A bench as a key: the same object, not an equal one, because its mappings cannot be hashed."""

    __slots__ = ("bench",)

    def __init__(self, bench: Bench) -> None:
        self.bench = bench

    def __hash__(self) -> int:
        return id(self.bench)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.bench is self.bench


def network_of(bench: Bench) -> Network:
    """The piping of a bench as integers, kept for the next question.

    Parameters
    ----------
    bench : Bench

    Returns
    -------
    Network
    """
    return _compiled(_Same(bench))


@lru_cache(maxsize=16)
def _compiled(same: _Same) -> Network:
    bench = same.bench
    both = (*passages(bench, COOLING), *passages(bench, HEATING))
    inner = [way for way in both if way.part != COMPRESSOR]
    ports = [port for way in inner for port in (way.start, way.end)]
    places = tuple(dict.fromkeys([COMPRESSOR_OUT, *bench.nodes(), *ports, COMPRESSOR_IN]))
    number = {name: index for index, name in enumerate(places)}
    valves = tuple(bench.valves)
    two_way = (*_pipe_ways(bench, number, valves), *_part_ways(bench, inner, number, len(valves), both_ways=True))
    one_way = tuple(_part_ways(bench, inner, number, len(valves), both_ways=False))
    parts = {way.part: number[way.start] for way in inner if way.part in bench.coils or way.part in bench.vessels}
    return Network(
        bench=bench,
        places=places,
        valve_ids=valves,
        two_way=two_way,
        one_way=one_way,
        place_of={COMPRESSOR: number[COMPRESSOR_IN], **parts, **{pipe.id: number[pipe.end] for pipe in bench.pipes}},
        inlet=number[COMPRESSOR_IN],
        outlet=number[COMPRESSOR_OUT],
        coils=_mask(place for name, place in parts.items() if name in bench.coils),
        lane_ends=_lane_ends(two_way, one_way, bench.parts()),
        steps=_steps(two_way, one_way, len(places)),
    )


def _pipe_ways(bench: Bench, number: Mapping[str, int], valves: tuple[str, ...]) -> Iterator[Way]:
    for pipe in bench.pipes:
        needs = 1 << valves.index(pipe.valve) if pipe.valve else 0
        elements = (pipe.valve, pipe.id) if pipe.valve else (pipe.id,)
        yield Way(number[pipe.start], number[pipe.end], needs, 0, elements, False, False)


def _part_ways(
    bench: Bench, inner: Iterable[Passage], number: Mapping[str, int], valves: int, *, both_ways: bool
) -> Iterator[Way]:
    """Each way through a part once; those of the reversing valve with the switch that they need."""
    seen: set[frozenset[str]] = set()
    heating = {(way.start, way.end) for way in passages(bench, HEATING)}
    for way in inner:
        ends = frozenset((way.start, way.end))
        if way.both_ways is not both_ways or ends in seen:
            continue
        seen.add(ends)
        switch = 1 << valves if bench.reversing_valve is not None and way.part == bench.reversing_valve.id else 0
        in_heating = (way.start, way.end) in heating
        yield Way(
            number[way.start],
            number[way.end],
            switch if in_heating else 0,
            0 if in_heating else switch,
            (way.part,),
            way.part in bench.metering,
            way.part in bench.coils,
        )


def _steps(two_way: Iterable[Way], one_way: Iterable[Way], places: int) -> tuple[tuple[Way, ...], ...]:
    steps: list[list[Way]] = [[] for _ in range(places)]
    for way in two_way:
        steps[way.start].append(way)
        steps[way.end].append(way._replace(start=way.end, end=way.start, elements=way.elements[::-1]))
    for way in one_way:
        steps[way.start].append(way)
    return tuple(tuple(ways) for ways in steps)


def _lane_ends(two_way: tuple[Way, ...], one_way: tuple[Way, ...], parts: Iterable[str]) -> int:
    """From each port of a metering device along plain pipe to the next fork or part."""
    at: dict[int, list[Way]] = {}
    for way in (*two_way, *one_way):
        at.setdefault(way.start, []).append(way)
        at.setdefault(way.end, []).append(way)
    devices = [way for way in two_way if way.is_metering]
    known = frozenset(parts)
    return _mask(_end_of_lane(at, known, way, place) for way in devices for place in (way.start, way.end))


def _end_of_lane(at: Mapping[int, list[Way]], parts: frozenset[str], device: Way, port: int) -> int:
    here, came = port, device
    while len(at[here]) == 2:
        onward = at[here][at[here][0] is came]
        if parts.intersection(onward.elements):
            break
        here, came = onward.end if onward.start == here else onward.start, onward
    return here


def _mask(places: Iterable[int]) -> int:
    mask = 0
    for place in places:
        mask |= 1 << place
    return mask


def bits_of(network: Network, valves: Mapping[str, float], reversing: str | None) -> int:
    """Valve positions and reversing valve as one integer; partly open counts as open, a valve not named is shut.

    Parameters
    ----------
    network : Network
    valves : opening of each valve, 0 shut ... 1 open
    reversing : "cooling", "heating" or None, which is cooling

    Returns
    -------
    int

    Raises
    ------
    UnknownName : no such valve; no such position of the reversing valve
    NotUsable, OutOfRange : an opening that is no number from 0 to 1
    """
    if reversing not in (None, COOLING, HEATING):
        raise UnknownName("position of the reversing valve", reversing, (COOLING, HEATING))
    bits = network.heating_bit if reversing == HEATING and network.bench.reversing_valve is not None else 0
    for valve, opening in valves.items():
        if valve not in network.valve_ids:
            raise UnknownName("valve", valve, network.valve_ids)
        if not isinstance(opening, (int, float)) or opening != opening:
            raise NotUsable(f"opening of valve {valve}", opening, "it is no number", hint="0 is shut, 1 is open.")
        if not 0.0 <= opening <= 1.0:
            raise OutOfRange(f"opening of valve {valve}", opening, "", low=0, high=1, hint="0 is shut, 1 is open.")
        if opening > 0.0:
            bits |= 1 << network.valve_ids.index(valve)
    return bits


def is_open(way: Way, bits: int) -> bool:
    """Whether the valves and the reversing valve let this way pass.

    Parameters
    ----------
    way : Way
    bits : int

    Returns
    -------
    bool
    """
    return way.needs & bits == way.needs and not way.forbids & bits


def flood(neighbours: list[int], seed: int) -> int:
    """Every place that can be reached from the seed.

    Parameters
    ----------
    neighbours : list of int, for each place the places next to it
    seed : int, places

    Returns
    -------
    int, places, the seed among them
    """
    seen = front = seed
    while front:
        lowest = front & -front
        fresh = neighbours[lowest.bit_length() - 1] & ~seen
        seen |= fresh
        front = front ^ lowest | fresh
    return seen


class Joined(NamedTuple):
    """What is joined to what, as sets of places."""

    sections: tuple[int, ...]
    # metering devices count as passages: they never shut so tight that liquid could not expand through them
    shut_in: tuple[int, ...]
    # of them those that neither reach the compressor nor can leak to it past a check valve
    high: int
    # open to the discharge without passing a metering device
    low: int
    # open to the suction likewise
    to_suction: int
    # open to the suction, metering devices and all


def joined(network: Network, bits: int) -> Joined:
    """What is joined to what at these switches.

    Parameters
    ----------
    network : Network
    bits : int

    Returns
    -------
    Joined
    """
    count = len(network.places)
    plain, whole = [0] * count, [0] * count
    for way in network.two_way:
        if is_open(way, bits):
            start, end = way.start, way.end
            whole[start] |= 1 << end
            whole[end] |= 1 << start
            if not way.is_metering:
                plain[start] |= 1 << end
                plain[end] |= 1 << start
    sections = _components(whole, count)
    forward, backward, back_through = plain[:], plain[:], whole[:]
    for way in network.one_way:
        forward[way.start] |= 1 << way.end
        backward[way.end] |= 1 << way.start
        back_through[way.end] |= 1 << way.start
    ports = 1 << network.inlet | 1 << network.outlet
    escapes = flood(back_through, ports)
    return Joined(
        sections,
        tuple(section for section in sections if not section & escapes),
        flood(forward, 1 << network.outlet),
        flood(backward, 1 << network.inlet),
        flood(back_through, 1 << network.inlet),
    )


def _components(neighbours: list[int], count: int) -> tuple[int, ...]:
    left, found = (1 << count) - 1, []
    while left:
        section = flood(neighbours, left & -left)
        found.append(section)
        left &= ~section
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Section:
    """Elements that are joined at given valve positions.

    Parameters
    ----------
    elements : tuple of str, ids of pipes and parts with a volume
    side : str, "high" (open to the discharge), "low" (to the suction), "through" (to both) or "shut in"
    closed_by : tuple of str, shut valves (and check-valve bridge) around it
    """

    elements: tuple[str, ...]
    side: str
    closed_by: tuple[str, ...]


def sections(bench: Bench, valves: Mapping[str, float], reversing: str | None = None) -> tuple[Section, ...]:
    """Which volumes are joined; every volume of the bench is in exactly one section.

    Parameters
    ----------
    bench : Bench
    valves : opening of each valve; partly open counts as open
    reversing : "cooling", "heating" or None

    Returns
    -------
    tuple of Section, those with a volume
    """
    network = network_of(bench)
    bits = bits_of(network, valves, reversing)
    return tuple(
        Section(elements, _side(network, places), network.closed_by(places, bits))
        for places in joined(network, bits).sections
        if (elements := network.elements_in(places))
    )


def _side(network: Network, places: int) -> str:
    at_inlet, at_outlet = places >> network.inlet & 1, places >> network.outlet & 1
    return {(1, 1): THROUGH, (0, 1): HIGH, (1, 0): LOW, (0, 0): SHUT_IN}[at_inlet, at_outlet]
