"""A bench as data: its parts, how they are piped, and the configurations it is made for. Hardware only, no results.

Ids are the instructor's own names. Only ``compressor`` is fixed, because a bench has exactly one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from hvacr_lab.bench.parts import (
    Capillary,
    CheckValveBridge,
    Coil,
    Compressor,
    ConstantPressureValve,
    Controls,
    HandValve,
    Metering,
    Pipe,
    Port,
    ReversingValve,
    Space,
    ThermostaticValve,
    Vessel,
)

__all__ = [
    "COMPRESSOR",
    "COMPRESSOR_IN",
    "COMPRESSOR_OUT",
    "Bench",
    "Capillary",
    "CheckValveBridge",
    "Coil",
    "Compressor",
    "Configuration",
    "ConstantPressureValve",
    "Controls",
    "HandValve",
    "Metering",
    "Passage",
    "Pipe",
    "Port",
    "ReversingValve",
    "Space",
    "ThermostaticValve",
    "Vessel",
    "as_configured",
    "passages",
    "port_names",
    "with_vessel",
]

COMPRESSOR: Final = "compressor"
COMPRESSOR_IN: Final = "compressor.in"
COMPRESSOR_OUT: Final = "compressor.out"
COOLING, HEATING = "cooling", "heating"

Part = (
    Compressor
    | Coil
    | Vessel
    | Capillary
    | ThermostaticValve
    | ConstantPressureValve
    | ReversingValve
    | CheckValveBridge
)
_PORTS: Final[dict[type, tuple[str, ...]]] = {
    ReversingValve: ("discharge", "suction", "a", "b"),
    CheckValveBridge: ("liquid", "return", "a", "b"),
}


@dataclass(frozen=True, slots=True)
class Configuration:
    """One of the machines that a bench can be lined up as.

    Parameters
    ----------
    id, title : str
    kind : str, "refrigerator", "freezer", "air conditioner" or "heat pump"
    valves : opening of each hand valve, 0 shut ... 1 open
    reversing : "cooling", "heating", or None on a bench without reversing valve
    metering : str, id of the device in use
    charge_kg : float or None, refrigerant on the bench [kg]; None: the nominal charge is still to be computed
        (5 K of subcooling at the design point, or a receiver one third full)
    ambient_k : float, design temperature of the surroundings and of outdoor air [K]
    space_k : float, design temperature of the cooled or heated space [K]
    space_relative_humidity : float, in that space, 0 ... 1
    ambient_relative_humidity : float, outdoors and in the surroundings, 0 ... 1
    fans : speed of each fan that does not run full on, 0 ... 1
    coil_spaces : where a coil stands in other air than Coil.space says
    settings_pa : setting of each constant-pressure valve that differs from its own, absolute [Pa]
    controls : Controls of this configuration; None: those of the bench
    """

    id: str
    title: str
    kind: str
    valves: Mapping[str, float]
    reversing: str | None
    metering: str
    charge_kg: float | None
    ambient_k: float
    space_k: float
    space_relative_humidity: float
    ambient_relative_humidity: float = 0.5
    fans: Mapping[str, float] = field(default_factory=dict)
    coil_spaces: Mapping[str, str] = field(default_factory=dict)
    settings_pa: Mapping[str, float] = field(default_factory=dict)
    controls: Controls | None = None


@dataclass(frozen=True, slots=True)
class Bench:
    """A sealed system on a frame, with everything that can be lined up, set and read on it.

    Parameters
    ----------
    name, title : str
    refrigerant : str, "R-134a"
    compressor : Compressor
    coils, vessels, metering, valves, ports, spaces, configurations : by id
    pipes : tuple of Pipe, the graph
    sight_glasses : id of each glass, and the id of the pipe it sits in
    reversing_valve : ReversingValve or None
    controls : Controls
    bridge : CheckValveBridge or None
    """

    name: str
    title: str
    refrigerant: str
    compressor: Compressor
    coils: Mapping[str, Coil]
    vessels: Mapping[str, Vessel]
    metering: Mapping[str, Metering]
    valves: Mapping[str, HandValve]
    pipes: tuple[Pipe, ...]
    sight_glasses: Mapping[str, str]
    ports: Mapping[str, Port]
    reversing_valve: ReversingValve | None
    spaces: Mapping[str, Space]
    controls: Controls
    configurations: Mapping[str, Configuration]
    bridge: CheckValveBridge | None = None

    def parts(self) -> dict[str, Part]:
        """Every part that refrigerant passes, by id, pipes and hand valves apart."""
        single = {part.id: part for part in (self.reversing_valve, self.bridge) if part is not None}
        return {COMPRESSOR: self.compressor, **self.coils, **self.vessels, **self.metering, **single}

    def pipe(self, name: str) -> Pipe:
        """The pipe with this id."""
        return next(pipe for pipe in self.pipes if pipe.id == name)

    def nodes(self) -> tuple[str, ...]:
        """Every port and junction that a pipe ends at, in the order of the file."""
        return tuple(dict.fromkeys(end for pipe in self.pipes for end in (pipe.start, pipe.end)))


@dataclass(frozen=True, slots=True)
class Passage:
    """A way through a part, from port to port.

    Parameters
    ----------
    part : str, id
    start, end : str, ports in the direction of flow
    both_ways : bool, whether pressure can also drive refrigerant backwards through it
    """

    part: str
    start: str
    end: str
    both_ways: bool


def port_names(part: Part) -> tuple[str, ...]:
    """Names of the ports of a part, without the part's own name.

    Parameters
    ----------
    part : any part but a pipe or a hand valve

    Returns
    -------
    tuple of str
    """
    return _PORTS.get(type(part), ("in", "out"))


def passages(bench: Bench, reversing: str | None) -> tuple[Passage, ...]:
    """Every way through a part, as the reversing valve stands.

    Parameters
    ----------
    bench : Bench
    reversing : "cooling" or "heating"; None is taken as cooling

    Returns
    -------
    tuple of Passage; with the pipes they are the whole graph

    Examples
    --------
    >>> from hvacr_lab.bench import load_bench
    >>> [(way.start, way.end) for way in passages(load_bench("demo"), "heating") if way.part == "four_way"]
    [('four_way.discharge', 'four_way.b'), ('four_way.a', 'four_way.suction')]
    """
    return tuple(way for name, part in bench.parts().items() for way in _through(name, part, reversing == HEATING))


def _through(name: str, part: Part, heating: bool) -> Iterator[Passage]:
    first, second = ("b", "a") if heating else ("a", "b")
    if isinstance(part, ReversingValve):
        yield Passage(name, f"{name}.discharge", f"{name}.{first}", True)
        yield Passage(name, f"{name}.{second}", f"{name}.suction", True)
    elif isinstance(part, CheckValveBridge):
        yield Passage(name, f"{name}.{first}", f"{name}.liquid", False)
        yield Passage(name, f"{name}.return", f"{name}.{second}", False)
    elif isinstance(part, Coil) and heating:
        yield Passage(name, f"{name}.out", f"{name}.in", True)
    else:
        yield Passage(name, f"{name}.in", f"{name}.out", not isinstance(part, Compressor))


def as_configured(bench: Bench, configuration: str) -> Bench:
    """The bench set as a configuration wants: its controls, constant-pressure settings, air around the coils.

    Parameters
    ----------
    bench : Bench
    configuration : str, its id; "" leaves everything as it is

    Returns
    -------
    Bench, the very same one if nothing differs
    """
    wanted = bench.configurations.get(configuration)
    if wanted is None:
        return bench
    changes: dict[str, object] = {}
    if wanted.controls is not None:
        changes["controls"] = wanted.controls
    if wanted.coil_spaces:
        changes["coils"] = {
            name: replace(coil, space=wanted.coil_spaces.get(name, coil.space)) for name, coil in bench.coils.items()
        }
    if wanted.settings_pa:
        changes["metering"] = {
            name: _set(device, wanted.settings_pa.get(name)) for name, device in bench.metering.items()
        }
    return replace(bench, **changes) if changes else bench  # type: ignore[arg-type]


def _set(device: Metering, setting_pa: float | None) -> Metering:
    if setting_pa is None or not isinstance(device, ConstantPressureValve):
        return device
    return replace(device, setting_pa=setting_pa)


def with_vessel(bench: Bench, configuration: Configuration, vessel: str, *, in_line: bool) -> Configuration:
    """A configuration with a vessel put in line or bypassed; its charge is then to be computed anew.

    Parameters
    ----------
    bench : Bench
    configuration : Configuration
    vessel : str, id
    in_line : bool

    Returns
    -------
    Configuration, the very same one if the vessel already is where it should be
    """
    part = bench.vessels[vessel]
    moved = dict.fromkeys(part.isolated_by, 1.0 if in_line else 0.0)
    if part.bypassed_by:
        moved[part.bypassed_by] = 0.0 if in_line else 1.0
    if all(configuration.valves[valve] == opening for valve, opening in moved.items()):
        return configuration
    return replace(configuration, valves={**configuration.valves, **moved}, charge_kg=None)
