"""The piping of a bench as one loop: pieces in the order of flow, with banks of lanes where it forks and joins again.

Pieces in series melt into one, pieces side by side melt into a bank, until a single one is left between the outlet and
the inlet of the compressor. What cannot melt (a cross connection) is set aside and named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from hvacr_lab.bench.description import COMPRESSOR, COMPRESSOR_IN, COMPRESSOR_OUT, Bench, Pipe, passages


@dataclass(frozen=True, slots=True)
class Piece:
    """A pipe, or the way through a part, as it is passed from start to end."""

    id: str
    start: str
    end: str
    pipe: Pipe | None = None

    def turned(self) -> Piece:
        """The same piece, passed the other way."""
        return Piece(self.id, self.end, self.start, self.pipe)

    def is_open(self, opening: Callable[[str], float]) -> bool:
        """Whether refrigerant can pass, as its hand valve stands."""
        return self.pipe is None or self.pipe.valve is None or opening(self.pipe.valve) > 0.0


@dataclass(frozen=True, slots=True)
class Bank:
    """Lanes side by side between the same two junctions."""

    lanes: tuple[Chain, ...]

    def turned(self) -> Bank:
        """The same bank, passed the other way."""
        return Bank(tuple(turned(lane) for lane in self.lanes))

    def is_open(self, opening: Callable[[str], float]) -> bool:
        """Whether refrigerant can pass through one lane at least."""
        return any(chain_is_open(lane, opening) for lane in self.lanes)


Chain = tuple[Piece | Bank, ...]


@dataclass(frozen=True, slots=True)
class _Edge:
    start: str
    end: str
    chain: Chain

    def away_from(self, node: str) -> _Edge:
        return self if node == self.start else _Edge(self.end, self.start, turned(self.chain))


def turned(chain: Chain) -> Chain:
    """A chain passed from its end to its start.

    Parameters
    ----------
    chain : tuple of Piece and Bank

    Returns
    -------
    tuple of Piece and Bank
    """
    return tuple(step.turned() for step in reversed(chain))


def chain_is_open(chain: Chain, opening: Callable[[str], float]) -> bool:
    """Whether refrigerant can pass through the whole chain.

    Parameters
    ----------
    chain : tuple of Piece and Bank
    opening : function from the id of a hand valve to its opening

    Returns
    -------
    bool
    """
    return all(step.is_open(opening) for step in chain)


def flowing(chain: Chain, opening: Callable[[str], float]) -> set[str]:
    """Ids of the pieces that refrigerant passes through.

    Parameters
    ----------
    chain : tuple of Piece and Bank
    opening : function from the id of a hand valve to its opening

    Returns
    -------
    set of str, empty if the chain is shut
    """
    if not chain_is_open(chain, opening):
        return set()
    found = set()
    for step in chain:
        if isinstance(step, Piece):
            found.add(step.id)
        else:
            for lane in step.lanes:
                found |= flowing(lane, opening)
    return found


def pieces(chain: Chain) -> Iterator[Piece]:
    """Every piece of a chain, lane after lane.

    Parameters
    ----------
    chain : tuple of Piece and Bank

    Yields
    ------
    Piece
    """
    for step in chain:
        if isinstance(step, Piece):
            yield step
        else:
            for lane in step.lanes:
                yield from pieces(lane)


def walk(bench: Bench, reversing: str | None) -> tuple[Chain, tuple[str, ...]]:
    """The loop of a bench from the compressor's outlet to its inlet, as the reversing valve stands.

    Parameters
    ----------
    bench : Bench
    reversing : "cooling", "heating" or None

    Returns
    -------
    tuple of the chain and the ids of pipes that stand across it and are left out
    """
    whole = _melted(bench, reversing, ())
    if whole is not None:
        return _past_devices_cut(bench, whole)
    candidates = [pipe.id for pipe in sorted(bench.pipes, key=lambda pipe: pipe.valve is None)]
    left_out: list[str] = []
    while candidates:
        for name in candidates:
            loop = _melted(bench, reversing, (*left_out, name))
            if loop is not None:
                loop, past = _past_devices_cut(bench, loop)
                return loop, (*left_out, name, *past)
        left_out.append(candidates.pop(0))
    return (), tuple(pipe.id for pipe in bench.pipes)


def _past_devices_cut(bench: Bench, loop: Chain) -> tuple[Chain, tuple[str, ...]]:
    """Leave out lanes that run past all metering devices, as a hot-gas bypass does; name their pipes."""
    kept: list[Piece | Bank] = []
    left_out: list[str] = []
    for step in loop:
        metering = [lane for lane in step.lanes if _has_device(bench, lane)] if isinstance(step, Bank) else []
        if not isinstance(step, Bank) or len(metering) in (0, len(step.lanes)):
            kept.append(step)
            continue
        past = [lane for lane in step.lanes if lane not in metering]
        left_out += [piece.id for lane in past for piece in pieces(lane)]
        if len(metering) > 1:
            kept.append(Bank(tuple(metering)))
            continue
        inner, more = _past_devices_cut(bench, metering[0])
        kept += inner
        left_out += more
    return tuple(kept), tuple(left_out)


def _has_device(bench: Bench, chain: Chain) -> bool:
    return any(piece.id in bench.metering for piece in pieces(chain))


def _melted(bench: Bench, reversing: str | None, without: tuple[str, ...]) -> Chain | None:
    """The loop as one chain; None where something stands across."""
    edges = [_Edge(pipe.start, pipe.end, (Piece(pipe.id, pipe.start, pipe.end, pipe),)) for pipe in bench.pipes]
    edges = [edge for edge in edges if edge.chain[0].id not in without]  # type: ignore[union-attr]
    edges += [
        _Edge(way.start, way.end, (Piece(way.part, way.start, way.end),))
        for way in passages(bench, reversing)
        if way.part != COMPRESSOR
    ]
    count = -1
    while count != len(edges):
        count = len(edges)
        edges = _side_by_side(_in_series(edges))
    if len(edges) != 1 or {edges[0].start, edges[0].end} != {COMPRESSOR_OUT, COMPRESSOR_IN}:
        return None
    return edges[0].away_from(COMPRESSOR_OUT).chain


def _in_series(edges: list[_Edge]) -> list[_Edge]:
    """Join the two edges that meet alone at a node, and drop what leads nowhere."""
    while True:
        ends = Counter(end for edge in edges for end in (edge.start, edge.end))
        single = next((n for n, count in ends.items() if count <= 2 and n not in (COMPRESSOR_OUT, COMPRESSOR_IN)), None)
        if single is None:
            return edges
        touching = [edge for edge in edges if single in (edge.start, edge.end)]
        edges = [edge for edge in edges if edge not in touching]
        if len(touching) == 2:
            first, second = touching[0].away_from(single), touching[1].away_from(single)
            edges.append(_Edge(first.end, second.end, turned(first.chain) + second.chain))


def _side_by_side(edges: list[_Edge]) -> list[_Edge]:
    """Gather the edges between the same two nodes into a bank, in the order of the file."""
    groups: dict[frozenset[str], list[_Edge]] = {}
    for edge in edges:
        groups.setdefault(frozenset((edge.start, edge.end)), []).append(edge)
    merged = []
    for group in groups.values():
        start, end = group[0].start, group[0].end
        lanes = tuple(lane for edge in group for lane in _lanes(edge.away_from(start).chain))
        merged.append(group[0] if len(group) == 1 else _Edge(start, end, (Bank(lanes),)))
    return merged


def _lanes(chain: Chain) -> tuple[Chain, ...]:
    """The lanes of a chain that is nothing but a bank, so that three lanes make one bank, not two in each other."""
    only = chain[0]
    return only.lanes if len(chain) == 1 and isinstance(only, Bank) else (chain,)
