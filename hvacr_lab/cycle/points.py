"""A single-stage cycle as its state points, and everything that follows from them.

The points in the order of flow: evaporator inlet and outlet, compressor inlet and outlet, condenser inlet and outlet,
expansion inlet. Each quantity is one formula on those points, so it can be read off a pressure-enthalpy chart.
Evaporating temperature is the dew temperature at the evaporator outlet. At the condenser both ends are named:
a blend glides, and superheat counts from the dew point, subcooling from the bubble point (common practice).
"""

from __future__ import annotations

from dataclasses import dataclass

from hvacr_lab.errors import LabError
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.states import State
from hvacr_lab.units import from_si

_POINTS = (
    "evaporator_inlet",
    "evaporator_outlet",
    "compressor_inlet",
    "compressor_outlet",
    "condenser_inlet",
    "condenser_outlet",
    "expansion_inlet",
)


@dataclass(frozen=True, slots=True)
class Cycle:
    """State points of a single-stage cycle; per-kilogram figures always, flow figures when the mass flow is known.

    Parameters
    ----------
    refrigerant : what circulates
    evaporator_inlet, evaporator_outlet, compressor_inlet, compressor_outlet, condenser_inlet, condenser_outlet,
    expansion_inlet : State
    isentropic_work_j_per_kg : work of the loss-free compression between the same pressures [J/kg]
    compressor_heat_loss_j_per_kg : heat through the compressor's shell [J/kg]
    known_mass_flow_kg_per_s, known_displacement_m3_per_s : None where not known
    notes : what a careful person would say about these numbers
    """

    refrigerant: Refrigerant
    evaporator_inlet: State
    evaporator_outlet: State
    compressor_inlet: State
    compressor_outlet: State
    condenser_inlet: State
    condenser_outlet: State
    expansion_inlet: State
    isentropic_work_j_per_kg: float
    compressor_heat_loss_j_per_kg: float = 0.0
    known_mass_flow_kg_per_s: float | None = None
    known_displacement_m3_per_s: float | None = None
    notes: tuple[str, ...] = ()

    @property
    def points(self) -> dict[str, State]:
        """The seven states by name, in the order of flow."""
        return {name: getattr(self, name) for name in _POINTS}

    @property
    def evaporating_pressure_pa(self) -> float:
        """Pressure at the evaporator outlet, absolute."""
        return self.evaporator_outlet.pressure_pa

    @property
    def condensing_pressure_pa(self) -> float:
        """Pressure at the condenser outlet, absolute."""
        return self.condenser_outlet.pressure_pa

    @property
    def evaporating_dew_temperature_k(self) -> float:
        """Dew temperature at the evaporating pressure: what the trade calls evaporating temperature."""
        return float(self.refrigerant.dew_temperature(self.evaporating_pressure_pa))

    @property
    def condensing_dew_temperature_k(self) -> float:
        """Dew temperature at the condensing pressure: where condensing begins."""
        return float(self.refrigerant.dew_temperature(self.condensing_pressure_pa))

    @property
    def condensing_bubble_temperature_k(self) -> float:
        """Bubble temperature at the condensing pressure: where condensing ends."""
        return float(self.refrigerant.bubble_temperature(self.condensing_pressure_pa))

    @property
    def superheat_k(self) -> float:
        """Superheat at the evaporator outlet; 0 where liquid is left."""
        return _above_dew(self.evaporator_outlet)

    @property
    def total_superheat_k(self) -> float:
        """Superheat at the compressor inlet: from the evaporator and from the suction line; 0 where liquid is left."""
        return _above_dew(self.compressor_inlet)

    @property
    def subcooling_k(self) -> float:
        """Subcooling at the condenser outlet."""
        return max(self.condenser_outlet.subcooling_k or 0.0, 0.0)

    @property
    def subcooling_at_expansion_k(self) -> float:
        """Subcooling left before the expansion device; negative when gas bubbles have formed in the liquid line."""
        before = self.expansion_inlet
        return float(self.refrigerant.bubble_temperature(before.pressure_pa)) - before.temperature_k

    @property
    def discharge_temperature_k(self) -> float:
        """Temperature at the compressor outlet."""
        return self.compressor_outlet.temperature_k

    @property
    def flash_gas_fraction(self) -> float:
        """Part of the mass that is already vapour when it enters the evaporator."""
        return self.evaporator_inlet.quality or 0.0

    @property
    def refrigeration_effect_j_per_kg(self) -> float:
        """Heat that each kilogram takes up in the evaporator."""
        return self.evaporator_outlet.enthalpy_j_per_kg - self.evaporator_inlet.enthalpy_j_per_kg

    @property
    def suction_line_heat_gain_j_per_kg(self) -> float:
        """Heat that each kilogram takes up between evaporator and compressor: it cools nothing useful."""
        return self.compressor_inlet.enthalpy_j_per_kg - self.evaporator_outlet.enthalpy_j_per_kg

    @property
    def heat_of_compression_j_per_kg(self) -> float:
        """Heat that the compression leaves in each kilogram."""
        return self.compressor_outlet.enthalpy_j_per_kg - self.compressor_inlet.enthalpy_j_per_kg

    @property
    def specific_work_j_per_kg(self) -> float:
        """Work done on each kilogram: what stays in it and what leaves through the compressor's shell."""
        return self.heat_of_compression_j_per_kg + self.compressor_heat_loss_j_per_kg

    @property
    def heat_of_rejection_j_per_kg(self) -> float:
        """Heat that each kilogram gives off between compressor and expansion device."""
        return self.compressor_outlet.enthalpy_j_per_kg - self.expansion_inlet.enthalpy_j_per_kg

    @property
    def isentropic_efficiency(self) -> float:
        """Loss-free work divided by the real work."""
        return self.isentropic_work_j_per_kg / self.specific_work_j_per_kg

    @property
    def compression_ratio(self) -> float:
        """Absolute pressure after the compressor divided by absolute pressure before it."""
        return self.compressor_outlet.pressure_pa / self.compressor_inlet.pressure_pa

    @property
    def cop_cooling(self) -> float:
        """Heat taken up in the evaporator for each joule of work."""
        return self.refrigeration_effect_j_per_kg / self.specific_work_j_per_kg

    @property
    def cop_heating(self) -> float:
        """Heat given off for each joule of work: 1 more than for cooling if no line or shell gains or loses heat."""
        return self.heat_of_rejection_j_per_kg / self.specific_work_j_per_kg

    @property
    def eer_btu_per_wh(self) -> float:
        """Energy efficiency ratio: the cooling COP in Btu for each watt-hour."""
        return from_si(self.cop_cooling, "Btu/(W h)", "COP")

    @property
    def volumetric_cooling_capacity_j_per_m3(self) -> float:
        """Cooling for each cubic metre of suction gas: it decides the size of the compressor."""
        return self.refrigeration_effect_j_per_kg / self.compressor_inlet.volume_m3_per_kg

    @property
    def suction_line_pressure_drop_pa(self) -> float:
        """Pressure lost between evaporator and compressor."""
        return self.evaporator_outlet.pressure_pa - self.compressor_inlet.pressure_pa

    @property
    def discharge_line_pressure_drop_pa(self) -> float:
        """Pressure lost between compressor and condenser."""
        return self.compressor_outlet.pressure_pa - self.condenser_inlet.pressure_pa

    @property
    def liquid_line_pressure_drop_pa(self) -> float:
        """Pressure lost between condenser and expansion device."""
        return self.condenser_outlet.pressure_pa - self.expansion_inlet.pressure_pa

    @property
    def mass_flow_kg_per_s(self) -> float:
        """Refrigerant that circulates."""
        return _known(self.known_mass_flow_kg_per_s, "mass flow", "mass_flow_kg_per_s or capacity_w")

    @property
    def displacement_m3_per_s(self) -> float:
        """Volume that the compressor's pistons or scrolls sweep in each second."""
        return _known(self.known_displacement_m3_per_s, "displacement", "displacement_m3_per_s")

    @property
    def capacity_w(self) -> float:
        """Cooling capacity of the evaporator."""
        return self.mass_flow_kg_per_s * self.refrigeration_effect_j_per_kg

    @property
    def power_w(self) -> float:
        """Power that the compressor puts into the refrigerant; the motor needs more."""
        return self.mass_flow_kg_per_s * self.specific_work_j_per_kg

    @property
    def heat_rejected_w(self) -> float:
        """Heat given off on the high side, which is the heating capacity of a heat pump."""
        return self.mass_flow_kg_per_s * self.heat_of_rejection_j_per_kg

    @property
    def suction_volume_flow_m3_per_s(self) -> float:
        """Gas that enters the compressor."""
        return self.mass_flow_kg_per_s * self.compressor_inlet.volume_m3_per_kg

    @property
    def volumetric_efficiency(self) -> float:
        """Gas that enters the compressor divided by the volume that it sweeps."""
        return self.suction_volume_flow_m3_per_s / self.displacement_m3_per_s


def _above_dew(state: State) -> float:
    return max(state.superheat_k or 0.0, 0.0)


def _known(value: float | None, quantity: str, remedy: str) -> float:
    if value is None:
        raise LabError(f"The {quantity} of this cycle is not known. Give {remedy} when you work it out.")
    return value
