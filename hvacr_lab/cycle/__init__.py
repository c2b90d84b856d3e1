"""Refrigeration cycles from state points: as designed, as measured, in one stage, two stages or a cascade.

`single_stage` and `measured_cycle` return a `Cycle`; `two_stage` and `cascade` return a `StagedCycle` of two of them.
"""

from hvacr_lab.cycle.design import single_stage
from hvacr_lab.cycle.ideals import carnot_cop, clearance_volumetric_efficiency
from hvacr_lab.cycle.measurement import measured_cycle, subcooling, superheat, total_superheat
from hvacr_lab.cycle.points import Cycle
from hvacr_lab.cycle.stages import StagedCycle, cascade, two_stage
from hvacr_lab.cycle.steps import CONVENTIONS

__all__ = [
    "CONVENTIONS",
    "Cycle",
    "StagedCycle",
    "carnot_cop",
    "cascade",
    "clearance_volumetric_efficiency",
    "measured_cycle",
    "single_stage",
    "subcooling",
    "superheat",
    "total_superheat",
    "two_stage",
]
