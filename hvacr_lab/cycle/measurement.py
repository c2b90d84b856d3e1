"""What gauges and thermometers say: superheat, subcooling, and the whole cycle from measured points."""

from __future__ import annotations

from dataclasses import replace

from hvacr_lab.cycle.inputs import checked, known_refrigerant, mass_flow_and_displacement, one_number
from hvacr_lab.cycle.notes import notes_on
from hvacr_lab.cycle.points import Cycle
from hvacr_lab.cycle.steps import liquid_state, vapour_state
from hvacr_lab.errors import OutOfRange
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.states import State


def superheat(refrigerant: Refrigerant | str, pressure_pa: float, temperature_k: float) -> float:
    """Temperature above the dew point at the same pressure.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    pressure_pa : float [Pa absolute], at the evaporator outlet
    temperature_k : float [K], of the pipe at the same place

    Returns
    -------
    float [K], zero or positive

    Raises
    ------
    NotUsable : text, NaN
    OutOfRange : pressure above critical or below the triple point; below the dew point (then it is no vapour)

    Source
    ------
    Definition; the dew line, because blends glide (common practice).

    Examples
    --------
    >>> round(superheat("R-134a", 200_000.0, 273.15), 1)
    10.1
    """
    fluid = known_refrigerant(refrigerant)
    return max(vapour_state(fluid, pressure_pa, temperature_k, "gas at the evaporator outlet").superheat_k or 0.0, 0.0)


def total_superheat(refrigerant: Refrigerant | str, pressure_pa: float, temperature_k: float) -> float:
    """Superheat of the gas that enters the compressor: from the evaporator and from the suction line.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    pressure_pa : float [Pa absolute], at the compressor's suction valve
    temperature_k : float [K], of the suction pipe at the compressor

    Returns
    -------
    float [K], zero or positive

    Raises
    ------
    NotUsable : text, NaN
    OutOfRange : outside the refrigerant's limits; temperature below the dew point (then liquid reaches the compressor)

    Source
    ------
    Definition; the dew line, because blends glide (common practice).

    Examples
    --------
    >>> round(total_superheat("R-134a", 190_000.0, 283.15), 1)
    21.4
    """
    fluid = known_refrigerant(refrigerant)
    return max(vapour_state(fluid, pressure_pa, temperature_k, "gas at the compressor").superheat_k or 0.0, 0.0)


def subcooling(refrigerant: Refrigerant | str, pressure_pa: float, temperature_k: float) -> float:
    """Temperature below the bubble point at the same pressure.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    pressure_pa : float [Pa absolute], in the liquid line
    temperature_k : float [K], of the pipe at the same place

    Returns
    -------
    float [K], zero or positive

    Raises
    ------
    NotUsable : text, NaN
    OutOfRange : pressure above critical or below the triple point; temperature above the bubble point (then bubbles)

    Source
    ------
    Definition; the bubble line, because blends glide (common practice).

    Examples
    --------
    >>> round(subcooling("R-134a", 1_000_000.0, 308.15), 1)
    4.4
    """
    fluid = known_refrigerant(refrigerant)
    return max(liquid_state(fluid, pressure_pa, temperature_k, "liquid").subcooling_k or 0.0, 0.0)


def measured_cycle(
    refrigerant: Refrigerant | str,
    *,
    suction_pressure_pa: float,
    suction_temperature_k: float,
    discharge_pressure_pa: float,
    discharge_temperature_k: float,
    liquid_temperature_k: float,
    liquid_pressure_pa: float | None = None,
    evaporator_outlet_pressure_pa: float | None = None,
    evaporator_outlet_temperature_k: float | None = None,
    condenser_inlet_pressure_pa: float | None = None,
    condenser_outlet_pressure_pa: float | None = None,
    condenser_outlet_temperature_k: float | None = None,
    compressor_heat_loss_j_per_kg: float = 0.0,
    mass_flow_kg_per_s: float | None = None,
    capacity_w: float | None = None,
    displacement_m3_per_s: float | None = None,
    volumetric_efficiency: float | None = None,
) -> Cycle:
    """Work out a single-stage cycle from pressures and temperatures measured on the plant.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    suction_pressure_pa, suction_temperature_k : float [Pa absolute], [K], at the compressor inlet
    discharge_pressure_pa, discharge_temperature_k : float [Pa absolute], [K], at the compressor outlet
    liquid_temperature_k : float [K], before the expansion device
    liquid_pressure_pa : float [Pa absolute], there; where not measured, the discharge pressure
    evaporator_outlet_pressure_pa, evaporator_outlet_temperature_k : where not measured, as at the compressor inlet
    condenser_inlet_pressure_pa : float [Pa absolute]; where not measured, the discharge pressure
    condenser_outlet_pressure_pa, condenser_outlet_temperature_k : where not measured, as before the expansion device
    compressor_heat_loss_j_per_kg : float [J/kg], through the shell
    mass_flow_kg_per_s, capacity_w : float [kg/s], [W of cooling], at most one of the two
    displacement_m3_per_s, volumetric_efficiency : float [m3/s], 0 ... 1, for the flow or to go with it

    Returns
    -------
    Cycle

    Raises
    ------
    NotUsable : text, NaN; too much is given
    OutOfRange : suction above discharge pressure; a gas below its dew point or a liquid above its bubble point

    Source
    ------
    Points as in a test of a compressor plant; constant enthalpy in the expansion device (common practice).

    Examples
    --------
    >>> cycle = measured_cycle(
    ...     "R-134a",
    ...     suction_pressure_pa=140e3, suction_temperature_k=263.15,
    ...     discharge_pressure_pa=800e3, discharge_temperature_k=323.15,
    ...     liquid_pressure_pa=720e3, liquid_temperature_k=299.15,
    ...     mass_flow_kg_per_s=0.05,
    ... )
    >>> round(cycle.isentropic_efficiency, 2), round(cycle.cop_cooling, 2)
    (0.94, 3.93)
    """
    fluid = known_refrigerant(refrigerant)
    given = checked(
        compressor_heat_loss_j_per_kg=compressor_heat_loss_j_per_kg,
        mass_flow_kg_per_s=mass_flow_kg_per_s,
        capacity_w=capacity_w,
        displacement_m3_per_s=displacement_m3_per_s,
        volumetric_efficiency=volumetric_efficiency,
    )
    suction = vapour_state(fluid, suction_pressure_pa, suction_temperature_k, "gas at the compressor inlet")
    discharge = vapour_state(fluid, discharge_pressure_pa, discharge_temperature_k, "gas at the compressor outlet")
    _refuse_no_compression(suction, discharge)
    liquid = liquid_state(
        fluid,
        _or(liquid_pressure_pa, discharge.pressure_pa),
        liquid_temperature_k,
        "liquid before the expansion device",
    )
    evaporator_outlet = vapour_state(
        fluid,
        _or(evaporator_outlet_pressure_pa, suction.pressure_pa),
        _or(evaporator_outlet_temperature_k, suction.temperature_k),
        "gas at the evaporator outlet",
    )
    condenser_outlet = liquid_state(
        fluid,
        _or(condenser_outlet_pressure_pa, liquid.pressure_pa),
        _or(condenser_outlet_temperature_k, liquid.temperature_k),
        "liquid at the condenser outlet",
    )
    condenser_inlet = fluid.state(
        pressure_pa=one_number(_or(condenser_inlet_pressure_pa, discharge.pressure_pa), "condenser inlet pressure"),
        enthalpy_j_per_kg=discharge.enthalpy_j_per_kg,
    )
    low, high = (suction, evaporator_outlet), (discharge, condenser_inlet, condenser_outlet, liquid)
    return _assembled(fluid, low, high, given)


def _assembled(
    fluid: Refrigerant, low: tuple[State, State], high: tuple[State, State, State, State], given: dict[str, float]
) -> Cycle:
    (suction, evaporator_outlet), (discharge, condenser_inlet, condenser_outlet, liquid) = low, high
    evaporator_inlet = fluid.state(
        pressure_pa=evaporator_outlet.pressure_pa, enthalpy_j_per_kg=liquid.enthalpy_j_per_kg
    )
    effect = evaporator_outlet.enthalpy_j_per_kg - evaporator_inlet.enthalpy_j_per_kg
    flow, displacement = mass_flow_and_displacement(given, effect, suction.volume_m3_per_kg)
    isentropic_enthalpy = fluid.enthalpy_ps(discharge.pressure_pa, suction.entropy_j_per_kg_k)
    cycle = Cycle(
        refrigerant=fluid,
        evaporator_inlet=evaporator_inlet,
        evaporator_outlet=evaporator_outlet,
        compressor_inlet=suction,
        compressor_outlet=discharge,
        condenser_inlet=condenser_inlet,
        condenser_outlet=condenser_outlet,
        expansion_inlet=liquid,
        isentropic_work_j_per_kg=isentropic_enthalpy - suction.enthalpy_j_per_kg,
        compressor_heat_loss_j_per_kg=given["compressor_heat_loss_j_per_kg"],
        known_mass_flow_kg_per_s=flow,
        known_displacement_m3_per_s=displacement,
    )
    return replace(cycle, notes=notes_on(cycle))


def _refuse_no_compression(suction: State, discharge: State) -> None:
    if suction.pressure_pa >= discharge.pressure_pa:
        hint = "That is the discharge pressure. Were the two gauges mixed up?"
        raise OutOfRange("suction pressure", suction.pressure_pa, "Pa", high=discharge.pressure_pa, hint=hint)
    if suction.enthalpy_j_per_kg >= discharge.enthalpy_j_per_kg:
        hint = "The gas would leave the compressor with less heat than it brought. Were two thermometers mixed up?"
        raise OutOfRange("discharge temperature", discharge.temperature_k, "K", low=suction.temperature_k, hint=hint)


def _or(measured: float | None, otherwise: float) -> float:
    return otherwise if measured is None else measured
