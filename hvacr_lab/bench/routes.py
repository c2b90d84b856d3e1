"""Ways of the refrigerant from the compressor's outlet back to its inlet, and how they split into sides and lanes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile
from typing import Final

from hvacr_lab.bench.sections import Joined, Network, Way, is_open, joined

COMPLETE: Final = "complete"
SHORT_CIRCUIT: Final = "short circuit"
DISCHARGE_SHUT: Final = "no path: discharge shut"
SUCTION_SHUT: Final = "no path: suction shut"
LIQUID_LINE_SHUT: Final = "no path: liquid line shut"
METERING_SHUT: Final = "no path: metering shut"
CONDENSER_BYPASSED: Final = "condenser bypassed"
EVAPORATOR_BYPASSED: Final = "evaporator bypassed"
OUTCOMES: Final = (
    COMPLETE,
    METERING_SHUT,
    LIQUID_LINE_SHUT,
    SUCTION_SHUT,
    DISCHARGE_SHUT,
    SHORT_CIRCUIT,
    CONDENSER_BYPASSED,
    EVAPORATOR_BYPASSED,
)
PUMPS_DOWN: Final = (METERING_SHUT, LIQUID_LINE_SHUT)

Route = tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """What a line-up does, before anything is said about it."""

    bits: int
    outcome: str
    joined: Joined
    routes: tuple[Route, ...]
    # through at least one metering device

    @property
    def on_route(self) -> int:
        """Places that refrigerant passes while the compressor runs."""
        mask = 0
        for route in self.routes:
            for way in route:
                mask |= 1 << way.start | 1 << way.end
        return mask

    @property
    def liquid_reaches_compressor(self) -> bool:
        """A way without an evaporator from the liquid to the suction, or no metering device between the two sides."""
        return self.outcome == SHORT_CIRCUIT or any(not _evaporates(route) for route in self.routes)


def facts_of(network: Network, bits: int) -> Facts:
    """Ways and outcome at these switches.

    Parameters
    ----------
    network : Network
    bits : int, switches as of `sections.bits_of`

    Returns
    -------
    Facts
    """
    connected = joined(network, bits)
    routes = tuple(_routes(network, bits, connected))
    return Facts(bits, _outcome(network, connected, routes), connected, routes)


def _routes(network: Network, bits: int, connected: Joined) -> Iterator[Route]:
    """Every way that passes no place twice; branches from which the suction cannot be reached are not followed."""
    if not connected.to_suction >> network.outlet & 1:
        return
    stack: list[tuple[int, int, Route]] = [(network.outlet, 1 << network.outlet, ())]
    while stack:
        here, seen, route = stack.pop()
        if here == network.inlet:
            if any(way.is_metering for way in route):
                yield route
            continue
        for way in reversed(network.steps[here]):
            onward = 1 << way.end
            if onward & connected.to_suction and not onward & seen and is_open(way, bits):
                stack.append((way.end, seen | onward, (*route, way)))


def _outcome(network: Network, connected: Joined, routes: tuple[Route, ...]) -> str:
    if connected.high >> network.inlet & 1:
        return SHORT_CIRCUIT
    if not connected.high & network.coils:
        return DISCHARGE_SHUT
    if not connected.low & network.coils:
        return SUCTION_SHUT
    if not routes:
        return METERING_SHUT if connected.high & network.lane_ends else LIQUID_LINE_SHUT
    if any(_condenses(route) and _evaporates(route) for route in routes):
        return COMPLETE
    return EVAPORATOR_BYPASSED if any(_condenses(route) for route in routes) else CONDENSER_BYPASSED


def _condenses(route: Route) -> bool:
    return any(way.is_coil for way in takewhile(lambda way: not way.is_metering, route))


def _evaporates(route: Route) -> bool:
    return any(way.is_coil for way in takewhile(lambda way: not way.is_metering, reversed(route)))


@dataclass(frozen=True, slots=True)
class Split:
    """The flow in order: what all of it passes before metering, the parallel lanes, what all of it passes after."""

    high: tuple[str, ...]
    lanes: tuple[tuple[str, ...], ...]
    low: tuple[str, ...]
    others: tuple[tuple[str, ...], ...]
    # open ways beside: what each passes that the flow above does not


def split(network: Network, facts: Facts) -> Split:
    """High side, lanes and low side of a line-up that is complete.

    Where a vessel and the way round it are both open, the way through the vessel is taken and the other is listed
    under ``others``.

    Parameters
    ----------
    network : Network
    facts : Facts

    Returns
    -------
    Split
    """
    good = sorted((r for r in facts.routes if _condenses(r) and _evaporates(r)), key=lambda r: -_vessels(network, r))
    main = good[0]
    chosen: dict[tuple[str, ...], Route] = {}
    for route in sorted(good, key=lambda r: -(_shared(main, r) + _shared(main[::-1], r[::-1]))):
        chosen.setdefault(_devices(route), route)
    lanes = [chosen.pop(_devices(main)), *(chosen[devices] for devices in sorted(chosen))]
    first, last = _bank(network, lanes)
    passed = {name for route in lanes for way in route for name in way.elements}
    others = (tuple(name for way in route for name in way.elements if name not in passed) for route in facts.routes)
    return Split(
        _names(main[:first]),
        tuple(_names(route[first : len(route) - last]) for route in lanes),
        _names(main[len(main) - last :]),
        tuple(dict.fromkeys(other for other in others if other)),
    )


def _bank(network: Network, lanes: list[Route]) -> tuple[int, int]:
    """Number of steps before the bank, and after it."""
    main = lanes[0]
    if len(lanes) > 1:
        before = min(_shared(main, route) for route in lanes[1:])
        after = min(_shared(main[::-1], route[::-1]) for route in lanes[1:])
        return min(before, _to_device(main)), min(after, _to_device(main[::-1]))
    return _to_bank(network, main), _to_bank(network, main[::-1], backwards=True)


def _to_device(route: Route) -> int:
    return next(index for index, way in enumerate(route) if way.is_metering)


def _to_bank(network: Network, route: Route, *, backwards: bool = False) -> int:
    """Steps from the compressor to the last fork or part before the first device on the route."""
    index = _to_device(route)
    while index and not network.lane_ends >> (route[index].end if backwards else route[index].start) & 1:
        index -= 1
    return index


def _shared(one: Route, other: Route) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] is pair[1], zip(one, other, strict=False)))


def _devices(route: Route) -> tuple[str, ...]:
    return tuple(name for way in route if way.is_metering for name in way.elements)


def _vessels(network: Network, route: Route) -> int:
    return sum(way.elements[0] in network.bench.vessels for way in route)


def _names(route: Route) -> tuple[str, ...]:
    return tuple(name for way in route for name in way.elements)
