"""The virtual bench on the command line: `hvacr-lab bench`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hvacr_lab.cli.figures import WIDTH, print_json, print_notes
from hvacr_lab.cli.spoken import SPOKEN, SpokenCommand, barometer
from hvacr_lab.errors import FileProblem, LabError, NotUsable

if TYPE_CHECKING:
    from hvacr_lab.bench.description import Bench
    from hvacr_lab.bench.operating_point import OperatingPoint
    from hvacr_lab.bench.settings import Settings

Command = Callable[..., None]
_MOST_POINTS = 500


@click.group()
def bench() -> None:
    """The virtual bench: a sealed system that is really solved.

    It runs in every line-up of its valves, with every fault. Pressures are shown as gauges show them, so the commands
    ask for the height of the place: --altitude, --barometer, or the altitude in your course.toml.

    \b
    Examples:
      hvacr-lab bench solve --configuration refrigerator --ambient 30 C
      hvacr-lab bench compare --change "fan:condenser=50 %"
    """


def _options(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    def add(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return add


_which = _options(
    click.option("--bench", "bench_name", default="demo", show_default=True, help="Name of a bench, or its file."),
    click.option("--configuration", help="What it is lined up as; the first one of the bench if not said."),
)
_shown = _options(
    click.option("--altitude", type=SPOKEN, help='Height of the place, for gauge pressures: "430 m".'),
    click.option("--barometer", "barometer_reading", type=SPOKEN, help='Or the barometer itself: "963 hPa".'),
    click.option(
        "--units",
        type=click.Choice(["SI", "US"], case_sensitive=False),
        metavar="SI|US",
        default="SI",
        help="Of tables and pictures.",
    ),
    click.option("--json", "as_json", is_flag=True, help="One flat object in SI instead of tables."),
)
_set = _options(
    click.option("--metering", metavar="ID", help="Metering device in use, the others shut off."),
    click.option("--receiver", type=click.Choice(["in", "out"]), help="Receiver in line or bypassed."),
    click.option("--accumulator", type=click.Choice(["in", "out"]), help="Accumulator in line or bypassed."),
    click.option("--ambient", type=SPOKEN, help='Air around the bench, or outdoors: "30 C".'),
    click.option("--space", type=SPOKEN, help='The cooled or heated space: "5 C".'),
    click.option("--charge", type=SPOKEN, help='Refrigerant: "80 %" of the nominal charge, or "350 g".'),
    click.option("--fan", "fans", multiple=True, metavar="COIL=SHARE", help='"condenser=50 %"; may be repeated.'),
    click.option("--valve", "valves", multiple=True, metavar="NAME=SHARE", help='"V3=0"; may be repeated.'),
    click.option("--fault", "faults", multiple=True, metavar="ID=SEVERITY", help='"overcharge=0.6"; may be repeated.'),
    click.option("--set", "sets", multiple=True, metavar="WHAT=VALUE", help='Anything: "humidity=60 %"; see compare.'),
)


@dataclass(frozen=True, slots=True)
class _Request:
    """A bench as the options describe it."""

    bench: Bench
    settings: Settings
    barometer_pa: float
    units: str

    def solved(self, settings: Settings | None = None, start: OperatingPoint | None = None) -> OperatingPoint:
        from hvacr_lab.bench.steady import solve

        return solve(self.bench, settings or self.settings, start=start)


def _barometer_pa(altitude: str | None, reading: str | None) -> float:
    """From the options, else from the course; sea level is never assumed."""
    from hvacr_lab.classroom.course import find_course, load_course
    from hvacr_lab.units import barometer_pa

    known = barometer(altitude, reading)
    if known is not None:
        return known
    try:
        return barometer_pa(load_course(find_course()).altitude_m)
    except LabError:
        hint = 'Say where: --altitude "430 m" or --barometer "963 hPa".'
        raise NotUsable("altitude", None, "a gauge counts from the air around it", hint=hint) from None


def _loaded(
    bench_name: str, configuration: str | None, metering: str | None = None, **vessels: str | None
) -> tuple[Bench, Settings]:
    from hvacr_lab.bench import load_bench
    from hvacr_lab.bench.settings import default_settings
    from hvacr_lab.cli.bench_changes import lined_up

    found = load_bench(bench_name)
    name = configuration or next(iter(found.configurations))
    found = lined_up(found, name, metering, vessels)
    return found, default_settings(found, name)


def _request(bench_name: str, configuration: str | None, **said: Any) -> _Request:
    """Options in the order in which they build on each other: line-up first, then what is set on it."""
    from hvacr_lab.cli.bench_changes import changed

    line_up = {name: said[name] for name in ("metering", "receiver", "accumulator")}
    found, settings = _loaded(bench_name, configuration, **line_up)
    plain = [f"{name}={said[name]}" for name in ("ambient", "space", "charge") if said[name] is not None]
    named = [f"{kind}:{text}" for kind in ("fan", "valve", "fault") for text in said[f"{kind}s"]]
    settings = changed(found, settings, [*plain, *named, *said["sets"]])
    return _Request(found, settings, _barometer_pa(said["altitude"], said["barometer_reading"]), said["units"])


@bench.command()
@click.argument("file", type=click.Path(path_type=Path))
def new(file: Path) -> None:
    """Write a commented bench file to start from: your own bench in an evening.

    \b
    Examples:
      hvacr-lab bench new our_bench.toml
      hvacr-lab bench show --bench our_bench.toml
    """
    from hvacr_lab.bench import new_bench_text

    if file.exists():
        raise FileProblem(file, "it exists already. Give another name, or move it away.")
    try:
        file.write_text(new_bench_text(), encoding="utf-8")
    except OSError as problem:
        raise FileProblem(file, f"it cannot be written: {problem.strerror}.") from None
    click.echo(f"Written to {file}. Next: hvacr-lab bench show --bench {file}")


@bench.command(cls=SpokenCommand)
@_which
@click.option("--picture", type=click.Path(path_type=Path), help="Write the drawing to this file: .svg.")
@click.option("--units", type=click.Choice(["SI", "US"], case_sensitive=False), default="SI", help="Of the tables.")
@click.option("--json", "as_json", is_flag=True, help="One flat object in SI instead of tables.")
def show(bench_name: str, configuration: str | None, picture: Path | None, units: str, as_json: bool) -> None:
    """Draw a bench and list its valves, configurations and faults that it can have.

    \b
    Examples:
      hvacr-lab bench show
      hvacr-lab bench show --bench our_bench.toml --configuration freezer --picture freezer.svg
    """
    from hvacr_lab.cli.bench_lists import flat_bench, print_bench
    from hvacr_lab.cli.bench_pictures import draw_circuit

    found, settings = _loaded(bench_name, configuration)
    if as_json:
        print_json(flat_bench(found, settings))
    else:
        print_bench(found, settings, units)
    if picture is not None:
        draw_circuit(found, settings, picture)


@bench.command(cls=SpokenCommand)
@_which
@_set
@click.option("--off", is_flag=True, help="Compressor switched off.")
@click.option("--balance", is_flag=True, help="Let the box or room find its own temperature.")
@click.option("--instruments", metavar="KEY", help="Read with the errors of this set of instruments: any word.")
@click.option("--picture", type=click.Path(path_type=Path), help="Write a picture to this file: .svg or .png.")
@click.option(
    "--chart",
    type=click.Choice(["pressure-enthalpy", "temperature-entropy", "air"]),
    default="pressure-enthalpy",
    show_default=True,
    help="Which picture.",
)
@_shown
def solve(
    off: bool, balance: bool, instruments: str | None, picture: Path | None, chart: str, as_json: bool, **said: Any
) -> None:
    """Solve the bench and read its instruments.

    Readings are rounded to the divisions of the instruments; with --instruments they carry their errors too.

    \b
    Examples:
      hvacr-lab bench solve --configuration refrigerator --ambient 30 C --fan "condenser=50 %"
      hvacr-lab bench solve --fault dirty-condenser=0.6 --units US --altitude 1400 ft --picture cycle.svg
    """
    from hvacr_lab.bench.service_sheet import service_sheet
    from hvacr_lab.cli import bench_tables as tables
    from hvacr_lab.cli.bench_pictures import draw_point

    asked = _request(**said)
    settings = replace(asked.settings, compressor_on=not off, box_balance=balance)
    point = asked.solved(settings)
    sheet = service_sheet(
        asked.bench, settings, point, barometer_pa=asked.barometer_pa, key=instruments, edition=asked.units
    )
    if as_json:
        print_json(tables.flat(point, sheet))
    else:
        tables.print_headline(point, asked.bench)
        tables.print_sheet(sheet, point, asked.bench, asked.units)
        tables.print_controls(point)
    if picture is not None:
        draw_point(chart, asked.bench, settings, [("now", point)], asked.barometer_pa, asked.units, picture)


def _what_can_be_set() -> str:
    from hvacr_lab.cli.bench_changes import KINDS

    lines = [click.wrap_text(f"{name}: {kind.meaning}", WIDTH - 4, "  ", "      ") for name, kind in KINDS.items()]
    return "\n".join(["\b", "What can be set:", *lines])


@bench.command(cls=SpokenCommand, epilog=_what_can_be_set())
@_which
@_set
@click.option("--change", "changes", multiple=True, required=True, metavar="WHAT=VALUE", help="May be repeated.")
@click.option("--picture", type=click.Path(path_type=Path), help="Write both cycles to this file: .svg or .png.")
@_shown
def compare(changes: tuple[str, ...], picture: Path | None, as_json: bool, **said: Any) -> None:
    """Solve before and after a change: what rises, what falls, what stays about the same.

    \b
    Examples:
      hvacr-lab bench compare --change "fan:condenser=50 %"
      hvacr-lab bench compare --metering cap_medium --change fault:overcharge=0.6 --picture overcharge.svg
    """
    from hvacr_lab.bench import comparison
    from hvacr_lab.cli import bench_tables as tables
    from hvacr_lab.cli.bench_changes import changed
    from hvacr_lab.cli.bench_pictures import draw_point

    asked = _request(**said)
    settings = changed(asked.bench, asked.settings, changes)
    before = asked.solved()
    after = asked.solved(settings, start=before)
    rows = comparison.compare(before, after)
    if as_json:
        print_json({"outcome_before": before.outcome, "outcome_after": after.outcome} | tables.flat_comparison(rows))
    else:
        click.echo(f"Before: {before.outcome}. After {', '.join(changes)}: {after.outcome}.\n")
        tables.print_comparison(rows, asked.units, asked.barometer_pa)
        tables.print_controls(after)
    if picture is not None:
        pairs = [("before", before), ("after", after)]
        draw_point("pressure-enthalpy", asked.bench, settings, pairs, asked.barometer_pa, asked.units, picture)


@bench.command(cls=SpokenCommand)
@click.argument("what")
@click.option("--from", "first", type=SPOKEN, required=True, help='Where it starts: "100 %".')
@click.option("--to", "last", type=SPOKEN, required=True, help='Where it ends: "20 %".')
@click.option("--points", type=click.IntRange(2, _MOST_POINTS), default=11, show_default=True)
@_which
@_set
@click.option("--picture", type=click.Path(path_type=Path), help="Write the curves to this file: .svg or .png.")
@_shown
def sweep(what: str, first: str, last: str, points: int, picture: Path | None, as_json: bool, **said: Any) -> None:
    """Change one thing in steps and follow the readings; WHAT as in compare: "ambient", "fan:condenser".

    \b
    Examples:
      hvacr-lab bench sweep fan:condenser --from 100 % --to 20 % --picture fan.svg
      hvacr-lab bench sweep ambient --from 15 C --to 45 C --points 31 --metering cap_medium
    """
    from hvacr_lab.cli.bench_changes import set_value, value_of
    from hvacr_lab.cli.bench_lists import flat_sweep, print_sweep
    from hvacr_lab.cli.bench_pictures import draw_sweep

    asked = _request(**said)
    low, high = (value_of(asked.settings, what, text) for text in (first, last))
    values = [low + (high - low) * step / (points - 1) for step in range(points)]
    solved: list[OperatingPoint] = []
    for value in values:
        settings = set_value(asked.bench, asked.settings, what, value)
        solved.append(asked.solved(settings, start=solved[-1] if solved else None))
    if as_json:
        print_json(flat_sweep(what, values, solved))
    else:
        print_sweep(what, values, solved, asked.units, asked.barometer_pa)
    if picture is not None:
        draw_sweep(asked.bench, what, values, solved, asked.units, asked.barometer_pa, picture)


@bench.command("line-up", cls=SpokenCommand)
@_which
@click.option("--valve", "valves", multiple=True, metavar="NAME=SHARE", help='"V3=0"; may be repeated.')
@click.option("--to", "wanted", metavar="CONFIGURATION", help="Plan the moves to this configuration.")
@click.option("--running", is_flag=True, help="The compressor runs while the first move is made.")
@click.option("--json", "as_json", is_flag=True, help="One flat object instead of text.")
def line_up(
    bench_name: str,
    configuration: str | None,
    valves: tuple[str, ...],
    wanted: str | None,
    running: bool,
    as_json: bool,
) -> None:
    """Explain what a line-up of the valves does, or plan the safe moves to another one.

    Before you move a valve on a real bench: gauges on, goggles on, and a look at what the move shuts in.

    \b
    Examples:
      hvacr-lab bench line-up --configuration refrigerator --to freezer
      hvacr-lab bench line-up --configuration refrigerator --valve V3=0
    """
    from hvacr_lab.cli.bench_changes import changed
    from hvacr_lab.cli.bench_lists import flat_line_up, flat_moves, line_up_text, moves_text

    found, settings = _loaded(bench_name, configuration)
    settings = changed(found, settings, [f"valve:{text}" for text in valves])
    if as_json:
        print_json(flat_moves(found, settings, wanted, running) if wanted else flat_line_up(found, settings))
    else:
        click.echo(moves_text(found, settings, wanted, running) if wanted else line_up_text(found, settings))


@bench.command(cls=SpokenCommand)
@click.argument("name", metavar="[FAULT]", required=False)
@click.option("--severity", default=0.5, show_default=True, help="0 nothing ... 1 as bad as it gets.")
@_which
@_set
@_shown
def faults(name: str | None, severity: float, as_json: bool, **said: Any) -> None:
    """List the faults, or show what one of them does to this bench, beside what the textbook expects.

    \b
    Examples:
      hvacr-lab bench faults
      hvacr-lab bench faults dirty-condenser --severity 0.6 --configuration refrigerator
    """
    from hvacr_lab.cli.bench_lists import flat_faults, flat_one_fault, print_faults, print_one_fault

    if name is None:
        found, _ = _loaded(said["bench_name"], said["configuration"])
        if as_json:
            print_json(flat_faults(found))
        else:
            print_faults(found)
        return
    asked = _request(**said)
    before = asked.solved()
    with_fault = replace(asked.settings, faults={**asked.settings.faults, name: severity})
    after = asked.solved(with_fault, start=before)
    if as_json:
        print_json(flat_one_fault(asked.bench, asked.settings, name, before, after))
    else:
        print_one_fault(asked.bench, asked.settings, name, before, after)
        print_notes("Mind:", after.warnings)
