"""What no machine can beat, and what the dead space of a cylinder costs."""

from __future__ import annotations

from hvacr_lab.cycle.inputs import one_number
from hvacr_lab.errors import OutOfRange
from hvacr_lab.units import within


def carnot_cop(cold_temperature_k: float, hot_temperature_k: float) -> float:
    """Cooling COP that no machine between two temperatures can beat; for heating add 1.

    Parameters
    ----------
    cold_temperature_k : float [K], where heat is taken up
    hot_temperature_k : float [K], where heat is given off

    Returns
    -------
    float

    Raises
    ------
    NotUsable : text, NaN
    OutOfRange : a temperature of 0 K or below; cold not below hot

    Source
    ------
    ASHRAE Fundamentals 2021, ch. 2, Carnot refrigeration cycle.

    Examples
    --------
    >>> carnot_cop(250.0, 300.0)
    5.0
    """
    cold, hot = (
        within(f"{side} temperature", one_number(value, f"{side} temperature"), "K", (1.0, None))
        for side, value in (("cold", cold_temperature_k), ("hot", hot_temperature_k))
    )
    if cold >= hot:
        raise OutOfRange("cold temperature", cold, "K", high=hot, hint="Were cold and hot mixed up?")
    return cold / (hot - cold)


def clearance_volumetric_efficiency(clearance_fraction: float, compression_ratio: float, exponent: float) -> float:
    """Volumetric efficiency left by gas that stays in the dead space and expands again.

    Parameters
    ----------
    clearance_fraction : float, dead space divided by swept volume, 0 ... 0.3
    compression_ratio : float, 1 or more
    exponent : float, of the polytropic expansion, 1 ... 2

    Returns
    -------
    float, 0 ... 1

    Raises
    ------
    NotUsable : text, NaN
    OutOfRange : also when nothing would be drawn in at all

    Source
    ------
    1 + c - c r^(1/n), re-expansion of the clearance gas; common practice, used in Singh, Applied Thermodynamics,
    ch. 18, Example 10.

    Examples
    --------
    >>> round(clearance_volumetric_efficiency(0.02, 6.36, 1.13), 3)
    0.917
    """
    clearance = within(
        "clearance fraction",
        one_number(clearance_fraction, "clearance fraction"),
        "",
        (0.0, 0.3),
        hint="4 % is written 0.04.",
    )
    ratio = within("compression ratio", one_number(compression_ratio, "compression ratio"), "", (1.0, None))
    power = within("exponent", one_number(exponent, "exponent"), "", (1.0, 2.0))
    efficiency: float = 1.0 + clearance - clearance * ratio ** (1.0 / power)
    hint = f"With a clearance of {clearance:g} the compressor draws nothing in at a ratio of {ratio:g}."
    return within("volumetric efficiency", efficiency, "", (0.0, 1.0), hint=hint)
