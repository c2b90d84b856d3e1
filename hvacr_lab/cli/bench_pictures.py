"""Picture files of `hvacr-lab bench`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.cli.bench_lists import swept_number, swept_unit
from hvacr_lab.draw.bench_pictures import air_chart, cycle_chart, sweep_chart
from hvacr_lab.draw.circuit import circuit_svg
from hvacr_lab.draw.drawing import save
from hvacr_lab.errors import FileProblem


def draw_point(
    chart: str,
    bench: Bench,
    settings: Settings,
    points: Sequence[tuple[str, OperatingPoint]],
    barometer_pa: float,
    units: str,
    file: Path,
) -> None:
    """Write the chart of one operating point, or of two.

    Parameters
    ----------
    chart : str, "pressure-enthalpy", "temperature-entropy" or "air"
    bench : Bench
    settings : Settings
    points : sequence of (label, OperatingPoint)
    barometer_pa : float [Pa absolute]
    units : "SI" or "US"
    file : Path, ending in .svg or .png
    """
    if chart == "air":
        save(air_chart(bench, points[-1][1], barometer_pa=barometer_pa, units=units), file)
    else:
        save(cycle_chart(bench, settings, points, chart=chart, units=units), file)
    _say(file)


def draw_sweep(
    bench: Bench,
    what: str,
    values: Sequence[float],
    points: Sequence[OperatingPoint],
    units: str,
    barometer_pa: float,
    file: Path,
) -> None:
    """Write the curves of a sweep.

    Parameters
    ----------
    bench : Bench
    what : str, what was changed
    values : sequence of float [SI]
    points : sequence of OperatingPoint
    units : "SI" or "US"
    barometer_pa : float [Pa absolute]
    file : Path, ending in .svg or .png
    """
    places = [swept_number(what, value, units) for value in values]
    label = f"{what.replace(':', ' of ')}, {swept_unit(what, units)}"
    title = f"{bench.title}, {bench.refrigerant}"
    save(sweep_chart(label, places, points, title=title, barometer_pa=barometer_pa, units=units), file)
    _say(file)


def draw_circuit(bench: Bench, settings: Settings, file: Path) -> None:
    """Write the drawing of the bench as it is lined up.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    file : Path, ending in .svg
    """
    if file.suffix.lower() != ".svg":
        raise FileProblem(file, "the drawing of the bench is written as .svg. Give the file this ending.")
    try:
        file.write_text(circuit_svg(bench, settings.valves, settings.reversing), encoding="utf-8")
    except OSError as problem:
        raise FileProblem(file, f"it cannot be written: {problem.strerror}.") from None
    _say(file)


def _say(file: Path) -> None:
    click.echo(f"Picture: {file}", err=True)
