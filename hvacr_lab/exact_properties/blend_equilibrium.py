"""Wet vapour of a blend: temperature and the two compositions at a pressure and a vapour mass fraction.

Successive substitution of the equilibrium ratios (vapour over liquid mole fraction of each component), with the
temperature corrected in each round so that both compositions add up to one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324
# CODATA 2018, exact
_ROUNDS = 300
_CLOSE = 1e-11


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """Temperature, mole fractions of liquid and vapour, vapour mole fraction, ratios to start a neighbour with."""

    temperature_k: float
    liquid: tuple[float, ...]
    vapour: tuple[float, ...]
    vapour_mole_fraction: float
    ratios: tuple[float, ...]


RatiosAt = Callable[[float, Sequence[float], Sequence[float]], tuple[tuple[float, ...], float]]
# (temperature, liquid, vapour) -> (fugacity coefficient of liquid over vapour by component, molar latent heat [J/mol])


def equilibrium(
    whole: Sequence[float],
    molar_masses: Sequence[float],
    quality: float,
    ratios_at: RatiosAt,
    start: tuple[float, tuple[float, ...]],
) -> Equilibrium | None:
    """Liquid and vapour in equilibrium at the pressure that ratios_at stands for; None if it does not settle.

    Parameters
    ----------
    whole : mole fractions of the blend
    molar_masses : of the components, any one unit
    quality : float, vapour mass fraction
    ratios_at : function of temperature and the two compositions
    start : temperature [K] and ratios of a neighbouring solution

    Returns
    -------
    Equilibrium or None

    Source
    ------
    Successive substitution, M. L. Michelsen and J. M. Mollerup, Thermodynamic Models: Fundamentals and Computational
    Aspects, 2nd ed. 2007, chapter 10 (from memory), with the temperature in place of the vapour fraction.

    Examples
    --------
    Two components of equal mass, ideal, whose vapour pressures double every 10 K and cross 1 at 300 K and 320 K:

    >>> def ratios_at(temperature_k, liquid, vapour):
    ...     return (2.0 ** ((temperature_k - 300.0) / 10.0), 2.0 ** ((temperature_k - 320.0) / 10.0)), 20_000.0
    >>> found = equilibrium((0.5, 0.5), (1.0, 1.0), 0.5, ratios_at, (310.0, (2.0, 0.5)))
    >>> round(found.temperature_k, 1), round(found.vapour[0], 3)
    (310.0, 0.667)
    """
    temperature_k, ratios = start
    for _ in range(_ROUNDS):
        fraction, shift = _split(whole, molar_masses, ratios, quality)
        ratios = tuple(ratio * math.exp(shift) for ratio in ratios)
        liquid, vapour = compositions(whole, ratios, fraction)
        new_ratios, latent_heat = ratios_at(temperature_k, liquid, vapour)
        change = max(abs(math.log(new / old)) for new, old in zip(new_ratios, ratios, strict=True))
        if change < _CLOSE and abs(shift) < _CLOSE:
            return Equilibrium(temperature_k, liquid, vapour, fraction, ratios)
        if not (latent_heat > 0.0 and math.isfinite(change)):
            return None
        _, shift = _split(whole, molar_masses, new_ratios, quality)
        temperature_k += shift * GAS_CONSTANT_J_PER_MOL_K * temperature_k**2 / latent_heat
        ratios = new_ratios
    return None


def compositions(
    whole: Sequence[float], ratios: Sequence[float], fraction: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Mole fractions of liquid and vapour from the ratios and the vapour mole fraction, each adding up to one.

    Parameters
    ----------
    whole : mole fractions of the blend
    ratios : vapour over liquid mole fraction of each component
    fraction : float, vapour mole fraction

    Returns
    -------
    (liquid, vapour), mole fractions

    Source
    ------
    Mass balance of each component.

    Examples
    --------
    >>> compositions((0.5, 0.5), (1.0, 1.0), 0.3)
    ((0.5, 0.5), (0.5, 0.5))
    """
    liquid = [z / (1.0 + fraction * (k - 1.0)) for z, k in zip(whole, ratios, strict=True)]
    vapour = [x * k for x, k in zip(liquid, ratios, strict=True)]
    return tuple(x / sum(liquid) for x in liquid), tuple(y / sum(vapour) for y in vapour)


def _split(
    whole: Sequence[float], molar_masses: Sequence[float], ratios: Sequence[float], quality: float
) -> tuple[float, float]:
    """Vapour mole fraction for the mass fraction, and the shift of ln(ratios) that makes both phases add up to one."""
    fraction = quality
    for _ in range(50):
        shift = _shift(whole, ratios, fraction)
        liquid, vapour = compositions(whole, [k * math.exp(shift) for k in ratios], fraction)
        liquid_mass = sum(x * m for x, m in zip(liquid, molar_masses, strict=True))
        vapour_mass = sum(y * m for y, m in zip(vapour, molar_masses, strict=True))
        moles = quality / vapour_mass
        better = moles / (moles + (1.0 - quality) / liquid_mass)
        if abs(better - fraction) < 1e-14:
            break
        fraction = better
    return fraction, shift


def _shift(whole: Sequence[float], ratios: Sequence[float], fraction: float) -> float:
    shift = 0.0
    for _ in range(50):
        surplus = slope = 0.0
        for z, k in zip(whole, ratios, strict=True):
            shifted = k * math.exp(shift)
            share = 1.0 + fraction * (shifted - 1.0)
            surplus += z * (shifted - 1.0) / share
            slope += z * shifted / share**2
        step = surplus / slope
        shift -= step
        if abs(step) < 1e-14:
            break
    return shift
