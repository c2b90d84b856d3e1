"""How far instruments may be off, and what that does to a result.

Convention (GUM, JCGM 100:2008): an instrument's limit +-a is taken as a rectangular distribution, so that its standard
uncertainty is a / sqrt(3). Standard uncertainties of independent instruments add as squares, each times its
sensitivity. The expanded uncertainty has the coverage factor k = 2 (about 95 %).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from hvacr_lab.errors import LabError
from hvacr_lab.readings.records import Moment
from hvacr_lab.units import checked_number, within

COVERAGE_FACTOR = 2.0
# [1], about 95 % of a normal distribution; GUM (JCGM 100:2008), 6.3.3
WEATHER_PA = 2500.0
# [Pa], how far the weather moves the barometer from the standard atmosphere (common practice: +-25 hPa)
THERMOMETERS = ("suction_pipe_k", "compressor_inlet_k", "discharge_pipe_k", "liquid_pipe_k")


@dataclass(frozen=True, slots=True)
class Instruments:
    """Limits of the instruments on a bench.

    Parameters
    ----------
    gauge_class_percent : float [% of full scale], the class printed on the dial: 1.0, 1.6, 2.5 (EN 837-1)
    suction_full_scale_pa, discharge_full_scale_pa : float [Pa], span of each gauge
    thermometer_k : float [K], limit of the thermometers on the pipes
    barometer_pa : float [Pa], limit of a barometer that is read; an altitude counts as `WEATHER_PA`
    mass_flow_share : float [1], limit of the flow meter as a share of the reading; None where it is not known
    power_share : float [1], limit of the power meter as a share of the reading; None where it is not known
    """

    gauge_class_percent: float
    suction_full_scale_pa: float
    discharge_full_scale_pa: float
    thermometer_k: float
    barometer_pa: float = 200.0
    mass_flow_share: float | None = None
    power_share: float | None = None

    def __post_init__(self) -> None:
        for field, (name, unit, high) in _INSTRUMENT_LIMITS.items():
            limit = getattr(self, field)
            if limit is not None or field not in _MAY_BE_UNKNOWN:
                within(name, checked_number(limit, name), unit, (0.0, high))


_INSTRUMENT_LIMITS = {
    "gauge_class_percent": ("gauge class", "%", 10.0),
    "suction_full_scale_pa": ("full scale of the suction gauge", "Pa", 20e6),
    "discharge_full_scale_pa": ("full scale of the discharge gauge", "Pa", 20e6),
    "thermometer_k": ("limit of the thermometers", "K", 20.0),
    "barometer_pa": ("limit of the barometer", "Pa", 10_000.0),
    "mass_flow_share": ("limit of the flow meter", "", 0.5),
    "power_share": ("limit of the power meter", "", 0.5),
}
"""Field of `Instruments` -> what it is, its unit, the highest that is taken for an instrument."""
_MAY_BE_UNKNOWN = ("mass_flow_share", "power_share")


@dataclass(frozen=True, slots=True)
class Measured:
    """A result with its uncertainty.

    Parameters
    ----------
    value : float [SI]
    unit : str, SI unit
    standard_uncertainty : float [SI], or None where the instruments are not known
    shares : mapping, field of `Moment` -> its share of the squared uncertainty, together 1; largest first
    """

    value: float
    unit: str
    standard_uncertainty: float | None
    shares: Mapping[str, float]

    @property
    def expanded_uncertainty(self) -> float | None:
        """Standard uncertainty times the coverage factor 2 (about 95 %)."""
        return None if self.standard_uncertainty is None else COVERAGE_FACTOR * self.standard_uncertainty


def reading_limits(moment: Moment, instruments: Instruments) -> dict[str, float]:
    """How far each reading of a moment may be off.

    Parameters
    ----------
    moment : Moment
    instruments : Instruments

    Returns
    -------
    dict, field of `Moment` -> limit [SI], only what was read with an instrument whose limit is known

    Source
    ------
    EN 837-1 (class in per cent of full scale); the rest by definition.

    Examples
    --------
    >>> bench = Instruments(1.6, 1e6, 3e6, 0.5)
    >>> reading_limits(Moment(suction_pressure_pa=2.5e5, suction_pipe_k=278.0), bench)
    {'suction_pressure_pa': 16000.0, 'suction_pipe_k': 0.5}
    """
    dial = instruments.gauge_class_percent / 100.0
    limits = {
        "suction_pressure_pa": dial * instruments.suction_full_scale_pa,
        "discharge_pressure_pa": dial * instruments.discharge_full_scale_pa,
        "barometer_pa": instruments.barometer_pa if moment.barometer_read else WEATHER_PA,
        **dict.fromkeys(THERMOMETERS, instruments.thermometer_k),
    }
    for field, share in (("mass_flow_kg_per_s", instruments.mass_flow_share), ("power_w", instruments.power_share)):
        if share is not None:
            limits[field] = share * (getattr(moment, field) or 0.0)
    return {field: limit for field, limit in limits.items() if getattr(moment, field) is not None}


def shifted(moment: Moment, errors: Mapping[str, float]) -> Moment:
    """What the readings would mean if the instruments were off by these errors.

    Parameters
    ----------
    moment : Moment
    errors : mapping, field of `Moment` -> error [SI]; an error of the barometer moves every gauge pressure with it

    Returns
    -------
    Moment

    Source
    ------
    Definition.

    Examples
    --------
    >>> gauge = Moment(barometer_pa=96_000.0, suction_pressure_pa=2.5e5, suction_is_gauge=True)
    >>> shifted(gauge, {"barometer_pa": 1000.0}).suction_pressure_pa
    251000.0
    """
    changed: dict[str, Any] = {field: getattr(moment, field) + error for field, error in errors.items()}
    barometer_error = errors.get("barometer_pa", 0.0)
    for side in ("suction", "discharge"):
        field = f"{side}_pressure_pa"
        pressure = changed.get(field, getattr(moment, field))
        if pressure is not None and getattr(moment, f"{side}_is_gauge"):
            changed[field] = pressure + barometer_error
    return replace(moment, **changed)


def propagate(result: Callable[[Moment], float], moment: Moment, limits: Mapping[str, float], unit: str) -> Measured:
    """Value of a result and how far the instruments' limits carry it.

    Parameters
    ----------
    result : function from a Moment to a float
    moment : Moment
    limits : mapping, field of `Moment` -> limit [SI], as `reading_limits` returns it; empty where nothing is known
    unit : str, unit of the result

    Returns
    -------
    Measured

    Raises
    ------
    LabError : where the result itself cannot be computed

    Source
    ------
    GUM (JCGM 100:2008), 4.3.7 (rectangular distribution) and 5.1.3 note 2 (sensitivities by finite differences).

    Examples
    --------
    >>> found = propagate(lambda m: m.power_w / 2.0, Moment(power_w=600.0), {"power_w": 12.0}, "W")
    >>> found.value, round(found.expanded_uncertainty, 2)
    (300.0, 6.93)
    """
    value = result(moment)
    squares = {
        field: _effect(result, moment, value, field, limit / math.sqrt(3.0)) ** 2
        for field, limit in limits.items()
        if limit > 0.0
    }
    total = sum(squares.values())
    if not limits:
        return Measured(value, unit, None, {})
    shares = {field: square / total for field, square in sorted(squares.items(), key=lambda item: -item[1]) if square}
    return Measured(value, unit, math.sqrt(total), shares)


def _effect(
    result: Callable[[Moment], float], moment: Moment, value: float, field: str, standard_uncertainty: float
) -> float:
    """Change of the result with one standard uncertainty of one reading; one-sided where the other side is refused."""
    changes = []
    for sign in (1.0, -1.0):
        try:
            changes.append(sign * (result(shifted(moment, {field: sign * standard_uncertainty})) - value))
        except LabError:
            continue
    if not changes:
        return 0.0
    return sum(changes) / len(changes)
