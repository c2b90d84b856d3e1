"""The circuit of any bench as a picture and as text, drawn from its piping and its valves alone.

Pressure shows as colour and width, the state of the refrigerant as a dash pattern, "no flow" as a thin grey line; the
key says each in a word. Numbers in circles are places where something is measured, listed below the picture.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from hvacr_lab.bench.description import COMPRESSOR_IN, COMPRESSOR_OUT, HEATING, Bench
from hvacr_lab.bench.parts import ThermostaticValve
from hvacr_lab.draw import circuit_symbols as symbols
from hvacr_lab.draw import style
from hvacr_lab.draw.circuit_layout import Layout, Link, Point, symbol_table
from hvacr_lab.draw.circuit_plan import lay_out
from hvacr_lab.draw.circuit_walk import Bank, Chain, Piece, flowing, pieces, walk
from hvacr_lab.draw.svg import picture_start
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName

_HEAD_PX, _ROW_PX = 44.0, 20.0
_KEY_PX = 186.0
_ARROW_ROOM_PX = 34.0
_MARK_PX = 14.0
# from a port to the middle of the mark beside it
_HOT_GAS, _LIQUID, _MIXED, _SUCTION_GAS = "hot gas", "liquid", "liquid and vapour", "suction gas"
_NO_FLOW = "no flow"


class _Look(NamedTuple):
    """How a pipe is drawn."""

    colour: str
    width_px: float
    dash: str


_LOOKS: Mapping[str, _Look] = {
    _HOT_GAS: _Look(style.HIGH_SIDE, 6.0, "14 5"),
    _LIQUID: _Look(style.HIGH_SIDE, 6.0, ""),
    _MIXED: _Look(style.LOW_SIDE, 3.6, "3.6 4"),
    _SUCTION_GAS: _Look(style.LOW_SIDE, 3.6, "14 5"),
    _NO_FLOW: _Look(style.QUIET, 1.4, ""),
}


def circuit_svg(bench: Bench, valves: Mapping[str, float], reversing: str | None = None) -> str:
    """The circuit of a bench as its valves stand.

    Parameters
    ----------
    bench : Bench
    valves : opening of hand valves, 0 shut ... 1 open; those that are not named are shut
    reversing : "cooling" or "heating"; None is taken as cooling

    Returns
    -------
    str, SVG text

    Raises
    ------
    UnknownName : the bench has no such valve
    OutOfRange : an opening outside 0 ... 1
    NotUsable : the piping is no loop that can be drawn
    """
    view = _view(bench, valves, reversing)
    layout = lay_out(bench, walk(bench, None)[0], view.look, heating=reversing == HEATING)
    marks = _marks(bench, view.loop)
    width = max(layout.width_px, 5 * _KEY_PX)
    below = layout.height_px + _HEAD_PX
    foot = list(_foot(bench, marks, view.left_out, below))
    height = below + _ROW_PX * (1.5 + len(foot))
    parts = [
        picture_start(width, height, f"Circuit of {bench.title}", circuit_text(bench, valves, reversing)),
        f'<rect width="{width:g}" height="{height:g}" fill="{style.PAPER}"/>',
        f'<g font-family="{style.FONT_FAMILY}" font-size="{style.TEXT_PX}" fill="{style.INK}" stroke-linejoin="round">',
        f'<g font-size="{style.TITLE_PX}">{symbols.words(16, 30, bench.title, anchor="start", strong=True)}</g>',
        f'<g transform="translate(0 {_HEAD_PX:g})">',
        *_pipes(layout, view),
        *(f'<circle cx="{x:g}" cy="{y:g}" r="5"/>' for x, y in sorted(layout.tees)),
        *_arrows(layout, view),
        *(symbols.placed(symbol, x, y) for symbol, x, y in layout.symbols if symbol.shapes),
        *(symbols.words(x, y, line, anchor=anchor, strong=bold) for (x, y), line, anchor, bold in layout.labels),
        *_mark_symbols(layout, marks),
        "</g>",
        *_key(below),
        *foot,
    ]
    return "\n".join([*parts, "</g>", "</svg>\n"])


def circuit_text(bench: Bench, valves: Mapping[str, float], reversing: str | None = None) -> str:
    """The circuit of a bench in words: the way of the refrigerant, then each valve, then what is measured where.

    Parameters
    ----------
    bench : Bench
    valves : opening of hand valves, 0 shut ... 1 open; those that are not named are shut
    reversing : "cooling" or "heating"; None is taken as cooling

    Returns
    -------
    str, lines of text

    Raises
    ------
    UnknownName : the bench has no such valve
    OutOfRange : an opening outside 0 ... 1
    NotUsable : the piping is no loop that can be drawn
    """
    view = _view(bench, valves, reversing)
    mode = f", reversing valve in {reversing or 'cooling'}" if bench.reversing_valve else ""
    names = max(len(name) for name in (*bench.valves, *bench.sight_glasses, "Valve"))
    lines = [
        f"{bench.title}, {bench.refrigerant}{mode}",
        "",
        *_way(bench, view),
        "",
        f"{'Valve':<{names}}  State  What it is",
    ]
    lines += [
        f"{name:<{names}}  {symbols.opening_word(view.opening(name)):<5}  {valve.label}"
        for name, valve in bench.valves.items()
    ]
    if bench.sight_glasses:
        lines += ["", f"{'Glass':<{names}}  Where"]
        lines += [f"{glass:<{names}}  {_between(bench, pipe)}" for glass, pipe in bench.sight_glasses.items()]
    return "\n".join(lines)


class _View(NamedTuple):
    """A bench as its valves stand: the loop as it is passed now, which pieces have flow, what state is in each."""

    loop: Chain
    left_out: tuple[str, ...]
    opening: Callable[[str], float]
    flows: set[str]
    state: dict[str, str]
    passed: dict[str, Piece]
    look: dict[str, symbols.Symbol]


def _view(bench: Bench, valves: Mapping[str, float], reversing: str | None) -> _View:
    for name, opening in valves.items():
        if name not in bench.valves:
            raise UnknownName(f"valve of {bench.title}", name, bench.valves)
        if not 0.0 <= opening <= 1.0:
            raise OutOfRange(f"opening of valve {name}", opening, "", low=0.0, high=1.0)
    if reversing not in (None, "cooling", "heating"):
        raise UnknownName("position of the reversing valve", reversing, ("cooling", "heating"))
    loop, left_out = walk(bench, reversing)
    if not any(piece.id in bench.metering for piece in pieces(loop)):
        raise NotUsable("piping", bench.title, "it does not make a loop that can be drawn", hint="Use the valve table.")

    def opening_of(name: str) -> float:
        return float(valves.get(name, 0.0))

    flows = flowing(loop, opening_of)
    state: dict[str, str] = {}
    _note_states(bench, loop, _HOT_GAS, state)
    gives_heat = {coil: state[coil] == _HOT_GAS for coil in bench.coils if coil in flows}
    passed = {piece.id: piece for piece in pieces(loop)}
    return _View(loop, left_out, opening_of, flows, state, passed, symbol_table(bench, opening_of, gives_heat))


def _note_states(bench: Bench, chain: Chain, state: str, found: dict[str, str]) -> str:
    """State of the refrigerant in each piece of a chain, as a good machine has it; returns the one at its end."""
    for step in chain:
        if isinstance(step, Bank):
            ends = [_note_states(bench, lane, state, found) for lane in step.lanes]
            state = max(ends, key=list(_LOOKS).index)
            continue
        found.setdefault(step.id, state)
        if step.id in bench.metering:
            state = _MIXED
        elif step.id in bench.coils:
            state = _LIQUID if state in (_HOT_GAS, _LIQUID) else _SUCTION_GAS
    return state


def _pipes(layout: Layout, view: _View) -> Iterator[str]:
    """Pipes without flow first, so that a header shared with a lane in use shows the flow."""
    for link in sorted(layout.links, key=lambda link: _passed(view, link) is not None):
        look, path = _LOOKS[_state(view, link)], _path(link, layout.jumps)
        dash = f' stroke-dasharray="{look.dash}"' if look.dash else ""
        line = f'fill="none" stroke="{look.colour}" stroke-width="{look.width_px:g}"{dash}'
        if dash:  # nothing of a grey lane shows between the dashes
            yield f'<path d="{path}" fill="none" stroke="{style.PAPER}" stroke-width="{look.width_px:g}"/>'
        yield f'<path d="{path}" {line}/>'


def _passed(view: _View, link: Link) -> str | None:
    """The pipe of a stretch that has flow, if any."""
    return next((pipe for pipe in link.pipes if pipe in view.flows), None)


def _state(view: _View, link: Link) -> str:
    pipe = _passed(view, link)
    return _NO_FLOW if pipe is None else view.state[pipe]


def _path(link: Link, jumps: list[Point]) -> str:
    """Corner to corner, with an arc over a pipe that is crossed."""
    (x, y), rest = link.points[0], link.points[1:]
    text = f"M{x:g} {y:g}"
    for end in rest:
        for jump_x, jump_y in jumps:
            if end[1] == y == jump_y and min(x, end[0]) < jump_x < max(x, end[0]):
                way = 1 if end[0] > x else -1
                text += f"L{jump_x - 10 * way:g} {y:g}A10 10 0 0 {1 if way > 0 else 0} {jump_x + 10 * way:g} {y:g}"
        x, y = end
        text += f"L{x:g} {y:g}"
    return text


def _arrows(layout: Layout, view: _View) -> Iterator[str]:
    """One arrow on every stretch with flow that has room for it."""
    for link in layout.links:
        pipe, found = _passed(view, link), _arrow_place(link, layout.jumps)
        if pipe is None or found is None:
            continue
        (x, y), degrees = found
        if view.passed[pipe].start != layout.starts[pipe]:
            degrees += 180.0
        colour = _LOOKS[_state(view, link)].colour
        yield (
            f'<path d="M9 0L-8 -9V9Z" transform="translate({x:g} {y:g}) rotate({degrees:g})" '
            f'fill="{colour}" stroke="{style.PAPER}" stroke-width="1.5"/>'
        )


def _arrow_place(link: Link, jumps: list[Point]) -> tuple[Point, float] | None:
    """Middle of the longest level stretch, else of the longest upright one, away from a jump."""
    stretches = []
    for (x, y), (to_x, to_y) in zip(link.points, link.points[1:], strict=False):
        length = abs(to_x - x) + abs(to_y - y)
        middle = (0.5 * (x + to_x), 0.5 * (y + to_y))
        turn = 0.0 if to_x > x else 180.0 if to_x < x else 90.0 if to_y > y else 270.0
        if length >= _ARROW_ROOM_PX and all(abs(middle[0] - jx) + abs(middle[1] - jy) > 24 for jx, jy in jumps):
            stretches.append((y == to_y, length, middle, turn))
    if not stretches:
        return None
    _, _, middle, turn = max(stretches)
    return middle, turn


def _marks(bench: Bench, loop: Chain) -> dict[str, int]:
    """Numbers of the places where something is measured, in the order of flow."""
    wanted = {port.at for port in bench.ports.values()}
    wanted |= {_bulb_node(bench, device) for device in bench.metering.values() if isinstance(device, ThermostaticValve)}
    order = [COMPRESSOR_OUT, *(node for piece in pieces(loop) for node in (piece.start, piece.end)), COMPRESSOR_IN]
    return {node: number for number, node in enumerate(dict.fromkeys(n for n in order if n in wanted), start=1)}


def _bulb_node(bench: Bench, device: ThermostaticValve) -> str:
    return next((pipe.start for pipe in bench.pipes if pipe.id == device.bulb), device.bulb)


def _mark_symbols(layout: Layout, marks: Mapping[str, int]) -> Iterator[str]:
    """A number in a circle on a junction, or beside a port on its pipe."""
    for node, number in marks.items():
        if node not in layout.ends:
            continue
        (x, y), (to_x, to_y) = layout.ends[node]
        if "." in node:
            length = abs(to_x - x) + abs(to_y - y) or 1.0
            x, y = x + _MARK_PX * (to_x - x) / length, y + _MARK_PX * (to_y - y) / length
        yield symbols.outlined(symbols.mark(number), x, y)


def _key(y: float) -> Iterator[str]:
    for column, (state, look) in enumerate(_LOOKS.items()):
        x = 16 + _KEY_PX * column
        dash = f' stroke-dasharray="{look.dash}"' if look.dash else ""
        yield f'<path d="M{x:g} {y:g}H{x + 34:g}" stroke="{look.colour}" stroke-width="{look.width_px:g}"{dash}/>'
        yield symbols.words(x + 42, y + 5, state, anchor="start")


def _foot(bench: Bench, marks: Mapping[str, int], left_out: tuple[str, ...], top: float) -> Iterator[str]:
    """What is measured at each number, and what could not be drawn."""
    lines = [f"{number}  {', '.join(_measured(bench, node))}" for node, number in marks.items()]
    lines += [f"Not drawn: pipe {name}, {_between(bench, name)}" for name in left_out]
    for row, line in enumerate(lines):
        yield symbols.words(16, top + _ROW_PX * (1.8 + row), line, anchor="start")


def _measured(bench: Bench, node: str) -> Iterator[str]:
    for name, port in bench.ports.items():
        if port.at == node:
            yield f"{name} {port.label}"
    for device in bench.metering.values():
        if isinstance(device, ThermostaticValve) and _bulb_node(bench, device) == node:
            yield f"bulb of {device.label}"


def _way(bench: Bench, view: _View) -> Iterator[str]:
    """The way of the refrigerant, part by part; a shut bank names its lanes."""
    if not view.flows:
        shut = [name for name in bench.valves if view.opening(name) <= 0.0]
        yield "No way round: " + ("shut are " + ", ".join(shut) if shut else "check the piping") + "."
        return
    passed = [bench.compressor.label, *_labels(bench, view, view.loop), bench.compressor.label]
    yield "Flow: " + " > ".join(passed) + "."


def _labels(bench: Bench, view: _View, chain: Chain) -> Iterator[str]:
    parts = bench.parts()
    for step in chain:
        if isinstance(step, Bank):
            lanes = [list(_labels(bench, view, lane)) for lane in step.lanes if flowing(lane, view.opening)]
            if len(lanes) == 1:
                yield from lanes[0]
            elif lanes:
                yield "(" + " | ".join(" > ".join(lane) or "pipe" for lane in lanes) + ")"
        elif step.pipe is None:
            yield parts[step.id].label
        elif step.pipe.valve:
            yield step.pipe.valve


def _between(bench: Bench, pipe: str) -> str:
    found = bench.pipe(pipe)
    return f"from {_place(bench, found.start)} to {_place(bench, found.end)}"


def _place(bench: Bench, node: str) -> str:
    part, _, port = node.partition(".")
    return f"{bench.parts()[part].label} ({port})" if port else f"junction {node}"
