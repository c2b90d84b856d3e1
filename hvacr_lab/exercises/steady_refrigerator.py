"""The situation of the first lessons: a refrigerator that runs steadily, worked out from its design values.

Five places have a sight glass: 1 hot gas line, 2 condenser outlet, 3 liquid line before the expansion device, 4 after
the expansion device, 5 suction line at the compressor. The evaporator outlet has gauge and thermometer only.
"""

from __future__ import annotations

from collections.abc import Mapping

from hvacr_lab.errors import OutOfRange
from hvacr_lab.refrigerants import Refrigerant, State
from hvacr_lab.refrigerants import refrigerant as known_refrigerant
from hvacr_lab.units import checked_number, to_si, within

_BOILING_BAND_K = 0.5
# [K]: two instruments cannot tell a pipe this close to the boiling temperature from boiling (common practice)
_GLASSES = {"liquid": "liquid", "two-phase": "bubbles", "vapour": "vapour"}


def refrigerator(
    *,
    refrigerant: str,
    evaporating_c: float,
    condensing_c: float,
    superheat_k: float = 6.0,
    suction_gain_k: float = 8.0,
    subcooling_k: float = 5.0,
    liquid_gain_k: float = 0.0,
    liquid_leaving_percent: float = 0.0,
    suction_drop_k: float = 1.0,
    evaporator_drop_k: float = 1.0,
    liquid_drop_k: float = 1.0,
    condenser_drop_k: float = 1.0,
    isentropic_efficiency: float = 0.7,
) -> dict[str, float | str]:
    """Solve a steady refrigerator: pressure, pipe temperature and state at each place.

    Pressure drops are given as the fall of the boiling temperature that they cause (common practice).

    Parameters
    ----------
    refrigerant : str
    evaporating_c : float [degC], dew temperature at the evaporator outlet
    condensing_c : float [degC], bubble temperature at the condenser outlet
    superheat_k : float [K], at the evaporator outlet; does not count where liquid leaves the evaporator
    suction_gain_k : float [K], by which dry vapour is warmed in the suction line; wet vapour takes in the same heat
    subcooling_k : float [K], at the condenser outlet
    liquid_gain_k : float [K], by which the liquid is warmed between condenser and glass 3; negative where it cools
    liquid_leaving_percent : float [%], liquid by mass that leaves the evaporator
    suction_drop_k : float [K], pressure drop of the suction line
    evaporator_drop_k : float [K], pressure drop of the evaporator
    liquid_drop_k : float [K], pressure drop of liquid line and drier
    condenser_drop_k : float [K], pressure drop of hot gas line and condenser
    isentropic_efficiency : float, of the compressor

    Returns
    -------
    dict: PLACE_pressure_pa [Pa absolute], PLACE_pipe_k [K] and PLACE_glass ("vapour", "bubbles", "liquid") for hot_gas,
    condenser_outlet, liquid, evaporator_inlet, evaporator_outlet and suction; evaporator_outlet_superheat_k,
    total_superheat_k, condenser_outlet_subcooling_k, liquid_subcooling_k [K]; liquid_enthalpy_j_per_kg and
    suction_enthalpy_j_per_kg [J/kg]

    Raises
    ------
    OutOfRange : no such machine with these settings
    UnknownName : refrigerant

    Examples
    --------
    >>> machine = refrigerator(refrigerant="R-134a", evaporating_c=-10, condensing_c=40, superheat_k=6)
    >>> round(machine["evaporator_outlet_pressure_pa"] / 1e5, 2), machine["liquid_glass"]
    (2.01, 'liquid')
    """
    fluid = known_refrigerant(refrigerant)
    within("superheat", checked_number(superheat_k, "superheat"), "K", (0.0, None))
    within("subcooling", checked_number(subcooling_k, "subcooling"), "K", (0.0, None))
    evaporating_k, condensing_k = to_si(evaporating_c, "C", "temperature"), to_si(condensing_c, "C", "temperature")
    within("condensing temperature", condensing_c, "C", (evaporating_c, None), hint="It is above the evaporating one.")

    outlet_pa, suction_pa = fluid.dew_pressure(evaporating_k), fluid.dew_pressure(evaporating_k - suction_drop_k)
    condenser_pa = fluid.bubble_pressure(condensing_k)
    hot_gas_pa = fluid.bubble_pressure(condensing_k + condenser_drop_k)
    outlet_j = _evaporator_outlet_enthalpy(fluid, outlet_pa, superheat_k, liquid_leaving_percent)
    suction_j = _suction_enthalpy(fluid, outlet_pa, suction_pa, outlet_j, suction_gain_k)
    condenser_j = fluid.enthalpy_pt(condenser_pa, condensing_k - subcooling_k)
    liquid_j = fluid.enthalpy_pt(condenser_pa, condensing_k - subcooling_k + liquid_gain_k)
    points = {
        "hot_gas": (hot_gas_pa, _hot_gas_enthalpy(fluid, suction_pa, hot_gas_pa, suction_j, isentropic_efficiency)),
        "condenser_outlet": (condenser_pa, condenser_j),
        "liquid": (fluid.bubble_pressure(condensing_k - liquid_drop_k), liquid_j),
        "evaporator_inlet": (fluid.dew_pressure(evaporating_k + evaporator_drop_k), liquid_j),
        "evaporator_outlet": (outlet_pa, outlet_j),
        "suction": (suction_pa, suction_j),
    }
    return _readings({name: fluid.state(pressure_pa=p, enthalpy_j_per_kg=h) for name, (p, h) in points.items()})


def state_at(
    refrigerant: Refrigerant | str, pressure_pa: float, temperature_k: float, within_k: float = _BOILING_BAND_K
) -> str:
    """What a glass shows, told from gauge and thermometer.

    Parameters
    ----------
    refrigerant : Refrigerant or str
    pressure_pa : float [Pa absolute]
    temperature_k : float [K], of the pipe
    within_k : float [K], as close as this to the boiling temperature counts as boiling

    Returns
    -------
    str, "vapour", "bubbles" or "liquid"

    Examples
    --------
    >>> state_at("R-134a", 200_000.0, 270.0)
    'vapour'
    """
    fluid = refrigerant if isinstance(refrigerant, Refrigerant) else known_refrigerant(refrigerant)
    if temperature_k > fluid.dew_temperature(pressure_pa) + within_k:
        return "vapour"
    return "liquid" if temperature_k < fluid.bubble_temperature(pressure_pa) - within_k else "bubbles"


def _evaporator_outlet_enthalpy(
    fluid: Refrigerant, pressure_pa: float, superheat_k: float, liquid_percent: float
) -> float:
    within("liquid leaving the evaporator", liquid_percent, "%", (0.0, 100.0))
    if liquid_percent > 0.0 or superheat_k == 0.0:
        return fluid.state(pressure_pa=pressure_pa, quality=1.0 - liquid_percent / 100.0).enthalpy_j_per_kg
    return fluid.enthalpy_pt(pressure_pa, fluid.dew_temperature(pressure_pa) + superheat_k)


def _suction_enthalpy(fluid: Refrigerant, outlet_pa: float, suction_pa: float, outlet_j: float, gain_k: float) -> float:
    """Enthalpy at the compressor: dry vapour is warmed by so many kelvin, wet vapour takes in as much heat."""
    leaving = fluid.state(pressure_pa=outlet_pa, enthalpy_j_per_kg=outlet_j)
    if leaving.phase == "vapour":
        return fluid.enthalpy_pt(suction_pa, leaving.temperature_k + gain_k)
    last_drop = fluid.state(pressure_pa=outlet_pa, quality=1.0)
    return outlet_j + fluid.enthalpy_pt(outlet_pa, last_drop.temperature_k + gain_k) - last_drop.enthalpy_j_per_kg


def _hot_gas_enthalpy(
    fluid: Refrigerant, suction_pa: float, hot_gas_pa: float, suction_j: float, efficiency: float
) -> float:
    if not 0.0 < efficiency <= 1.0:
        raise OutOfRange("isentropic efficiency", efficiency, "", low=0, high=1, hint="0.7 is 70 percent.")
    ideal_j = fluid.enthalpy_ps(hot_gas_pa, fluid.entropy_ph(suction_pa, suction_j))
    return suction_j + (ideal_j - suction_j) / efficiency


def _readings(states: Mapping[str, State]) -> dict[str, float | str]:
    """The states under the names of readings; superheat and subcooling are zero where the refrigerant boils."""
    readings: dict[str, float | str] = {}
    for place, state in states.items():
        readings[f"{place}_pressure_pa"] = state.pressure_pa
        readings[f"{place}_pipe_k"] = state.temperature_k
        readings[f"{place}_glass"] = _GLASSES[state.phase]
    return readings | {
        "evaporator_outlet_superheat_k": max(states["evaporator_outlet"].superheat_k or 0.0, 0.0),
        "total_superheat_k": max(states["suction"].superheat_k or 0.0, 0.0),
        "condenser_outlet_subcooling_k": max(states["condenser_outlet"].subcooling_k or 0.0, 0.0),
        "liquid_subcooling_k": max(states["liquid"].subcooling_k or 0.0, 0.0),
        "liquid_enthalpy_j_per_kg": states["liquid"].enthalpy_j_per_kg,
        "suction_enthalpy_j_per_kg": states["suction"].enthalpy_j_per_kg,
    }
