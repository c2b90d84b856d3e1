"""Readings that cannot be, or that look like a known slip: what a colleague would ask at the bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from hvacr_lab.errors import LabError
from hvacr_lab.readings.records import Moment
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.units import from_si, gauge_suspicion, to_si
from hvacr_lab.units.table import find_unit

Units = Mapping[str, str]

_USUAL_K = (-2.0, 30.0)
# [K], superheat or subcooling that a plant may show, thermometer error included (common practice)
_SCALE_DOUBT_K = 40.0
# [K], superheat or subcooling beyond it is more likely another scale than a fault (own value)
_HIGHEST_RATIO = 15.0
# [1], compression ratio beyond what one stage does (common practice)
_COP_LIMITS = (0.3, 15.0)
# [1], cooling COP of a vapour-compression plant (common practice)


def plausibility_notes(moments: tuple[Moment, ...], refrigerant: Refrigerant | None, units: Units) -> tuple[str, ...]:
    """What is doubtful in readings; each doubt once, with the first line that raises it.

    Parameters
    ----------
    moments : tuple of Moment
    refrigerant : Refrigerant; with None only what needs no refrigerant is looked at
    units : mapping, field -> unit as typed

    Returns
    -------
    tuple of str

    Source
    ------
    Common practice.

    Examples
    --------
    >>> swapped = Moment(line=2, suction_pressure_pa=9e5, discharge_pressure_pa=2e5)
    >>> plausibility_notes((swapped,), None, {})[0]
    'Line 2: suction pressure (9 bar absolute) is above discharge pressure (2 bar). Are the gauges swapped?'
    """
    checks: list[Callable[[Moment], str | None]] = list(_CHECKS)
    if refrigerant is not None:
        checks += [partial(check, refrigerant=refrigerant, units=units) for check in _REFRIGERANT_CHECKS]
    return tuple(note for check in checks if (note := _first_doubt(check, moments)))


def _first_doubt(check: Callable[[Moment], str | None], moments: tuple[Moment, ...]) -> str:
    raised = [(moment.line, doubt) for moment in moments if (doubt := _quietly(check, moment))]
    more = f" (And {len(raised) - 1} more rows.)" if len(raised) > 1 else ""
    return f"Line {raised[0][0]}: {raised[0][1]}{more}" if raised else ""


def _quietly(check: Callable[[Moment], str | None], moment: Moment) -> str | None:
    """Run a check; where the refrigerant has no answer there is nothing to compare with."""
    try:
        return check(moment)
    except LabError:
        return None


def _in_limits(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    low, high = refrigerant.limits.pressure_pa
    for name, pressure in (("suction", moment.suction_pressure_pa), ("discharge", moment.discharge_pressure_pa)):
        if pressure is not None and not low <= pressure <= high:
            shown = f"{name} pressure {pressure / 1e5:.3g} bar absolute is outside the table of {refrigerant.name}"
            return f"{shown} ({low / 1e5:.3g} ... {high / 1e5:.3g} bar)."
    return None


def _sides(moment: Moment) -> str | None:
    suction, discharge = moment.suction_pressure_pa, moment.discharge_pressure_pa
    if suction is None or discharge is None:
        return None
    if suction > discharge:
        shown = f"suction pressure ({suction / 1e5:.3g} bar absolute) is above discharge pressure"
        return f"{shown} ({discharge / 1e5:.3g} bar). Are the gauges swapped?"
    if discharge > _HIGHEST_RATIO * suction:
        return f"compression ratio {discharge / max(suction, 1.0):.0f} is more than one stage does. Check both gauges."
    return None


def _suction_gauge(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    pressure, pipe = moment.suction_pressure_pa, moment.suction_pipe_k
    if pressure is None or pipe is None or moment.suction_is_gauge or moment.barometer_pa is None:
        return None
    return gauge_suspicion(
        pressure,
        moment.barometer_pa,
        name="suction pressure",
        margin="superheat",
        margin_k=lambda p: refrigerant.superheat(p, pipe),
    )


def _discharge_gauge(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    pressure, pipe = moment.discharge_pressure_pa, moment.liquid_pipe_k
    if pressure is None or pipe is None or moment.discharge_is_gauge or moment.barometer_pa is None:
        return None
    return gauge_suspicion(
        pressure,
        moment.barometer_pa,
        name="discharge pressure",
        margin="subcooling",
        margin_k=lambda p: refrigerant.subcooling(p, pipe),
    )


def _suction_wet(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    pressure, pipe = moment.suction_pressure_pa, moment.suction_pipe_k
    if pressure is None or pipe is None:
        return None
    return _margin_doubt(
        pipe,
        lambda reading: refrigerant.superheat(pressure, reading),
        units.get("suction_pipe_k", ""),
        ("suction pipe", "superheat", "the pipe would be colder than the refrigerant in it"),
    )


def _liquid_wet(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    pressure, pipe = moment.discharge_pressure_pa, moment.liquid_pipe_k
    if pressure is None or pipe is None:
        return None
    return _margin_doubt(
        pipe,
        lambda reading: refrigerant.subcooling(pressure, reading),
        units.get("liquid_pipe_k", ""),
        ("liquid pipe", "subcooling", "bubbles, a pressure drop, or gas that does not condense"),
    )


def _margin_doubt(
    pipe_k: float, margin_k: Callable[[float], float], unit: str, words: tuple[str, str, str]
) -> str | None:
    """Doubt a superheat or subcooling that is negative, or that fits only in the other scale."""
    place, name, reason = words
    margin, other = margin_k(pipe_k), _other_scale(pipe_k, unit)
    fits = other is not None and _USUAL_K[0] <= margin_k(other[0]) <= _USUAL_K[1]
    if other is not None and fits and not -_SCALE_DOUBT_K / 2.0 <= margin <= _SCALE_DOUBT_K:
        typed = f"{from_si(pipe_k, unit, 'temperature'):.4g}"
        return f"{place} {typed} {unit} means {margin:.0f} K of {name}. Was it {typed} {other[1]}?"
    if margin < 0.0:
        return f"{name} is {margin:.1f} K: {reason}. Check where and how the thermometer sits, and the gauge."
    return None


def _other_scale(temperature_k: float, unit: str) -> tuple[float, str] | None:
    """Temperature that the same figure means in the other everyday scale."""
    for scale, other in (("C", "F"), ("F", "C")):
        if unit and find_unit(unit, "temperature") == find_unit(scale, "temperature"):
            return to_si(from_si(temperature_k, scale, "temperature"), other, "temperature"), other
    return None


def _discharge_cold(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    pressure, pipe = moment.discharge_pressure_pa, moment.discharge_pipe_k
    if pressure is None or pipe is None:
        return None
    margin = refrigerant.superheat(pressure, pipe)
    if margin >= 0.0:
        return None
    return f"discharge pipe is {-margin:.1f} K colder than the vapour in it can be. Is the thermometer in contact?"


def _wet_bulbs(moment: Moment) -> str | None:
    for name in ("evaporator_air_in", "evaporator_air_out"):
        dry, wet = getattr(moment, f"{name}_k"), getattr(moment, f"{name}_wet_bulb_k")
        if dry is not None and wet is not None and wet > dry:
            return f"{name.replace('_', ' ')}: the wet bulb is {wet - dry:.1f} K above the dry bulb. Are they swapped?"
    return None


def _air_sides(moment: Moment) -> str | None:
    cold_in, cold_out = moment.evaporator_air_in_k, moment.evaporator_air_out_k
    warm_in, warm_out = moment.condenser_air_in_k, moment.condenser_air_out_k
    if cold_in is not None and cold_out is not None and cold_out > cold_in:
        return "the evaporator warms its air. Are in and out swapped, or does the plant heat?"
    if warm_in is not None and warm_out is not None and warm_out < warm_in:
        return "the condenser cools its air. Are in and out swapped?"
    return None


def _cop(moment: Moment, refrigerant: Refrigerant, units: Units) -> str | None:
    """Doubt a COP that only a wrong unit makes."""
    flow, power = moment.mass_flow_kg_per_s, moment.power_w
    if not flow or not power or moment.suction_pressure_pa is None or moment.discharge_pressure_pa is None:
        return None
    dew, bubble = (refrigerant.saturation(p) for p in (moment.suction_pressure_pa, moment.discharge_pressure_pa))
    cop = flow * (dew.dew_enthalpy_j_per_kg - bubble.bubble_enthalpy_j_per_kg) / power
    if _COP_LIMITS[0] <= cop <= _COP_LIMITS[1]:
        return None
    return f"flow and power make a COP of about {cop:.2g}. Check the units of flow (kg/h or kg/s) and power (W or kW)."


_CHECKS = (_sides, _wet_bulbs, _air_sides)
"""What needs no refrigerant."""
_REFRIGERANT_CHECKS = (_in_limits, _suction_gauge, _discharge_gauge, _suction_wet, _liquid_wet, _discharge_cold, _cop)
"""What needs the refrigerant and the units in the headings."""
