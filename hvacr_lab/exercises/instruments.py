"""What the instruments of a bench show: which quantity, in which unit, how finely divided, at which place.

A reading has the same name in every lesson: ``suction_pressure`` is shown in bar(g) or psig and offered to formulas as
``suction_pressure_pa`` (absolute) and ``suction_gauge_pa``.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import partial
from typing import Any, NamedTuple

from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.units import from_si, pressure_from_pa, pressure_pa, quantities, to_si
from hvacr_lab.units.table import find_pressure_unit, find_unit

EDITIONS = ("SI", "US")


class Division(NamedTuple):
    """The unit on a scale and its smallest division."""

    unit: str
    step: float


class Instrument(NamedTuple):
    """What an instrument measures, and its scale in each edition.

    Parameters
    ----------
    quantity : str, one of `units.quantities()`
    suffix : str, of the SI value's name
    scales : edition -> Division
    """

    quantity: str
    suffix: str
    scales: Mapping[str, Division]


_LOW_SIDE_GAUGE = Instrument("pressure", "_pa", {"SI": Division("bar(g)", 0.01), "US": Division("psig", 0.1)})
_HIGH_SIDE_GAUGE = Instrument("pressure", "_pa", {"SI": Division("bar(g)", 0.05), "US": Division("psig", 0.5)})
BAROMETER = Instrument("pressure", "_pa", {"SI": Division("bar(a)", 0.001), "US": Division("psia", 0.01)})
ABSOLUTE_PRESSURE = Instrument("pressure", "_pa", {"SI": Division("bar(a)", 0.001), "US": Division("psia", 0.01)})
THERMOMETER = Instrument("temperature", "_k", {"SI": Division("degC", 0.1), "US": Division("degF", 0.1)})
DIFFERENCE = Instrument("temperature difference", "_k", {"SI": Division("K", 0.1), "US": Division("degF", 0.1)})
ENTHALPY = Instrument("specific enthalpy", "_j_per_kg", {"SI": Division("kJ/kg", 0.1), "US": Division("Btu/lb", 0.1)})
PERCENT = Instrument("ratio", "", {"SI": Division("%", 0.1), "US": Division("%", 0.1)})
_GLASS = Instrument("state", "", {})


class Reading(NamedTuple):
    """A reading: where it is taken, what it is called, and the instrument.

    Parameters
    ----------
    place : str
    what : str
    instrument : Instrument
    """

    place: str
    what: str
    instrument: Instrument


PLACES = {
    "hot_gas": "glass 1, hot gas line",
    "condenser_outlet": "glass 2, condenser outlet",
    "liquid": "glass 3, liquid line before the expansion device",
    "evaporator_inlet": "glass 4, after the expansion device",
    "evaporator_outlet": "evaporator outlet",
    "suction": "glass 5, suction line at the compressor",
}
"""Name of a place -> its words, in the order of the flow."""

_GAUGES = {
    "hot_gas": _HIGH_SIDE_GAUGE,
    "condenser_outlet": _HIGH_SIDE_GAUGE,
    "liquid": _HIGH_SIDE_GAUGE,
    "evaporator_inlet": _LOW_SIDE_GAUGE,
    "evaporator_outlet": _LOW_SIDE_GAUGE,
    "suction": _LOW_SIDE_GAUGE,
}
READINGS = {
    **{f"{place}_pressure": Reading(PLACES[place], "gauge pressure", gauge) for place, gauge in _GAUGES.items()},
    **{f"{place}_pipe": Reading(words, "pipe temperature", THERMOMETER) for place, words in PLACES.items()},
    **{f"{place}_glass": Reading(words, "shows", _GLASS) for place, words in PLACES.items()},
    "evaporator_outlet_superheat": Reading(PLACES["evaporator_outlet"], "superheat", DIFFERENCE),
    "total_superheat": Reading(PLACES["suction"], "total superheat", DIFFERENCE),
    "condenser_outlet_subcooling": Reading(PLACES["condenser_outlet"], "subcooling", DIFFERENCE),
    "liquid_subcooling": Reading(PLACES["liquid"], "subcooling", DIFFERENCE),
    "liquid_enthalpy": Reading(PLACES["liquid"], "enthalpy", ENTHALPY),
    "suction_enthalpy": Reading(PLACES["suction"], "enthalpy", ENTHALPY),
}
"""Name of a reading -> place, words and instrument."""


class ScaleValue(NamedTuple):
    """A value as an instrument shows it.

    Parameters
    ----------
    number : float, in the unit of the scale
    text : str, with the unit
    si : float, computed back from the shown number; a pressure is absolute
    """

    number: float
    text: str
    si: float


def reading(name: str) -> Reading:
    """Look a reading up by its name.

    Parameters
    ----------
    name : str

    Returns
    -------
    Reading

    Raises
    ------
    UnknownName : there is no such reading
    """
    if name not in READINGS:
        raise UnknownName("reading", name, READINGS)
    return READINGS[name]


def with_places(names: str | Collection[str]) -> tuple[str, ...]:
    """Put gauge and pipe where a place is named.

    Parameters
    ----------
    names : of readings and places, or one of them

    Returns
    -------
    tuple of str, names of readings

    Examples
    --------
    >>> with_places(["suction", "liquid_pipe"])
    ('suction_pressure', 'suction_pipe', 'liquid_pipe')
    """
    names = (names,) if isinstance(names, str) else names
    parts = ((f"{name}_pressure", f"{name}_pipe") if name in PLACES else (name,) for name in names)
    return tuple(itertools.chain.from_iterable(parts))


def show(value_si: float, instrument: Instrument, edition: str, barometer_pa: float) -> ScaleValue:
    """Round a value the way an instrument shows it.

    Parameters
    ----------
    value_si : float; a pressure is absolute
    instrument : Instrument
    edition : str, "SI" or "US"
    barometer_pa : float [Pa absolute]

    Returns
    -------
    ScaleValue

    Examples
    --------
    >>> show(206_400.0, READINGS["suction_pressure"].instrument, "SI", 96_300.0)
    ScaleValue(number=1.1, text='1.10 bar(g)', si=206300.0)
    """
    unit, step = instrument.scales[edition]
    division = Decimal(str(step))
    exact = in_unit(value_si, unit, instrument.quantity, barometer_pa)
    rounded = (Decimal(repr(exact)) / division).quantize(Decimal(1), ROUND_HALF_UP) * division
    number = float(rounded) + 0.0  # no "-0.0"
    return ScaleValue(
        number,
        f"{number:.{-int(division.as_tuple().exponent)}f} {unit}",
        _to_si(number, instrument, unit, barometer_pa),
    )


def in_unit(value_si: float, unit: str, quantity: str, barometer_pa: float | None) -> float:
    """Convert an SI value into the unit of an answer.

    Parameters
    ----------
    value_si : float; a pressure is absolute
    unit : str
    quantity : str, or "" where the unit tells it
    barometer_pa : float [Pa absolute], needed for gauge pressures

    Returns
    -------
    float

    Examples
    --------
    >>> round(in_unit(5.0, "degF", "temperature difference", None), 1)
    9.0
    """
    found = quantity_of(unit, quantity)
    if found == "pressure":
        return pressure_from_pa(value_si, unit, barometer_pa)
    return from_si(value_si, unit, found)


def quantity_of(unit: str, quantity: str = "") -> str:
    """Say which quantity a unit measures.

    Parameters
    ----------
    unit : str, "K", "degC", "bar(a)", "%"
    quantity : str, where the author says it

    Returns
    -------
    str, one of `units.quantities()`

    Raises
    ------
    NotUsable : the unit may mean more than one quantity
    UnknownName : unit or quantity

    Examples
    --------
    >>> quantity_of("K"), quantity_of("degC"), quantity_of("bar(g)")
    ('temperature difference', 'temperature', 'pressure')
    """
    if quantity:
        _known_unit(unit, quantity)
        return quantity
    if unit in _PLAIN_QUANTITY:
        return _PLAIN_QUANTITY[unit]
    fitting = [name for name in quantities() if name != "pressure difference" and _fits(unit, name)]
    if len(fitting) == 1:
        return fitting[0]
    hint = 'Say which, for example quantity="temperature difference".'
    raise NotUsable("unit", unit, f"it may measure {' or '.join(fitting) or 'nothing known here'}", hint=hint)


_PLAIN_QUANTITY = {"K": "temperature difference", "degC": "temperature", "%": "ratio"}


def unit_of_edition(quantity: str, edition: str) -> str:
    """The unit in which an edition writes a quantity.

    Parameters
    ----------
    quantity : str
    edition : str, "SI" or "US"

    Returns
    -------
    str

    Examples
    --------
    >>> unit_of_edition("temperature", "US")
    'degF'
    """
    instruments = (THERMOMETER, DIFFERENCE, ENTHALPY, PERCENT, ABSOLUTE_PRESSURE)
    found = {instrument.quantity: instrument.scales[edition].unit for instrument in instruments}
    if quantity not in found:
        raise UnknownName("quantity", quantity, found)
    return found[quantity]


def si_names(name: str, shown: ScaleValue, instrument: Instrument, barometer_pa: float) -> dict[str, Any]:
    """Names under which formulas find a shown value.

    Parameters
    ----------
    name : str, of the reading
    shown : ScaleValue
    instrument : Instrument
    barometer_pa : float [Pa absolute]

    Returns
    -------
    dict, name with unit -> SI value
    """
    values = {name + instrument.suffix: shown.si}
    if instrument.quantity == "pressure" and name.endswith("_pressure"):
        values[name.removesuffix("_pressure") + "_gauge_pa"] = shown.si - barometer_pa
    return values


def solved_value(solved: Mapping[str, Any], name: str) -> Any:
    """Find a reading among what a situation gives.

    Parameters
    ----------
    solved : name with unit -> SI value
    name : str, of the reading

    Returns
    -------
    float [SI], or a word

    Raises
    ------
    UnknownName : there is no such reading, or the situation does not give it
    """
    full_name = name + reading(name).instrument.suffix
    if full_name not in solved:
        raise UnknownName("reading of this situation", full_name, solved)
    return solved[full_name]


def _known_unit(unit: str, quantity: str) -> None:
    """Raise UnknownName where a quantity has no such unit."""
    look_up = find_pressure_unit if quantity == "pressure" else partial(find_unit, quantity=quantity)
    look_up(unit)


def _fits(unit: str, quantity: str) -> bool:
    try:
        _known_unit(unit, quantity)
    except UnknownName:
        return False
    return True


def _to_si(number: float, instrument: Instrument, unit: str, barometer_pa: float) -> float:
    if instrument.quantity == "pressure":
        return pressure_pa(number, unit, barometer_pa)
    return to_si(number, unit, instrument.quantity)
