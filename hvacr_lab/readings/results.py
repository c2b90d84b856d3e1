"""What the readings of a moment mean: superheat, subcooling, capacity and COP, each with its uncertainty."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from hvacr_lab.errors import LabError, OutOfRange
from hvacr_lab.readings.columns import COLUMNS
from hvacr_lab.readings.records import Moment
from hvacr_lab.readings.uncertainty import Instruments, Measured, propagate, reading_limits
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.refrigerants import refrigerant as find_refrigerant


@dataclass(frozen=True, slots=True)
class MomentResults:
    """Results of one moment; None where a reading is missing or does not allow it, and `notes` says why.

    Parameters
    ----------
    moment : Moment
    superheat : Measured or None [K], outlet of the evaporator above the dew point
    total_superheat : Measured or None [K], compressor inlet above the dew point
    subcooling : Measured or None [K], liquid pipe below the bubble point
    capacity : Measured or None [W], flow times rise of enthalpy in the evaporator
    cop : Measured or None [1], capacity over compressor power
    notes : tuple of str
    """

    moment: Moment
    superheat: Measured | None
    total_superheat: Measured | None
    subcooling: Measured | None
    capacity: Measured | None
    cop: Measured | None
    notes: tuple[str, ...] = ()


def evaluate(moment: Moment, refrigerant: Refrigerant | str, instruments: Instruments | None = None) -> MomentResults:
    """Superheat, subcooling, capacity and COP of a moment.

    Parameters
    ----------
    moment : Moment
    refrigerant : Refrigerant or str
    instruments : Instruments; None gives values without uncertainty

    Returns
    -------
    MomentResults

    Raises
    ------
    UnknownName : refrigerant

    Source
    ------
    Definitions; dew line for superheat and bubble line for subcooling, because blends glide (common practice).
    Uncertainty: see `readings.uncertainty`.

    Examples
    --------
    >>> moment = Moment(suction_pressure_pa=2e5, suction_pipe_k=271.15)
    >>> found = evaluate(moment, "R-134a", Instruments(1.6, 1e6, 3e6, 0.5))
    >>> round(found.superheat.value, 1), round(found.superheat.expanded_uncertainty, 1)
    (8.1, 2.4)
    """
    fluid = find_refrigerant(refrigerant) if isinstance(refrigerant, str) else refrigerant
    limits = {} if instruments is None else reading_limits(moment, instruments)
    found: dict[str, Measured | None] = {}
    notes: list[str] = []
    for field, result in _RESULTS.items():
        found[field], note = _one(result, fluid, moment, limits)
        notes += [note] if note else []
    return MomentResults(moment, notes=tuple(notes), **found)


class _Result(NamedTuple):
    """How one result is computed."""

    title: str
    unit: str
    needs: tuple[str, ...]
    of: Callable[[Refrigerant, Moment], float]
    doubt: str = ""


_SUCTION = ("suction_pressure_pa", "suction_pipe_k")
_INLET = ("suction_pressure_pa", "compressor_inlet_k")
_LIQUID = ("discharge_pressure_pa", "liquid_pipe_k")
_FLOW = (*_SUCTION, *_LIQUID, "mass_flow_kg_per_s")


def _superheat(fluid: Refrigerant, moment: Moment) -> float:
    return fluid.superheat(*_read(moment, _SUCTION))


def _total_superheat(fluid: Refrigerant, moment: Moment) -> float:
    return fluid.superheat(*_read(moment, _INLET))


def _subcooling(fluid: Refrigerant, moment: Moment) -> float:
    return fluid.subcooling(*_read(moment, _LIQUID))


def _capacity(fluid: Refrigerant, moment: Moment) -> float:
    margins = {"superheat": _superheat(fluid, moment), "subcooling": _subcooling(fluid, moment)}
    for name, margin in margins.items():
        if margin < 0.0:
            hint = "In wet refrigerant pressure and temperature do not tell the enthalpy."
            raise OutOfRange(name, round(margin, 1), "K", low=0.0, hint=hint)
    (flow_kg_per_s,) = _read(moment, ("mass_flow_kg_per_s",))
    effect = fluid.enthalpy_pt(*_read(moment, _SUCTION)) - fluid.enthalpy_pt(*_read(moment, _LIQUID))
    return flow_kg_per_s * effect


def _cop(fluid: Refrigerant, moment: Moment) -> float:
    (power_w,) = _read(moment, ("power_w",))
    if power_w <= 0.0:
        raise OutOfRange("compressor power", power_w, "W", low=1.0, hint="Does the plant run?")
    return _capacity(fluid, moment) / power_w


def _read(moment: Moment, fields: tuple[str, ...]) -> list[float]:
    """Readings that were made; `_one` has looked that none is missing."""
    return [float(getattr(moment, field)) for field in fields]


_RESULTS = {
    "superheat": _Result("superheat", "K", _SUCTION, _superheat, "liquid may leave the evaporator"),
    "total_superheat": _Result(
        "total superheat",
        "K",
        _INLET,
        _total_superheat,
        "liquid may reach the compressor",
    ),
    "subcooling": _Result("subcooling", "K", _LIQUID, _subcooling, "the liquid pipe may carry bubbles"),
    "capacity": _Result("capacity", "W", _FLOW, _capacity),
    "cop": _Result("COP", "1", (*_FLOW, "power_w"), _cop),
}
"""Field of `MomentResults` -> how it is computed."""

_TITLES = {column.field: column.title for column in COLUMNS}


def _one(result: _Result, fluid: Refrigerant, moment: Moment, limits: dict[str, float]) -> tuple[Measured | None, str]:
    """One result, and what a reader should know about it."""
    missing = [_TITLES[field] for field in result.needs if getattr(moment, field) is None]
    if missing:
        return None, f"No {result.title}: {', '.join(missing)} not read."
    unknown = [_TITLES[field] for field in result.needs if limits and field not in limits]
    try:
        found = propagate(partial(result.of, fluid), moment, {} if unknown else limits, result.unit)
    except LabError as error:
        return None, f"No {result.title}: {error}"
    if unknown:
        return found, f"No uncertainty of the {result.title}: the limit of {', '.join(unknown)} is not known."
    spread = found.expanded_uncertainty
    if result.doubt and spread is not None and found.value < spread:
        return found, f"The {result.title} of {found.value:.1f} K is uncertain by {spread:.1f} K: {result.doubt}."
    return found, ""
