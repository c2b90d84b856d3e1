"""Liquid between shut valves: whether it can be there, and what it does to the pipe when it warms up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from hvacr_lab.bench.description import COMPRESSOR
from hvacr_lab.bench.sections import Network
from hvacr_lab.refrigerants import refrigerant

FULL: Final = 0.8
# share of the volume above which a closed space is taken as full: the usual filling limit of receivers and cylinders
# (common practice)
ROOM_K: Final = 298.15
_WARM_K: Final = 323.15
# as warm as a room with a bench in it gets; the rest of the volume has to be there at this temperature
_STEP_PA: Final = 2e5
_STEP_K: Final = 2.0


@dataclass(frozen=True, slots=True)
class LiquidExpansion:
    """Pressure of liquid that fills its space and cannot get out.

    Parameters
    ----------
    temperature_k : float, at which the space was shut full [K]
    pressure_pa : float, then: the boiling pressure, absolute [Pa]
    slope_pa_per_k : float, rise of the pressure with temperature [Pa/K]
    """

    temperature_k: float
    pressure_pa: float
    slope_pa_per_k: float

    def pressure_after_pa(self, warming_k: float) -> float:
        """Absolute pressure [Pa] when it is warmer by this much, pipe taken as stiff."""
        return self.pressure_pa + self.slope_pa_per_k * warming_k


@lru_cache(maxsize=64)
def liquid_expansion(name: str, temperature_k: float = ROOM_K) -> LiquidExpansion:
    """What shut-in liquid does when it warms: expansion over compressibility.

    Parameters
    ----------
    name : str, refrigerant
    temperature_k : float, when it was shut in [K]

    Returns
    -------
    LiquidExpansion

    Source
    ------
    (dp/dT) at constant volume = expansion over compressibility, both from the property tables (differences of 2 K and
    2 bar); lines of constant volume are nearly straight in liquid, so one slope serves.

    Examples
    --------
    >>> round(liquid_expansion("R-134a").slope_pa_per_k / 1e5, 1)
    6.6
    """
    fluid = refrigerant(name)
    boiling_pa = float(fluid.bubble_pressure(temperature_k))
    base_pa = boiling_pa + _STEP_PA
    # clear of the bubble line, so that one state is not on the other side of it
    volume = fluid.state(pressure_pa=base_pa, temperature_k=temperature_k).volume_m3_per_kg
    warmer = fluid.state(pressure_pa=base_pa, temperature_k=temperature_k + _STEP_K).volume_m3_per_kg
    pressed = fluid.state(pressure_pa=base_pa + _STEP_PA, temperature_k=temperature_k).volume_m3_per_kg
    slope = (warmer - volume) / _STEP_K / ((volume - pressed) / _STEP_PA)
    return LiquidExpansion(temperature_k, boiling_pa, slope)


@lru_cache(maxsize=16)
def warm_liquid_kg_per_m3(name: str) -> float:
    """Density of the liquid in a hot room (50 degC, or as near as its critical point lets it come).

    Parameters
    ----------
    name : str, refrigerant

    Returns
    -------
    float [kg/m3]
    """
    fluid = refrigerant(name)
    pressure = fluid.bubble_pressure(min(_WARM_K, fluid.limits.bubble_temperature_k[1]))
    return float(fluid.state(pressure_pa=pressure, quality=0.0).density_kg_per_m3)


def holds(network: Network, places: int, charge_kg: float | None, share: float = FULL) -> bool:
    """Whether these volumes hold all the refrigerant of the bench and keep a gas space, even in a hot room.

    Parameters
    ----------
    network : Network
    places : int
    charge_kg : float or None, unknown
    share : float, of the volume that the liquid may take

    Returns
    -------
    bool, True if the charge is unknown
    """
    if charge_kg is None:
        return True
    return charge_kg <= share * warm_liquid_kg_per_m3(network.bench.refrigerant) * volume_m3(network, places)


def volume_m3(network: Network, places: int) -> float:
    """Inside volume of everything at these places.

    Parameters
    ----------
    network : Network
    places : int

    Returns
    -------
    float [m3]
    """
    return sum(_volume(network, name) for name in network.elements_in(places))


def liquid_share(network: Network, places: int) -> float:
    """Share of the volume that is filled with liquid while the bench runs as it should.

    Parameters
    ----------
    network : Network
    places : int

    Returns
    -------
    float, 0 ... 1
    """
    pipes = {pipe.id: pipe for pipe in network.bench.pipes}
    names = network.elements_in(places)
    liquid = sum(pipes[name].volume_m3 for name in names if name in pipes and pipes[name].contents == "liquid")
    whole = volume_m3(network, places)
    return liquid / whole if whole else 0.0


def can_be_liquid(network: Network, places: int, charge_kg: float | None) -> bool:
    """Whether a closed space can be full of liquid: no relief, no gas space that is sure to stay.

    Parameters
    ----------
    network : Network
    places : int, a section that is shut in
    charge_kg : float or None, unknown

    Returns
    -------
    bool

    Source
    ------
    Common practice: liquid between two shut valves needs a relief; a vessel with a relief and a pipe with gas are no
    liquid trap; a space that could take the whole charge of the bench keeps gas.
    """
    names = network.elements_in(places)
    if not names or any(_has_relief(network, name) for name in names):
        return False
    if all(_is_gas(network, name) for name in names):
        return False
    return liquid_share(network, places) > FULL or not holds(network, places, charge_kg, share=1.0)


def _volume(network: Network, name: str) -> float:
    bench = network.bench
    if name == COMPRESSOR:
        return bench.compressor.shell_volume_m3
    if name in bench.coils:
        return bench.coils[name].volume_m3
    return bench.vessels[name].volume_m3 if name in bench.vessels else bench.pipe(name).volume_m3


def _has_relief(network: Network, name: str) -> bool:
    bench = network.bench
    if name in bench.vessels:
        return bench.vessels[name].has_relief
    return name not in bench.coils and name != COMPRESSOR and bench.pipe(name).has_relief


def _is_gas(network: Network, name: str) -> bool:
    bench = network.bench
    if name == COMPRESSOR:
        return True
    return name not in bench.coils and name not in bench.vessels and bench.pipe(name).contents == "gas"
