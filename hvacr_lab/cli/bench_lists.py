"""Lists of `hvacr-lab bench`: what a bench has, its line-ups and moves, its faults, and the table of a sweep."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import click

from hvacr_lab.bench.comparison import SYMPTOMS, WATCHED, compare
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.faults import FAULTS, fault, is_possible
from hvacr_lab.bench.line_up import trace
from hvacr_lab.bench.moves import plan
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.symptoms import device_in_use, expected
from hvacr_lab.cli.bench_changes import kind_of
from hvacr_lab.cli.bench_tables import charge_text, flat_comparison, number, unit_words
from hvacr_lab.cli.figures import WIDTH, print_notes, print_table
from hvacr_lab.draw.circuit import circuit_text
from hvacr_lab.units import from_si

SWEPT = ("head", "suction", "superheat", "subcooling", "discharge temperature", "power", "cooling")
"""What the table of a sweep shows, names as in `comparison.WATCHED`."""
_HEADS = ("head", "suction", "super-\nheat", "sub-\ncooling", "hot\ngas", "power", "cooling")


def print_bench(bench: Bench, settings: Settings, units: str) -> None:
    """Drawing and configurations.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    units : str, "SI" or "US"
    """
    click.echo(f"Lined up as {settings.configuration}:\n")
    click.echo(circuit_text(bench, settings.valves, settings.reversing) + "\n")
    degrees = unit_words("temperature", units)
    rows = [
        (
            name,
            machine.metering,
            number(machine.ambient_k, "temperature", units, 0.0),
            number(machine.space_k, "temperature", units, 0.0),
            "-" if machine.charge_kg is None else charge_text(machine.charge_kg, units),
        )
        for name, machine in bench.configurations.items()
    ]
    header = ("id", "metering", f"ambient\n{degrees}", f"space\n{degrees}", "charge")
    print_table("Configurations", header, rows, left=(0, 1))


def flat_bench(bench: Bench, settings: Settings) -> dict[str, Any]:
    """A bench and its line-up as one flat object.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    dict
    """
    result: dict[str, Any] = {
        "name": bench.name,
        "title": bench.title,
        "refrigerant": bench.refrigerant,
        "configuration": settings.configuration,
        "configurations": " ".join(bench.configurations),
        "metering_devices": " ".join(bench.metering),
        "coils": " ".join(bench.coils),
        "vessels": " ".join(bench.vessels),
        "charge_kg": settings.charge_kg,
    }
    return result | {f"valve_{name}": opening for name, opening in settings.valves.items()}


def line_up_text(bench: Bench, settings: Settings) -> str:
    """What the valves do as they stand.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    str
    """
    found = trace(bench, settings.valves, settings.reversing)
    ways = {
        "High side": " - ".join(found.high),
        "Metering": " or ".join(" - ".join(lane) for lane in found.lanes),
        "Low side": " - ".join(found.low),
    }
    lines = [click.wrap_text(f"{name}: {way}", WIDTH, "", "  ") for name, way in ways.items() if way]
    return "\n".join([click.wrap_text(found.sentence, WIDTH), "", *lines, *_bulleted("Mind:", found.warnings)])


def flat_line_up(bench: Bench, settings: Settings) -> dict[str, Any]:
    """What the valves do as they stand, as one flat object.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    dict
    """
    found = trace(bench, settings.valves, settings.reversing)
    return {
        "outcome": found.outcome,
        "sentence": found.sentence,
        "high": " ".join(found.high),
        "lanes": "; ".join(" ".join(lane) for lane in found.lanes),
        "low": " ".join(found.low),
        "compressor_can_dead_head": found.compressor_can_dead_head,
        "liquid_can_reach_compressor": found.liquid_can_reach_compressor,
        "warnings": " ".join(found.warnings),
    }


def moves_text(bench: Bench, settings: Settings, wanted: str, running: bool) -> str:
    """The moves to another configuration, each with its reason.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    wanted : str, id of a configuration
    running : bool

    Returns
    -------
    str
    """
    moves = plan(bench, settings.valves, wanted, running=running)
    if not moves:
        return f"The valves stand as {wanted} wants them: nothing to move."
    steps = [
        click.wrap_text(f"{count}. {_move_words(move)}: {move.reason}", WIDTH, "", "   ")
        for count, move in enumerate(moves, start=1)
    ]
    return "\n".join([f"From {settings.configuration} to {wanted}:", *steps])


def flat_moves(bench: Bench, settings: Settings, wanted: str, running: bool) -> dict[str, Any]:
    """The moves to another configuration as one flat object.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    wanted : str, id of a configuration
    running : bool

    Returns
    -------
    dict, "move_1", "move_1_reason", ...
    """
    moves = plan(bench, settings.valves, wanted, running=running)
    result: dict[str, Any] = {"moves": len(moves)}
    for count, move in enumerate(moves, start=1):
        result |= {f"move_{count}": _move_words(move), f"move_{count}_reason": move.reason}
    return result


def print_faults(bench: Bench) -> None:
    """Every fault that this bench can have.

    Parameters
    ----------
    bench : Bench
    """
    rows = [(name, f"{one.label}. {one.means}") for name, one in FAULTS.items() if is_possible(name, bench)]
    print_table("Faults, each from 0 (nothing) to 1", ("id", "what it is"), rows, left=(0, 1))
    missing = [name for name in FAULTS if not is_possible(name, bench)]
    print_notes("Not on this bench, which has no such part:", [", ".join(missing)] if missing else [])


def flat_faults(bench: Bench) -> dict[str, Any]:
    """Every fault that this bench can have, as one flat object.

    Parameters
    ----------
    bench : Bench

    Returns
    -------
    dict, id -> what it is
    """
    return {name: f"{one.label}. {one.means}" for name, one in FAULTS.items() if is_possible(name, bench)}


def print_one_fault(bench: Bench, settings: Settings, name: str, before: OperatingPoint, after: OperatingPoint) -> None:
    """What a fault does to a bench, beside what the textbook expects.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    name : str, id of the fault
    before, after : OperatingPoint
    """
    one, rows = fault(name), compare(before, after)
    click.echo(click.wrap_text(f"{one.label}: {one.means}", WIDTH))
    if not is_possible(name, bench):
        click.echo(f"This bench has no {one.needs}, so it cannot have this fault.")
    device, textbook = device_in_use(bench, settings), expected(name, bench, settings)
    lines = [(rows[key].label, rows[key].change or after.outcome, textbook.get(key, "-")) for key in SYMPTOMS]
    print_table("", ("reading", "this bench", f"textbook, {device}"), lines, left=(0, 1, 2))


def flat_one_fault(
    bench: Bench, settings: Settings, name: str, before: OperatingPoint, after: OperatingPoint
) -> dict[str, Any]:
    """What a fault does to a bench, as one flat object.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    name : str, id of the fault
    before, after : OperatingPoint

    Returns
    -------
    dict
    """
    known = {f"{key.replace(' ', '_')}_textbook": value for key, value in expected(name, bench, settings).items()}
    return {"fault": name, "outcome_after": after.outcome} | flat_comparison(compare(before, after)) | known


def print_sweep(
    what: str, values: Sequence[float], points: Sequence[OperatingPoint], units: str, barometer_pa: float
) -> None:
    """Readings in columns, one row for each step; the outcome where nothing runs.

    Parameters
    ----------
    what : str, what was changed
    values : sequence of float [SI]
    points : sequence of OperatingPoint
    units : str, "SI" or "US"
    barometer_pa : float [Pa absolute]
    """
    heads = [f"{head}\n{unit_words(WATCHED[name].quantity, units)}" for head, name in zip(_HEADS, SWEPT, strict=True)]
    rows = [
        (swept_text(what, value, units), *_swept_row(point, units, barometer_pa))
        for value, point in zip(values, points, strict=True)
    ]
    print_table("", (what.replace(":", ":\n"), *heads), rows, left=())
    said = dict.fromkeys(_why_not(point) for point in points if not point.is_running)
    print_notes("Where it would not run:", said)


def flat_sweep(what: str, values: Sequence[float], points: Sequence[OperatingPoint]) -> dict[str, Any]:
    """A sweep as one flat object of lists.

    Parameters
    ----------
    what : str, what was changed
    values : sequence of float [SI]
    points : sequence of OperatingPoint

    Returns
    -------
    dict, name -> list [SI]
    """
    result: dict[str, Any] = {what: list(values), "outcome": [point.outcome for point in points]}
    for name, watched in WATCHED.items():
        key = name.replace(" ", "_")
        result[key] = [watched.value_of(point) if point.is_solved else None for point in points]
    return result


def swept_number(what: str, value: float, units: str) -> float:
    """A value of what is changed, in the unit that people say it in.

    Parameters
    ----------
    what : str, "fan:condenser"
    value : float [SI]
    units : str, "SI" or "US"

    Returns
    -------
    float
    """
    quantity = kind_of(what)[0].quantity
    return from_si(value, _SWEPT_UNITS[units][quantity], quantity)


def swept_unit(what: str, units: str) -> str:
    """The unit that people say it in.

    Parameters
    ----------
    what : str, "fan:condenser"
    units : str, "SI" or "US"

    Returns
    -------
    str, as written
    """
    unit = _SWEPT_UNITS[units][kind_of(what)[0].quantity]
    return {"C": "°C", "F": "°F"}.get(unit, unit)


def swept_text(what: str, value: float, units: str) -> str:
    """A value of what is changed, with its unit.

    Parameters
    ----------
    what : str, "fan:condenser"
    value : float [SI]
    units : str, "SI" or "US"

    Returns
    -------
    str
    """
    return f"{swept_number(what, value, units):.4g} {swept_unit(what, units)}"


_SWEPT_UNITS = {
    "SI": {"temperature": "C", "ratio": "%", "mass": "g"},
    "US": {"temperature": "F", "ratio": "%", "mass": "oz"},
}


def _swept_row(point: OperatingPoint, units: str, barometer_pa: float) -> Iterable[str]:
    if not point.is_solved:
        return ["-"] * len(SWEPT)
    return [number(WATCHED[name].value_of(point), WATCHED[name].quantity, units, barometer_pa) for name in SWEPT]


def _why_not(point: OperatingPoint) -> str:
    return f"{point.stopped_by} opens" if point.is_solved else point.outcome


def _move_words(move: Any) -> str:
    place = "" if move.valve is None else f" {move.valve}"
    return f"{move.what}{place}"


def _bulleted(title: str, sentences: Iterable[str]) -> list[str]:
    lines = [click.wrap_text(sentence, WIDTH, "- ", "  ") for sentence in sentences]
    return [title, *lines] if lines else []
