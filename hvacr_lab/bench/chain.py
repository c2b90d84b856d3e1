"""A line-up boiled down to what the equations need: one loop in series, with lanes side by side to meter the flow.

Pipes and open hand valves of one stretch become one resistance and one volume. What hangs off the loop behind shut
valves counts as a dead end, at the pressure of its side and the temperature of its surroundings. Where a vessel and
the way round it are both open, the way through the vessel counts and the other holds refrigerant only.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from hvacr_lab.bench.coils import Conductances, conductances
from hvacr_lab.bench.description import COMPRESSOR_OUT, HEATING, Bench
from hvacr_lab.bench.fans import AirStream, air_stream, fan_power_w
from hvacr_lab.bench.fluid import Fluid, fluid_of
from hvacr_lab.bench.line_up import LineUp
from hvacr_lab.bench.parts import Coil, Compressor, Vessel
from hvacr_lab.bench.settings import Modifiers, Settings
from hvacr_lab.bench.stretches import Lane, Stretch, Stretches
from hvacr_lab.bench.wet_coil import Air, saturated
from hvacr_lab.units import STANDARD_ATMOSPHERE_PA

RECEIVER, ACCUMULATOR = "receiver", "accumulator"
_AIR_GIVEN_AT_K = 300.0
# temperature at which `Modifiers.non_condensable_pa` is meant


class CoilInAir(NamedTuple):
    """A coil with the air that its fan moves past it."""

    coil: Coil
    stream: AirStream
    air: Air
    conductances: Conductances
    fan_w: float
    ends: tuple[str, str]
    # its ports in the direction of flow


class DeadEnd(NamedTuple):
    """A volume that hangs off the loop."""

    id: str
    volume_m3: float
    wall_k: float
    is_high: bool
    ends: tuple[str, ...] = ()
    # its ports, or the places where the pipe ends


class Chain(NamedTuple):
    """All that the equations of a running bench need."""

    fluid: Fluid
    compressor: Compressor
    discharge: Stretch
    condenser: CoilInAir
    receiver: Vessel | None
    liquid: Stretch
    lanes: tuple[Lane, ...]
    lanes_before_m3: float
    # pipes of the lanes up to the devices; what lies behind them belongs to the distributor
    distributor: Stretch
    evaporator: CoilInAir
    accumulator: Vessel | None
    suction: Stretch
    dead_ends: tuple[DeadEnd, ...]
    charge_kg: float
    # that is open to the loop
    air_pa: float
    # partial pressure of air in the high side
    surroundings_k: float
    modifiers: Modifiers


def chain_of(bench: Bench, settings: Settings, line_up: LineUp, modifiers: Modifiers) -> Chain:
    """Reduce a complete line-up.

    Parameters
    ----------
    bench : Bench, screws turned and faults of the hardware in it
    settings : Settings
    line_up : LineUp, complete
    modifiers : Modifiers

    Returns
    -------
    Chain
    """
    places = Stretches(bench, settings)
    before, condenser, after = _around_coil(line_up.high, bench)
    distributed, evaporator, back = _around_coil(line_up.low, bench)
    condensing, evaporating = (coil_in_air(bench, settings, modifiers, name) for name in (condenser, evaporator))
    surroundings_k = surroundings(bench, settings, condenser, evaporator)
    wrong = modifiers
    discharge = places.stretch(before, COMPRESSOR_OUT, surroundings_k, first=wrong.discharge_restriction_per_m4)
    liquid = places.stretch(after, condensing.ends[1], surroundings_k, last=wrong.liquid_restriction_per_m4)
    suction = places.stretch(back, evaporating.ends[1], surroundings_k, last=wrong.suction_restriction_per_m4)
    lanes = tuple(places.lane(lane, suction, evaporating.ends[1]) for lane in line_up.lanes)
    behind = places.stretch(distributed, None, surroundings_k)
    sides = _Sides.of(bench, line_up)
    return Chain(
        fluid=fluid_of(bench.refrigerant),
        compressor=bench.compressor,
        discharge=discharge,
        condenser=condensing,
        receiver=_vessel(bench, after, RECEIVER),
        liquid=liquid,
        lanes=lanes,
        lanes_before_m3=places.volume(name for lane in lanes for name in lane.before),
        distributor=behind._replace(
            volume_m3=behind.volume_m3 + places.volume(n for lane in lanes for n in lane.after)
        ),
        evaporator=evaporating,
        accumulator=_vessel(bench, back, ACCUMULATOR),
        suction=suction,
        dead_ends=sides.dead_ends(bench, settings, surroundings_k),
        charge_kg=connected_charge_kg(settings, line_up),
        air_pa=modifiers.non_condensable_pa * condensing.air.temperature_k / _AIR_GIVEN_AT_K,
        surroundings_k=surroundings_k,
        modifiers=modifiers,
    )


def connected_charge_kg(settings: Settings, line_up: LineUp) -> float:
    """Refrigerant that is not shut in.

    Parameters
    ----------
    settings : Settings
    line_up : LineUp

    Returns
    -------
    float [kg]
    """
    cut_off = cut_off_elements(line_up)
    return settings.charge_kg - sum(kg for name, kg in settings.trapped_kg.items() if name in cut_off)


def cut_off_elements(line_up: LineUp) -> frozenset[str]:
    """Elements that refrigerant can neither enter nor leave; what a check valve lets fill is none of them.

    Parameters
    ----------
    line_up : LineUp

    Returns
    -------
    frozenset of str
    """
    shut_in = {name for trapped in line_up.trapped for name in trapped.elements}
    return frozenset(shut_in.difference(line_up.high, line_up.low))


def coil_in_air(bench: Bench, settings: Settings, modifiers: Modifiers, name: str) -> CoilInAir:
    """A coil with the air of its space, as its fan and the dirt on it let it pass.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    modifiers : Modifiers
    name : str, id of the coil

    Returns
    -------
    CoilInAir
    """
    coil = bench.coils[name]
    air_k = float(settings.temperatures_k[coil.space])
    ratio = float(settings.relative_humidity.get(coil.space, 0.0)) * saturated(air_k, STANDARD_ATMOSPHERE_PA)[0]
    air = Air(air_k, ratio)
    speed = float(settings.fans.get(name, 1.0)) * modifiers.fan_share.get(name, 1.0)
    stream = air_stream(coil, speed, modifiers.fouling.get(name, 0.0), ratio)
    ends = (f"{name}.out", f"{name}.in") if settings.reversing == HEATING else (f"{name}.in", f"{name}.out")
    film = modifiers.oil_logging.get(name, 0.0)
    return CoilInAir(coil, stream, air, conductances(coil, stream, film), fan_power_w(coil, speed), ends)


def surroundings(bench: Bench, settings: Settings, condenser: str, evaporator: str) -> float:
    """Temperature of the air around pipes and vessels: outdoors or room, but not the space that is cooled or heated.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    condenser, evaporator : str, ids of coils

    Returns
    -------
    float [K]
    """
    outside = evaporator if settings.reversing == HEATING else condenser
    return float(settings.temperatures_k[bench.coils[outside].space])


def volume_of(bench: Bench, name: str) -> float:
    """Inside volume of a pipe or part; none for valves and devices.

    Parameters
    ----------
    bench : Bench
    name : str, id

    Returns
    -------
    float [m3]
    """
    for pipe in bench.pipes:
        if pipe.id == name:
            return pipe.volume_m3
    if name in bench.vessels:
        return bench.vessels[name].volume_m3
    return bench.coils[name].volume_m3 if name in bench.coils else 0.0


def _around_coil(elements: tuple[str, ...], bench: Bench) -> tuple[tuple[str, ...], str, tuple[str, ...]]:
    index = next(index for index, name in enumerate(elements) if name in bench.coils)
    return elements[:index], elements[index], elements[index + 1 :]


def _vessel(bench: Bench, elements: Iterable[str], kind: str) -> Vessel | None:
    return next((bench.vessels[name] for name in elements if _is_vessel(bench, name, kind)), None)


def _is_vessel(bench: Bench, name: str, kind: str) -> bool:
    return name in bench.vessels and bench.vessels[name].kind == kind


class _Sides(NamedTuple):
    """Elements that hold refrigerant without passing it, by side."""

    high: tuple[str, ...]
    low: tuple[str, ...]

    @classmethod
    def of(cls, bench: Bench, line_up: LineUp) -> _Sides:
        """Dead ends of a line-up, and the ways beside the loop that are open as well."""
        high, low = list[str](), list[str]()
        for dead in line_up.dead_ends:
            (high if dead.side == "high" else low).extend(dead.elements)
        passed = {*line_up.high, *line_up.low, *(name for lane in line_up.lanes for name in lane)}
        for beside in line_up.bypasses:
            names = [name for name in beside if name not in passed]
            (low if _is_beside_low(bench, names, line_up.low) else high).extend(names)
        return cls(tuple(dict.fromkeys(high)), tuple(name for name in dict.fromkeys(low) if name not in high))

    def dead_ends(self, bench: Bench, settings: Settings, surroundings_k: float) -> tuple[DeadEnd, ...]:
        """As volumes with walls; what holds nothing is left out."""
        found = (
            DeadEnd(
                name,
                volume_of(bench, name),
                wall_k(bench, settings, name, surroundings_k),
                is_high,
                ends_of(bench, name),
            )
            for names, is_high in ((self.high, True), (self.low, False))
            for name in names
        )
        return tuple(dead for dead in found if dead.volume_m3 > 0.0)


def _is_beside_low(bench: Bench, names: Iterable[str], low: tuple[str, ...]) -> bool:
    """A way beside belongs to the low side if it ends where a pipe of the low side does."""
    pipes = {pipe.id: pipe for pipe in bench.pipes}
    on_low = {end for name in low if name in pipes for end in (pipes[name].start, pipes[name].end)}
    return any(end in on_low for name in names if name in pipes for end in (pipes[name].start, pipes[name].end))


def ends_of(bench: Bench, name: str) -> tuple[str, str]:
    """Ports of a part, or the two places where a pipe ends.

    Parameters
    ----------
    bench : Bench
    name : str, id

    Returns
    -------
    tuple of str
    """
    ends = ((pipe.start, pipe.end) for pipe in bench.pipes if pipe.id == name)
    return next(ends, (f"{name}.in", f"{name}.out"))


def wall_k(bench: Bench, settings: Settings, name: str, surroundings_k: float) -> float:
    """Temperature of the air around an element: a coil stands in its space, everything else in the surroundings.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    name : str, id
    surroundings_k : float [K]

    Returns
    -------
    float [K]
    """
    if name in bench.coils:
        return float(settings.temperatures_k[bench.coils[name].space])
    return surroundings_k
