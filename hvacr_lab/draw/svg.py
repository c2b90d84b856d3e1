"""From a matplotlib figure to a small SVG text: the same bytes every time, fonts as text, a title for screen readers.

matplotlib is imported inside the functions, and no setting of its outlives a call.
"""

from __future__ import annotations

import io
import re
import textwrap
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape, quoteattr

from hvacr_lab.draw import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_PX_PER_INCH = 72.0  # the SVG writer of matplotlib counts 72 to the inch; here each of them is one pixel
_TITLE_CHARACTER_PX = 11.8

_SETTINGS: dict[str, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "hvacr_lab",
    "font.family": [style.MEASURED_FAMILY],
    "font.size": style.TEXT_PX,
    "axes.edgecolor": style.INK,
    "axes.labelcolor": style.INK,
    "axes.labelsize": style.TEXT_PX,
    "axes.labelpad": 7,
    "axes.axisbelow": True,
    "grid.color": style.GRID,
    "text.parse_math": False,  # a dollar sign in a label is a dollar sign
    "text.color": style.INK,
    "xtick.color": style.INK,
    "ytick.color": style.INK,
    "xtick.labelsize": style.SMALL_PX,
    "ytick.labelsize": style.SMALL_PX,
    "hatch.linewidth": style.THIN_PX,
}


def picture_start(width_px: float, height_px: float, title: str, description: str) -> str:
    """Opening tag, title and description of an SVG picture that is one image to a screen reader.

    Parameters
    ----------
    width_px : float, width of the picture [px]
    height_px : float, height of the picture [px]
    title : str, its name in a few words
    description : str, what a reader who cannot see it has to know

    Returns
    -------
    str, SVG text up to the first shape
    """
    size = f'width="{width_px:g}" height="{height_px:g}" viewBox="0 0 {width_px:g} {height_px:g}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {size} role="img" '
        f"aria-label={quoteattr(f'{title}. {description}')}>\n"
        f"<title>{escape(title)}</title>\n<desc>{escape(description)}</desc>\n"
    )


def house_style() -> AbstractContextManager[None]:
    """The settings of matplotlib for one picture: its defaults and ours, whatever the reader's own may be.

    Returns
    -------
    context manager; the settings end with the ``with`` block
    """
    import matplotlib

    defaults: dict[Any, Any] = {
        name: value for name, value in matplotlib.rcParamsDefault.items() if "backend" not in name
    }
    return matplotlib.rc_context(defaults | _SETTINGS)


def blank_axes(width_px: float, height_px: float, title: str) -> tuple[Figure, Axes]:
    """An empty figure with one set of axes and its title; use it inside ``house_style()``.

    Parameters
    ----------
    width_px : float, width of the picture [px]
    height_px : float, height of the picture with a title of one line [px]
    title : str, shown above the axes

    Returns
    -------
    tuple of figure and axes
    """
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    lines = textwrap.wrap(title, int(width_px / _TITLE_CHARACTER_PX)) or [title]
    height_px += style.TITLE_PX * 1.3 * (len(lines) - 1)
    size = (width_px / _PX_PER_INCH, height_px / _PX_PER_INCH)
    figure = Figure(figsize=size, dpi=_PX_PER_INCH, layout="constrained", facecolor=style.PAPER)
    FigureCanvasSVG(figure)
    figure.suptitle("\n".join(lines), x=0.01, ha="left", fontsize=style.TITLE_PX, fontweight="bold")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def svg_text(figure: Figure, *, title: str, description: str) -> str:
    """The figure as SVG text.

    Parameters
    ----------
    figure : matplotlib figure made by ``blank_axes``
    title : str, its name in a few words
    description : str, what a reader who cannot see it has to know

    Returns
    -------
    str, SVG text with width and height in pixels, free of dates and of ids that nothing refers to
    """
    buffer = io.StringIO()
    figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    width_px, height_px = figure.get_size_inches() * _PX_PER_INCH
    # matplotlib opens with a style sheet for "*", which would reach out into the page around the picture
    drawing = buffer.getvalue().split("</defs>", 1)[1].rsplit("</svg>", 1)[0]
    lines = f'<g stroke-linejoin="round" stroke-linecap="butt">{_compact(_without_idle_ids(drawing))}</g>\n</svg>\n'
    return picture_start(width_px, height_px, title, description) + lines


def _without_idle_ids(svg: str) -> str:
    """Several pictures stand in one page: an id that nothing refers to would only clash with its twin."""
    used = set(re.findall(r"""(?:url\(#|href="#)([^)"]+)""", svg))
    return re.sub(r' id="([^"]+)"', lambda found: found.group(0) if found.group(1) in used else "", svg)


def _compact(svg: str) -> str:
    """A hundredth of a pixel is enough; the family of the reader's machine takes the place of the measured one."""
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r' transform="rotate\(-?0 [^"]*"', "", svg)
    svg = svg.replace(f"'{style.MEASURED_FAMILY}'", style.FONT_FAMILY)
    svg = re.sub(r"<[^>]+>", lambda tag: re.sub(r"(\.\d\d)\d+", r"\1", re.sub(r"\s+", " ", tag.group(0))), svg)
    return re.sub(r"\n\s+", "\n", svg)
