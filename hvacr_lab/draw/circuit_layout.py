"""Where everything of a circuit lies: high side on top, metering lanes on the right, low side below, compressor left.

The role of a piece in the loop chooses its zone, the walk along the pipes its order. With a reversing valve the loop of
the two coils crosses the suction line once; no drawing can avoid that, so it is drawn once, with a jump.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.parts import Capillary, CheckValveBridge, ReversingValve, ThermostaticValve
from hvacr_lab.draw import circuit_symbols as symbols
from hvacr_lab.draw.circuit_symbols import Symbol
from hvacr_lab.draw.circuit_walk import Bank, Chain, Piece, pieces, turned

Point = tuple[float, float]
Pipes = tuple[str, ...]
_GAP_PX = 30.0
# least length of pipe between two symbols
LANE_PX = 112.0
# from one metering lane to the next
BYPASS_PX = 96.0
# from a vessel to the lane that goes round it
_LABEL_CHARACTERS = 13


@dataclass(frozen=True, slots=True)
class Link:
    """A stretch of pipe between two symbols or corners, in the order of the walk; lanes may share it."""

    pipes: tuple[str, ...]
    points: tuple[Point, ...]


@dataclass
class Layout:
    """The picture while it is put together: links, symbols with their places, junctions and ports."""

    links: list[Link] = field(default_factory=list)
    symbols: list[tuple[Symbol, float, float]] = field(default_factory=list)
    tees: set[Point] = field(default_factory=set)
    ends: dict[str, tuple[Point, Point]] = field(default_factory=dict)
    starts: dict[str, str] = field(default_factory=dict)
    jumps: list[Point] = field(default_factory=list)
    labels: list[tuple[Point, str, str, bool]] = field(default_factory=list)
    width_px: float = 0.0
    height_px: float = 0.0


@dataclass(frozen=True, slots=True)
class _Row:
    """What stands in a row: cells, the pipes that lead to each, and the pipes that lead on."""

    cells: tuple[Symbol | Bank, ...]
    leads: tuple[Pipes, ...]
    tail: Pipes


_JOINT = Symbol("", "", (), 0.0, 0.0, 0.0)


class Draughtsman:
    """Puts the loop of a bench into a layout; knows the look of each part."""

    def __init__(self, bench: Bench, look: Mapping[str, Symbol]) -> None:
        self.bench, self.look, self.layout = bench, look, Layout()

    def row(self, chain: Chain) -> _Row:
        """The cells of a chain and the pipes between them; a bank with none behind it lends those of its lanes."""
        cells: list[Symbol | Bank] = []
        leads: list[Pipes] = []
        pipes: Pipes = _first_pipes(chain)
        for before, step in zip((None, *chain), chain, strict=False):
            found: list[Symbol | Bank]
            if isinstance(step, Bank):
                found, after = [step], _first_pipes((step.turned(),))
            elif step.pipe is None:
                found, after = [self.look[step.id]], ()
            else:
                joint = isinstance(before, Piece) and before.pipe is not None
                cells += [_JOINT] if joint else []
                leads += [pipes] if joint else []
                found, after = [self.look[name] for name in _inside(self.bench, step)], (step.id,)
                pipes = after
            cells += found
            leads += [pipes] * len(found)
            pipes = after
        return _Row(tuple(cells), tuple(leads), pipes)

    def width(self, chain: Chain) -> float:
        """Least length of a row, gaps at both ends in it."""
        cells = self.row(chain).cells
        return sum(self._cell_width(cell) for cell in cells) + _GAP_PX * (len(cells) + 1)

    def _cell_width(self, cell: Symbol | Bank) -> float:
        return cell.width if isinstance(cell, Symbol) else max(self.width(lane) for lane in cell.lanes)

    def place(
        self,
        chain: Chain,
        entry: Sequence[Point],
        leave: Sequence[Point],
        lane_px: float = -BYPASS_PX,
        around: tuple[Pipes, Pipes] = ((), ()),
    ) -> None:
        """Put a row between the last point of the way in and the first point of the way out.

        ``around`` names the pipes that lead on where the chain itself begins or ends with a part.
        """
        row = self.row(chain)
        (x, y), x_end = entry[-1], leave[0][0]
        way = 1.0 if x_end >= x else -1.0
        gap = (abs(x_end - x) - sum(self._cell_width(cell) for cell in row.cells)) / (len(row.cells) + 1)
        last = tuple(entry)
        for cell, lead in zip(row.cells, row.leads, strict=True):
            start = x + way * gap
            x = start + way * self._cell_width(cell)
            if isinstance(cell, Symbol):
                middle = 0.5 * (start + x)
                self.link(lead or around[0], (*last, (middle - way * cell.reach, y)))
                self.layout.symbols.append((cell, middle, y))
                last = ((middle + way * cell.reach, y),)
            else:
                self.link(lead or around[0], (*last, (start, y)))
                self.bank(cell, (start, y), (x, y), lane_px)
                last = ((x, y),)
        self.link(row.tail or around[1], (*last, *leave))
        self._remember_ends(chain)

    def bank(
        self, bank: Bank, start: Point, end: Point, lane_px: float, around: tuple[Pipes, Pipes] = ((), ())
    ) -> None:
        """Lanes side by side, each a step of ``lane_px`` beyond the one before (negative: upwards)."""
        levels, y = [], start[1]
        for lane in self.order(bank, lane_px):
            self.place(lane, [start, (start[0], y)], [(end[0], y), end], lane_px, around)
            levels.append(y)
            y += lane_px * lanes_high(lane)
        self.layout.tees |= _tees(start, levels) | _tees(end, levels)

    def order(self, bank: Bank, lane_px: float) -> tuple[Chain, ...]:
        """Metering lanes as in the file; round a vessel, the vessel's own lane first."""
        if lane_px > 0:
            return bank.lanes
        return tuple(sorted(bank.lanes, key=lambda lane: -len(self.row(lane).cells)))

    def link(self, pipes: Pipes, points: Sequence[Point]) -> None:
        """A stretch of pipe; points that repeat the one before are dropped."""
        kept = [point for n, point in enumerate(points) if n == 0 or point != points[n - 1]]
        if pipes and len(kept) > 1:
            self.layout.links.append(Link(pipes, tuple(kept)))

    def _remember_ends(self, chain: Chain) -> None:
        """Where each port and junction lies, and which way its pipe leaves."""
        for step in chain:
            if not isinstance(step, Piece) or step.pipe is None:
                continue
            self.layout.starts[step.id] = step.start
            own = [link for link in self.layout.links if link.pipes == (step.id,)]
            if own:
                self.layout.ends.setdefault(step.start, (own[0].points[0], own[0].points[1]))
                self.layout.ends.setdefault(step.end, (own[-1].points[-1], own[-1].points[-2]))


def _first_pipes(chain: Chain) -> Pipes:
    """The pipe with which a chain begins; where it begins with a bank, the first pipe of each lane."""
    first = chain[0] if chain else None
    if isinstance(first, Bank):
        return tuple(pipe for lane in first.lanes for pipe in _first_pipes(lane))
    return (first.id,) if first is not None and first.pipe is not None else ()


def _inside(bench: Bench, step: Piece) -> list[str]:
    """Ids of what sits in a pipe, in the order in which it is passed; the valve sits at its start."""
    pipe = step.pipe
    if pipe is None:
        return []
    found = [pipe.valve] if pipe.valve else []
    found += [f"drier of {pipe.id}"] if pipe.has_drier else []
    found += [glass for glass, where in bench.sight_glasses.items() if where == pipe.id]
    return found if step.start == pipe.start else found[::-1]


def _tees(joint: Point, levels: Sequence[float]) -> set[Point]:
    """Where three pipes meet on the header of a bank, whose own line arrives at ``joint``."""
    x, line = joint
    inner = sorted({*levels, line})[1:-1]
    return {(x, y) for y in inner} | ({joint} if line in levels and len(levels) > 1 else set())


def lanes_high(chain: Chain) -> int:
    """How many rows a chain takes, banks within banks counted.

    Parameters
    ----------
    chain : tuple of Piece and Bank

    Returns
    -------
    int
    """
    banks = [sum(lanes_high(lane) for lane in step.lanes) for step in chain if isinstance(step, Bank)]
    return max(banks, default=1)


def symbol_table(bench: Bench, opening: Callable[[str], float], gives_heat: Mapping[str, bool]) -> dict[str, Symbol]:
    """The symbol of each part, valve, drier and glass of a bench, as it stands.

    Parameters
    ----------
    bench : Bench
    opening : function from the id of a hand valve to its opening
    gives_heat : coil -> whether it gives heat; absent where it does neither

    Returns
    -------
    dict from id to Symbol
    """
    look = {
        name: Symbol(
            name, symbols.hand_valve(opening(name)), (name, symbols.opening_word(opening(name))), 16, 11, _w(name), True
        )
        for name in bench.valves
    }
    look |= {name: Symbol(name, symbols.GLASS, (name,), 17, 17, _w(name)) for name in bench.sight_glasses}
    look |= {
        f"drier of {pipe.id}": Symbol(pipe.id, symbols.DRIER, ("Filter", "drier"), 22, 15, 50)
        for pipe in bench.pipes
        if pipe.has_drier
    }
    for coil in bench.coils.values():
        look[coil.id] = _labelled(coil.id, symbols.coil(gives_heat.get(coil.id)), coil.label, 55, 24)
    for vessel in bench.vessels.values():
        shapes, reach, depth = _VESSELS[vessel.kind]
        look[vessel.id] = _labelled(vessel.id, shapes, vessel.label, reach, depth)
    for device in bench.metering.values():
        reach = 22.0 if isinstance(device, Capillary) else 16.0
        look[device.id] = _labelled(
            device.id, _METERING.get(type(device), symbols.CONSTANT_PRESSURE), device.label, reach, 11
        )
    return look


_VESSELS = {"receiver": (symbols.RECEIVER, 42.0, 18.0), "accumulator": (symbols.ACCUMULATOR, 24.0, 28.0)}
_METERING = {Capillary: symbols.CAPILLARY, ThermostaticValve: symbols.THERMOSTATIC}


def _labelled(name: str, shapes: str, label: str, reach: float, depth: float) -> Symbol:
    lines = tuple(textwrap.wrap(label, _LABEL_CHARACTERS))
    return Symbol(name, shapes, lines, reach, depth, max(2 * reach, *(_text_px(line) for line in lines)))


def _w(name: str) -> float:
    return max(44.0, _text_px(name))


def _text_px(line: str) -> float:
    """Width of a label, on the wide side."""
    return 9.2 * len(line)


@dataclass(frozen=True, slots=True)
class Zones:
    """The loop, cut where the drawing turns.

    Parameters
    ----------
    discharge : to the reversing valve; empty without one
    first_coil : from there to the check-valve bridge; empty without one
    liquid : from the bridge, the reversing valve or the compressor to the metering devices
    metering : the lanes of the metering devices
    around : pipes before and behind a metering device that stands alone
    feed : from there to the bridge; empty without one
    second_coil : from the bridge or the metering devices to the reversing valve or the compressor
    suction : from the reversing valve to the compressor; empty without one
    """

    discharge: Chain
    first_coil: Chain
    liquid: Chain
    metering: Bank
    around: tuple[Pipes, Pipes]
    feed: Chain
    second_coil: Chain
    suction: Chain


def zones(bench: Bench, loop: Chain) -> Zones:
    """Cut the loop of a bench, walked in cooling, into the zones of the drawing.

    Parameters
    ----------
    bench : Bench
    loop : tuple of Piece and Bank, from the compressor's outlet to its inlet

    Returns
    -------
    Zones
    """
    at = next(n for n, step in enumerate(loop) if any(piece.id in bench.metering for piece in pieces((step,))))
    step = loop[at]
    bank = step if isinstance(step, Bank) else Bank(((step,),))
    around = (_first_pipes(turned(loop[:at])), _first_pipes(loop[at + 1 :]))
    discharge, high = _cut(loop[:at], bench.reversing_valve, first=True)
    first_coil, liquid = _cut(high, bench.bridge, first=True)
    low, suction = _cut(loop[at + 1 :], bench.reversing_valve, first=False)
    feed, second_coil = _cut(low, bench.bridge, first=True)
    return Zones(discharge, first_coil, liquid, bank, around, feed, second_coil, suction)


def _cut(chain: Chain, part: ReversingValve | CheckValveBridge | None, *, first: bool) -> tuple[Chain, Chain]:
    """The chain before and behind a part; where there is no such part, everything on one side."""
    place = next((n for n, step in enumerate(chain) if part and isinstance(step, Piece) and step.id == part.id), None)
    if place is None:
        return ((), chain) if first else (chain, ())
    return chain[:place], chain[place + 1 :]
