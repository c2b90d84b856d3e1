"""From a solved bench to its charts: cycle, air, response curves."""

from __future__ import annotations

from collections.abc import Sequence

from hvacr_lab.bench.comparison import WATCHED
from hvacr_lab.bench.description import COMPRESSOR_IN, COMPRESSOR_OUT, Bench
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.service_sheet import ports_in_use
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.symptoms import device_id_in_use
from hvacr_lab.draw.cycle_charts import Corner, Loop, pressure_enthalpy_cycle, temperature_entropy_cycle
from hvacr_lab.draw.drawing import Drawing
from hvacr_lab.draw.psychrometric_chart import AirPoint, psychrometric_chart
from hvacr_lab.draw.response_chart import Curve, Panel, response_chart
from hvacr_lab.errors import LabError
from hvacr_lab.units import from_si, pressure_from_pa

_CHARTS = {"pressure-enthalpy": pressure_enthalpy_cycle, "temperature-entropy": temperature_entropy_cycle}
_PANELS = (("head",), ("suction",), ("superheat", "subcooling"), ("discharge temperature",), ("power", "cooling"))
# names as in `comparison.WATCHED`; those that share a panel share a unit
_UNITS = {
    "SI": {"pressure": "bar(g)", "temperature difference": "K", "temperature": "C", "power": "W"},
    "US": {"pressure": "psig", "temperature difference": "F", "temperature": "F", "power": "W"},
}
_WRITTEN = {"C": "°C", "F": "°F"}


def cycle_of(bench: Bench, settings: Settings, point: OperatingPoint, label: str) -> Loop:
    """The corners of a solved cycle, in the order of flow.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    point : OperatingPoint, solved
    label : str, name of the cycle

    Returns
    -------
    Loop

    Raises
    ------
    LabError : nothing circulates
    """
    if not point.is_solved:
        raise LabError(f"There is no cycle to draw: {point.outcome}. {point.why}".rstrip())
    ports, device = ports_in_use(bench, settings), device_id_in_use(bench, settings)
    places = {
        "compressor inlet": COMPRESSOR_IN,
        "compressor outlet": COMPRESSOR_OUT,
        "condenser inlet": ports.get("condenser inlet", ""),
        "condenser outlet": ports.get("condenser outlet", ""),
        "before the metering device": f"{device}.in",
        "evaporator inlet": ports.get("evaporator inlet", ""),
        "evaporator outlet": ports.get("evaporator outlet", ""),
    }
    corners = [
        Corner(words, point.points[port].pressure_pa, point.points[port].enthalpy_j_per_kg)
        for words, port in places.items()
        if port in point.points
    ]
    return Loop(label, corners)


def cycle_chart(
    bench: Bench,
    settings: Settings,
    points: Sequence[tuple[str, OperatingPoint]],
    *,
    chart: str = "pressure-enthalpy",
    units: str = "SI",
) -> Drawing:
    """One solved cycle, or one before and one after a change.

    Parameters
    ----------
    bench : Bench
    settings : Settings, of the last one
    points : sequence of one or two (label, OperatingPoint)
    chart : "pressure-enthalpy" or "temperature-entropy"
    units : "SI" or "US"

    Returns
    -------
    Drawing
    """
    loops = [cycle_of(bench, settings, point, label) for label, point in points]
    return _CHARTS[chart](points[-1][1].refrigerant, loops, units=units)


def air_chart(bench: Bench, point: OperatingPoint, *, barometer_pa: float, units: str = "SI") -> Drawing:
    """What each coil does to its air.

    Parameters
    ----------
    bench : Bench
    point : OperatingPoint, solved
    barometer_pa : float [Pa absolute]
    units : "SI" or "US"

    Returns
    -------
    Drawing
    """
    processes = [
        [
            AirPoint(f"to the {bench.coils[coil].label.lower()}", air.inlet_k, air.inlet_humidity_ratio),
            AirPoint("from it", air.outlet_k, air.outlet_humidity_ratio),
        ]
        for coil, air in point.air.items()
    ]
    return psychrometric_chart(processes, barometer_pa=barometer_pa, units=units)


def sweep_chart(
    x_label: str,
    places: Sequence[float],
    points: Sequence[OperatingPoint],
    *,
    title: str,
    barometer_pa: float,
    units: str = "SI",
) -> Drawing:
    """Pressures, superheat and subcooling, discharge temperature and power over what was changed.

    Parameters
    ----------
    x_label : str, what was changed, with unit
    places : sequence of float, along the axis
    points : sequence of OperatingPoint
    title : str
    barometer_pa : float [Pa absolute]
    units : "SI" or "US"

    Returns
    -------
    Drawing; curves break off where nothing runs, and a note says why
    """
    panels = []
    for names in _PANELS:
        quantity = WATCHED[names[0]].quantity
        unit = _UNITS[units][quantity]
        curves = [Curve(WATCHED[name].label, _values(points, name, unit, barometer_pa)) for name in names]
        label = WATCHED[names[0]].label if len(names) == 1 else quantity
        panels.append(Panel(f"{_short(label)},\n{_WRITTEN.get(unit, unit)}", curves))
    missing = dict.fromkeys(point.outcome for point in points if not point.is_solved)
    note = f"Curves break off where: {', '.join(missing)}." if missing else ""
    return response_chart(x_label, places, panels, title=title, note=note)


def _values(points: Sequence[OperatingPoint], name: str, unit: str, barometer_pa: float) -> list[float | None]:
    watched = WATCHED[name]
    found = [watched.value_of(point) if point.is_solved else None for point in points]
    if watched.quantity == "pressure":
        return [None if value is None else pressure_from_pa(value, unit, barometer_pa) for value in found]
    return [None if value is None else from_si(value, unit, watched.quantity) for value in found]


def _short(label: str) -> str:
    return {"temperature difference": "difference", "discharge temperature": "hot gas"}.get(label, label)
