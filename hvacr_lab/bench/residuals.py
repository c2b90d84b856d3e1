"""The four equations of a running bench, explicit in four unknowns: once around the loop from the compressor's ports.

The unknowns are the discharge and suction pressure at the ports of the compressor (as logarithms; behind a narrow
suction line the evaporating pressure takes the place of the latter), the enthalpy at the suction port, and a coordinate
of the condenser outlet that runs without a jump through gas, flash gas, a receiver that fills, and subcooled liquid.
Left over are: flow through the metering devices, heat in the evaporator, heat in the condenser, and the charge. All of
it is explicit because every pressure loss is counted from the ports.
"""

from __future__ import annotations

import math

from hvacr_lab.bench.chain import Chain
from hvacr_lab.bench.coils import CoilResult, coil
from hvacr_lab.bench.compressor import CompressorResult, compressor_flow
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.lines import pipe, pressure_drop_pa
from hvacr_lab.bench.march import HighSide, LowSide, March
from hvacr_lab.bench.newton import Box, Vector, bracket, root_in
from hvacr_lab.bench.parts import Vessel
from hvacr_lab.bench.still_refrigerant import density_behind_valve
from hvacr_lab.bench.stretches import Bulb, Lane, Stretch
from hvacr_lab.bench.valves import MeteringResult, Sensed, metering_flow
from hvacr_lab.bench.vessels import accumulator_charge_kg, accumulator_fill, receiver_charge_kg, volume_charge_kg
from hvacr_lab.bench.void_fraction import density
from hvacr_lab.bench.wet_coil import wetted

ENTHALPY_SCALE = 1e5
# [J/kg], unit of the third unknown
FLOW_SCALE_KG_PER_M3 = 10.0
# mass flow is counted in displacement times a gas density of this size
HIGHEST_PRESSURE_SHARE = 0.90
# of the critical pressure; above it no condensing is looked for
LOWEST_COORDINATE, HIGHEST_COORDINATE = -2.5, 3.0
_LEAST_RATIO = 1.02
# of condensing over suction pressure; a search may meet it, an answer may not
_LEAK_CORNER = 1e-3
# share of the compressor's flow over which a leak that takes all of it is rounded
_MOST_BLOCKED = 0.95
# of the bleed hole: quite shut, the accumulator would fill at a stroke, which no search can follow
_NARROW_J_PER_KG = 1e4
# resistance of the suction line times displacement squared: where its loss is a large part of the suction pressure
_AT_FLOOR = 1e-6
_GAP, _NARROW_GAP = 0.005, 1e-6
# in the logarithm, between discharge pressure and the second unknown
_KEPT = 64
# pressures whose lines are kept


class Loop:
    """The equations of one chain; keeps the saturation lines and the compressor's results it has just worked out."""

    def __init__(self, chain: Chain) -> None:
        self.chain, self.fluid = chain, chain.fluid
        self.flow_scale = FLOW_SCALE_KG_PER_M3 * chain.compressor.displacement_m3_per_s
        self.is_narrow = chain.suction.resistance_per_m4 * chain.compressor.displacement_m3_per_s**2 > _NARROW_J_PER_KG
        # then the second unknown is the evaporating pressure: a search would lose its way if counted from the port
        self.box = search_box(chain.fluid, _NARROW_GAP if self.is_narrow else _GAP)
        self.evaluations = 0
        self._near = self.box.high[1]
        self._lines: dict[float, Lines] = {}
        self._machines: dict[tuple[float, float, float], CompressorResult] = {}

    def residuals(self, x: Vector) -> Vector:
        """What is left over of flow, evaporator heat, condenser heat and charge, each in its own unit.

        Parameters
        ----------
        x : list of float, scaled unknowns

        Returns
        -------
        list of four floats
        """
        return self.left_over(self.march(x))

    def left_over(self, march: March) -> Vector:
        """What is left over of a way round that is already worked out.

        Parameters
        ----------
        march : March

        Returns
        -------
        list of four floats
        """
        through_lanes = sum(lane.mass_flow_kg_per_s for lane in march.low.lanes)
        returning = march.low.line.enthalpy_j_per_kg * march.flow + march.compressor.enthalpy_j_per_kg * march.leak
        mixed = returning / (march.flow + march.leak)
        condensed = march.high.condenser.enthalpy_j_per_kg
        return [
            (through_lanes - march.flow) / self.flow_scale,
            (mixed - march.suction_enthalpy) / ENTHALPY_SCALE,
            (condensed - march.high.enthalpy) / march.high.condensing.latent_j_per_kg,
            sum(march.charges.values()) / self.chain.charge_kg - 1.0,
        ]

    def march(self, x: Vector) -> March:
        """Once around the loop.

        Parameters
        ----------
        x : list of float, scaled unknowns

        Returns
        -------
        March
        """
        self.evaluations += 1
        suction_h = x[2] * ENTHALPY_SCALE
        log_suction = self._log_suction(x) if self.is_narrow else x[1]
        suction, discharge = self._at(math.exp(log_suction)), self._at(math.exp(x[0]))
        machine = self._compressed(suction, suction_h, discharge)
        flow, leak = self._shared(machine, discharge, suction)
        high = self._high_side(machine, flow, discharge, suction, x[3])
        low = self._low_side(machine, flow, suction, suction_h, high)
        charges = self._charges(suction, machine, high, low)
        return March(discharge, suction, suction_h, machine, flow, leak, high, low, charges)

    def at_ports(self, x: Vector) -> Vector:
        """The unknowns with the suction pressure at the port, whatever this loop counts with.

        Parameters
        ----------
        x : list of float, scaled unknowns of this loop

        Returns
        -------
        list of float
        """
        return [x[0], self._log_suction(x), x[2], x[3]] if self.is_narrow else list(x)

    def from_ports(self, x: Vector) -> Vector:
        """The opposite of `at_ports`.

        Parameters
        ----------
        x : list of float, unknowns with the suction pressure at the port

        Returns
        -------
        list of float, scaled unknowns of this loop
        """
        if not self.is_narrow:
            return list(x)
        loss_pa = self._suction_loss_pa(self._at(math.exp(x[1])), x[2] * ENTHALPY_SCALE, self._at(math.exp(x[0])))
        return [x[0], math.log(math.exp(x[1]) + loss_pa), x[2], x[3]]

    def is_at_floor(self, x: Vector) -> bool:
        """Whether the suction pressure has reached the lowest one that is looked for.

        Parameters
        ----------
        x : list of float, scaled unknowns of this loop

        Returns
        -------
        bool
        """
        return self.at_ports(x)[1] <= self.box.low[1] + _AT_FLOOR

    def _log_suction(self, x: Vector) -> float:
        """Suction pressure that the loss in the suction line leaves of the evaporating pressure."""
        discharge, enthalpy, goal_pa = self._at(math.exp(x[0])), x[2] * ENTHALPY_SCALE, math.exp(x[1])

        def missing(log_suction: float) -> float:
            suction = self.fluid.lines(math.exp(log_suction))
            return (goal_pa - self._suction_loss_pa(suction, enthalpy, discharge)) / suction.pressure_pa - 1.0

        low = self.box.low[1]
        found = bracket(missing, self._near, lambda value: max(0.5 * abs(value), 1e-7), low, x[1], 3.0)
        self._near = root_in(missing, found, 1e-14, 1e-15) if found.is_closed else low
        return self._near

    def _suction_loss_pa(self, suction: Lines, enthalpy: float, discharge: Lines) -> float:
        pumped = self._compressed(suction, enthalpy, discharge).mass_flow_kg_per_s
        return pressure_drop_pa(self.chain.suction.resistance_per_m4, pumped, self.fluid.volume(suction, enthalpy))

    def _at(self, pressure_pa: float) -> Lines:
        found = self._lines.get(pressure_pa)
        if found is None:
            if len(self._lines) >= _KEPT:
                self._lines.clear()
            found = self._lines[pressure_pa] = self.fluid.lines(pressure_pa)
        return found

    def _compressed(self, suction: Lines, enthalpy: float, discharge: Lines) -> CompressorResult:
        key = (suction.pressure_pa, enthalpy, discharge.pressure_pa)
        found = self._machines.get(key)
        if found is None:
            if len(self._machines) >= _KEPT:
                self._machines.clear()
            wrong = self.chain.modifiers
            found = self._machines[key] = compressor_flow(
                self.chain.compressor, self.fluid, suction, enthalpy, discharge,
                wrong.compressor_valve_wear, wrong.speed_share, wrong.extra_idle_w,
            )  # fmt: skip
        return found

    def _shared(self, machine: CompressorResult, discharge: Lines, suction: Lines) -> tuple[float, float]:
        """Flow that goes round, and flow that slips back through the reversing valve."""
        pumped, area = machine.mass_flow_kg_per_s, self.chain.modifiers.reversing_leak_area_m2
        if area <= 0.0:
            return pumped, 0.0
        gas_density = 1.0 / self.fluid.volume(discharge, machine.enthalpy_j_per_kg)
        leak = area * math.sqrt(2.0 * gas_density * max(discharge.pressure_pa - suction.pressure_pa, 0.0))
        left, corner = pumped - leak, _LEAK_CORNER * pumped
        flow = min(0.5 * (left + math.sqrt(left * left + corner * corner)), pumped)
        return flow, pumped - flow

    def _high_side(
        self, machine: CompressorResult, flow: float, discharge: Lines, suction: Lines, coordinate: float
    ) -> HighSide:
        chain, fluid = self.chain, self.fluid
        line = _through(fluid, chain.discharge, discharge, machine.enthalpy_j_per_kg, flow)
        gas_volume = fluid.volume(discharge, machine.enthalpy_j_per_kg)
        loss_pa = pressure_drop_pa(chain.discharge.resistance_per_m4, flow, gas_volume)
        condensing_pa, least_pa = discharge.pressure_pa - chain.air_pa - loss_pa, _LEAST_RATIO * suction.pressure_pa
        condensing = self._at(max(condensing_pa, least_pa))
        quality, level = decoded(coordinate, chain.receiver is not None, chain.modifiers.dip_tube_leak)
        enthalpy = condensing.bubble_j_per_kg + quality * condensing.latent_j_per_kg
        drains = chain.receiver is not None and 0.0 < coordinate < 1.0
        side = chain.condenser
        condenser = coil(
            fluid, condensing, line.enthalpy_j_per_kg, flow, side.conductances, side.air.temperature_k,
            side.coil.volume_m3, drains,
        )  # fmt: skip
        liquid = _through(fluid, chain.liquid, condensing, enthalpy, flow)
        loss_pa = pressure_drop_pa(chain.liquid.resistance_per_m4, flow, fluid.volume(condensing, enthalpy))
        inlet = self._at(max(condensing.pressure_pa + chain.air_pa - loss_pa, fluid.p_low_pa))
        pinched = condensing_pa < least_pa
        return HighSide(line, condensing, pinched, condenser, level, enthalpy, quality, liquid, inlet)

    def _low_side(
        self, machine: CompressorResult, flow: float, suction: Lines, suction_h: float, high: HighSide
    ) -> LowSide:
        chain, fluid = self.chain, self.fluid
        evaporating_pa = suction.pressure_pa
        evaporating_pa += pressure_drop_pa(
            chain.suction.resistance_per_m4, machine.mass_flow_kg_per_s, fluid.volume(suction, suction_h)
        )
        evaporating = self._at(min(evaporating_pa, fluid.p_high_pa))
        entering = high.liquid.enthalpy_j_per_kg
        entering_k = fluid.temperature(evaporating, entering)
        side = chain.evaporator
        conductance, surface_k = wetted(side.conductances, side.stream, side.air, evaporating, entering_k)
        air_k = side.air.temperature_k
        evaporator = coil(fluid, evaporating, entering, flow, conductance, air_k, side.coil.volume_m3)
        line = _through(fluid, chain.suction, evaporating, evaporator.enthalpy_j_per_kg, flow)
        outlet_pa = evaporating.pressure_pa
        if chain.distributor.resistance_per_m4 > 0.0:
            wet_volume = fluid.volume(evaporating, entering)
            outlet_pa += pressure_drop_pa(chain.distributor.resistance_per_m4, flow, wet_volume)
        low = LowSide(evaporating, evaporating_pa > fluid.p_high_pa, outlet_pa, evaporator, surface_k, line, ())
        return low._replace(lanes=tuple(self._lane(lane, high, low, suction) for lane in chain.lanes))

    def _lane(self, lane: Lane, high: HighSide, low: LowSide, suction: Lines) -> MeteringResult:
        wrong = self.chain.modifiers
        sensed = (
            self._sensed(lane.bulb, high, low, suction)
            if lane.bulb is not None
            else Sensed(stuck_at=wrong.valve_stuck_at)
        )
        through = metering_flow(
            lane.device, self.fluid, high.inlet, high.liquid.enthalpy_j_per_kg, low.metering_outlet_pa, sensed,
            lane.hand_area_m2,
        )  # fmt: skip
        return MeteringResult(through.mass_flow_kg_per_s * (1.0 - wrong.metering_blockage), through.opening)

    def _sensed(self, bulb: Bulb, high: HighSide, low: LowSide, suction: Lines) -> Sensed:
        wrong = self.chain.modifiers
        if bulb.is_high:
            pipe_k, dew_k = high.line.temperature_k, high.condensing.dew_k
        else:
            pipe_k, dew_k = self._at_bulb(bulb, low, suction)
        if not bulb.is_external:
            dew_k = self._at(low.metering_outlet_pa).dew_k
        contact = wrong.bulb_contact
        bulb_k = contact * pipe_k + (1.0 - contact) * self.chain.surroundings_k + wrong.bulb_offset_k
        return Sensed(bulb_k, dew_k, wrong.bulb_charge_lost, wrong.valve_stuck_at)

    def _at_bulb(self, bulb: Bulb, low: LowSide, suction: Lines) -> tuple[float, float]:
        """Temperature and dew temperature on the suction stretch."""
        lines, enthalpy = low.evaporating, low.evaporator.enthalpy_j_per_kg
        if bulb.resistance_share == 0.0 and bulb.heat_share == 0.0:
            return low.evaporator.temperature_k, lines.dew_k
        enthalpy += bulb.heat_share * (low.line.enthalpy_j_per_kg - enthalpy)
        lost_pa = bulb.resistance_share * (lines.pressure_pa - suction.pressure_pa)
        lines = self._at(lines.pressure_pa - lost_pa)
        return self.fluid.temperature(lines, enthalpy), lines.dew_k

    def _charges(self, suction: Lines, machine: CompressorResult, high: HighSide, low: LowSide) -> dict[str, float]:
        chain, fluid = self.chain, self.fluid
        entering = high.liquid.enthalpy_j_per_kg
        charges = {
            "compressor": volume_charge_kg(
                fluid, suction, machine.inlet_enthalpy_j_per_kg, chain.compressor.shell_volume_m3
            ),
            "discharge line": high.line.charge_kg,
            chain.condenser.coil.id: high.condenser.charge_kg,
            "liquid line": high.liquid.charge_kg + chain.lanes_before_m3 * density(fluid, high.inlet, entering),
            "distributor": chain.distributor.volume_m3 * density(fluid, low.evaporating, entering),
            chain.evaporator.coil.id: low.evaporator.charge_kg,
            "suction line": low.line.charge_kg,
        }
        if chain.receiver is not None:
            charges[chain.receiver.id] = self._in_receiver_kg(chain.receiver, high)
        if chain.accumulator is not None:
            leaving = low.line.enthalpy_j_per_kg
            charges[chain.accumulator.id] = accumulator_charge_kg(
                fluid, low.evaporating, leaving, chain.accumulator.volume_m3, self.fill(low)
            )
        densities: dict[tuple[float, bool], float] = {}
        for dead in chain.dead_ends:
            key = (dead.wall_k, dead.is_high)
            if key not in densities:
                lines = high.condensing if dead.is_high else low.evaporating
                densities[key] = density_behind_valve(fluid, lines, dead.wall_k)
            charges[dead.id] = dead.volume_m3 * densities[key]
        return charges

    def _in_receiver_kg(self, receiver: Vessel, high: HighSide) -> float:
        """Boiling liquid and vapour; or, when it is full, liquid as cold as it comes."""
        if high.level >= 1.0 and high.enthalpy < high.condensing.bubble_j_per_kg:
            return receiver.volume_m3 / self.fluid.volume(high.condensing, high.enthalpy)
        return receiver_charge_kg(high.condensing, receiver.volume_m3, high.level)

    def fill(self, low: LowSide) -> float:
        """Liquid volume over volume of the accumulator.

        Parameters
        ----------
        low : LowSide

        Returns
        -------
        float [0 ... 1]
        """
        accumulator = self.chain.accumulator
        if accumulator is None:
            return 0.0
        quality = (low.line.enthalpy_j_per_kg - low.evaporating.bubble_j_per_kg) / low.evaporating.latent_j_per_kg
        blocked = min(self.chain.modifiers.accumulator_bleed_blocked, _MOST_BLOCKED)
        return accumulator_fill(min(quality, 1.0), accumulator.bleed_quality, blocked)


def decoded(coordinate: float, has_receiver: bool, dip_tube_leak: float) -> tuple[float, float]:
    """Quality of the condenser outlet and level of the receiver that a coordinate stands for.

    Parameters
    ----------
    coordinate : float
    has_receiver : bool
    dip_tube_leak : float, quality that leaves a receiver in which liquid stands

    Returns
    -------
    (quality, level); quality below 0 is subcooled, above 1 is gas
    """
    if not has_receiver:
        return -coordinate, 0.0
    if coordinate < 0.0:
        return dip_tube_leak - coordinate, 0.0
    if coordinate <= 1.0:
        return dip_tube_leak, coordinate
    return dip_tube_leak + 1.0 - coordinate, 1.0


def search_box(fluid: Fluid, gap: float) -> Box:
    """Bounds of the scaled unknowns.

    Parameters
    ----------
    fluid : Fluid
    gap : float, by which the second unknown stays below the first

    Returns
    -------
    Box
    """
    coldest = fluid.lines(fluid.p_low_pa)
    highest_pa = min(fluid.p_high_pa, HIGHEST_PRESSURE_SHARE * fluid.critical_pressure_pa)
    lowest, highest = math.log(fluid.p_low_pa), math.log(highest_pa)
    warmest = coldest.dew_j_per_kg + 0.95 * coldest.vapour_span
    return Box(
        (lowest + 0.3, lowest, coldest.bubble_j_per_kg / ENTHALPY_SCALE, LOWEST_COORDINATE),
        (highest, highest, warmest / ENTHALPY_SCALE, HIGHEST_COORDINATE),
        gap,
    )


def _through(fluid: Fluid, stretch: Stretch, lines: Lines, enthalpy: float, flow: float) -> CoilResult:
    return pipe(fluid, lines, enthalpy, flow, stretch.ua_ambient_w_per_k, stretch.surroundings_k, stretch.volume_m3)
