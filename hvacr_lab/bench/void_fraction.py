"""How much refrigerant a volume of wet vapour holds: vapour slips past the liquid, so more liquid stays than flows.

The slip ratio (vapour speed over liquid speed) is a power of the density ratio. Zivi's third power is the rule of the
bench; power zero is the homogeneous mixture.
"""

from __future__ import annotations

import math

from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines

ZIVI, HOMOGENEOUS = 1.0 / 3.0, 0.0
"""Powers of the density ratio (liquid over vapour) that give the slip ratio."""

_SHORT = 1e-6
# qualities closer than this: the local density is the mean
_COINCIDE = 1e-8
# scale below which the formula becomes 0/0 and its limit is taken
_FARTHEST = 0.5
# how far below quality zero the mean goes on, as a share of where it would fail (own value)


def void_fraction(quality: float, volume_ratio: float, slip_power: float = ZIVI) -> float:
    """Share of the cross-section that vapour fills.

    Parameters
    ----------
    quality : float [0 ... 1], vapour mass flow over all
    volume_ratio : float, specific volume of the liquid over that of the vapour
    slip_power : float, ZIVI or HOMOGENEOUS

    Returns
    -------
    float [0 ... 1]

    Source
    ------
    S. M. Zivi, Journal of Heat Transfer 86 (1964) 247-252 (minimum entropy production); homogeneous: definition.

    Examples
    --------
    >>> round(void_fraction(0.4, 2.5 / 800.0), 6), round(void_fraction(0.4, 2.5 / 800.0, HOMOGENEOUS), 6)
    (0.968934, 0.995334)
    """
    c = math.pow(volume_ratio, 1.0 - slip_power)
    return quality / (quality + c * (1.0 - quality))


def flowing_quality(void: float, volume_ratio: float, slip_power: float = ZIVI) -> float:
    """Quality that flows where vapour fills this share of the cross-section: the inverse of `void_fraction`.

    Parameters
    ----------
    void : float [0 ... 1]
    volume_ratio : float, specific volume of the liquid over that of the vapour
    slip_power : float, ZIVI or HOMOGENEOUS

    Returns
    -------
    float [0 ... 1]

    Source
    ------
    As `void_fraction`.

    Examples
    --------
    >>> round(flowing_quality(void_fraction(0.4, 0.01), 0.01), 12)
    0.4
    """
    c = math.pow(volume_ratio, 1.0 - slip_power)
    return c * void / (1.0 - void + c * void)


def mean_wet_density(
    lines: Lines, quality_in: float, quality_out: float, log_ratio: float = 0.0, slip_power: float = ZIVI
) -> float:
    """Mean density along a wet zone in which the quality runs from one value to another.

    Parameters
    ----------
    lines : Lines, of the pressure
    quality_in, quality_out : float [0 ... 1]; slightly below zero the formula goes on smoothly, for searches
    log_ratio : float, logarithm of the leaving over the entering temperature difference to the air: 0 where the quality
        runs evenly, far below zero where most of the zone has come close to the quality at its end
    slip_power : float, ZIVI or HOMOGENEOUS

    Returns
    -------
    float [kg/m3]

    Source
    ------
    Void fraction as `void_fraction`, integrated along the zone in closed form (own derivation).

    Examples
    --------
    >>> from hvacr_lab.bench.fluid import fluid_of
    >>> lines = fluid_of("R-134a").lines(300_000.0)
    >>> [round(mean_wet_density(lines, 0.3, out)) for out in (0.3, 1.0)]
    [150, 59]
    """
    c = math.pow(lines.bubble_m3_per_kg / lines.dew_m3_per_kg, 1.0 - slip_power)
    a = 1.0 - c
    lowest = -_FARTHEST * c / a if a > 0.0 else 0.0
    first = quality_in if quality_in > lowest else lowest
    last = quality_out if quality_out > lowest else lowest
    if -_SHORT < last - first < _SHORT or a < _SHORT:
        middle = 0.5 * (first + last)
        void = middle / (middle + c * (1.0 - middle))
    else:
        void = _mean_void(c, a, first, last, log_ratio)
    return (1.0 - void) / lines.bubble_m3_per_kg + void / lines.dew_m3_per_kg


def _mean_void(c: float, a: float, first: float, last: float, log_ratio: float) -> float:
    """Mean of x / (c + a x) along a way on which x approaches the value it would have at the air's temperature."""
    fall = -math.expm1(log_ratio)
    over_fall = log_ratio / fall if fall else -1.0
    scale = c * log_ratio + a * (over_fall * (last - first) + log_ratio * first)
    begin, end = c + a * first, c + a * last
    if -_COINCIDE < scale < _COINCIDE:
        return 1.0 / a + c * (1.0 / end - 1.0 / begin) / (a * log_ratio)
    return 1.0 / a + c * (math.log(end / begin) - log_ratio) / (a * scale)


def density(fluid: Fluid, lines: Lines, enthalpy_j_per_kg: float) -> float:
    """Density with which a state that flows fills a volume: slip where it is wet.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure
    enthalpy_j_per_kg : float [J/kg]

    Returns
    -------
    float [kg/m3]

    Source
    ------
    As `void_fraction`; no step at the bubble and the dew line.

    Examples
    --------
    >>> from hvacr_lab.bench.fluid import fluid_of
    >>> fluid = fluid_of("R-134a")
    >>> round(density(fluid, fluid.lines(300_000.0), 420e3), 1)
    13.2
    """
    if lines.bubble_j_per_kg < enthalpy_j_per_kg < lines.dew_j_per_kg:
        quality = fluid.quality(lines, enthalpy_j_per_kg)
        return mean_wet_density(lines, quality, quality)
    return 1.0 / fluid.volume(lines, enthalpy_j_per_kg)
