"""Where text and shapes of an SVG picture lie, measured without a browser.

Text is measured in the family that the pictures name first, which is also the widest of those they name.
"""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D

from hvacr_lab.draw import style

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Box:
    what: str
    left: float
    top: float
    right: float
    bottom: float
    size_px: float = 0.0

    def hits(self, other: Box, gap_x: float, gap_y: float) -> bool:
        beside = self.right + gap_x <= other.left or other.right + gap_x <= self.left
        above = self.bottom + gap_y <= other.top or other.bottom + gap_y <= self.top
        return not beside and not above

    def inside(self, width: float, height: float) -> bool:
        return self.left >= 0 and self.top >= 0 and self.right <= width and self.bottom <= height


def root(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def size(svg: str) -> tuple[float, float]:
    return float(root(svg).get("width", "0")), float(root(svg).get("height", "0"))


def words(svg: str) -> list[str]:
    """Every text of the picture, in the order of drawing."""
    return ["".join(text.itertext()) for text in root(svg).iter(f"{SVG}text")]


def text_boxes(svg: str) -> list[Box]:
    return [box for element, to_page in _walk(root(svg), Affine2D()) for box in _text_box(element, to_page)]


def shape_boxes(svg: str) -> list[Box]:
    """Circles, rectangles and paths, and each straight piece of a pipe."""
    return [box for element, to_page in _walk(root(svg), Affine2D()) for box in _shape_boxes(element, to_page)]


def _walk(element: ElementTree.Element, to_page: Affine2D) -> Iterator[tuple[ElementTree.Element, Affine2D]]:
    here = Affine2D(_matrix(element.get("transform", "")).get_matrix()) + to_page
    yield element, here
    for child in element:
        yield from _walk(child, here)


def _matrix(transform: str) -> Affine2D:
    """SVG applies the last step first."""
    steps = {
        "translate": lambda x, y=0.0: Affine2D().translate(x, y),
        "scale": lambda x, y=None: Affine2D().scale(x, x if y is None else y),
        "rotate": lambda angle, x=0.0, y=0.0: Affine2D().rotate_deg_around(x, y, angle),
    }
    matrix = Affine2D()
    for name, numbers in reversed(re.findall(r"(\w+)\(([^)]*)\)", transform)):
        matrix = matrix + steps[name](*map(float, re.split(r"[ ,]+", numbers.strip())))
    return matrix


def _own(element: ElementTree.Element, name: str, default: str) -> str:
    """An attribute, or the same thing inside ``style``."""
    found = re.search(rf"(?:^|;)\s*{name}:\s*([^;]+)", element.get("style", ""))
    return element.get(name) or (found.group(1) if found else default)


def _text_box(element: ElementTree.Element, to_page: Affine2D) -> Iterator[Box]:
    if element.tag != f"{SVG}text" or not "".join(element.itertext()).strip():
        return
    pieces = [(element, element.text or "")]
    for child in element:
        pieces += [(child, child.text or ""), (element, child.tail or "")]
    own_size = float(_own(element, "font-size", str(style.TEXT_PX)).removesuffix("px"))
    width, height, smallest = 0.0, 0.0, own_size
    for piece, text in pieces:
        size_px = float(_own(piece, "font-size", str(own_size)).removesuffix("px"))
        font = FontProperties(family=style.MEASURED_FAMILY, weight=_own(piece, "font-weight", "normal"))
        width += TextPath((0, 0), text.rstrip() + "|", size=size_px, prop=font).get_extents().x1 if text.strip() else 0
        height, smallest = max(height, size_px), min(smallest, size_px)
    x, y = float(element.get("x", "0")), float(element.get("y", "0"))
    left = x - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[_own(element, "text-anchor", "start")]
    corners = ((left, y - 0.75 * height), (left + width, y + 0.22 * height))
    scale = math.sqrt(abs(np.linalg.det(to_page.get_matrix()[:2, :2])))
    yield _box("".join(element.itertext()), corners, to_page, smallest * scale)


def _shape_boxes(element: ElementTree.Element, to_page: Affine2D) -> Iterator[Box]:
    number = {name: float(value) for name, value in element.items() if re.fullmatch(r"-?[\d.]+", value)}
    kind = element.tag.removeprefix(SVG)
    if kind == "circle":
        x, y, r = number.get("cx", 0.0), number.get("cy", 0.0), number["r"]
        corners = [((x - r, y - r), (x + r, y + r))]
    elif kind == "rect":
        x, y = number.get("x", 0.0), number.get("y", 0.0)
        corners = [((x, y), (x + number["width"], y + number["height"]))]
    elif kind == "path":
        corners = [_path_corners(element.get("d", ""))]
    elif kind == "polyline":
        ends = [tuple(map(float, pair.split(","))) for pair in element.get("points", "").split()]
        corners = list(itertools.pairwise(ends))
    else:
        return
    yield from (_box(kind, pair, to_page) for pair in corners)


def _box(what: str, corners: tuple[tuple[float, float], ...], to_page: Affine2D, size_px: float = 0.0) -> Box:
    (x0, y0), (x1, y1) = corners
    places = to_page.transform([(x0, y0), (x0, y1), (x1, y0), (x1, y1)])
    return Box(what, *map(float, (*places.min(axis=0), *places.max(axis=0))), size_px)


def _path_corners(d: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Box around a path of the commands M, L, H, V and Z."""
    x = y = 0.0
    xs, ys = [], []
    for command, numbers in re.findall(r"([MLHVZ])([^MLHVZ]*)", d):
        values = [float(n) for n in re.findall(r"-?[\d.]+", numbers)]
        if command == "H":
            x = values[-1]
        elif command == "V":
            y = values[-1]
        elif values:
            x, y = values[-2:]
        xs.append(x)
        ys.append(y)
    return (min(xs), min(ys)), (max(xs), max(ys))
