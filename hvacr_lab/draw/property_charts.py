"""Charts of a refrigerant: pressure over temperature, and pressure over enthalpy; values in SI in, SVG text out.

Each line and each region carries its name, so that nothing rests on colour.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hvacr_lab.draw import style
from hvacr_lab.draw.svg import blank_axes, house_style, svg_text
from hvacr_lab.errors import UnknownName
from hvacr_lab.refrigerants import Refrigerant, refrigerant
from hvacr_lab.units import from_si

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@dataclass(frozen=True, slots=True)
class Edge:
    """The units of one chart, as the units room names them."""

    temperature: str
    pressure: str
    enthalpy: str
    entropy: str

    def temperature_of(self, temperature_k: Any) -> Any:
        """Temperature in the unit of the chart."""
        return from_si(temperature_k, self.temperature, "temperature")

    def pressure_of(self, pressure_pa: Any) -> Any:
        """Pressure in the unit of the chart."""
        return from_si(pressure_pa, self.pressure, "pressure")

    def enthalpy_of(self, enthalpy_j_per_kg: Any) -> Any:
        """Enthalpy in the unit of the chart."""
        return from_si(enthalpy_j_per_kg, self.enthalpy, "specific enthalpy")

    def entropy_of(self, entropy_j_per_kg_k: Any) -> Any:
        """Entropy in the unit of the chart."""
        return from_si(entropy_j_per_kg_k, self.entropy, "specific entropy")


_EDGES = {"SI": Edge("C", "bar", "kJ/kg", "kJ/(kg K)"), "US": Edge("F", "psi", "Btu/lb", "Btu/(lb F)")}
UNIT_WORDS = {"C": "°C", "F": "°F", "bar": "bar(a)", "psi": "psia"}
_WIDTH_PX, _HEIGHT_PX = 720, 500
_COLDEST_K, _WARMEST_K = 233.15, 338.15  # -40 to 65 degC: what the machines of the course can reach
_CURVE_POINTS = 81
_ONE_LINE_K = 0.1  # a glide below this cannot be seen


def saturation_chart(
    refrigerant_name: str, marks: Sequence[tuple[str, float, float]] = (), *, units: str = "SI"
) -> str:
    """Pressure over temperature: the line on which the refrigerant boils and condenses; two lines for a blend.

    Parameters
    ----------
    refrigerant_name : str
    marks : sequence of (label, absolute pressure [Pa], temperature [K]); a thin line leads from each to the saturation
        line at its pressure: its length is the superheat or the subcooling
    units : "SI" or "US"

    Returns
    -------
    str, SVG text

    Raises
    ------
    UnknownName : refrigerant or units
    """
    edge, fluid = edge_of(units), refrigerant(refrigerant_name)
    title = f"{fluid.name}: pressure and temperature"
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _HEIGHT_PX, title)
        warmest_pa = fluid.bubble_pressure(min(_WARMEST_K, fluid.limits.bubble_temperature_k[1]))
        _draw_saturation(axes, fluid, chart_pressures(fluid, warmest_pa, [mark[1] for mark in marks]), edge)
        for marker, mark in zip(itertools.cycle(style.MARKERS), marks, strict=False):
            _draw_mark(axes, fluid, mark, edge, marker)
        axes.set_xlabel(f"temperature, {UNIT_WORDS[edge.temperature]}")
        axes.set_ylabel(f"pressure, {UNIT_WORDS[edge.pressure]}")
        spoken = [(label, edge.pressure_of(p_pa), edge.temperature_of(t_k)) for label, p_pa, t_k in marks]
        return svg_text(figure, title=title, description=_spoken(spoken, edge, UNIT_WORDS[edge.temperature]))


def pressure_enthalpy_chart(
    refrigerant_name: str,
    points: Sequence[tuple[str, float, float]] = (),
    *,
    joined: bool = True,
    units: str = "SI",
    title: str = "",
) -> str:
    """Pressure on a logarithmic scale over enthalpy: the dome, and the points of a cycle.

    Parameters
    ----------
    refrigerant_name : str
    points : sequence of (label, absolute pressure [Pa], enthalpy [J/kg]), in the order of the flow
    joined : bool, whether a line runs from each point to the next and from the last to the first
    units : "SI" or "US"
    title : str; empty: the name of the refrigerant and of the chart

    Returns
    -------
    str, SVG text

    Raises
    ------
    UnknownName : refrigerant or units
    """
    edge, fluid = edge_of(units), refrigerant(refrigerant_name)
    title = title or f"{fluid.name}: pressure and enthalpy"
    shown = [(label, edge.pressure_of(p_pa), edge.enthalpy_of(h)) for label, p_pa, h in points]
    with house_style():
        figure, axes = blank_axes(_WIDTH_PX, _HEIGHT_PX, title)
        draw_dome(
            axes, fluid, chart_pressures(fluid, fluid.limits.pressure_pa[1], [point[1] for point in points]), edge
        )
        _draw_points(axes, shown, joined)
        axes.set_xlabel(f"enthalpy, {edge.enthalpy}")
        axes.set_ylabel(f"pressure, {UNIT_WORDS[edge.pressure]}, logarithmic")
        return svg_text(figure, title=title, description=_spoken(shown, edge, edge.enthalpy))


def edge_of(units: str) -> Edge:
    """The units of a chart.

    Parameters
    ----------
    units : "SI" or "US"

    Returns
    -------
    Edge

    Raises
    ------
    UnknownName : other units
    """
    if units not in _EDGES:
        raise UnknownName("system of units", units, _EDGES, hint='Write "SI" or "US".')
    return _EDGES[units]


def chart_pressures(fluid: Refrigerant, highest_pa: float, asked_pa: Sequence[float]) -> Any:
    """From a cold evaporator to the given end, and further where a point asks for it.

    Parameters
    ----------
    fluid : Refrigerant
    highest_pa : float [Pa absolute]
    asked_pa : sequence of float [Pa absolute], pressures that have to be on the chart

    Returns
    -------
    array [Pa absolute], in even steps of the logarithm
    """
    low_pa, high_pa = fluid.limits.pressure_pa
    coldest_pa = fluid.dew_pressure(max(_COLDEST_K, fluid.limits.dew_temperature_k[0]))
    first_pa = max(low_pa, min([coldest_pa, *(0.7 * p for p in asked_pa)]))
    last_pa = min(high_pa, max([highest_pa, *(1.2 * p for p in asked_pa)]))
    return np.geomspace(first_pa, last_pa, _CURVE_POINTS)


def _draw_saturation(axes: Axes, fluid: Refrigerant, pressures_pa: Any, edge: Edge) -> None:
    """One line for a single fluid, bubble and dew line for a blend, and what lies on either side."""
    lines = fluid.saturation(pressures_pa)
    bubble, dew = edge.temperature_of(lines.bubble_temperature_k), edge.temperature_of(lines.dew_temperature_k)
    pressures = edge.pressure_of(pressures_pa)
    glides = float(np.max(lines.dew_temperature_k - lines.bubble_temperature_k)) > _ONE_LINE_K
    axes.plot(bubble, pressures, color=style.INK, linewidth=style.CURVE_PX)
    _lead(axes, "bubble line" if glides else "boils and condenses", (bubble[-8], pressures[-8]), (-50, 8), "right")
    if glides:
        axes.plot(dew, pressures, color=style.INK, linewidth=style.CURVE_PX, dashes=style.DASHES["dew"])
        _lead(axes, "dew line", (dew[-16], pressures[-16]), (30, -40), "left")
    axes.text(0.25, 0.55, "liquid", transform=axes.transAxes, ha="center", color=style.QUIET)
    axes.text(0.8, 0.15, "vapour", transform=axes.transAxes, ha="center", color=style.QUIET)
    axes.locator_params(steps=[1, 2, 5, 10])
    axes.set_ylim(bottom=0)
    axes.grid()


def _draw_mark(axes: Axes, fluid: Refrigerant, mark: tuple[str, float, float], edge: Edge, marker: str) -> None:
    """The point, and the thin line from it to where the refrigerant boils or condenses at its pressure."""
    label, pressure_pa, temperature_k = mark
    superheated = temperature_k > fluid.dew_temperature(pressure_pa)
    line_k = fluid.dew_temperature(pressure_pa) if superheated else fluid.bubble_temperature(pressure_pa)
    across = edge.temperature_of(np.array([line_k, temperature_k]))
    pressure = edge.pressure_of(pressure_pa)
    axes.plot(across, [pressure, pressure], color=style.POINT, linewidth=style.OUTLINE_PX)
    dot(axes, across[1], pressure, marker)
    beside(axes, label, (across[1], pressure), (11, 0) if superheated else (-11, 0))


def draw_dome(axes: Axes, fluid: Refrigerant, pressures_pa: Any, edge: Edge) -> None:
    """Saturation lines over enthalpy, the names of the regions, and the scales.

    Parameters
    ----------
    axes : matplotlib axes
    fluid : Refrigerant
    pressures_pa : array [Pa absolute], as `chart_pressures`
    edge : Edge
    """
    lines = fluid.saturation(pressures_pa)
    bubble, dew = edge.enthalpy_of(lines.bubble_enthalpy_j_per_kg), edge.enthalpy_of(lines.dew_enthalpy_j_per_kg)
    pressures = edge.pressure_of(pressures_pa)
    critical = edge.pressure_of(fluid.critical_pressure_pa)
    top_h, top_p = dome_top(bubble, dew, (pressures, pressures), critical)
    around = np.concatenate([bubble, top_h, dew[::-1]]), np.concatenate([pressures, top_p, pressures[::-1]])
    axes.plot(*around, color=style.INK, linewidth=style.CURVE_PX)
    low, high, width = pressures[0], 1.25 * max(top_p), dew[0] - bubble[0]
    words = {"liquid": -0.13, "liquid and vapour": 0.5, "vapour": 1.22}
    for word, share in words.items():
        axes.text(bubble[0] + share * width, 1.12 * low, word, ha="center", color=style.QUIET)
    axes.set_yscale("log")
    axes.set_ylim(low, high)
    axes.set_xlim(bubble[0] - 0.25 * width, dew[0] + 0.4 * width)
    axes.set_yticks(*_plain_steps(low, high))
    axes.minorticks_off()
    axes.grid()


def dome_top(bubble: Any, dew: Any, heights: tuple[Any, Any], critical: float) -> tuple[Any, Any]:
    """The last stretch to the critical point, drawn and not computed: the tables end below it.

    There the two lines close about as the cube root of the distance in pressure or temperature. Fitted to end and slope
    of the computed lines, the sketch stays within 3 % of the width of the dome (own comparison over pressure with the
    equations of state of R-134a, R-32, R-1234yf, R-290, R-600a, R-717 and R-744).

    Parameters
    ----------
    bubble, dew : array, enthalpy or entropy of the computed lines
    heights : pair of arrays, pressure or temperature of the bubble line and of the dew line
    critical : float, pressure or temperature of the critical point

    Returns
    -------
    pair of arrays, along and up, from the end of the bubble line over the top to the end of the dew line
    """
    root = np.linspace(1.0, 0.0, 21)  # cube root of the share of the stretch that is still to go
    stretches = [critical - height[-1] for height in heights]
    slopes = [
        (line[-2] - line[-1]) * stretch / (height[-1] - height[-2])
        for line, height, stretch in zip((bubble, dew), heights, stretches, strict=True)
    ]
    middle = (bubble[-1] + dew[-1] - sum(slopes)) / 2
    up, down = (
        middle + 1.5 * (line[-1] - middle - slope) * root + (1.5 * slope - 0.5 * (line[-1] - middle)) * root**3
        for line, slope in zip((bubble, dew), slopes, strict=True)
    )
    left, right = (critical - stretch * root**3 for stretch in stretches)
    return np.concatenate([up, down[::-1]]), np.concatenate([left, right[::-1]])


def _draw_points(axes: Axes, points: Sequence[tuple[str, float, float]], joined: bool) -> None:
    """Each label stands on the side of its point that looks away from the middle of all points."""
    if not points:
        return
    enthalpies, pressures = [point[2] for point in points], [point[1] for point in points]
    if joined:
        loop = [*enthalpies, enthalpies[0]], [*pressures, pressures[0]]
        axes.plot(*loop, color=style.POINT, linewidth=style.CURVE_PX)
    left, right = axes.get_xlim()
    room = 0.1 * (right - left)
    axes.set_xlim(min(left, min(enthalpies) - room), max(right, max(enthalpies) + room))
    middle_h, middle_p = sum(enthalpies) / len(points), float(np.exp(np.mean(np.log(pressures))))
    for label, pressure, enthalpy in points:
        dot(axes, enthalpy, pressure, style.MARKERS[0])
        away = (11 if enthalpy >= middle_h else -11, 11 if pressure >= middle_p else -11)
        beside(axes, label, (enthalpy, pressure), away)


def dot(axes: Axes, x: float, y: float, marker: str) -> None:
    """One point.

    Parameters
    ----------
    axes : matplotlib axes
    x, y : float, in the units of the chart
    marker : str, one of `style.MARKERS`
    """
    axes.plot([x], [y], marker, color=style.POINT, markeredgecolor=style.INK, markersize=9, clip_on=False)


def beside(axes: Axes, label: str, at: tuple[float, float], shift: tuple[float, float]) -> None:
    """A label next to a point.

    Parameters
    ----------
    axes : matplotlib axes
    label : str
    at : place of the point, in the units of the chart
    shift : from the point to the label [px]
    """
    paper = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1}  # a label stays readable on a grid line
    side = "left" if shift[0] > 0 else "right"
    axes.annotate(
        label,
        at,
        shift,
        textcoords="offset points",
        ha=side,
        va="center",
        weight="bold",
        bbox=paper,
        annotation_clip=False,
    )


def _lead(axes: Axes, words: str, at: tuple[float, float], shift: tuple[float, float], side: str) -> None:
    """The name of a line, with a thin stroke to it."""
    stroke = {"arrowstyle": "-", "color": style.INK, "linewidth": style.THIN_PX}
    axes.annotate(words, at, shift, textcoords="offset points", ha=side, va="center", arrowprops=stroke)


def _plain_steps(low: float, high: float) -> tuple[list[float], list[str]]:
    """1, 2, 5, 10, ... in plain figures instead of powers of ten."""
    steps = [mantissa * 10.0**decade for decade in range(-3, 5) for mantissa in (1, 2, 5)]
    shown = [step for step in steps if low <= step <= high]
    return shown, [f"{step:g}" for step in shown]


def _spoken(points: Iterable[tuple[str, float, float]], edge: Edge, unit: str) -> str:
    said = "; ".join(
        f"{label}: {pressure:.2f} {UNIT_WORDS[edge.pressure]}, {x:.1f} {unit}" for label, pressure, x in points
    )
    return (said or "no points") + "."
