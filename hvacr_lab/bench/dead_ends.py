"""What is open to the circuit but not passed, and what is open to one side when nothing can go round."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hvacr_lab.bench.description import COMPRESSOR
from hvacr_lab.bench.routes import Facts
from hvacr_lab.bench.sections import HIGH, LOW, Network, is_open


@dataclass(frozen=True, slots=True)
class DeadEnd:
    """Pipe or vessel that is open to the circuit at one end only: nothing flows there.

    Parameters
    ----------
    elements : tuple of str, ids of pipes and parts with a volume
    junction : str, port or junction where it hangs on the circuit
    side : str, "high" or "low"
    """

    elements: tuple[str, ...]
    junction: str
    side: str


def nearest_first(network: Network, facts: Facts, start: int, within: int) -> tuple[str, ...]:
    """Everything open to a place without a metering device between, in the order of distance.

    Parameters
    ----------
    network : Network
    facts : Facts
    start : int, the place
    within : int, places that count

    Returns
    -------
    tuple of str, ids of valves, pipes and parts
    """
    order, names = [start], dict[str, None]()
    ways = [way for way in (*network.two_way, *network.one_way) if not way.is_metering and is_open(way, facts.bits)]
    for here in order:
        for way in ways:
            if here not in (way.start, way.end) or not within >> way.start & within >> way.end & 1:
                continue
            other, elements = (way.end, way.elements) if here == way.start else (way.start, way.elements[::-1])
            names.update(dict.fromkeys(elements))
            if other not in order:
                order.append(other)
    return tuple(names)


def dead_ends(network: Network, facts: Facts) -> Iterator[DeadEnd]:
    """Connected groups of places off the routes, then pipes that hang on a route behind their own shut valve.

    Parameters
    ----------
    network : Network
    facts : Facts, of a line-up that is complete

    Yields
    ------
    DeadEnd
    """
    live = facts.joined.high | facts.joined.to_suction
    passed = {name for route in facts.routes for way in route for name in way.elements} | {COMPRESSOR}
    left = live & ~facts.on_route
    while left:
        group, names, junction = _group(network, facts, left & -left)
        left &= ~group
        passed.update(names)
        if names:
            yield DeadEnd(names, network.places[junction], _side(facts, group | 1 << junction))
    for name, place in network.place_of.items():
        if live >> place & 1 and name not in passed:
            yield DeadEnd((name,), network.places[place], _side(facts, 1 << place))


def _group(network: Network, facts: Facts, seed: int) -> tuple[int, tuple[str, ...], int]:
    """Places joined off the routes, the elements there and on the way there, and where it hangs."""
    group, junction, found = seed, seed.bit_length() - 1, dict[str, None]()
    ways = [way for way in (*network.two_way, *network.one_way) if is_open(way, facts.bits)]
    grown = True
    while grown:
        grown = False
        for way in ways:
            ends = 1 << way.start | 1 << way.end
            if ends & group and ends & group != ends:
                outside = ends & ~group
                found.update((name, None) for name in way.elements if name in network.place_of)
                if outside & facts.on_route:
                    junction = outside.bit_length() - 1
                else:
                    group, grown = group | outside, True
    return group, tuple(dict.fromkeys((*found, *network.elements_in(group)))), junction


def _side(facts: Facts, places: int) -> str:
    return HIGH if facts.joined.high & places else LOW
