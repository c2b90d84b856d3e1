"""The circuit of a simple refrigerator with five sight glasses, drawn once and filled with what each glass shows.

The layout is our own. The symbols stand on the basic shapes of ISO 14617 and EN 1861 (from memory): compressor, a
circle with two lines that close in on the outlet; coil, a box with a zigzag; drier, a box with slanted lines; expansion
device, two triangles point to point; sight glass, two circles. No ids are used, so any number of pictures can stand in
one page.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from hvacr_lab.draw import style
from hvacr_lab.draw.svg import picture_start
from hvacr_lab.errors import NotUsable, UnknownName

_WIDTH_PX, _HEIGHT_PX = 700, 480
_TITLE_CHARACTERS = 56
_RING_PX, _WINDOW_PX = 24.0, 18.0  # the two circles of a glass
_NAME = "Circuit of a refrigerator with five sight glasses"


@dataclass(frozen=True, slots=True)
class _Glass:
    """A place where one can look into the pipe: its middle, and where its label stands."""

    place: str
    x: float
    y: float
    label_x: float
    label_y: float
    anchor: str


_GLASSES = (
    _Glass("hot gas line after the compressor", 130, 140, 96, 146, "end"),
    _Glass("condenser outlet", 570, 136, 604, 142, "start"),
    _Glass("liquid line before the expansion device", 570, 268, 604, 274, "start"),
    _Glass("after the expansion device", 504, 410, 504, 458, "middle"),
    _Glass("suction line at the compressor", 130, 336, 96, 342, "end"),
)
_HIGH_SIDE = ((130, 214), (130, 70), (570, 70), (570, 330))
_LOW_SIDE = ((570, 330), (570, 410), (130, 410), (130, 286))
_ARROWS = (
    (130, 92, "up"),
    (200, 70, "right"),
    (500, 70, "right"),
    (570, 94, "down"),
    (570, 382, "down"),
    (544, 410, "left"),
    (462, 410, "left"),
    (190, 410, "left"),
    (130, 384, "up"),
)
_TURN_DEGREES = {"right": 0, "down": 90, "left": 180, "up": 270}


def sight_glass_alt(states: Sequence[str]) -> str:
    """What the picture shows, in words, for a reader who cannot see it.

    Parameters
    ----------
    states : sequence of five str, each "vapour", "bubbles", "liquid" or "?", in the order of the flow

    Returns
    -------
    str, one paragraph

    Raises
    ------
    NotUsable : there are not five states
    UnknownName : a state has another name

    Examples
    --------
    >>> print(sight_glass_alt(["vapour", "liquid", "liquid", "bubbles", "?"]).split(". ")[5])
    Glass 5, suction line at the compressor: to be found.
    """
    _check(states)
    glasses = " ".join(
        f"Glass {number}, {glass.place}: {'to be found' if state == '?' else state}."
        for number, (glass, state) in enumerate(zip(_GLASSES, states, strict=True), start=1)
    )
    return (
        "The refrigerant flows from the compressor through the condenser, the drier, the expansion device and the "
        f"evaporator back to the compressor. {glasses}"
    )


def sight_glass_picture(states: Sequence[str], *, numbers: bool = True, title: str = "") -> str:
    """The circuit with what each of the five glasses shows, by pattern and by word.

    Parameters
    ----------
    states : sequence of five str, each "vapour", "bubbles", "liquid" or "?", in the order of the flow
    numbers : bool, whether the number of each glass is written beside it
    title : str, written above the picture and read out as its name

    Returns
    -------
    str, SVG text, 700 pixels wide

    Raises
    ------
    NotUsable : there are not five states
    UnknownName : a state has another name
    """
    _check(states)
    lines = textwrap.wrap(title, _TITLE_CHARACTERS)
    head_px = 26 * len(lines) + (10 if lines else 0)
    heading = (_text(20, 26 * n, "", lead=line, anchor="start") for n, line in enumerate(lines, 1))
    parts = [
        picture_start(_WIDTH_PX, _HEIGHT_PX + head_px, title or _NAME, sight_glass_alt(states)),
        f'<rect width="{_WIDTH_PX}" height="{_HEIGHT_PX + head_px}" fill="{style.PAPER}"/>',
        f'<g font-family="{style.FONT_FAMILY}" font-size="{style.TEXT_PX}" fill="{style.INK}">',
        *heading,
        f'<g transform="translate(0 {head_px})">',
        *_circuit(),
        *_key(),
    ]
    for number, (glass, state) in enumerate(zip(_GLASSES, states, strict=True), start=1):
        parts += [_glass(glass.x, glass.y, state), _label(glass, str(number) if numbers else "", state)]
    return "\n".join([*parts, "</g>", "</g>", "</svg>\n"])


def _check(states: Sequence[str]) -> None:
    if isinstance(states, str) or len(states) != len(_GLASSES):
        raise NotUsable("states", states, "there are five glasses, so five states are needed")
    for state in states:
        if state not in _WINDOWS:
            raise UnknownName("state of a glass", state, _WINDOWS)


def _circuit() -> Iterator[str]:
    """Pipes, arrows and components, in the order of the flow."""
    yield _pipe(_HIGH_SIDE, style.HIGH_SIDE, style.HIGH_SIDE_PX)
    yield _pipe(_LOW_SIDE, style.LOW_SIDE, style.LOW_SIDE_PX)
    yield from (_arrow(x, y, _TURN_DEGREES[way]) for x, y, way in _ARROWS)
    yield _outlined(
        f'<circle cx="130" cy="250" r="36" fill="{style.PAPER}"/><path d="M99 268L117 217M161 268L143 217"/>'
    )
    yield _text(178, 255, "Compressor", anchor="start")
    yield from _coil(350, 70, "Condenser: heat out", heat_from=38, heat_to=15, label_y=124)
    yield _outlined(
        f'<rect x="551" y="168" width="38" height="60" fill="{style.PAPER}"/><path d="M551 190L573 168M551 208L589 170'
        'M551 226L589 188M567 228L589 206"/>'
    )
    yield _text(538, 203, "Drier", anchor="end")
    yield _outlined(f'<path d="M550 314H590L550 350H590Z" fill="{style.PAPER}"/>')
    yield _text(538, 337, "Expansion device", anchor="end")
    yield from _coil(350, 410, "Evaporator: heat in", heat_from=474, heat_to=451, label_y=366)


def _key() -> Iterator[str]:
    """What the patterns and the lines mean, in the empty middle of the circuit."""
    for row, state in enumerate(("vapour", "bubbles", "liquid")):
        y = 160 + 40 * row
        yield f'<g transform="translate(310 {y}) scale(0.72)">{_glass(0, 0, state)}</g>'
        yield _text(338, y + 5, state, anchor="start")
    for y, words, colour, width in (
        (274, "high pressure", style.HIGH_SIDE, style.HIGH_SIDE_PX),
        (298, "low pressure", style.LOW_SIDE, style.LOW_SIDE_PX),
    ):
        yield _pipe(((292, y), (328, y)), colour, width)
        yield _text(338, y + 5, words, anchor="start")


def _glass(x: float, y: float, state: str) -> str:
    ring = f'<circle cx="{x:g}" cy="{y:g}" r="{_RING_PX:g}" fill="{style.PAPER}"/>'
    return _outlined(f'{ring}<g transform="translate({x:g} {y:g})">{_WINDOWS[state]()}</g>')


def _label(glass: _Glass, number: str, state: str) -> str:
    word = "" if state == "?" else state
    return _text(glass.label_x, glass.label_y, word, anchor=glass.anchor, lead=number)


def _vapour() -> str:
    """Nothing to be seen: an empty window."""
    return f'<circle r="{_WINDOW_PX:g}" fill="{style.PAPER}"/>'


def _bubbles() -> str:
    froth = ((-8, -7, 5), (5, -9, 4), (9, 3, 5), (-3, 3, 4.5), (-10, 7, 3), (3, 11, 4), (-1, -2, 2))
    rings = "".join(f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="{style.PAPER}"/>' for x, y, r in froth)
    return f'<circle r="{_WINDOW_PX:g}" fill="{style.FROTH_FILL}"/><g stroke-width="{style.THIN_PX}">{rings}</g>'


def _liquid() -> str:
    """A full window with level lines, each a chord that stops short of the rim."""
    levels = (-12, -6, 0, 6, 12)
    reach = {y: math.sqrt(_WINDOW_PX**2 - y**2) - 4 for y in levels}
    chords = "".join(f"M{-reach[y]:.1f} {y}H{reach[y]:.1f}" for y in levels)
    return f'<circle r="{_WINDOW_PX:g}" fill="{style.LIQUID_FILL}"/><path d="{chords}" stroke="{style.PAPER}"/>'


def _unknown() -> str:
    rim = f'<circle r="{_WINDOW_PX:g}" fill="{style.PAPER}" stroke-dasharray="4 3"/>'
    return f'{rim}<g stroke="none" fill="{style.INK}">{_text(0, 8, "", lead="?", lead_px=22)}</g>'


_WINDOWS: dict[str, Callable[[], str]] = {
    "vapour": _vapour,
    "bubbles": _bubbles,
    "liquid": _liquid,
    "?": _unknown,
}


def _coil(x: float, y: float, words: str, *, heat_from: float, heat_to: float, label_y: float) -> Iterator[str]:
    """A box with a zigzag from end to end, three arrows that show which way the heat goes, and the name."""
    zigzag = "".join(f"L{x - 75 + 15 * step:g} {y + (14 if step % 2 else -14):g}" for step in range(1, 10))
    box = f'<rect x="{x - 100:g}" y="{y - 28:g}" width="200" height="56" fill="{style.PAPER}"/>'
    yield _outlined(f'{box}<path fill="none" d="M{x - 100:g} {y:g}H{x - 75:g}{zigzag}L{x + 75:g} {y:g}H{x + 100:g}"/>')
    for shift in (-60, 0, 60):
        yield _outlined(f'<path d="M{x + shift:g} {heat_from:g}V{heat_to:g}"/>')
        yield _arrow(x + shift, heat_to, 270)
    yield _text(x, label_y, words)


def _pipe(corners: Sequence[tuple[float, float]], colour: str, width_px: float) -> str:
    points = " ".join(f"{x:g},{y:g}" for x, y in corners)
    return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="{width_px:g}"/>'


def _arrow(x: float, y: float, degrees: float) -> str:
    return f'<path d="M10 0L-7 -9V9Z" transform="translate({x:g} {y:g}) rotate({degrees:g})"/>'


def _outlined(shapes: str) -> str:
    return f'<g stroke="{style.INK}" stroke-width="{style.OUTLINE_PX:g}">{shapes}</g>'


def _text(
    x: float, y: float, words: str, *, anchor: str = "middle", lead: str = "", lead_px: float = style.TITLE_PX
) -> str:
    """Words at a place, after a lead in heavier type where there is one."""
    heavy = f'<tspan font-weight="bold" font-size="{lead_px:g}">{escape(lead)}</tspan>' if lead else ""
    gap = "\u2002" if lead and words else ""
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}">{heavy}{gap}{escape(words)}</text>'
