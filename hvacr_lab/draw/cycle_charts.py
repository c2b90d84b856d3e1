"""The cycle of a bench on the pressure-enthalpy and the temperature-entropy chart.

Points carry numbers, and a key says what they are. Several cycles can stand on one chart, before and after a change:
the first one thin and dashed, the last one thick.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hvacr_lab.draw import style
from hvacr_lab.draw.drawing import Drawing, finished
from hvacr_lab.draw.property_charts import (
    UNIT_WORDS,
    Edge,
    beside,
    chart_pressures,
    dome_top,
    dot,
    draw_dome,
    edge_of,
)
from hvacr_lab.draw.svg import blank_axes, house_style
from hvacr_lab.errors import NotUsable
from hvacr_lab.refrigerants import Refrigerant, refrigerant

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTH_PX, _HEIGHT_PX = 760, 560
_STEPS = 24  # of each process on the temperature-entropy chart
_LOOKS: tuple[dict[str, Any], ...] = (
    {"color": style.INK, "linewidth": style.OUTLINE_PX, "dashes": (6.0, 3.0)},
    {"color": style.POINT, "linewidth": style.CURVE_PX + 0.6, "dashes": (1, 0)},
)


@dataclass(frozen=True, slots=True)
class Corner:
    """A point of a cycle: what stands in the key, absolute pressure [Pa], enthalpy [J/kg]."""

    label: str
    pressure_pa: float
    enthalpy_j_per_kg: float


@dataclass(frozen=True, slots=True)
class Loop:
    """A cycle: its name, and its corners in the order of flow."""

    label: str
    corners: Sequence[Corner]


def pressure_enthalpy_cycle(
    refrigerant_name: str, loops: Sequence[Loop], *, units: str = "SI", title: str = ""
) -> Drawing:
    """Cycles on the pressure-enthalpy chart.

    Parameters
    ----------
    refrigerant_name : str
    loops : sequence of one or two Loop; the numbers stand at the last one
    units : "SI" or "US"
    title : str; empty: the name of the refrigerant and of the chart

    Returns
    -------
    Drawing

    Raises
    ------
    NotUsable : no loop, or more than two
    UnknownName : refrigerant or units
    """
    edge, fluid = edge_of(units), refrigerant(refrigerant_name)
    _check(loops)
    title = title or f"{fluid.name}: cycle, pressure and enthalpy"
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _HEIGHT_PX + _key_px(loops), title)
        asked = [corner.pressure_pa for loop in loops for corner in loop.corners]
        draw_dome(axes, fluid, chart_pressures(fluid, fluid.limits.pressure_pa[1], asked), edge)
        _make_room(axes, [edge.enthalpy_of(c.enthalpy_j_per_kg) for loop in loops for c in loop.corners])
        for loop, look in _with_looks(loops):
            places = [(edge.enthalpy_of(c.enthalpy_j_per_kg), edge.pressure_of(c.pressure_pa)) for c in loop.corners]
            axes.plot(*zip(*places, places[0], strict=True), label=loop.label, **look)
        _number(axes, places)
        axes.set_xlabel(f"enthalpy, {edge.enthalpy}")
        axes.set_ylabel(f"pressure, {UNIT_WORDS[edge.pressure]}, logarithmic")
        _key(axes, loops)
        return finished(figure, title, _spoken(loops, edge))


def temperature_entropy_cycle(
    refrigerant_name: str, loops: Sequence[Loop], *, units: str = "SI", title: str = ""
) -> Drawing:
    """Cycles on the temperature-entropy chart; every process follows the states that it runs through.

    Parameters
    ----------
    refrigerant_name : str
    loops : sequence of one or two Loop; the numbers stand at the last one
    units : "SI" or "US"
    title : str; empty: the name of the refrigerant and of the chart

    Returns
    -------
    Drawing

    Raises
    ------
    NotUsable : no loop, or more than two
    UnknownName : refrigerant or units
    """
    edge, fluid = edge_of(units), refrigerant(refrigerant_name)
    _check(loops)
    title = title or f"{fluid.name}: cycle, temperature and entropy"
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _HEIGHT_PX + _key_px(loops), title)
        asked = [corner.pressure_pa for loop in loops for corner in loop.corners]
        _draw_entropy_dome(axes, fluid, chart_pressures(fluid, fluid.limits.pressure_pa[1], asked), edge)
        for loop, look in _with_looks(loops):
            entropies, temperatures = _path(fluid, loop, edge)
            axes.plot(entropies, temperatures, label=loop.label, **look)
        places = list(zip(entropies[::_STEPS], temperatures[::_STEPS], strict=True))[:-1]
        _make_room(axes, entropies)
        axes.set_ylim(top=max(axes.get_ylim()[1], max(temperatures) + 0.07 * np.ptp(axes.get_ylim())))
        _number(axes, places)
        axes.set_xlabel(f"entropy, {edge.entropy}")
        axes.set_ylabel(f"temperature, {UNIT_WORDS[edge.temperature]}")
        _key(axes, loops)
        return finished(figure, title, _spoken(loops, edge))


def _check(loops: Sequence[Loop]) -> None:
    if not 1 <= len(loops) <= len(_LOOKS) or any(len(loop.corners) < 3 for loop in loops):
        raise NotUsable("cycles", len(loops), "one or two with three corners or more can be drawn")


def _with_looks(loops: Sequence[Loop]) -> list[tuple[Loop, dict[str, Any]]]:
    """The last loop is the thick one."""
    return list(zip(loops, _LOOKS[-len(loops) :], strict=True))


def _make_room(axes: Axes, along: Sequence[float]) -> None:
    left, right = axes.get_xlim()
    room = 0.09 * (right - left)
    axes.set_xlim(min(left, min(along) - room), max(right, max(along) + room))


def _number(axes: Axes, places: Sequence[tuple[float, float]]) -> None:
    """Numbers beside the corners; corners that fall together share one label."""
    to_page = axes.transData.transform
    groups: list[tuple[tuple[float, float], list[int]]] = []
    for number, place in enumerate(places, start=1):
        dot(axes, *place, style.MARKERS[0])
        near = next((g for g in groups if np.hypot(*(to_page(g[0]) - to_page(place))) < 24), None)
        if near is None:
            groups.append((place, [number]))
        else:
            near[1].append(number)
    pages = np.array([to_page(place) for place, _ in groups])
    middle = (pages.min(axis=0) + pages.max(axis=0)) / 2
    for (place, numbers), page in zip(groups, pages, strict=True):
        away = (11 if page[0] >= middle[0] else -11, 12 if page[1] >= middle[1] else -12)
        beside(axes, ", ".join(map(str, numbers)), place, away)


def _path(fluid: Refrigerant, loop: Loop, edge: Edge) -> tuple[list[float], list[float]]:
    """States on the way from corner to corner: straight in enthalpy and in the logarithm of pressure."""
    entropies, temperatures = [], []
    for here, there in itertools.pairwise([*loop.corners, loop.corners[0]]):
        for share in np.linspace(0.0, 1.0, _STEPS, endpoint=False):
            pressure = here.pressure_pa ** (1 - share) * there.pressure_pa**share
            enthalpy = (1 - share) * here.enthalpy_j_per_kg + share * there.enthalpy_j_per_kg
            state = fluid.state(pressure_pa=float(pressure), enthalpy_j_per_kg=float(enthalpy))
            entropies.append(edge.entropy_of(state.entropy_j_per_kg_k))
            temperatures.append(edge.temperature_of(state.temperature_k))
    return [*entropies, entropies[0]], [*temperatures, temperatures[0]]


def _draw_entropy_dome(axes: Axes, fluid: Refrigerant, pressures_pa: Any, edge: Edge) -> None:
    lines = fluid.saturation(pressures_pa)
    bubble, dew = edge.entropy_of(lines.bubble_entropy_j_per_kg_k), edge.entropy_of(lines.dew_entropy_j_per_kg_k)
    left, right = edge.temperature_of(lines.bubble_temperature_k), edge.temperature_of(lines.dew_temperature_k)
    top_s, top_t = dome_top(bubble, dew, (left, right), edge.temperature_of(fluid.critical_temperature_k))
    around = np.concatenate([bubble, top_s, dew[::-1]]), np.concatenate([left, top_t, right[::-1]])
    axes.plot(*around, color=style.INK, linewidth=style.CURVE_PX)
    width, low, high = dew[0] - bubble[0], float(left[0]), float(max(top_t))
    for word, share, up in (("liquid", -0.1, 0.75), ("liquid and vapour", 0.5, 0.03), ("vapour", 1.12, 0.35)):
        axes.text(bubble[0] + share * width, low + up * (high - low), word, ha="center", color=style.QUIET)
    axes.set_xlim(bubble[0] - 0.22 * width, dew[0] + 0.3 * width)
    axes.set_ylim(low, high + 0.15 * (high - low))
    axes.locator_params(steps=[1, 2, 5, 10])
    axes.grid()


def _key_px(loops: Sequence[Loop]) -> float:
    return 22.0 * _key_lines(loops)


def _key_lines(loops: Sequence[Loop]) -> int:
    return (len(loops[-1].corners) + 1) // 2 + (1 if len(loops) > 1 else 0)


def _key(axes: Axes, loops: Sequence[Loop]) -> None:
    """What the numbers mean, in two columns below the chart; above it which line is which."""
    if len(loops) > 1:
        axes.legend(frameon=False, loc="lower left", bbox_to_anchor=(0.0, 0.99), ncols=len(loops))
    named = [f"{number} {corner.label}" for number, corner in enumerate(loops[-1].corners, start=1)]
    half = (len(named) + 1) // 2
    columns = ["\n".join(named[:half]), "\n".join(named[half:])]
    for share, words in zip((0.0, 0.5), columns, strict=True):
        axes.annotate(
            words,
            (share, 0.0),
            (0, -52),
            xycoords="axes fraction",
            textcoords="offset points",
            va="top",
            size=style.SMALL_PX,
            linespacing=1.45,
        )


def _spoken(loops: Sequence[Loop], edge: Edge) -> str:
    return " ".join(f"{loop.label}: {_corners_spoken(loop, edge)}." for loop in loops)


def _corners_spoken(loop: Loop, edge: Edge) -> str:
    return "; ".join(
        f"{corner.label} {edge.pressure_of(corner.pressure_pa):.2f} {UNIT_WORDS[edge.pressure]}, "
        f"{edge.enthalpy_of(corner.enthalpy_j_per_kg):.1f} {edge.enthalpy}"
        for corner in loop.corners
    )
