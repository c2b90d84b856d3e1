"""A second opinion on moves: names and sets, straight from the records of the bench, nothing of the planner's code."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from hvacr_lab.bench.description import Bench, passages
from hvacr_lab.bench.moves import Move

OUT, IN = "compressor.out", "compressor.in"
Edge = tuple[str, str, str]
# from, to, what is passed


def _edges(bench: Bench, valves: Mapping[str, float], mode: str | None) -> Iterator[Edge]:
    """Everything that can be passed, one tuple for each direction."""
    for pipe in bench.pipes:
        if pipe.valve is None or valves[pipe.valve] > 0.0:
            yield pipe.start, pipe.end, pipe.id
            yield pipe.end, pipe.start, pipe.id
    for way in passages(bench, mode):
        if way.part != "compressor":
            yield way.start, way.end, way.part
            if way.both_ways:
                yield way.end, way.start, way.part
    if bench.bridge is not None:
        name = bench.bridge.id
        for coil in "ab":
            yield f"{name}.{coil}", f"{name}.liquid", name
            yield f"{name}.return", f"{name}.{coil}", name


def _reach(edges: Iterable[Edge], start: str, without: Iterable[str] = ()) -> set[str]:
    avoided, steps = set(without), list(edges)
    found, waiting = {start}, [start]
    while waiting:
        here = waiting.pop()
        for a, b, what in steps:
            if a == here and b not in found and what not in avoided:
                found.add(b)
                waiting.append(b)
    return found


def _backwards(edges: Iterable[Edge]) -> list[Edge]:
    return [(b, a, what) for a, b, what in edges]


def _has_coil(bench: Bench, places: set[str]) -> bool:
    return any({f"{coil}.in", f"{coil}.out"} <= places for coil in bench.coils)


def _flow(edges: list[Edge], here: str, seen: frozenset[str], passed: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Every way to the compressor that meets no place twice."""
    if here == IN:
        yield passed
        return
    for a, b, what in edges:
        if a == here and b not in seen:
            yield from _flow(edges, b, seen | {b}, (*passed, what))


def _home(bench: Bench) -> dict[str, str]:
    """Element with a volume -> place."""
    homes = {part: f"{part}.in" for part in (*bench.coils, *bench.vessels)}
    return {**homes, "compressor": IN, **{pipe.id: pipe.end for pipe in bench.pipes}}


def running_fault(bench: Bench, valves: Mapping[str, float], mode: str | None) -> str:
    """Why the compressor must not run, or nothing."""
    edges = list(_edges(bench, valves, mode))
    high = _reach(edges, OUT, bench.metering)
    low = _reach(_backwards(edges), IN, bench.metering)
    if IN in high:
        return "joined"
    if not _has_coil(bench, high):
        return "dead-headed"
    if not _has_coil(bench, low):
        return "suction shut"
    for passed in _flow(edges, OUT, frozenset({OUT}), ()):
        last = max(index for index, what in enumerate(passed) if what in bench.metering)
        if not any(what in bench.coils for what in passed[last:]):
            return "liquid to the compressor"
    return ""


def goes_round(bench: Bench, valves: Mapping[str, float], mode: str | None) -> bool:
    """Whether refrigerant comes back through condenser, device and evaporator."""
    for passed in _flow(list(_edges(bench, valves, mode)), OUT, frozenset({OUT}), ()):
        devices = [index for index, what in enumerate(passed) if what in bench.metering]
        if not devices:
            return False  # the two sides are joined
        before, after = passed[: devices[0]], passed[devices[-1] :]
        if set(before) & set(bench.coils) and set(after) & set(bench.coils):
            return True
    return False


def liquid_traps(bench: Bench, valves: Mapping[str, float], mode: str | None, wet: set[str]) -> list[set[str]]:
    """Closed spaces with liquid in them, without relief or gas space: pipes alone, or four fifths of it liquid pipe."""
    edges = list(_edges(bench, valves, mode))
    homes, pipes = _home(bench), {pipe.id: pipe for pipe in bench.pipes}
    free = _reach(_backwards(edges), OUT) | _reach(_backwards(edges), IN)
    guarded = {name for name, part in {**bench.vessels, **pipes}.items() if part.has_relief}
    traps = []
    for place in set(homes.values()) - free:
        joined = _reach(edges, place)
        names = {name for name, home in homes.items() if home in joined}
        volumes = {n: (bench.coils.get(n) or bench.vessels.get(n) or pipes[n]).volume_m3 for n in names}
        liquid = sum(volumes[n] for n in names if n in pipes and pipes[n].contents == "liquid")
        small = all(n in pipes for n in names) and any(pipes[n].contents != "gas" for n in names)
        if names & wet and not names & guarded and (small or liquid > 0.8 * sum(volumes.values())):
            traps.append(names)
    return traps


def check(bench: Bench, valves: Mapping[str, float], mode: str | None, moves: Iterable[Move], *, running: bool) -> str:
    """Replay: the first danger, or nothing."""
    now, homes = dict(valves), _home(bench)
    wet = set(homes)
    traps = liquid_traps(bench, now, mode, wet)
    for count, move in enumerate(moves, start=1):
        before = dict(now)
        if move.what in ("open", "shut", "set"):
            now[str(move.valve)] = float(move.position or 0.0)
        elif move.what == "turn":
            if running:
                return f"{count}: turned while running"
            mode = str(move.position)
        elif move.what == "wait":
            if not running:
                return f"{count}: waits for a compressor that stands still"
            wet -= _boiled_away(bench, now, mode)
        running = {"start the compressor": True, "stop the compressor": False}.get(move.what, running)
        wet |= _flooded(bench, now, mode, wet, running)
        fault = running_fault(bench, now, mode) if running else ""
        if fault:
            return f"{count}: {fault} while running"
        if move.what == "start the compressor" and not goes_round(bench, now, mode):
            return f"{count}: started without a way round"
        joined = IN in _reach(_edges(bench, now, mode), OUT, bench.metering)
        if joined and IN not in _reach(_edges(bench, before, mode), OUT, bench.metering):
            return f"{count}: high and low joined"
        fresh = [names for names in liquid_traps(bench, now, mode, wet) if not any(names <= old for old in traps)]
        if fresh:
            return f"{count}: liquid shut in {sorted(fresh[0])}"
        traps = liquid_traps(bench, now, mode, wet)
    return ""


def _boiled_away(bench: Bench, valves: Mapping[str, float], mode: str | None) -> set[str]:
    """What a running compressor empties: open to the suction, not to the discharge, and off every way round."""
    edges = list(_edges(bench, valves, mode))
    suction = _reach(_backwards(edges), IN)
    fed = _reach(edges, OUT, bench.metering)
    on_the_way: set[str] = set()
    for passed in _flow(edges, OUT, frozenset({OUT}), ()):
        here = OUT
        on_the_way.add(here)
        for what in passed:
            here = next(b for a, b, name in edges if a == here and name == what)
            on_the_way.add(here)
    return {name for name, home in _home(bench).items() if home in suction - fed - on_the_way}


def _flooded(bench: Bench, valves: Mapping[str, float], mode: str | None, wet: set[str], running: bool) -> set[str]:
    """Empty pieces that something wet is open to; a running compressor keeps empty what it has emptied."""
    edges, homes = list(_edges(bench, valves, mode)), _home(bench)
    kept = _boiled_away(bench, valves, mode) if running else set()
    found: set[str] = set()
    for home in {homes[name] for name in wet}:
        reached = _reach(edges, home)
        found |= {name for name, place in homes.items() if place in reached}
    return found - kept
