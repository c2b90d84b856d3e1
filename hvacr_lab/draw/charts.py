"""Charts of the class report: plain data in, SVG text out.

Every value that matters is written beside its bar, and no meaning rests on colour alone.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from hvacr_lab.draw import style
from hvacr_lab.draw.svg import blank_axes, house_style, svg_text
from hvacr_lab.errors import NotUsable, OutOfRange

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTH_PX = 720
_FRAME_PX = 100  # title, axis and its label
_LINE_PX = 19
_LABEL_CHARACTERS = 34


def bar_chart(
    rows: Sequence[tuple[str, float]], *, title: str, x_label: str, maximum: float | None = None, width_px: float = 720
) -> str:
    """Horizontal bars, the first row at the top, each value written at the end of its bar.

    Parameters
    ----------
    rows : sequence of (label, value), values zero or positive
    title : str
    x_label : str, what the values count or measure, with unit
    maximum : float or None, end of the value axis; None: the largest value
    width_px : float, width of the picture [px]

    Returns
    -------
    str, SVG text

    Raises
    ------
    NotUsable : a value is not a finite number
    OutOfRange : a value is negative or beyond the maximum
    """
    values = [_checked(label, value, maximum) for label, value in rows]
    labels = [_wrapped(label) for label, _ in rows]
    with house_style():
        figure, axes = blank_axes(width_px, _FRAME_PX + len(rows) * _row_px(labels, 15), title)
        axes.barh(range(len(rows)), values, height=0.62, color=style.DATA, edgecolor=style.INK)
        axes.set_yticks(range(len(rows)), labels)
        for place, value in enumerate(values):
            _write_at_end(axes, value, place, _short(value))
        _count_along(axes, maximum or max(values, default=1.0) or 1.0, len(rows), x_label)
        return svg_text(figure, title=title, description=_spoken((label, _short(value)) for label, value in rows))


def histogram(values: Sequence[float], *, title: str, x_label: str, bins: int = 10, maximum: float) -> str:
    """How many values fall into each of the equal steps from zero to the maximum.

    Parameters
    ----------
    values : sequence of float, each from 0 to maximum
    title : str
    x_label : str, what the values measure, with unit
    bins : int, number of steps; the last one holds the maximum itself
    maximum : float, end of the last step

    Returns
    -------
    str, SVG text

    Raises
    ------
    NotUsable : a value is not a finite number
    OutOfRange : a value is negative or beyond the maximum
    """
    width = maximum / bins
    counts = [0] * bins
    for value in values:
        counts[min(bins - 1, int(_checked("value", value, maximum) / width))] += 1
    edges = [step * width for step in range(bins + 1)]
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, 330, title)
        axes.bar(edges[:-1], counts, width=width, align="edge", color=style.DATA, edgecolor=style.PAPER, linewidth=2)
        for left, count in zip(edges, counts, strict=False):
            if count:
                above = (left + width / 2, count)
                axes.annotate(str(count), above, (0, 4), textcoords="offset points", ha="center", weight="bold")
        axes.set(xlim=(0, maximum), ylim=(0, 1.15 * max(counts) or 1), xlabel=x_label, ylabel="how many")
        axes.set_xticks(edges, [_short(edge) for edge in edges])
        axes.locator_params(axis="y", nbins=5, integer=True)
        spans = (f"{_short(low)} to {_short(low + width)}" for low in edges)
        spoken = _spoken(zip(spans, map(str, counts), strict=False))
        return svg_text(figure, title=title, description=spoken)


def before_after_chart(rows: Sequence[tuple[str, float, float]], *, title: str) -> str:
    """Share of right predictions before the change was seen and after it, two bars for each question.

    Parameters
    ----------
    rows : sequence of (label, share before, share after), shares from 0 to 1
    title : str

    Returns
    -------
    str, SVG text

    Raises
    ------
    NotUsable : a share is not a finite number
    OutOfRange : a share lies outside 0 ... 1
    """
    labels = [_wrapped(label) for label, _, _ in rows]
    before = [_checked(f"share before, {label}", share, 1.0) for label, share, _ in rows]
    after = [_checked(f"share after, {label}", share, 1.0) for label, _, share in rows]
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _FRAME_PX + len(rows) * _row_px(labels, 30), title)
        looks = (("before", before, -0.2, style.SECOND_DATA, style.HATCH_BEFORE), ("after", after, 0.2, style.DATA, ""))
        for word, shares, shift, colour, hatch in looks:
            places = [place + shift for place in range(len(rows))]
            axes.barh(places, shares, height=0.36, color=colour, edgecolor=style.INK, hatch=hatch)
            for place, share in zip(places, shares, strict=True):
                _write_at_end(axes, share, place, f"{word} {_percent(share)}")
        axes.set_yticks(range(len(rows)), labels)
        _count_along(axes, 1.0, len(rows), "share of students who were right", room=1.25)
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["0 %", "25 %", "50 %", "75 %", "100 %"])
        spoken = _spoken((label, f"before {_percent(first)}, after {_percent(then)}") for label, first, then in rows)
        return svg_text(figure, title=title, description=spoken)


def _checked(what: str, value: float, maximum: float | None) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise NotUsable(what, value, "it is not a finite number", hint="Leave the row out where there is no value.")
    if value < 0 or (maximum is not None and value > maximum * (1 + 1e-9)):
        raise OutOfRange(what, value, "", low=0, high=maximum)
    return float(value)


def _short(value: float) -> str:
    """Three digits at most: a bar cannot be read more finely."""
    return f"{value:.0f}" if float(value).is_integer() or abs(value) >= 100 else f"{value:.3g}"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _spoken(rows: Iterable[tuple[str, str]]) -> str:
    return ("; ".join(f"{label}: {value}" for label, value in rows) or "no values") + "."


def _wrapped(label: str) -> str:
    return "\n".join(textwrap.wrap(label, _LABEL_CHARACTERS)) or " "


def _row_px(labels: Sequence[str], least_px: float) -> float:
    lines = max((label.count("\n") + 1 for label in labels), default=1)
    return max(least_px, lines * _LINE_PX) + 17


def _write_at_end(axes: Axes, value: float, place: float, text: str) -> None:
    paper = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1}  # the grid stops at the number
    axes.annotate(
        text, (value, place), (6, 0), textcoords="offset points", va="center", size=style.SMALL_PX, bbox=paper
    )


def _count_along(axes: Axes, end: float, rows: int, x_label: str, room: float = 1.12) -> None:
    """Value axis to the right with room for the last value, rows downwards, faint lines to read along."""
    axes.set(xlim=(0, room * end), ylim=(max(rows, 1) - 0.5, -0.5), xlabel=x_label)
    axes.spines["bottom"].set_bounds(0, end)
    axes.locator_params(axis="x", nbins=6, integer=end >= 3)
    axes.set_xticks([tick for tick in axes.get_xticks() if tick <= end])
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="x")
    if rows == 0:
        axes.text(0.5 * end, 0, "no values", ha="center", va="center")
