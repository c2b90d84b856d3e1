"""One cycle on top of another: two stages with a flash intercooler, and the cascade.

In both, the upper cycle takes up exactly the heat that the lower one gives off; that balance gives the flow ratio.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from hvacr_lab.cycle.design import single_stage
from hvacr_lab.cycle.inputs import known_refrigerant, one_number, one_of_two
from hvacr_lab.cycle.points import Cycle
from hvacr_lab.errors import NotUsable, OutOfRange
from hvacr_lab.refrigerants import Refrigerant

GLIDE_THAT_SPLITS_K = 0.5
# [K], above it a flash tank holds two blends of different composition (own value)


@dataclass(frozen=True, slots=True)
class StagedCycle:
    """Two cycles, the upper one cooling the lower one.

    Parameters
    ----------
    low, high : Cycle, with their flows where one of them is known
    notes : what a careful person would say about these numbers
    """

    low: Cycle
    high: Cycle
    notes: tuple[str, ...] = ()

    @property
    def mass_flow_ratio(self) -> float:
        """Mass flow of the upper cycle for each kilogram in the lower one."""
        return self.low.heat_of_rejection_j_per_kg / self.high.refrigeration_effect_j_per_kg

    @property
    def specific_work_j_per_kg(self) -> float:
        """Work of both compressors for each kilogram in the lower cycle."""
        return self.low.specific_work_j_per_kg + self.mass_flow_ratio * self.high.specific_work_j_per_kg

    @property
    def refrigeration_effect_j_per_kg(self) -> float:
        """Heat taken up in the evaporator by each kilogram in the lower cycle."""
        return self.low.refrigeration_effect_j_per_kg

    @property
    def cop_cooling(self) -> float:
        """Heat taken up in the evaporator for each joule of work of both compressors."""
        return self.refrigeration_effect_j_per_kg / self.specific_work_j_per_kg

    @property
    def cop_heating(self) -> float:
        """Heat given off by the upper cycle for each joule of work of both compressors."""
        return self.mass_flow_ratio * self.high.heat_of_rejection_j_per_kg / self.specific_work_j_per_kg

    @property
    def temperature_difference_k(self) -> float:
        """How much warmer the lower cycle condenses than the upper one evaporates; 0 in a flash intercooler."""
        return self.low.condensing_bubble_temperature_k - self.high.evaporating_dew_temperature_k

    @property
    def capacity_w(self) -> float:
        """Cooling capacity."""
        return self.low.capacity_w

    @property
    def power_w(self) -> float:
        """Power of both compressors."""
        return self.low.power_w + self.high.power_w

    @property
    def heat_rejected_w(self) -> float:
        """Heat given off by the upper cycle."""
        return self.high.heat_rejected_w


def two_stage(
    refrigerant: Refrigerant | str,
    *,
    evaporating_temperature_k: float | None = None,
    evaporating_pressure_pa: float | None = None,
    condensing_temperature_k: float | None = None,
    condensing_pressure_pa: float | None = None,
    intermediate_temperature_k: float | None = None,
    intermediate_pressure_pa: float | None = None,
    superheat_k: float = 0.0,
    subcooling_k: float = 0.0,
    low_stage_isentropic_efficiency: float = 1.0,
    high_stage_isentropic_efficiency: float = 1.0,
    mass_flow_kg_per_s: float | None = None,
    capacity_w: float | None = None,
) -> StagedCycle:
    """Work out two compression stages with two expansions and a flash intercooler between them.

    Liquid leaves the intercooler saturated to the evaporator, vapour saturated to the high stage.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    evaporating_temperature_k, evaporating_pressure_pa : float [K, dew], [Pa absolute], one of the two
    condensing_temperature_k, condensing_pressure_pa : float [K, dew], [Pa absolute], one of the two
    intermediate_temperature_k, intermediate_pressure_pa : float [K, dew], [Pa absolute], at most one of the two;
        without them the geometric mean of the outer pressures
    superheat_k : float [K], at the evaporator outlet
    subcooling_k : float [K], at the condenser outlet
    low_stage_isentropic_efficiency, high_stage_isentropic_efficiency : float, 0 ... 1
    mass_flow_kg_per_s, capacity_w : float, of the low stage [kg/s], [W of cooling], at most one of the two

    Returns
    -------
    StagedCycle

    Raises
    ------
    NotUsable : text, NaN; too little or too much is given
    OutOfRange : pressures out of order; outside the refrigerant's limits

    Source
    ------
    Dual compression, dual expansion cycle, ASHRAE Fundamentals 2021, ch. 2, Example 4.

    Examples
    --------
    >>> cycle = two_stage(
    ...     "R-134a",
    ...     evaporating_temperature_k=253.15,
    ...     intermediate_temperature_k=273.15,
    ...     condensing_temperature_k=303.15,
    ...     capacity_w=50e3,
    ... )
    >>> round(cycle.low.mass_flow_kg_per_s, 3), round(cycle.cop_cooling, 2)
    (0.268, 4.46)
    """
    fluid = known_refrigerant(refrigerant)
    lowest = _side_pressure_pa(fluid, "evaporating", evaporating_temperature_k, evaporating_pressure_pa)
    highest = _side_pressure_pa(fluid, "condensing", condensing_temperature_k, condensing_pressure_pa)
    middle = sqrt(lowest * highest)
    if intermediate_temperature_k is not None or intermediate_pressure_pa is not None:
        middle = _side_pressure_pa(fluid, "intermediate", intermediate_temperature_k, intermediate_pressure_pa)
    if not lowest < middle < highest:
        hint = "It lies between evaporating and condensing pressure. Were the sides mixed up?"
        raise OutOfRange("intermediate pressure", middle, "Pa", low=lowest, high=highest, hint=hint)
    low = single_stage(
        fluid,
        evaporating_pressure_pa=lowest,
        condensing_pressure_pa=middle,
        superheat_k=superheat_k,
        isentropic_efficiency=low_stage_isentropic_efficiency,
        mass_flow_kg_per_s=mass_flow_kg_per_s,
        capacity_w=capacity_w,
    )
    high = single_stage(
        fluid,
        evaporating_pressure_pa=middle,
        condensing_pressure_pa=highest,
        subcooling_k=subcooling_k,
        isentropic_efficiency=high_stage_isentropic_efficiency,
    )
    return _stacked(low, high, _splitting_note(fluid, middle))


def cascade(low: Cycle, high: Cycle) -> StagedCycle:
    """Put one cycle on top of another: the upper evaporator cools the lower condenser.

    Parameters
    ----------
    low, high : Cycle, of the same or of different refrigerants; the mass flow is given in at most one of them

    Returns
    -------
    StagedCycle

    Raises
    ------
    NotUsable : both flows are given, although one follows
    OutOfRange : the lower cycle condenses colder than the upper one evaporates

    Source
    ------
    Energy balance of the cascade condenser; Cengel and Boles, Thermodynamics, Example 11-3.

    Examples
    --------
    >>> low = single_stage("R-134a", evaporating_pressure_pa=140e3, condensing_pressure_pa=320e3)
    >>> high = single_stage(
    ...     "R-134a", evaporating_pressure_pa=320e3, condensing_pressure_pa=800e3, mass_flow_kg_per_s=0.05
    ... )
    >>> both = cascade(low, high)
    >>> round(both.low.mass_flow_kg_per_s, 3), round(both.cop_cooling, 2)
    (0.039, 4.47)
    """
    if low.known_mass_flow_kg_per_s is not None and high.known_mass_flow_kg_per_s is not None:
        why = "the lower one is given as well, and one follows from the other"
        raise NotUsable("mass flow of the upper cycle", high.known_mass_flow_kg_per_s, why, hint="Leave one out.")
    warm, cold = low.condensing_bubble_temperature_k, high.evaporating_dew_temperature_k
    if warm < cold - 1e-6:
        hint = "That is where the upper cycle evaporates; heat flows only from warm to cold. Were the cycles mixed up?"
        raise OutOfRange("condensing temperature of the lower cycle", warm, "K", low=cold, hint=hint)
    return _stacked(low, high, ())


def _side_pressure_pa(fluid: Refrigerant, side: str, temperature_k: float | None, pressure_pa: float | None) -> float:
    one_of_two(side, temperature_k, pressure_pa)
    if temperature_k is None:
        assert pressure_pa is not None, "one_of_two has seen to it"
        return one_number(pressure_pa, f"{side} pressure")
    return fluid.dew_pressure(one_number(temperature_k, f"{side} temperature"))


def _stacked(low: Cycle, high: Cycle, notes: tuple[str, ...]) -> StagedCycle:
    """Carry the known flow over to the other cycle and gather the notes."""
    ratio = StagedCycle(low, high).mass_flow_ratio
    if low.known_mass_flow_kg_per_s is not None:
        high = replace(high, known_mass_flow_kg_per_s=low.known_mass_flow_kg_per_s * ratio)
    elif high.known_mass_flow_kg_per_s is not None:
        low = replace(low, known_mass_flow_kg_per_s=high.known_mass_flow_kg_per_s / ratio)
    low_notes = tuple(f"Lower cycle: {note}" for note in low.notes)
    high_notes = tuple(f"Upper cycle: {note}" for note in high.notes)
    return StagedCycle(low, high, notes + low_notes + high_notes)


def _splitting_note(fluid: Refrigerant, pressure_pa: float) -> tuple[str, ...]:
    glide = float(fluid.glide(pressure_pa))
    if glide <= GLIDE_THAT_SPLITS_K:
        return ()
    return (
        f"{fluid.name} glides by {glide:.1f} K: liquid and vapour in the flash tank differ in composition, "
        "and these figures take no account of it.",
    )
