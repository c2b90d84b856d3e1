"""Fans and the air they move past a coil.

Fan laws: flow follows speed, power its cube. A fan that stands still leaves a natural draught.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from hvacr_lab.bench.parts import Coil
from hvacr_lab.moist_air.psychrometry import DRY_AIR_HEAT_J_PER_KG_K, VAPOUR_HEAT_J_PER_KG_K

FOULED_FLOW_LOSS = 0.7
# share of the air flow that full fouling (severity 1) takes away (own value)
FOULED_CONDUCTANCE_LOSS = 0.5
# share of the outer conductance that full fouling takes away (own value)
_CONDUCTANCE_POWER = 0.6
# conductance of a finned coil over air speed; exponents 0.5 ... 0.7 are common practice


class AirStream(NamedTuple):
    """Air past a coil: dry air flow, heat capacity flow, conductance from surface to air, share of air in contact."""

    flow_kg_per_s: float
    capacity_w_per_k: float
    ua_w_per_k: float
    contact: float
    # 1 - bypass factor


def flow_share(speed: float, draught: float) -> float:
    """Air flow over that of the fan full on.

    Parameters
    ----------
    speed : float [0 ... 1], fan speed over full speed
    draught : float, flow with the fan off over that with the fan full on

    Returns
    -------
    float, never below the draught

    Source
    ------
    Fan law (flow follows speed; common practice); draught and fan added as dynamic pressures, own formula.

    Examples
    --------
    >>> flow_share(1.0, 0.08), flow_share(0.0, 0.08)
    (1.0, 0.08)
    """
    return math.sqrt(speed * speed * (1.0 - draught * draught) + draught * draught)


def fan_power_w(coil: Coil, speed: float) -> float:
    """Electrical power of the fan.

    Parameters
    ----------
    coil : Coil
    speed : float [0 ... 1], fan speed over full speed

    Returns
    -------
    float [W]

    Source
    ------
    Fan law: power follows the cube of the speed (common practice).
    """
    return coil.fan_w * speed**3


def air_stream(coil: Coil, speed: float, fouling: float = 0.0, humidity_ratio: float = 0.0) -> AirStream:
    """Air that passes a coil, and how well the coil reaches it.

    Parameters
    ----------
    coil : Coil
    speed : float [0 ... 1], fan speed over full speed
    fouling : float [0 ... 1], dirt or frost between the fins
    humidity_ratio : float [kg/kg dry air]

    Returns
    -------
    AirStream

    Source
    ------
    Bypass factor exp(-UA/C): all air that does not bypass leaves at the temperature of the surface (ASHRAE
    Fundamentals, effectiveness of a surface of constant temperature; from memory).
    """
    share = flow_share(speed, coil.draught)
    flow = coil.air_flow_kg_per_s * share * (1.0 - FOULED_FLOW_LOSS * fouling)
    capacity = flow * (DRY_AIR_HEAT_J_PER_KG_K + humidity_ratio * VAPOUR_HEAT_J_PER_KG_K)
    ua = coil.ua_air_w_per_k * share**_CONDUCTANCE_POWER * (1.0 - FOULED_CONDUCTANCE_LOSS * fouling)
    return AirStream(flow, capacity, ua, -math.expm1(-ua / capacity))
