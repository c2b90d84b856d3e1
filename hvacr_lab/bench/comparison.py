"""Rises, falls or stays about the same: one definition for every test, lesson and command of the bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.errors import UnknownName
from hvacr_lab.refrigerants import refrigerant

RISES, FALLS, SAME = "rises", "falls", "about the same"
DIRECTIONS = (RISES, FALLS, SAME)


@dataclass(frozen=True, slots=True)
class Margin:
    """How far a quantity may move and still be about the same: a share of the value before, plus a difference."""

    share: float = 0.0
    difference: float = 0.0


MARGINS: Mapping[str, Margin] = MappingProxyType(
    {
        "pressure": Margin(share=0.03),
        "superheat or subcooling": Margin(difference=1.5),
        "discharge temperature": Margin(difference=3.0),
        "electrical": Margin(share=0.04),
        "heat": Margin(share=0.04),
        "flow": Margin(share=0.04),
        "level": Margin(difference=0.05),
    }
)
"""Kind of quantity -> margin; pressures absolute, differences in K, levels as a share of the vessel.

Common practice: what shows beyond doubt on gauges, clamp thermometers and a clamp ammeter. Heat and flow as power, the
level of a receiver by eye (own value).
"""


@dataclass(frozen=True, slots=True)
class Watched:
    """A quantity that is compared: its words, its kind of margin, and where it stands in an operating point.

    Parameters
    ----------
    label : str, for people
    quantity : str, as the units room names it
    margin : str, one of `MARGINS`
    value_of : OperatingPoint -> float [SI], or None where the point has no such value
    """

    label: str
    quantity: str
    margin: str
    value_of: Callable[[OperatingPoint], float | None]


@dataclass(frozen=True, slots=True)
class Compared:
    """One quantity before and after a change.

    Parameters
    ----------
    label : str, for people
    quantity : str, as the units room names it
    before, after : float [SI], or None where the point has no such value
    change : str, one of `DIRECTIONS`, or "" where one of the two is missing
    """

    label: str
    quantity: str
    before: float | None
    after: float | None
    change: str


def gauge_subcooling_k(point: OperatingPoint) -> float:
    """Subcooling as a technician finds it: bubble temperature at the gauge's head pressure less the liquid's.

    With air in the system the gauge shows more than the refrigerant's own pressure, and this figure more than the true
    subcooling.

    Parameters
    ----------
    point : OperatingPoint, solved

    Returns
    -------
    float [K], 0 where bubbles are left

    Source
    ------
    Common practice.
    """
    fluid = refrigerant(point.refrigerant)
    gauge_k = float(fluid.bubble_temperature(point.discharge_pressure_pa))
    own_k = float(fluid.bubble_temperature(point.condensing_pressure_pa))
    return max(gauge_k - own_k + point.subcooling_k, 0.0)


WATCHED: Mapping[str, Watched] = MappingProxyType(
    {
        "head": Watched("head pressure", "pressure", "pressure", lambda p: p.discharge_pressure_pa),
        "suction": Watched("suction pressure", "pressure", "pressure", lambda p: p.suction_pressure_pa),
        "superheat": Watched("superheat", "temperature difference", "superheat or subcooling", lambda p: p.superheat_k),
        "total superheat": Watched(
            "total superheat", "temperature difference", "superheat or subcooling", lambda p: p.total_superheat_k
        ),
        "subcooling": Watched(
            "subcooling, by the gauge", "temperature difference", "superheat or subcooling", gauge_subcooling_k
        ),
        "discharge temperature": Watched(
            "discharge temperature", "temperature", "discharge temperature", lambda p: p.discharge_temperature_k
        ),
        "current": Watched("current", "current", "electrical", lambda p: p.current_a),
        "power": Watched("compressor power", "power", "electrical", lambda p: p.compressor_power_w),
        "mass flow": Watched("mass flow", "mass flow", "flow", lambda p: p.mass_flow_kg_per_s),
        "cooling": Watched("cooling capacity", "power", "heat", lambda p: p.cooling_w),
        "heating": Watched("heat given off", "power", "heat", lambda p: p.heating_w),
        "receiver level": Watched("level of the receiver", "ratio", "level", lambda p: p.receiver_level),
    }
)
"""Name of a quantity -> how it is compared."""

SYMPTOMS = ("head", "suction", "superheat", "subcooling", "discharge temperature", "power")
"""The six that a fault is told by (common practice). The current goes with the power, but a small motor draws much
current at no load already, so an ammeter shows less of a change than a wattmeter."""


def change(before: float, after: float, margin: str) -> str:
    """Say what a value did.

    Parameters
    ----------
    before, after : float [SI; pressures absolute]
    margin : str, one of `MARGINS`

    Returns
    -------
    str, "rises", "falls" or "about the same"

    Raises
    ------
    UnknownName : no such margin

    Source
    ------
    `MARGINS`.

    Examples
    --------
    >>> change(2.27e5, 2.36e5, "pressure"), change(6.7, 5.4, "superheat or subcooling")
    ('rises', 'about the same')
    """
    if margin not in MARGINS:
        raise UnknownName("margin", margin, MARGINS)
    allowed = MARGINS[margin].share * abs(before) + MARGINS[margin].difference
    if abs(after - before) <= allowed:
        return SAME
    return RISES if after > before else FALLS


def compare(before: OperatingPoint, after: OperatingPoint) -> dict[str, Compared]:
    """Set two solved operating points side by side.

    Parameters
    ----------
    before, after : OperatingPoint
        where one of them has no steady point there is nothing to compare, and every ``change`` is empty

    Returns
    -------
    dict, name of a quantity as in `WATCHED` -> Compared

    Source
    ------
    `MARGINS`.
    """
    return {name: _compared(watched, before, after) for name, watched in WATCHED.items()}


def symptoms(before: OperatingPoint, after: OperatingPoint) -> dict[str, str]:
    """What the six tell-tale readings did.

    Parameters
    ----------
    before, after : OperatingPoint, both solved

    Returns
    -------
    dict, each of `SYMPTOMS` -> "rises", "falls" or "about the same"

    Source
    ------
    `MARGINS`.
    """
    compared = compare(before, after)
    return {name: compared[name].change for name in SYMPTOMS}


def _compared(watched: Watched, before: OperatingPoint, after: OperatingPoint) -> Compared:
    first = watched.value_of(before) if before.is_solved else None
    then = watched.value_of(after) if after.is_solved else None
    moved = "" if first is None or then is None else change(first, then, watched.margin)
    return Compared(watched.label, watched.quantity, first, then, moved)
