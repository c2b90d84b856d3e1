"""Is the bench of a file piped so that it can run? Each check refuses with the line, the names and the remedy."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Collection, Iterable, Mapping

from hvacr_lab.bench.bench_text import BenchText, guess, offer
from hvacr_lab.bench.description import (
    COMPRESSOR,
    COMPRESSOR_IN,
    COMPRESSOR_OUT,
    Bench,
    Configuration,
    passages,
    port_names,
)
from hvacr_lab.bench.parts import ThermostaticValve

_EVERY_VALVE_OPEN: Callable[[str], bool] = lambda valve: True  # noqa: E731


def check_wiring(file: BenchText, bench: Bench) -> None:
    """Check the piping of a bench and the line-ups of its configurations.

    Parameters
    ----------
    file : BenchText, for the lines
    bench : Bench, its names already known to exist

    Returns
    -------
    None

    Raises
    ------
    FileProblem : the first thing that is wrong
    """
    _check_pipe_ends(file, bench)
    _check_joints(file, bench)
    _check_valves(file, bench)
    for port in bench.ports.values():
        file.known(("port", port.id, "at"), "port or junction", port.at, bench.nodes())
    for configuration in bench.configurations.values():
        _check_mode(file, bench, configuration)
    for mode in dict.fromkeys(configuration.reversing for configuration in bench.configurations.values()):
        _check_loop(file, bench, mode)
    for configuration in bench.configurations.values():
        _check_line_up(file, bench, configuration)
    _check_bulbs(file, bench)


def check_parts(file: BenchText, bench: Bench) -> None:
    """Check that a bench has what every bench has.

    Parameters
    ----------
    file : BenchText, for the lines
    bench : Bench

    Returns
    -------
    None

    Raises
    ------
    FileProblem : a coil or a metering device is missing; a bridge without reversing valve
    """
    if len(bench.coils) < 2:
        raise file.problem(("coil",), "a bench has at least two coils, [coil.name]: one gives heat, one takes it.")
    if not bench.metering:
        what = "a bench has a metering device: [capillary.name], [thermostatic.name] or [constant_pressure.name]."
        raise file.problem(("bench",), what)
    if bench.bridge is not None and bench.reversing_valve is None:
        what = "a check-valve bridge is only of use with a [reversing_valve...]. Remove it or add the reversing valve."
        raise file.problem(("check_valve_bridge",), what)


def _check_pipe_ends(file: BenchText, bench: Bench) -> None:
    parts = bench.parts()
    ports = {f"{name}.{port}" for name, part in parts.items() for port in port_names(part)}
    taken = {pipe.id for pipe in bench.pipes} | set(bench.valves)
    for pipe in bench.pipes:
        for key, end in (("from", pipe.start), ("to", pipe.end)):
            place = ("pipe", pipe.id, key)
            if "." in end and end not in ports:
                near = guess(end, ports) or offer(end.split(".")[0], parts)
                raise file.problem(place, f'[pipe.{pipe.id}] `{key} = "{end}"`: there is no such port.{near}')
            if end in parts:
                choice = " or ".join(f"{end}.{port}" for port in port_names(parts[end]))
                raise file.problem(place, f'[pipe.{pipe.id}] `{key} = "{end}"`: which port of it? Write {choice}.')
            if end in taken:
                what = f'`{end}` is a pipe or a valve. Pipes meet at junctions; a valve is named with valve = "{end}".'
                raise file.problem(place, f'[pipe.{pipe.id}] `{key} = "{end}"`: {what}')
        if pipe.start == pipe.end:
            raise file.problem(
                ("pipe", pipe.id), f"[pipe.{pipe.id}] begins and ends at `{pipe.start}`. Correct one end."
            )


def _check_joints(file: BenchText, bench: Bench) -> None:
    """A port takes exactly one pipe, a junction at least two."""
    ends = Counter(end for pipe in bench.pipes for end in (pipe.start, pipe.end))
    last = {end: (pipe.id, key) for pipe in bench.pipes for key, end in (("from", pipe.start), ("to", pipe.end))}
    for end, count in ends.items():
        place = ("pipe", *last[end])
        if "." in end and count > 1:
            what = f"{count} pipes end at `{end}`. One pipe fits a port: join them at a junction before it."
            raise file.problem(place, what)
        if "." not in end and count < 2:
            near = guess(end, [other for other in ends if "." not in other and other != end])
            what = (
                f"only one pipe ends at junction `{end}`, so it leads nowhere. Name the same junction in another pipe."
            )
            raise file.problem(place, what + near)
    for name, part in bench.parts().items():
        for port in port_names(part):
            if f"{name}.{port}" not in ends:
                raise file.problem(
                    _heading(file, name), f"no pipe ends at `{name}.{port}`. Pipe it or remove the part."
                )


def _check_valves(file: BenchText, bench: Bench) -> None:
    first: dict[str, str] = {}
    for pipe in bench.pipes:
        if pipe.valve is None:
            continue
        file.known(("pipe", pipe.id, "valve"), "valve", pipe.valve, bench.valves)
        if pipe.valve in first:
            what = f"valve `{pipe.valve}` sits in pipe {first[pipe.valve]} already. A valve sits in one pipe."
            raise file.problem(("pipe", pipe.id, "valve"), what)
        first[pipe.valve] = pipe.id
    for valve in bench.valves:
        if valve not in first:
            what = f'valve `{valve}` sits in no pipe. Write valve = "{valve}" in its pipe, or remove it.'
            raise file.problem(("valve", valve), what)


def _check_mode(file: BenchText, bench: Bench, configuration: Configuration) -> None:
    place = ("configuration", configuration.id, "reversing")
    if bench.reversing_valve is None and configuration.reversing is not None:
        what = "this bench has no reversing valve. Remove the key."
        raise file.problem(place, f"[configuration.{configuration.id}] `reversing`: {what}")
    if bench.reversing_valve is not None and configuration.reversing is None:
        what = '`reversing` is missing: "cooling" or "heating".'
        raise file.problem(place, f"[configuration.{configuration.id}] {what}")


def _check_loop(file: BenchText, bench: Bench, mode: str | None) -> None:
    """With every valve open, refrigerant comes through every part, and each side has a coil."""
    when = f" in {mode}" if mode else ""
    reached = reach(bench, [COMPRESSOR_OUT], mode)
    leading = reach(bench, [COMPRESSOR_IN], mode, backwards=True)
    for way in passages(bench, mode):
        if way.part == COMPRESSOR:
            continue
        if way.start not in reached:
            what = f"with all valves open{when} nothing comes from the compressor to `{way.start}`. Check its pipes."
            raise file.problem(_heading(file, way.part), what)
        if way.end not in leading:
            what = f"with all valves open{when} nothing comes from `{way.end}` back to the compressor. Check its pipes."
            raise file.problem(_heading(file, way.part), what)
    high = reach(bench, [COMPRESSOR_OUT], mode, without=bench.metering)
    low = reach(bench, [COMPRESSOR_IN], mode, without=bench.metering, backwards=True)
    for side, nodes, port in (("high", high, "out"), ("low", low, "in")):
        if not any(f"{coil}.in" in nodes and f"{coil}.out" in nodes for coil in bench.coils):
            what = f"there is no coil on the {side}-pressure side{when}, between compressor.{port} and the metering."
            raise file.problem(("pipe",), f"{what} Check the pipes.")


def _check_line_up(file: BenchText, bench: Bench, configuration: Configuration) -> None:
    """With the valves of the configuration there is a way round, through the device it names and never past it."""
    place, heading = ("configuration", configuration.id, "open"), f"[configuration.{configuration.id}]"
    others = [device for device in bench.metering if device != configuration.metering]

    def is_open(valve: str) -> bool:
        return configuration.valves[valve] > 0.0

    mode = configuration.reversing
    front = reach(bench, [COMPRESSOR_OUT], mode, without=others, is_open=is_open)
    if COMPRESSOR_IN in reach(bench, [COMPRESSOR_OUT], mode, without=bench.metering, is_open=is_open):
        what = "with these valves open refrigerant runs past every metering device. Shut a valve or check the pipes."
        raise file.problem(place, f"{heading} {what}")
    if COMPRESSOR_IN in front:
        return
    if COMPRESSOR_IN not in reach(bench, [COMPRESSOR_OUT], mode, without=others):
        what = f"there is no way round through {configuration.metering}, whatever valve is open. Check its pipes."
        raise file.problem(place, f"{heading} {what}")
    back = reach(bench, [COMPRESSOR_IN], mode, without=others, is_open=is_open, backwards=True)
    missing = [
        pipe.valve
        for pipe in bench.pipes
        if pipe.valve and not is_open(pipe.valve) and _joins(front, back, pipe.start, pipe.end)
    ]
    remedy = f"Open {' or '.join(missing)}." if missing else "More than one shut valve is in the way."
    what = f"with these valves open there is no way round through {configuration.metering}. {remedy}"
    raise file.problem(place, f"{heading} {what}")


def _joins(front: Collection[str], back: Collection[str], start: str, end: str) -> bool:
    return (start in front and end in back) or (end in front and start in back)


def _check_bulbs(file: BenchText, bench: Bench) -> None:
    """A bulb belongs behind the coil that its valve feeds."""
    pipes = {pipe.id: (pipe.start, pipe.end) for pipe in bench.pipes}
    for device in bench.metering.values():
        if not isinstance(device, ThermostaticValve):
            continue
        place = ("thermostatic", device.id, "bulb")
        file.known(place, "port, junction or pipe", device.bulb, [*bench.nodes(), *pipes])
        spots = pipes.get(device.bulb, (device.bulb,))
        for mode in dict.fromkeys(configuration.reversing for configuration in bench.configurations.values()):
            behind = _behind_coil(bench, device.id, mode)
            if not all(spot in behind for spot in spots):
                when = f" in {mode}" if mode else ""
                what = (
                    f"`bulb`: `{device.bulb}` is not between the coil that this valve feeds{when} and the compressor."
                )
                raise file.problem(place, f"[thermostatic.{device.id}] {what} Clamp it to the coil's outlet.")


def _behind_coil(bench: Bench, device: str, mode: str | None) -> set[str]:
    fed = reach(bench, [f"{device}.out"], mode, without=bench.metering)
    outlets = [way.end for way in passages(bench, mode) if way.part in bench.coils and way.start in fed]
    return reach(bench, outlets, mode, without=[*bench.metering, *bench.coils])


def reach(
    bench: Bench,
    starts: Iterable[str],
    mode: str | None,
    *,
    without: Collection[str] | Mapping[str, object] = (),
    is_open: Callable[[str], bool] = _EVERY_VALVE_OPEN,
    backwards: bool = False,
) -> set[str]:
    """Nodes to which refrigerant can come: pipes both ways, parts as they are passed, never through the compressor.

    Parameters
    ----------
    bench : Bench
    starts : nodes to begin at
    mode : "cooling", "heating" or None
    without : parts that are not passed
    is_open : function from the name of a hand valve to yes or no
    backwards : bool, against the flow: nodes from which refrigerant can come

    Returns
    -------
    set of str, the starts among them
    """
    steps: dict[str, list[str]] = {}
    for pipe in bench.pipes:
        if pipe.valve is None or is_open(pipe.valve):
            steps.setdefault(pipe.start, []).append(pipe.end)
            steps.setdefault(pipe.end, []).append(pipe.start)
    for way in passages(bench, mode):
        if way.part != COMPRESSOR and way.part not in without:
            before, after = (way.end, way.start) if backwards else (way.start, way.end)
            steps.setdefault(before, []).append(after)
    found = set(starts)
    waiting = deque(found)
    while waiting:
        for node in steps.get(waiting.popleft(), ()):
            if node not in found:
                found.add(node)
                waiting.append(node)
    return found


def _heading(file: BenchText, part: str) -> tuple[str, ...]:
    """Section and name under which a part stands in the file."""
    if part == COMPRESSOR:
        return (COMPRESSOR,)
    return next(
        ((section, part) for section, found in file.values.items() if section != "pipe" and part in found), (part,)
    )
