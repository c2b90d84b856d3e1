"""How the readings of a bench answer to one change: curves below each other over the same axis."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hvacr_lab.draw import style
from hvacr_lab.draw.drawing import Drawing, finished
from hvacr_lab.draw.svg import blank_axes, house_style
from hvacr_lab.errors import NotUsable

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTH_PX = 720
_HEAD_PX, _PANEL_PX = 100, 150
_LINE_DASHES: tuple[tuple[float, ...], ...] = ((), (7.0, 3.0), (2.0, 2.0), (9.0, 3.0, 2.0, 3.0))
_LINE_COLOURS = (style.BLUE, style.VERMILION, style.INK, style.GREEN)
_MOST_CURVES = len(_LINE_DASHES)


@dataclass(frozen=True, slots=True)
class Curve:
    """One reading along the sweep: a name, and a value for each place on the axis, None where there is none."""

    label: str
    values: Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Panel:
    """Curves that share a unit: what the axis says, and the curves."""

    y_label: str
    curves: Sequence[Curve]


def response_chart(
    x_label: str, places: Sequence[float], panels: Sequence[Panel], *, title: str, note: str = ""
) -> Drawing:
    """Curves over what was changed, one panel for each unit.

    Parameters
    ----------
    x_label : str, what was changed, with unit
    places : sequence of float, along the axis
    panels : sequence of Panel, from top to bottom; at most four curves in each
    title : str
    note : str, why a curve breaks off, written below the axis

    Returns
    -------
    Drawing

    Raises
    ------
    NotUsable : nothing to draw; too many curves for one panel; a curve of another length than the axis
    """
    _check(places, panels)
    with house_style():
        figure, whole = blank_axes(_WIDTH_PX, _HEAD_PX + _PANEL_PX * len(panels), title)
        whole.remove()
        rows = figure.subplots(len(panels), 1, sharex=True, squeeze=False)[:, 0]
        for axes, panel in zip(rows, panels, strict=True):
            _draw_panel(axes, places, panel)
        rows[-1].set_xlabel(f"{x_label}\n{note}" if note else x_label)
        rows[-1].set_xlim(min(places), max(places))
        figure.align_ylabels(rows)
        return finished(figure, title, _spoken(x_label, places, panels, note))


def _check(places: Sequence[float], panels: Sequence[Panel]) -> None:
    curves = [curve for panel in panels for curve in panel.curves]
    if not curves or len(places) < 2:
        raise NotUsable("response chart", len(places), "it needs a curve and two places at least")
    for panel in panels:
        if len(panel.curves) > _MOST_CURVES:
            raise NotUsable("panel", panel.y_label, f"more than {_MOST_CURVES} curves cannot be told apart")
    for curve in curves:
        if len(curve.values) != len(places):
            raise NotUsable("curve", curve.label, f"it has {len(curve.values)} values for {len(places)} places")


def _draw_panel(axes: Axes, places: Sequence[float], panel: Panel) -> None:
    looks = zip(_LINE_COLOURS, _LINE_DASHES, strict=True)
    for curve, (colour, dashes) in zip(panel.curves, looks, strict=False):
        values = [math.nan if value is None else value for value in curve.values]
        axes.plot(places, values, color=colour, linewidth=style.CURVE_PX, dashes=dashes or (1, 0), label=curve.label)
        _mark_lonely(axes, places, values, colour)
    axes.set_ylabel(panel.y_label)
    axes.spines[["top", "right"]].set_visible(False)
    axes.locator_params(axis="y", nbins=5)
    axes.margins(y=0.12)
    axes.grid()
    if len(panel.curves) > 1:
        axes.legend(
            frameon=False, ncols=len(panel.curves), loc="lower left", bbox_to_anchor=(0, 0.97), fontsize=style.SMALL_PX
        )


def _mark_lonely(axes: Axes, places: Sequence[float], values: Sequence[float], colour: str) -> None:
    """A value between two gaps would be invisible as a line."""
    padded = [math.nan, *values, math.nan]
    alone = [
        (place, here)
        for place, (before, here, after) in zip(places, zip(padded, padded[1:], padded[2:], strict=False), strict=True)
        if not math.isnan(here) and math.isnan(before) and math.isnan(after)
    ]
    if alone:
        axes.plot(*zip(*alone, strict=True), "o", color=colour, markersize=5)


def _spoken(x_label: str, places: Sequence[float], panels: Sequence[Panel], note: str) -> str:
    """First and last value of each curve, for those who cannot see it."""
    said = [_ends(curve, panel.y_label) for panel, curve in itertools.chain.from_iterable(_pairs(panels))]
    return f"{x_label} from {places[0]:g} to {places[-1]:g}. {'; '.join(said)}. {note}".rstrip()


def _pairs(panels: Sequence[Panel]) -> list[list[tuple[Panel, Curve]]]:
    return [[(panel, curve) for curve in panel.curves] for panel in panels]


def _ends(curve: Curve, y_label: str) -> str:
    known = [value for value in curve.values if value is not None]
    if not known:
        return f"{curve.label}: no values"
    return f"{curve.label}, {y_label}: from {known[0]:.4g} to {known[-1]:.4g}"
