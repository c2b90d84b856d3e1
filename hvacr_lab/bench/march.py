"""One way round the loop: every state that the equations and the reports need."""

from __future__ import annotations

from typing import NamedTuple

from hvacr_lab.bench.coils import CoilResult
from hvacr_lab.bench.compressor import CompressorResult
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.valves import MeteringResult


class HighSide(NamedTuple):
    """From the compressor's discharge port to the metering devices."""

    line: CoilResult
    condensing: Lines
    is_pinched: bool
    # the loss in the discharge line would be larger than the pressure that is there
    condenser: CoilResult
    level: float
    # of the receiver
    enthalpy: float
    quality: float
    # of the condenser outlet, as the coordinate says: below 0 subcooled, above 1 gas
    liquid: CoilResult
    inlet: Lines
    # before the metering devices; with air in the system its pressure is in it


class LowSide(NamedTuple):
    """From the metering devices to the compressor's suction port."""

    evaporating: Lines
    is_flooded: bool
    # the loss in the suction line would lift the evaporating pressure off the table
    metering_outlet_pa: float
    evaporator: CoilResult
    surface_k: float
    line: CoilResult
    lanes: tuple[MeteringResult, ...]


class March(NamedTuple):
    """One way round the loop: every state that a report needs."""

    discharge: Lines
    suction: Lines
    suction_enthalpy: float
    compressor: CompressorResult
    flow: float
    # [kg/s] through condenser, metering devices and evaporator
    leak: float
    # [kg/s] through a leaking reversing valve, from discharge to suction
    high: HighSide
    low: LowSide
    charges: dict[str, float]
