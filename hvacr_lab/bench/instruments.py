"""Instruments as they are: range, division, class, a little scatter, and time to settle.

The same key gives the same reading every time; nothing here depends on a clock or on the order of calls.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from statistics import NormalDist
from types import MappingProxyType

from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.refrigerants import Refrigerant, refrigerant
from hvacr_lab.units import checked_number, from_si, pressure_from_pa, pressure_pa, to_si, within

EDITIONS = ("SI", "US")
_OWN_SHARE = 0.8
# [1], of the permitted error that sits in the instrument itself; the rest scatters between readings (own value)
_AMPERE = "current"
# in ampere everywhere, so the units room does not know it


@dataclass(frozen=True, slots=True)
class Scale:
    """What is printed on an instrument: unit, ends and smallest division, all in that unit."""

    unit: str
    low: float
    high: float
    step: float


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument and its largest permitted error, which is the sum of three parts.

    Parameters
    ----------
    label : str, for people
    quantity : str, as the units room names it, or "current"
    scales : edition -> Scale
    span_error : float, share of the span (a gauge of class 1.0 has 0.01)
    reading_error : float, share of the reading
    fixed_error : float [SI unit of the quantity]
    towards_air : float, share of the difference to the surrounding air that a clamp on a pipe loses
    time_constant_s : float [s], 63 % of a sudden change is shown after it
    """

    label: str
    quantity: str
    scales: Mapping[str, Scale]
    span_error: float = 0.0
    reading_error: float = 0.0
    fixed_error: float = 0.0
    towards_air: float = 0.0
    time_constant_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Shown:
    """What stands on an instrument.

    Parameters
    ----------
    number : float, in the unit of the scale
    unit : str
    text : str, number and unit, with a word where the pointer lies at its stop
    si : float, worked back from the number; a pressure is absolute
    at_stop : bool, the true value lies beyond the scale
    """

    number: float
    unit: str
    text: str
    si: float
    at_stop: bool = False


def _gauge(label: str, bar: tuple[float, float, float], psi: tuple[float, float, float]) -> Instrument:
    scales = {"SI": Scale("bar(g)", *bar), "US": Scale("psig", *psi)}
    return Instrument(label, "pressure", scales, span_error=0.01, time_constant_s=0.5)


INSTRUMENTS: Mapping[str, Instrument] = MappingProxyType(
    {
        "low-side gauge": _gauge("low-side gauge", (-1.0, 10.0, 0.02), (-15.0, 150.0, 0.5)),
        "high-side gauge": _gauge("high-side gauge", (-1.0, 35.0, 0.1), (-15.0, 500.0, 1.0)),
        "low-side gauge, high pressure": _gauge("low-side gauge", (-1.0, 25.0, 0.05), (-15.0, 350.0, 1.0)),
        "high-side gauge, high pressure": _gauge("high-side gauge", (-1.0, 55.0, 0.1), (-15.0, 800.0, 2.0)),
        "barometer": Instrument(
            "barometer",
            "pressure",
            {"SI": Scale("hPa", 500.0, 1120.0, 1.0), "US": Scale("inHg", 14.8, 33.1, 0.01)},
            fixed_error=100.0,
        ),
        "clamp thermometer": Instrument(
            "clamp thermometer",
            "temperature",
            {"SI": Scale("degC", -50.0, 150.0, 0.1), "US": Scale("degF", -58.0, 302.0, 0.1)},
            fixed_error=0.8,
            towards_air=0.03,
            time_constant_s=12.0,
        ),
        "air thermometer": Instrument(
            "air thermometer",
            "temperature",
            {"SI": Scale("degC", -40.0, 70.0, 0.1), "US": Scale("degF", -40.0, 158.0, 0.1)},
            fixed_error=0.5,
            time_constant_s=30.0,
        ),
        "hygrometer": Instrument(
            "hygrometer",
            "ratio",
            dict.fromkeys(EDITIONS, Scale("%", 0.0, 100.0, 1.0)),
            fixed_error=0.03,
            time_constant_s=30.0,
        ),
        "clamp ammeter": Instrument(
            "clamp ammeter",
            _AMPERE,
            dict.fromkeys(EDITIONS, Scale("A", 0.0, 40.0, 0.01)),
            reading_error=0.02,
            fixed_error=0.05,
            time_constant_s=0.5,
        ),
        "wattmeter": Instrument(
            "wattmeter",
            "power",
            dict.fromkeys(EDITIONS, Scale("W", 0.0, 6000.0, 1.0)),
            reading_error=0.01,
            fixed_error=2.0,
            time_constant_s=1.0,
        ),
    }
)
"""The instruments beside the bench.

Gauges of class 1.0 as in EN 837-1 and ASME B40.100 (both from memory): 1 % of the span. The other errors and all time
constants are own values of the size that data sheets of ordinary service instruments state (common practice).
"""

_HOT_DAY_K = 338.15
# [K], 65 degC, the warmest condensing temperature that a high-side gauge should still show (own value)
_TOP_OF_ORDINARY_GAUGE_PA = 36e5
# [Pa absolute], top of the ordinary high-side gauge


def instrument(name: str) -> Instrument:
    """Look an instrument up by its name.

    Parameters
    ----------
    name : str, one of `INSTRUMENTS`

    Returns
    -------
    Instrument

    Raises
    ------
    UnknownName : there is no such instrument
    """
    if name not in INSTRUMENTS:
        raise UnknownName("instrument", name, INSTRUMENTS)
    return INSTRUMENTS[name]


def gauges_for(fluid: Refrigerant | str) -> tuple[Instrument, Instrument]:
    """Low-side and high-side gauge whose scales suit a refrigerant.

    Parameters
    ----------
    fluid : Refrigerant, or its name

    Returns
    -------
    tuple of two Instruments, low side first

    Source
    ------
    Common practice: a gauge should show the pressure of the hottest condenser, and not much more.

    Examples
    --------
    >>> [gauge.scales["SI"].high for gauge in gauges_for("R-134a")], gauges_for("R-410A")[1].scales["SI"].high
    ([10.0, 35.0], 55.0)
    """
    found = refrigerant(fluid) if isinstance(fluid, str) else fluid
    hottest_k = min(_HOT_DAY_K, found.limits.bubble_temperature_k[1])
    tall = ", high pressure" if found.bubble_pressure(hottest_k) > _TOP_OF_ORDINARY_GAUGE_PA else ""
    return INSTRUMENTS[f"low-side gauge{tall}"], INSTRUMENTS[f"high-side gauge{tall}"]


def largest_error(device: Instrument, true_si: float) -> float:
    """Error that an instrument in order may have.

    Parameters
    ----------
    device : Instrument
    true_si : float [SI; a pressure as the instrument counts it, the error is the same]

    Returns
    -------
    float [SI unit of the quantity], positive

    Source
    ------
    `INSTRUMENTS`.

    Examples
    --------
    >>> round(largest_error(INSTRUMENTS["high-side gauge"], 9e5))
    36000
    """
    scale = device.scales["SI"]
    span = scale.high - scale.low
    span_si = span * _size_of_unit(device, scale.unit)
    return device.span_error * span_si + device.reading_error * abs(true_si) + device.fixed_error


def read(
    device: Instrument,
    true_si: float,
    *,
    key: str | None,
    edition: str = "SI",
    barometer_pa: float | None = None,
    air_k: float | None = None,
) -> Shown:
    """Read an instrument.

    Parameters
    ----------
    device : Instrument
    true_si : float [SI; a pressure absolute]
    key : str, which copy of the instrument and which reading: "bench 3/12"; what stands before the last "/" decides on
        the error of the instrument itself, the whole on the scatter. None: an instrument without any error
    edition : str, "SI" or "US"
    barometer_pa : float or None [Pa absolute], needed by gauges
    air_k : float or None [K], air around a clamp on a pipe; None: a clamp without loss

    Returns
    -------
    Shown

    Raises
    ------
    NotUsable : the value is no number, a gauge without a barometer
    UnknownName : edition

    Source
    ------
    Own model: the error is drawn once for the instrument and once for the reading, from a normal distribution whose
    95 % lie within the permitted error, and never exceeds it.

    Examples
    --------
    >>> read(INSTRUMENTS["low-side gauge"], 206_400.0, key=None, barometer_pa=96_300.0).text
    '1.10 bar(g)'
    """
    if edition not in EDITIONS:
        raise UnknownName("edition", edition, EDITIONS)
    true = checked_number(true_si, device.label)
    sensed = true if air_k is None or key is None else true + device.towards_air * (air_k - true)
    if key is not None:
        sensed += _error(device, true, key)
    scale = device.scales[edition]
    return _on_scale(device, scale, _in_unit(device, sensed, scale.unit, barometer_pa), barometer_pa)


def follow(shown_si: float, true_si: float, elapsed_s: float, time_constant_s: float) -> float:
    """What an instrument shows a while later, when the true value has stood still in between.

    Parameters
    ----------
    shown_si : float, what it showed before
    true_si : float, the true value since then
    elapsed_s : float [s], zero or positive
    time_constant_s : float [s], zero or positive

    Returns
    -------
    float, in the unit of the first two

    Raises
    ------
    OutOfRange : negative time

    Source
    ------
    First-order lag, any textbook on measurement.

    Examples
    --------
    >>> round(follow(20.0, 30.0, 12.0, 12.0), 2)
    26.32
    """
    elapsed = within("elapsed time", checked_number(elapsed_s, "elapsed time"), "s", (0.0, None))
    lag = within("time constant", checked_number(time_constant_s, "time constant"), "s", (0.0, None))
    if lag == 0.0:
        return true_si
    return true_si + (shown_si - true_si) * math.exp(-elapsed / lag)


def glass_as_seen(contents: str) -> str:
    """What a sight glass looks like: full of liquid and full of gas look the same.

    Parameters
    ----------
    contents : str, "vapour", "bubbles" or "liquid"

    Returns
    -------
    str, "clear" or "bubbles"

    Raises
    ------
    UnknownName : other contents

    Source
    ------
    Common practice: a clear glass means full, or empty.

    Examples
    --------
    >>> glass_as_seen("liquid"), glass_as_seen("vapour")
    ('clear', 'clear')
    """
    if contents not in _LOOKS:
        raise UnknownName("contents of a sight glass", contents, _LOOKS)
    return _LOOKS[contents]


_LOOKS = {"vapour": "clear", "bubbles": "bubbles", "liquid": "clear"}


def _error(device: Instrument, true_si: float, key: str) -> float:
    """Never more than the permitted error: the instrument's own part, the same all day, and a little scatter."""
    own = _drawn(f"{device.label}|{key.rpartition('/')[0]}")
    scatter = _drawn(f"{device.label}|{key}|scatter")
    return largest_error(device, true_si) * (_OWN_SHARE * own + (1.0 - _OWN_SHARE) * scatter)


def _drawn(key: str) -> float:
    """A number from -1 to 1, normally distributed with 95 % of a normal distribution inside, always the same."""
    digest = hashlib.blake2b(key.encode("utf-8"), digest_size=8).digest()
    share = (int.from_bytes(digest, "big") + 0.5) / 2.0**64
    return max(-1.0, min(1.0, NormalDist(0.0, 0.5).inv_cdf(share)))


def _on_scale(device: Instrument, scale: Scale, value: float, barometer_pa: float | None) -> Shown:
    held = max(scale.low, min(scale.high, value))
    division = Decimal(str(scale.step))
    rounded = (Decimal(repr(held)) / division).quantize(Decimal(1), ROUND_HALF_UP) * division
    number = float(rounded) + 0.0  # no "-0.0"
    beyond = "" if held == value else " (at its stop)"
    decimals = max(-int(division.normalize().as_tuple().exponent), 0)
    return Shown(
        number,
        scale.unit,
        f"{number:.{decimals}f} {scale.unit}{beyond}",
        _to_si(device, number, scale.unit, barometer_pa),
        bool(beyond),
    )


def _in_unit(device: Instrument, value_si: float, unit: str, barometer_pa: float | None) -> float:
    if device.quantity == "pressure":
        # a vacuum below zero can come from the error only
        return pressure_from_pa(max(value_si, 0.0), unit, _needed(device, unit, barometer_pa))
    return value_si if device.quantity == _AMPERE else from_si(value_si, unit, device.quantity)


def _to_si(device: Instrument, number: float, unit: str, barometer_pa: float | None) -> float:
    if device.quantity == "pressure":
        return pressure_pa(max(number, _lowest(unit, barometer_pa)), unit, barometer_pa)
    return number if device.quantity == _AMPERE else to_si(number, unit, device.quantity)


def _lowest(unit: str, barometer_pa: float | None) -> float:
    """Full vacuum on a scale: no pressure lies below it, though a pointer may by its error."""
    return pressure_from_pa(0.0, unit, barometer_pa)


def _needed(device: Instrument, unit: str, barometer_pa: float | None) -> float | None:
    if barometer_pa is None and unit in ("bar(g)", "psig"):
        raise NotUsable(device.label, unit, "a gauge counts from the air around it", hint="Give barometer_pa.")
    return barometer_pa


def _size_of_unit(device: Instrument, unit: str) -> float:
    """How much one division "1" of the scale is in SI; a scale may count from another zero."""
    if device.quantity == _AMPERE:
        return 1.0
    if device.quantity == "pressure":
        return to_si(1.0, unit.removesuffix("(g)"), "pressure difference")
    return to_si(1.0, unit, device.quantity) - to_si(0.0, unit, device.quantity)
