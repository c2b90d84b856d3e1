"""Symbols of a circuit, each drawn about its own middle.

Own drawings on the basic shapes of ISO 14617 and EN 1861 (from memory): compressor, a circle with two lines that close
in on the outlet; coil, a box with a zigzag; valve, two triangles point to point. What a colour would say, a shape and
a word say too: an open valve is hollow, a shut one filled, a partly open one half filled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

from hvacr_lab.draw import style

LINE_PX: Final = 17.0
# from one line of a label to the next


@dataclass(frozen=True, slots=True)
class Symbol:
    """A shape with its label below; ``reach`` is half its width where pipes meet it, ``depth`` half its height.

    Parameters
    ----------
    id : str, of what it stands for
    shapes : str, SVG about the middle
    label : lines of text, the last one bold if ``strong``
    reach, depth : float [px]
    width : float, with its label [px]
    strong : bool
    """

    id: str
    shapes: str
    label: tuple[str, ...]
    reach: float
    depth: float
    width: float
    strong: bool = False


def placed(symbol: Symbol, x: float, y: float) -> str:
    """A symbol with its label at a place in the picture.

    Parameters
    ----------
    symbol : Symbol
    x, y : float, its middle [px]

    Returns
    -------
    str, SVG
    """
    first = y + symbol.depth + LINE_PX
    last = len(symbol.label) - 1
    lines = [
        words(x, first + LINE_PX * row, line, strong=symbol.strong and row == last)
        for row, line in enumerate(symbol.label)
    ]
    return outlined(symbol.shapes, x, y) + "".join(lines)


def outlined(shapes: str, x: float, y: float) -> str:
    """Shapes moved to a place, in ink on paper.

    Parameters
    ----------
    shapes : str, SVG about the middle
    x, y : float [px]

    Returns
    -------
    str, SVG
    """
    look = f'fill="{style.PAPER}" stroke="{style.INK}" stroke-width="{style.OUTLINE_PX:g}"'
    return f'<g transform="translate({x:g} {y:g})" {look}>{shapes}</g>'


def words(x: float, y: float, line: str, *, anchor: str = "middle", strong: bool = False) -> str:
    """One line of text.

    Parameters
    ----------
    x, y : float, of its anchor on the base line [px]
    line : str
    anchor : str, "start", "middle" or "end"
    strong : bool

    Returns
    -------
    str, SVG
    """
    weight = ' font-weight="bold"' if strong else ""
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}"{weight}>{escape(line)}</text>'


def hand_valve(opening: float) -> str:
    """Two triangles under a T handle: hollow open, filled shut, half filled in between.

    Parameters
    ----------
    opening : float, 0 shut ... 1 open

    Returns
    -------
    str, SVG
    """
    left = style.PAPER if opening >= 1.0 else style.INK
    right = style.INK if opening <= 0.0 else style.PAPER
    return (
        f'<path d="M-16 -11L0 0L-16 11Z" fill="{left}"/><path d="M16 -11L0 0L16 11Z" fill="{right}"/>'
        '<path d="M0 0V-17M-9 -17H9" fill="none"/>'
    )


def opening_word(opening: float) -> str:
    """How far a valve is open, in a word.

    Parameters
    ----------
    opening : float, 0 shut ... 1 open

    Returns
    -------
    str

    Examples
    --------
    >>> opening_word(0.0), opening_word(0.4), opening_word(1.0)
    ('shut', '40 %', 'open')
    """
    if opening <= 0.0:
        return "shut"
    return "open" if opening >= 1.0 else f"{max(round(100 * opening), 1)} %"


def coil(gives_heat: bool | None) -> str:
    """A box with a zigzag; arrows away where it gives heat, towards it where it takes heat, none where neither.

    Parameters
    ----------
    gives_heat : bool or None

    Returns
    -------
    str, SVG
    """
    teeth = "".join(f"L{-42 + 12 * step} {12 if step % 2 else -12}" for step in range(1, 7))
    shapes = f'<rect x="-55" y="-24" width="110" height="48"/><path d="M-55 0H-42{teeth}L42 0H55" fill="none"/>'
    if gives_heat is None:
        return shapes
    start, tip = (-29, -48) if gives_heat else (-48, -29)
    head = 7 if gives_heat else -7
    for x in (-28, 0, 28):
        shapes += f'<path d="M{x} {start}V{tip}M{x - 5} {tip + head}L{x} {tip}L{x + 5} {tip + head}" fill="none"/>'
    return shapes


def reversing_valve(heating: bool) -> str:
    """A box with two arcs: which pairs of ports are joined. Discharge left, suction right, a on top, b below.

    Parameters
    ----------
    heating : bool

    Returns
    -------
    str, SVG
    """
    arcs = "M-28 0C-8 0 0 8 0 28M0 -28C0 -8 8 0 28 0" if heating else "M-28 0C-8 0 0 -8 0 -28M0 28C0 8 8 0 28 0"
    return f'<rect x="-28" y="-28" width="56" height="56"/><path d="{arcs}" fill="none" stroke-width="4"/>'


def check_valve_bridge(heating: bool) -> str:
    """A box with the two check valves that are open. a on top, b below, liquid upper right, return lower right.

    Parameters
    ----------
    heating : bool

    Returns
    -------
    str, SVG
    """
    if heating:
        ways = "M0 60V-26H34M34 26H9A9 9 0 0 0 -9 26H-18V-43H0V-60"
        checks = _check(0, 2, -90) + _check(-18, -12, -90)
    else:
        ways = "M0 -60V-26H34M34 26H0V60"
        checks = _check(15, -26, 0) + _check(15, 26, 180)
    return f'<rect x="-34" y="-60" width="68" height="120"/><path d="{ways}" fill="none" stroke-width="3"/>{checks}'


def _check(x: float, y: float, degrees: float) -> str:
    """A check valve, passed to the right before it is turned."""
    return (
        f'<g transform="translate({x:g} {y:g}) rotate({degrees:g})">'
        f'<path d="M-6 -7L6 0L-6 7Z" fill="{style.PAPER}"/><path d="M7 -7V7" fill="none"/></g>'
    )


COMPRESSOR: Final = '<circle r="32"/><path d="M-28 15L-11 -30M28 15L11 -30" fill="none"/>'
RECEIVER: Final = (
    '<rect x="-42" y="-18" width="84" height="36" rx="18"/>'
    '<path d="M-38 5H38M-26 11H26" fill="none" stroke-width="1.2"/>'
)
ACCUMULATOR: Final = (
    '<rect x="-24" y="-34" width="48" height="62" rx="22"/>'
    '<path d="M-24 0H-10V-14M24 0H10V-14M-22 14H22" fill="none" stroke-width="1.6"/>'
)
DRIER: Final = (
    '<rect x="-22" y="-15" width="44" height="30"/><path d="M-22 5L-8 -15M-16 15L4 -15M-2 15L18 -15M12 15L22 1"/>'
)
GLASS: Final = '<circle r="17"/><circle r="11"/>'
_BOW: Final = '<path d="M-16 -11L0 0L-16 11Z"/><path d="M16 -11L0 0L16 11Z"/>'
THERMOSTATIC: Final = _BOW + '<path d="M0 0V-14" fill="none"/><path d="M-12 -14A12 11 0 0 1 12 -14Z"/>'
CONSTANT_PRESSURE: Final = _BOW + '<path d="M0 0V-12M-11 -12H11M-7 -15L7 -19L-7 -23L7 -27" fill="none"/>'
CAPILLARY: Final = (
    '<g fill="none"><ellipse cx="-15" rx="7" ry="11"/><ellipse cx="-5" rx="7" ry="11"/>'
    '<ellipse cx="5" rx="7" ry="11"/><ellipse cx="15" rx="7" ry="11"/></g>'
)


def mark(number: int) -> str:
    """A number in a circle: a place where something is measured.

    Parameters
    ----------
    number : int

    Returns
    -------
    str, SVG
    """
    look = f'stroke="none" fill="{style.INK}" font-size="{style.SMALL_PX}"'
    return f'<circle r="10"/><text y="5" text-anchor="middle" {look}>{number}</text>'
