"""Psychrometric chart at the local barometer: what a coil does to the air.

Own drawing on the formulas of `moist_air`: the open library for such charts would bring a second set of formulas.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hvacr_lab.draw import style
from hvacr_lab.draw.drawing import Drawing, finished
from hvacr_lab.draw.property_charts import UNIT_WORDS, beside, dot, edge_of
from hvacr_lab.draw.svg import blank_axes, house_style
from hvacr_lab.errors import NotUsable
from hvacr_lab.moist_air import (
    DRY_BULB_LIMITS_K,
    humidity_ratio,
    saturation_humidity_ratio,
)
from hvacr_lab.units import checked_barometer_pa, from_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTH_PX, _HEIGHT_PX = 760, 560
_HUMIDITY_UNITS = {"SI": "g/kg", "US": "gr/lb"}
_HUMIDITY_WORDS = {"SI": "humidity ratio, g of water for each kg of dry air", "US": "humidity ratio, gr/lb dry air"}
_RELATIVE_HUMIDITIES = (0.2, 0.4, 0.6, 0.8)
_ROOM_AND_OUTDOORS_K = (278.15, 313.15)
_MARGIN_K, _LEAST_SPAN_K = 6.0, 30.0
_WET_BULB_STEP_K = 5.0
_ICE_POINT_K = 273.15


@dataclass(frozen=True, slots=True)
class AirPoint:
    """A state of air: what is written beside it, dry bulb [K], humidity ratio [kg/kg dry air]."""

    label: str
    dry_bulb_k: float
    humidity_ratio: float


def psychrometric_chart(
    processes: Sequence[Sequence[AirPoint]], *, barometer_pa: float, units: str = "SI", title: str = ""
) -> Drawing:
    """Humidity ratio over dry bulb, with lines of relative humidity and of wet bulb, and the way of the air.

    Parameters
    ----------
    processes : sequence of sequences of AirPoint; each is drawn with arrows from point to point
    barometer_pa : float [Pa absolute]
    units : "SI" or "US"
    title : str; empty: the name of the chart and the barometer

    Returns
    -------
    Drawing

    Raises
    ------
    NotUsable : a point that the chart cannot hold
    OutOfRange : barometer
    UnknownName : units
    """
    edge = edge_of(units)
    paper = _Paper(checked_barometer_pa(barometer_pa), edge.temperature_of, _HUMIDITY_UNITS[units])
    points = [point for process in processes for point in process]
    title = title or f"Air at a barometer of {_barometer_words(paper.barometer_pa, units)}"
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _HEIGHT_PX, title)
        temperatures = _temperatures(points)
        top = _top(points, temperatures, paper)
        _draw_net(axes, temperatures, paper, top)
        for process in processes:
            _draw_process(axes, process, paper)
        axes.set_xlabel(f"dry bulb, {UNIT_WORDS[edge.temperature]}")
        axes.set_ylabel(_HUMIDITY_WORDS[units])
        return finished(figure, title, _spoken(points, paper, UNIT_WORDS[edge.temperature]))


@dataclass(frozen=True, slots=True)
class _Paper:
    """Barometer and scales of one chart."""

    barometer_pa: float
    x: Any
    humidity_unit: str

    def y(self, ratio: Any) -> Any:
        return from_si(ratio, self.humidity_unit, "humidity ratio")


def _barometer_words(barometer_pa: float, units: str) -> str:
    inches = f"{from_si(barometer_pa, 'inHg', 'pressure'):.2f} inHg"
    return {"SI": f"{barometer_pa / 100:.0f} hPa", "US": inches}[units]


def _temperatures(points: Sequence[AirPoint]) -> Any:
    """From a little below the coldest point to a little above the warmest; without points a room and the outdoors."""
    for point in points:
        if not DRY_BULB_LIMITS_K[0] <= point.dry_bulb_k <= DRY_BULB_LIMITS_K[1]:
            raise NotUsable(point.label, point.dry_bulb_k, "the chart goes from -40 to 60 degrees Celsius")
    coldest, warmest = _ROOM_AND_OUTDOORS_K
    if points:
        coldest = min(point.dry_bulb_k for point in points) - _MARGIN_K
        warmest = max(coldest + _LEAST_SPAN_K, *(point.dry_bulb_k + _MARGIN_K for point in points))
    return np.linspace(max(coldest, DRY_BULB_LIMITS_K[0]), min(warmest, DRY_BULB_LIMITS_K[1]), 121)


def _top(points: Sequence[AirPoint], temperatures: Any, paper: _Paper) -> float:
    """Enough for every point, and for saturated air in the left two thirds of the chart."""
    saturated = float(saturation_humidity_ratio(float(temperatures[80]), paper.barometer_pa))
    return 1.15 * max([saturated, *(point.humidity_ratio for point in points)])


def _draw_net(axes: Axes, temperatures: Any, paper: _Paper, top: float) -> None:
    """Saturation line, lines of relative humidity with their number at the end, lines of wet bulb."""
    x = paper.x(temperatures)
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(0, paper.y(top))
    axes.yaxis.tick_right()
    axes.tick_params(axis="x", pad=7)
    axes.yaxis.set_label_position("right")
    axes.spines["right"].set_visible(True)
    axes.spines["left"].set_visible(False)
    axes.grid()
    full = saturation_humidity_ratio(temperatures, paper.barometer_pa)
    axes.plot(x, paper.y(full), color=style.INK, linewidth=style.CURVE_PX)
    _name_curve(axes, x, paper.y(full), "100 %", paper.y(top))
    for share in _RELATIVE_HUMIDITIES:
        ratio = humidity_ratio(temperatures, paper.barometer_pa, relative_humidity=np.full_like(temperatures, share))
        axes.plot(x, paper.y(ratio), color=style.QUIET, linewidth=style.THIN_PX)
        _name_curve(axes, x, paper.y(ratio), f"{share:.0%}".replace("%", " %"), paper.y(top))
    _draw_wet_bulbs(axes, temperatures, paper, top)
    words = "full lines: relative humidity\ndashed: equal wet bulb"
    axes.text(0.02, 0.97, words, transform=axes.transAxes, va="top", size=style.SMALL_PX, color=style.QUIET)


def _name_curve(axes: Axes, x: Any, y: Any, words: str, top: float) -> None:
    """The number of a curve near the place where it leaves the chart."""
    inside = np.flatnonzero(y < 0.96 * top)
    place = int(inside[-1])
    at_right = place == len(x) - 1
    shift = (-4, 8) if at_right else (-5, -3)
    axes.annotate(
        words,
        (x[place], y[place]),
        shift,
        textcoords="offset points",
        ha="right",
        va="center" if at_right else "top",
        size=style.SMALL_PX,
        color=style.QUIET,
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.5},
    )


def _draw_wet_bulbs(axes: Axes, temperatures: Any, paper: _Paper, top: float) -> None:
    """Lines of equal wet bulb, in whole steps above freezing."""
    first = max(temperatures[0], _ICE_POINT_K)
    steps = _ICE_POINT_K + np.arange(0.0, 60.0, _WET_BULB_STEP_K)
    for wet_bulb_k in (step for step in steps if first < step < temperatures[-1]):
        start = float(saturation_humidity_ratio(float(wet_bulb_k), paper.barometer_pa))
        if start > 1.6 * top:
            continue
        along, ratios = _wet_bulb_line(float(wet_bulb_k), float(temperatures[-1]), paper.barometer_pa)
        axes.plot(paper.x(along), paper.y(ratios), color=style.QUIET, linewidth=0.8, dashes=(4, 4))


def _wet_bulb_line(wet_bulb_k: float, warmest_k: float, barometer_pa: float) -> tuple[Any, Any]:
    """From saturation to dry air or to the edge of the chart; straight within the width of a line."""
    saturated = float(saturation_humidity_ratio(wet_bulb_k, barometer_pa))
    further_k = min(wet_bulb_k + 4.0, warmest_k)
    slope = (humidity_ratio(further_k, barometer_pa, wet_bulb_k=wet_bulb_k) - saturated) / (further_k - wet_bulb_k)
    end_k = min(warmest_k, wet_bulb_k - saturated / slope)
    return np.array([wet_bulb_k, end_k]), np.array([saturated, max(saturated + slope * (end_k - wet_bulb_k), 0.0)])


def _draw_process(axes: Axes, process: Sequence[AirPoint], paper: _Paper) -> None:
    places = [(paper.x(point.dry_bulb_k), paper.y(point.humidity_ratio)) for point in process]
    for here, there in itertools.pairwise(places):
        arrow = {"arrowstyle": "-|>", "color": style.POINT, "linewidth": style.CURVE_PX, "shrinkA": 5, "shrinkB": 5}
        axes.annotate("", there, here, arrowprops=arrow)
    middle = sum(place[0] for place in places) / len(places)
    for point, place in zip(process, places, strict=True):
        dot(axes, *place, style.MARKERS[0])
        beside(axes, point.label, place, (12, -9) if place[0] >= middle else (-12, 11))


def _spoken(points: Sequence[AirPoint], paper: _Paper, unit: str) -> str:
    said = (
        f"{point.label}: {paper.x(point.dry_bulb_k):.1f} {unit}, "
        f"{paper.y(point.humidity_ratio):.1f} {paper.humidity_unit}"
        for point in points
    )
    return ("; ".join(said) or "no points") + "."
