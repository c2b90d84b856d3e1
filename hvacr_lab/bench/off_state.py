"""A bench that does not run: pressures while it rests, and the conditions that shut valves lead to.

At rest every joined volume has one pressure. Refrigerant gathers as liquid where it is coldest; the pressure is the
vapour pressure there, or lower if there is too little for any liquid, or higher if the coldest place is full.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from hvacr_lab.bench import operating_point as named
from hvacr_lab.bench.chain import connected_charge_kg, cut_off_elements, ends_of, surroundings, volume_of, wall_k
from hvacr_lab.bench.controls import HIGH, LOW, Sensed, reports
from hvacr_lab.bench.description import COMPRESSOR, HEATING, Bench
from hvacr_lab.bench.fluid import Fluid, fluid_of
from hvacr_lab.bench.line_up import (
    CONDENSER_BYPASSED,
    DISCHARGE_SHUT,
    EVAPORATOR_BYPASSED,
    LIQUID_LINE_SHUT,
    METERING_SHUT,
    SHORT_CIRCUIT,
    SUCTION_SHUT,
    LineUp,
)
from hvacr_lab.bench.newton import Bracket, root_in
from hvacr_lab.bench.operating_point import (
    DEAD_HEADED,
    EQUALISED,
    LIQUID_FULL,
    OUTCOMES,
    PUMPED_DOWN,
    SUCTION_ISOLATED,
    OperatingPoint,
)
from hvacr_lab.bench.running_report import LIQUID, VAPOUR, first_open, shut_in, state_at
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.still_refrigerant import gas_enthalpy, liquid_enthalpy
from hvacr_lab.states import State

_LOWEST_PA = 1.0
_ALIKE_K = 1e-6


class Volume(NamedTuple):
    """A volume whose wall has one temperature."""

    id: str
    volume_m3: float
    wall_k: float


class Rest(NamedTuple):
    """Refrigerant at rest in joined volumes."""

    pressure_pa: float
    filled: Mapping[str, float]
    # volume -> share that is liquid; 0 where there is none
    is_full: bool
    # all of it is liquid: there is no room to expand


def equalised(fluid: Fluid, volumes: Iterable[Volume], charge_kg: float) -> Rest:
    """Pressure and whereabouts of the liquid in joined volumes at rest.

    Parameters
    ----------
    fluid : Fluid
    volumes : Volumes, of different temperatures
    charge_kg : float [kg]

    Returns
    -------
    Rest

    Source
    ------
    Equilibrium: the same pressure everywhere, liquid only where the wall is at or below its saturation temperature;
    the charge grows with the pressure, in steps at the saturation pressures of the walls.
    """
    groups = _by_temperature([volume for volume in volumes if volume.volume_m3 > 0.0])
    full = 0.0
    # liquid in the groups that are colder
    for index, (cold_k, volume_m3) in enumerate(groups):
        step_pa = fluid.dew_pressure(cold_k)
        warmer = groups[index + 1 :]
        gas_kg = _gas_kg(fluid, groups[index:], step_pa)
        liquid = 1.0 / _liquid_volume(fluid, cold_k)
        if full + gas_kg >= charge_kg:
            pressure_pa = _pressure_of_gas(fluid, groups[index:], charge_kg - full, step_pa)
            return Rest(pressure_pa, _filled(volumes, groups[:index], None, 0.0), False)
        at_most = full + volume_m3 * liquid + _gas_kg(fluid, warmer, step_pa)
        if at_most >= charge_kg:
            share = (charge_kg - full - gas_kg) / (at_most - full - gas_kg)
            return Rest(step_pa, _filled(volumes, groups[:index], cold_k, share), False)
        full += volume_m3 * liquid
    hottest_pa = fluid.dew_pressure(groups[-1][0]) if groups else fluid.p_low_pa
    return Rest(hottest_pa, _filled(volumes, groups, None, 0.0), True)


def _by_temperature(volumes: list[Volume]) -> list[tuple[float, float]]:
    """Temperatures, coldest first, with all the volume that has each."""
    groups: list[tuple[float, float]] = []
    for volume in sorted(volumes, key=lambda one: one.wall_k):
        if groups and volume.wall_k - groups[-1][0] < _ALIKE_K:
            groups[-1] = (groups[-1][0], groups[-1][1] + volume.volume_m3)
        else:
            groups.append((volume.wall_k, volume.volume_m3))
    return groups


def _filled(
    volumes: Iterable[Volume], full: list[tuple[float, float]], partly_k: float | None, share: float
) -> dict[str, float]:
    highest_k = full[-1][0] + _ALIKE_K if full else -math.inf
    filled = {}
    for volume in volumes:
        is_partly = partly_k is not None and abs(volume.wall_k - partly_k) < _ALIKE_K
        filled[volume.id] = 1.0 if volume.wall_k <= highest_k else share if is_partly else 0.0
    return filled


def _gas_kg(fluid: Fluid, groups: list[tuple[float, float]], pressure_pa: float) -> float:
    lines = fluid.lines(pressure_pa)
    return sum(volume_m3 / fluid.volume(lines, gas_enthalpy(fluid, lines, gas_k)) for gas_k, volume_m3 in groups)


def _liquid_volume(fluid: Fluid, liquid_k: float) -> float:
    lines = fluid.lines(fluid.bubble_pressure(liquid_k))
    return lines.bubble_m3_per_kg


def _pressure_of_gas(fluid: Fluid, groups: list[tuple[float, float]], charge_kg: float, highest_pa: float) -> float:
    def excess(log_pressure: float) -> float:
        return _gas_kg(fluid, groups, math.exp(log_pressure)) / charge_kg - 1.0

    if charge_kg <= 0.0:
        return _LOWEST_PA
    low, high = math.log(_LOWEST_PA), math.log(highest_pa)
    at_low, at_high = excess(low), excess(high)
    if at_low >= 0.0 or at_high <= 0.0:
        return math.exp(low if at_low >= 0.0 else high)
    return math.exp(root_in(excess, Bracket(low, at_low, high, at_high, True), 1e-10, 1e-13))


def at_rest(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
    """The bench with its compressor switched off, a long time after.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    line_up : LineUp

    Returns
    -------
    OperatingPoint
    """
    still = _Still(bench, settings, line_up)
    rest = still.everything()
    outcome = LIQUID_FULL if rest.is_full else EQUALISED
    return still.point(outcome, rest.pressure_pa, rest.pressure_pa, rest.filled)


def pumped_down(bench: Bench, settings: Settings, line_up: LineUp, outcome: str) -> OperatingPoint:
    """Low side pumped empty down to the low-pressure control, everything else liquid in the high side.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    line_up : LineUp
    outcome : str

    Returns
    -------
    OperatingPoint
    """
    high = {*line_up.high} - {*line_up.low}
    return _emptied(_Still(bench, settings, line_up, lambda name: name not in high), outcome)


def _emptied(still: _Still, outcome: str) -> OperatingPoint:
    """One part pumped down to the cut-out of the low-pressure control, the rest at rest with what that leaves."""
    suction_pa = min(still.bench.controls.low_cut_out_pa, still.everything().pressure_pa)
    low_kg = _gas_kg(still.fluid, [(volume.wall_k, volume.volume_m3) for volume in still.low], suction_pa)
    rest = equalised(still.fluid, still.high, max(still.charge_kg - low_kg, 0.0))
    discharge_pa = max(rest.pressure_pa, suction_pa)
    return still.point(LIQUID_FULL if rest.is_full else outcome, discharge_pa, suction_pa, rest.filled, stopped_by=LOW)


def condition(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
    """What becomes of a running compressor when the valves leave no complete circuit.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    line_up : LineUp

    Returns
    -------
    OperatingPoint
    """
    return CONDITIONS[line_up.outcome](bench, settings, line_up)


def _pumps_down(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
    return pumped_down(bench, settings, line_up, PUMPED_DOWN)


def _dead_headed(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
    """What lies before the shut valve is under the cut-out pressure, everything else at rest."""
    high = {*line_up.high} - {*line_up.low}
    still = _Still(bench, settings, line_up, lambda name: name not in high)
    discharge_pa = bench.controls.high_cut_out_pa
    high_kg = _gas_kg(still.fluid, [(volume.wall_k, volume.volume_m3) for volume in still.high], discharge_pa)
    rest = equalised(still.fluid, still.low, max(still.charge_kg - high_kg, 0.0))
    suction_pa = min(rest.pressure_pa, discharge_pa)
    return still.point(
        LIQUID_FULL if rest.is_full else DEAD_HEADED, discharge_pa, suction_pa, rest.filled, stopped_by=HIGH
    )


def _suction_isolated(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
    """Only what is open to the suction port is pumped empty."""
    low = {*line_up.low} - {*line_up.high}
    return _emptied(_Still(bench, settings, line_up, lambda name: name in low), SUCTION_ISOLATED)


def _stays_equal(outcome: str) -> Callable[[Bench, Settings, LineUp], OperatingPoint]:
    def stays(bench: Bench, settings: Settings, line_up: LineUp) -> OperatingPoint:
        still = _Still(bench, settings, line_up)
        rest = still.everything()
        return still.point(outcome, rest.pressure_pa, rest.pressure_pa, rest.filled)

    return stays


CONDITIONS: Mapping[str, Callable[[Bench, Settings, LineUp], OperatingPoint]] = {
    METERING_SHUT: _pumps_down,
    LIQUID_LINE_SHUT: _pumps_down,
    DISCHARGE_SHUT: _dead_headed,
    SUCTION_SHUT: _suction_isolated,
    SHORT_CIRCUIT: _stays_equal(named.SHORT_CIRCUIT),
    CONDENSER_BYPASSED: _stays_equal(named.CONDENSER_BYPASSED),
    EVAPORATOR_BYPASSED: _stays_equal(named.EVAPORATOR_BYPASSED),
}


class _Still:
    """Volumes of a bench that rests, by side, and what can be read on them."""

    def __init__(
        self, bench: Bench, settings: Settings, line_up: LineUp, is_low: Callable[[str], bool] = lambda name: True
    ) -> None:
        self.bench, self.settings, self.line_up = bench, settings, line_up
        self.fluid = fluid_of(bench.refrigerant)
        self.charge_kg = connected_charge_kg(settings, line_up)
        trapped = cut_off_elements(line_up)
        names = (*bench.coils, *bench.vessels, *(pipe.id for pipe in bench.pipes))
        around_k = self._surroundings_k()
        joined = [self._volume(name, around_k) for name in names if name not in trapped]
        self.high = [volume for volume in joined if not is_low(volume.id)]
        shell = Volume(COMPRESSOR, bench.compressor.shell_volume_m3, around_k)
        self.low = [shell, *(volume for volume in joined if is_low(volume.id))]
        self.trapped = [self._volume(name, around_k) for name in names if name in trapped]

    def _surroundings_k(self) -> float:
        """As of the coils on the way; of all coils the one that stands in the warmest air where there is no way."""
        high, low = (
            next((name for name in way if name in self.bench.coils), None)
            for way in (self.line_up.high, self.line_up.low)
        )
        coils = [name for name in (high, low) if name is not None]
        if len(coils) == 2:
            return surroundings(self.bench, self.settings, coils[0], coils[1])
        spaces = [coil.space for coil in self.bench.coils.values()]
        return max(float(self.settings.temperatures_k[space]) for space in spaces)

    def _volume(self, name: str, around_k: float) -> Volume:
        return Volume(name, volume_of(self.bench, name), wall_k(self.bench, self.settings, name, around_k))

    def everything(self) -> Rest:
        """All that is joined, as if no valve stood between the sides."""
        return equalised(self.fluid, [*self.low, *self.high], self.charge_kg)

    def point(
        self, outcome: str, discharge_pa: float, suction_pa: float, filled: Mapping[str, float], stopped_by: str = ""
    ) -> OperatingPoint:
        """As an operating point: pressures, states in every volume, sight glasses, charge by part."""
        by_side = [*((one, discharge_pa) for one in self.high), *((one, suction_pa) for one in self.low)]
        points = dict[str, State]()
        charges = dict[str, float]()
        for volume, pressure_pa in by_side:
            lines = self.fluid.lines(max(pressure_pa, _LOWEST_PA))
            share = filled.get(volume.id, 0.0)
            gas_h = gas_enthalpy(self.fluid, lines, volume.wall_k)
            liquid = share / _liquid_volume(self.fluid, min(volume.wall_k, lines.dew_k)) if share else 0.0
            charges[volume.id] = volume.volume_m3 * (liquid + (1.0 - share) / self.fluid.volume(lines, gas_h))
            liquid_h = liquid_enthalpy(self.fluid, lines, volume.wall_k)
            state = state_at(self.fluid, lines, liquid_h if share > 0.5 else gas_h, pressure_pa)
            points |= dict.fromkeys((volume.id, *ends_of(self.bench, volume.id)), state)
        sensed = Sensed(discharge_pa, suction_pa, self._space_k())
        controls = reports(self.bench.controls, sensed, heating=self.settings.reversing == HEATING)
        is_off = outcome in (EQUALISED, LIQUID_FULL)
        return OperatingPoint(
            outcome=outcome,
            refrigerant=self.fluid.name,
            configuration=self.settings.configuration,
            why=OUTCOMES[outcome] if is_off else self.line_up.sentence,
            stopped_by=stopped_by or ("" if is_off else first_open(controls)),
            points=points,
            glasses={glass: self._seen(pipe, filled) for glass, pipe in self.bench.sight_glasses.items()},
            discharge_pressure_pa=discharge_pa,
            suction_pressure_pa=suction_pa,
            charge_by_part=charges | shut_in(self.settings, self.line_up),
            equalised_pressures_pa={volume.id: pressure_pa for volume, pressure_pa in by_side} | self._trapped_pa(),
            space_temperatures_k=dict(self.settings.temperatures_k),
            controls=controls,
            warnings=self.line_up.warnings,
        )

    def _seen(self, pipe: str, filled: Mapping[str, float]) -> str:
        left_behind = self.settings.trapped_kg.get(pipe, 0.0) > 0.0
        return LIQUID if filled.get(pipe, 0.0) > 0.5 or left_behind else VAPOUR

    def _trapped_pa(self) -> dict[str, float]:
        return {
            volume.id: equalised(self.fluid, [volume], self.settings.trapped_kg.get(volume.id, 0.0)).pressure_pa
            for volume in self.trapped
        }

    def _space_k(self) -> float:
        way = self.line_up.high if self.settings.reversing == HEATING else self.line_up.low
        coil = next((name for name in way if name in self.bench.coils), next(iter(self.bench.coils)))
        return float(self.settings.temperatures_k[self.bench.coils[coil].space])
