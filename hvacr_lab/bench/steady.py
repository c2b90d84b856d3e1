"""From bench and settings to the point at which the bench runs, or to the named condition in which it does not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace

from hvacr_lab.bench import off_state
from hvacr_lab.bench.chain import chain_of, connected_charge_kg
from hvacr_lab.bench.continuation import search
from hvacr_lab.bench.description import Bench, as_configured
from hvacr_lab.bench.faults import apply_faults
from hvacr_lab.bench.line_up import COMPLETE, LineUp, trace
from hvacr_lab.bench.nested import FLOOR, FOUND, HEAD, HOT
from hvacr_lab.bench.operating_point import (
    HEAD_BEYOND_LIMIT,
    OVERHEATED,
    PUMPED_DOWN,
    RUNNING,
    SUCTION_AT_FLOOR,
    UNRESOLVED,
    OperatingPoint,
)
from hvacr_lab.bench.residuals import Loop
from hvacr_lab.bench.running_report import running_point, stopped_point
from hvacr_lab.bench.settings import Modifiers, Settings
from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.units import checked_number, within

_LIMITS_K = (200.0, 340.0)
_LEAST_CHARGE_KG = 1e-6


def solve(bench: Bench, settings: Settings, *, start: OperatingPoint | None = None) -> OperatingPoint:
    """Find the point at which a bench runs.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    start : OperatingPoint, one nearby that is already known; saves time. Far outside of what a bench is made for there
        can be two steady states; then the one that is nearer is found

    Returns
    -------
    OperatingPoint

    Raises
    ------
    OutOfRange, NotUsable, UnknownName : a setting that the bench does not have or that no bench can take

    Source
    ------
    Simultaneous solution of mass flow, heat and charge, see `residuals`.
    """
    checked = _checked(bench, settings)
    if settings.box_balance and settings.compressor_on:
        from hvacr_lab.bench.spaces import balanced  # which solves the bench again and again

        return balanced(bench, checked, start)
    return solve_checked(bench, checked, start)


def solve_checked(bench: Bench, settings: Settings, start: OperatingPoint | None) -> OperatingPoint:
    """As `solve`, for settings that have been looked over; the spaces have the temperatures that are set.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    start : OperatingPoint or None

    Returns
    -------
    OperatingPoint
    """
    faulty, changed, modifiers = apply_faults(bench, settings)
    configured = as_configured(faulty, changed.configuration)
    line_up = trace(bench, changed.valves, changed.reversing)
    # of the bench as given, which is known already: neither screws nor faults change the piping
    if not changed.compressor_on:
        return off_state.at_rest(configured, changed, line_up)
    if line_up.outcome != COMPLETE:
        return off_state.condition(configured, changed, line_up)
    if modifiers.metering_blockage >= 1.0:
        return off_state.pumped_down(configured, changed, line_up, PUMPED_DOWN)
    if connected_charge_kg(changed, line_up) < _LEAST_CHARGE_KG:
        return off_state.pumped_down(configured, changed, line_up, SUCTION_AT_FLOOR)
    return _solved(configured, changed, line_up, modifiers, start)


def curve(
    bench: Bench, settings: Settings, changes: Iterable[Mapping[str, object]], *, start: OperatingPoint | None = None
) -> list[OperatingPoint]:
    """Solve one point after the other, each from the one before.

    Parameters
    ----------
    bench : Bench
    settings : Settings, from which each change departs
    changes : one mapping a point, from names of settings to values; what is itself a mapping (fans, valves, faults,
        temperatures) is merged
    start : OperatingPoint or None, where to begin

    Returns
    -------
    list of OperatingPoint, in the same order

    Raises
    ------
    UnknownName : a change of something that is no setting
    OutOfRange, NotUsable : as `solve`
    """
    points: list[OperatingPoint] = []
    near = start
    for change in changes:
        point = solve(bench, changed_settings(settings, change), start=near)
        near = point if point.unknowns is not None else near
        points.append(point)
    return points


def changed_settings(settings: Settings, change: Mapping[str, object]) -> Settings:
    """Settings with some of them changed; mappings are merged.

    Parameters
    ----------
    settings : Settings
    change : from names of settings to values

    Returns
    -------
    Settings

    Raises
    ------
    UnknownName : no such setting
    """
    known = [field.name for field in fields(Settings)]
    merged: dict[str, object] = {}
    for name, value in change.items():
        if name not in known:
            raise UnknownName("setting", name, known)
        before = getattr(settings, name)
        merged[name] = {**before, **value} if isinstance(before, Mapping) and isinstance(value, Mapping) else value
    return replace(settings, **merged)  # type: ignore[arg-type]


def _solved(
    bench: Bench, settings: Settings, line_up: LineUp, modifiers: Modifiers, start: OperatingPoint | None
) -> OperatingPoint:
    loop = Loop(chain_of(bench, settings, line_up, modifiers))
    near = None if start is None or start.unknowns is None else loop.from_ports(list(start.unknowns))
    end = search(loop, near)
    if end.kind == FOUND:
        return running_point(bench, settings, line_up, loop, end.x)
    return stopped_point(bench, settings, line_up, loop, end.x, _OUTCOME_OF_END.get(end.kind, UNRESOLVED))


_OUTCOME_OF_END: Mapping[str, str] = {FOUND: RUNNING, HEAD: HEAD_BEYOND_LIMIT, FLOOR: SUCTION_AT_FLOOR, HOT: OVERHEATED}


def _checked(bench: Bench, settings: Settings) -> Settings:
    """Settings as plain floats within limits; the openings of valves are looked over with the line-up."""
    charge = float(within("charge", checked_number(settings.charge_kg, "charge"), "kg", (0.0, None)))
    trapped = _numbers("trapped charge", settings.trapped_kg, "kg", (0.0, None))
    if sum(trapped.values()) > charge * (1.0 + 1e-9):
        raise NotUsable("trapped charge", sum(trapped.values()), f"it is more than the whole charge of {charge:g} kg")
    spaces, coils = bench.spaces, bench.coils
    _names("space", settings.temperatures_k, spaces)
    _names("space", settings.relative_humidity, spaces)
    _names("fan", settings.fans, coils)
    missing = [name for name in spaces if name not in settings.temperatures_k]
    if missing:
        raise NotUsable("temperatures", dict(settings.temperatures_k), f"that of {missing[0]} is missing")
    return replace(
        settings,
        valves={**dict.fromkeys(bench.valves, 0.0), **settings.valves},
        charge_kg=charge,
        trapped_kg=trapped,
        temperatures_k=_numbers("temperature of", settings.temperatures_k, "K", _LIMITS_K),
        relative_humidity=_numbers("relative humidity of", settings.relative_humidity, "", (0.0, 1.0)),
        fans=_numbers("fan of", settings.fans, "", (0.0, 1.0)),
    )


def _names(kind: str, given: Mapping[str, object], known: Mapping[str, object]) -> None:
    for name in given:
        if name not in known:
            raise UnknownName(kind, name, known)


def _numbers(
    what: str, values: Mapping[str, float], unit: str, limits: tuple[float | None, float | None]
) -> dict[str, float]:
    return {
        name: float(within(f"{what} {name}", checked_number(value, f"{what} {name}"), unit, limits))
        for name, value in values.items()
    }
