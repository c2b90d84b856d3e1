"""Build the property tables that the package ships, from the equations of state in CoolProp.

``python tools/build_tables.py`` builds all (a few minutes); ``python tools/build_tables.py R-134a R-454B`` only these.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hvacr_lab.exact_properties import EquationOfState, Side
from hvacr_lab.property_tables.files import (
    DISTANCE_INTERVALS,
    LINE_INTERVALS,
    PRESSURE_INTERVALS,
    QUALITY_INTERVALS,
    TableFile,
    pack,
)
from hvacr_lab.property_tables.splines import ARRAYS, fit, fit_surface, place, read_line
from hvacr_lab.refrigerants.data import all_refrigerants, known_name
from hvacr_lab.states import Line, Point

Array = NDArray[np.float64]
Columns = dict[str, Array]
TABLES = Path(__file__).resolve().parents[1] / "hvacr_lab" / "data" / "tables"

COLDEST_DEW_K = 203.15
ABOVE_TRIPLE_K = 1.0
SHARE_OF_CRITICAL = 0.98
SHARE_OF_CRITICAL_BY_NAME = {"R-744": 0.99}
# closer to the critical point a spline of this size loses accuracy
LIQUID_BELOW_LINE_K = 10.0
# liquid is tabulated so far below the coldest bubble point
HOTTEST_VAPOUR_K = 473.15
HOTTEST_AT_LEAST_K = 423.15
HOTTEST_VAPOUR_BY_NAME_K = {"R-717": 523.15}
# 200 degC or the end of the equation of state, but at least 150 degC; discharge of ammonia is hotter
TRACE_INTERVALS = 1024
# lines are followed so closely that reading between the points costs no accuracy
SURFACES = ("temperature", "entropy", "log_volume")
EVERY = LINE_INTERVALS // PRESSURE_INTERVALS


def columns(points: list[Point]) -> Columns:
    """The points as arrays, volumes as logarithms."""
    return {
        "log_pressure": np.log([point.pressure_pa for point in points]),
        "temperature": np.array([point.temperature_k for point in points]),
        "enthalpy": np.array([point.enthalpy_j_per_kg for point in points]),
        "entropy": np.array([point.entropy_j_per_kg_k for point in points]),
        "log_volume": np.log([point.volume_m3_per_kg for point in points]),
    }


def trace(state: EquationOfState, line: Line, low_k: float, high_k: float) -> Columns:
    """A saturation line at even, closely spaced temperatures."""
    return columns(
        [state.line_point(line, kelvins) for kelvins in np.linspace(low_k, high_k, TRACE_INTERVALS + 1).tolist()]
    )


def read_trace(line: Columns, name: str, kelvins: Array) -> Array:
    """One quantity of a traced line at any temperatures."""
    start, step = line["temperature"][0], line["temperature"][1] - line["temperature"][0]
    cell, weights = place((kelvins - start) / step, TRACE_INTERVALS, ARRAYS)
    return np.asarray(read_line(fit(line[name]), cell, weights))


def temperatures_at(line: Columns, log_pressures: Array) -> Array:
    """Temperatures at which a traced line has these pressures, by Newton's method."""
    slopes = np.gradient(line["log_pressure"], line["temperature"])
    kelvins = np.interp(log_pressures, line["log_pressure"], line["temperature"])
    for _ in range(8):
        miss = read_trace(line, "log_pressure", kelvins) - log_pressures
        kelvins = kelvins - miss / np.interp(kelvins, line["temperature"], slopes)
    return kelvins


def at_pressures(line: Columns, log_pressures: Array) -> Columns:
    """A traced line at the pressures of the table."""
    kelvins = temperatures_at(line, log_pressures)
    return {"temperature": kelvins} | {
        name: read_trace(line, name, kelvins) for name in ("enthalpy", "entropy", "log_volume")
    }


def one_phase(state: EquationOfState, side: Side, pressures: Array, edge: Columns, end_k: float) -> Columns:
    """Vapour or liquid from its line to end_k: spans along the line, and departures from the line as surfaces."""
    far = columns([state.one_phase(side, pressure, end_k) for pressure in pressures])
    spans = {f"{name}_span": far[name] - edge[name] for name in ("temperature", "enthalpy", "entropy")}
    shares = np.linspace(0.0, 1.0, DISTANCE_INTERVALS + 1)[1:] ** 2
    departures = {name: np.zeros((PRESSURE_INTERVALS + 1, DISTANCE_INTERVALS + 1)) for name in SURFACES}
    for row in range(PRESSURE_INTERVALS + 1):
        at = row * EVERY
        targets = edge["enthalpy"][at] + shares * spans["enthalpy_span"][at]
        found = columns(
            list(state.along_isobar(side, point_of(edge, pressures, at), "enthalpy_j_per_kg", targets.tolist()))
        )
        for name in SURFACES:
            departures[name][row, 1:] = found[name] - edge[name][at]
    return spans | {f"{name}_surface": departures[name] for name in SURFACES}


def point_of(line: Columns, pressures: Array, at: int) -> Point:
    """One point of a line."""
    values = [float(line[name][at]) for name in ("temperature", "enthalpy", "entropy", "log_volume")]
    return Point(float(pressures[at]), *values[:3], float(np.exp(values[3])))


def wet(state: EquationOfState, pressures: Array, bubble: Columns, dew: Columns) -> Columns:
    """Wet vapour of a blend: departures from the straight line between bubble and dew point, by quality."""
    qualities = np.linspace(0.0, 1.0, QUALITY_INTERVALS + 1)
    names = ("temperature", "enthalpy", "entropy", "volume")
    departures = {name: np.zeros((PRESSURE_INTERVALS + 1, QUALITY_INTERVALS + 1)) for name in names}
    ends = [line | {"volume": np.exp(line["log_volume"])} for line in (bubble, dew)]
    for row in range(PRESSURE_INTERVALS + 1):
        at = row * EVERY
        points = list(state.wet_points(float(pressures[at]), qualities[1:-1].tolist()))
        if None in points:
            raise RuntimeError(f"{state.name}: the equilibrium does not settle at {pressures[at]:.0f} Pa")
        found = columns([point for point in points if point is not None])
        found["volume"] = np.exp(found["log_volume"])
        for name in names:
            low, high = ends[0][name][at], ends[1][name][at]
            bend = found[name] - (low + qualities[1:-1] * (high - low))
            departures[name][row, 1:-1] = bend / ((high - low) if name == "volume" else 1.0)
    return {f"{name}_surface": departures[name] for name in names}


def ranges(state: EquationOfState, name: str, about: dict[str, Any]) -> dict[str, float]:
    """Where the table begins and ends."""
    coldest = max(COLDEST_DEW_K, (about["triple_temperature_k"] or 0.0) + ABOVE_TRIPLE_K)
    hottest = SHARE_OF_CRITICAL_BY_NAME.get(name, SHARE_OF_CRITICAL) * about["critical_temperature_k"]
    ends = {"dew_low_k": coldest, "dew_high_k": hottest, "bubble_low_k": coldest, "bubble_high_k": hottest}
    if state.blend:
        dew = np.log([state.line_point("dew", kelvins).pressure_pa for kelvins in (coldest, hottest)])
        bubble = temperatures_at(trace(state, "bubble", coldest - 20.0, hottest), dew)
        ends |= {"bubble_low_k": float(bubble[0]), "bubble_high_k": float(bubble[1])}
    liquid = max(ends["bubble_low_k"] - LIQUID_BELOW_LINE_K, about["triple_temperature_k"] or 0.0)
    by_equation = min(HOTTEST_VAPOUR_K, max(HOTTEST_AT_LEAST_K, about["highest_temperature_k"]))
    return ends | {"liquid_low_k": liquid, "vapour_high_k": HOTTEST_VAPOUR_BY_NAME_K.get(name, by_equation)}


def build(name: str) -> TableFile:
    """The table of one refrigerant."""
    entry = all_refrigerants()[name]
    state = EquationOfState(entry.coolprop_name, blend=entry.is_blend)
    about: dict[str, Any] = {"name": name, "kind": "blend" if entry.is_blend else "pure"} | state.about()
    about |= ranges(state, name, about)
    dew = trace(state, "dew", about["dew_low_k"], about["dew_high_k"])
    bubble = trace(state, "bubble", about["bubble_low_k"], about["bubble_high_k"])
    log_pressures = np.linspace(dew["log_pressure"][0], dew["log_pressure"][-1], LINE_INTERVALS + 1)
    about |= {"pressure_low_pa": float(np.exp(log_pressures[0])), "pressure_high_pa": float(np.exp(log_pressures[-1]))}
    pressures = np.exp(log_pressures)
    parts = {"vapour": at_pressures(dew, log_pressures), "liquid": at_pressures(bubble, log_pressures)}
    parts["vapour"] |= one_phase(state, "vapour", pressures, parts["vapour"], about["vapour_high_k"])
    parts["liquid"] |= one_phase(state, "liquid", pressures, parts["liquid"], about["liquid_low_k"])
    if entry.is_blend:
        parts["wet"] = wet(state, pressures, parts["liquid"], parts["vapour"])
    thin = TRACE_INTERVALS // LINE_INTERVALS
    arrays = {
        f"{line}_log_pressure": fit(found["log_pressure"][::thin]) for line, found in (("dew", dew), ("bubble", bubble))
    }
    for part, found in parts.items():
        arrays |= {f"{part}_{key}": coefficients(part, key, values) for key, values in found.items()}
    return TableFile(about, arrays)


def coefficients(part: str, key: str, values: Array) -> NDArray[Any]:
    """Spline of a line or a surface; surfaces in single precision, which costs less than the spline's own error."""
    if key.endswith("_surface"):
        return fit_surface(values, flat_start=part != "wet").astype(np.float32)
    return fit(values)


def build_all(names: list[str]) -> None:
    """Build and write, saying how far it has come."""
    TABLES.mkdir(parents=True, exist_ok=True)
    for count, name in enumerate(names, start=1):
        started = time.monotonic()
        content = pack(build(name))
        fresh = TABLES / f".{name}.npz.new"
        fresh.write_bytes(content)
        fresh.replace(TABLES / f"{name}.npz")
        took = time.monotonic() - started
        sys.stdout.write(f"{count:2}/{len(names)}  {name:<12}{len(content) / 1024:6.0f} kB {took:6.1f} s\n")
        sys.stdout.flush()


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", help="refrigerants, for example R-134a; all if left out")
    build_all([known_name(name) for name in parser.parse_args().names] or list(all_refrigerants()))


if __name__ == "__main__":
    main()
