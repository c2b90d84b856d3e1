"""What a property look-up returns: a state, the two saturation lines at a pressure, and the limits of validity."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from hvacr_lab.units import FloatOrArray

Phase = Literal["liquid", "two-phase", "vapour", "supercritical"]
Line = Literal["bubble", "dew"]
LINES: tuple[Line, Line] = ("bubble", "dew")
_HARDLY_ANY = 1e-9
# closer than this to 0 or 1 a quality differs from it by rounding only
Quantity = Literal["pressure", "temperature", "enthalpy", "entropy", "volume", "quality"]


def phase_of_quality(quality: float) -> Phase:
    """Phase from the vapour mass fraction, 0 in liquid and 1 in vapour; saturated liquid is liquid.

    Parameters
    ----------
    quality : float

    Returns
    -------
    "liquid", "two-phase" or "vapour"

    Examples
    --------
    >>> phase_of_quality(0.3)
    'two-phase'
    """
    if quality < _HARDLY_ANY:
        return "liquid"
    return "vapour" if quality > 1.0 - _HARDLY_ANY else "two-phase"


@dataclass(frozen=True, slots=True)
class Point:
    """The five quantities of a state, without their place relative to the dome."""

    pressure_pa: float
    temperature_k: float
    enthalpy_j_per_kg: float
    entropy_j_per_kg_k: float
    volume_m3_per_kg: float


@dataclass(frozen=True, slots=True)
class State:
    """Everything known about the refrigerant at one place of a circuit.

    ``quality`` is the vapour mass fraction and is None outside the dome; ``superheat_k`` (above the dew point) and
    ``subcooling_k`` (below the bubble point) are negative on the wrong side of their line, and None above the
    critical pressure, where there is no line.

    Examples
    --------
    >>> State(2e5, 280.0, 405e3, 1780.0, 0.1, None, "vapour", 17.0, -17.0).density_kg_per_m3
    10.0
    """

    pressure_pa: float
    temperature_k: float
    enthalpy_j_per_kg: float
    entropy_j_per_kg_k: float
    volume_m3_per_kg: float
    quality: float | None
    phase: Phase
    superheat_k: float | None
    subcooling_k: float | None

    @property
    def density_kg_per_m3(self) -> float:
        """Mass per volume, 1 / specific volume [kg/m3]."""
        return 1.0 / self.volume_m3_per_kg


@dataclass(frozen=True, slots=True)
class Saturation:
    """Bubble line and dew line at a pressure; each field is a number, or an array if the pressure was one."""

    pressure_pa: Any
    bubble_temperature_k: Any
    dew_temperature_k: Any
    bubble_enthalpy_j_per_kg: Any
    dew_enthalpy_j_per_kg: Any
    bubble_entropy_j_per_kg_k: Any
    dew_entropy_j_per_kg_k: Any
    bubble_volume_m3_per_kg: Any
    dew_volume_m3_per_kg: Any


@dataclass(frozen=True, slots=True)
class Limits:
    """Where the answers hold: (lowest, highest) of each quantity.

    ``temperature_k`` spans from the coldest liquid to the hottest vapour; ``pressure_pa`` holds for every look-up.
    """

    dew_temperature_k: tuple[float, float]
    bubble_temperature_k: tuple[float, float]
    pressure_pa: tuple[float, float]
    temperature_k: tuple[float, float]


class Properties(Protocol):
    """What a Refrigerant asks: the shipped tables answer it, and the equation of state."""

    @property
    def about(self) -> Mapping[str, Any]:
        """Fixed points, composition and origin."""

    @property
    def limits(self) -> Limits:
        """Where answers are given."""

    @property
    def source(self) -> str:
        """Where the answers come from, in words."""

    def line_pressure(self, line: Line, temperature_k: FloatOrArray) -> FloatOrArray:
        """Pressure on the bubble or dew line."""

    def line_property(self, line: Line, quantity: Quantity, pressure_pa: FloatOrArray) -> FloatOrArray:
        """Temperature, enthalpy, entropy or volume on the bubble or dew line."""

    def enthalpy(self, pressure_pa: FloatOrArray, quantity: Quantity, value: FloatOrArray) -> FloatOrArray:
        """Enthalpy from a temperature, an entropy or a quality."""

    def at_enthalpy(
        self, pressure_pa: FloatOrArray, enthalpy_j_per_kg: FloatOrArray, quantity: Quantity
    ) -> FloatOrArray:
        """Temperature, entropy, volume or quality from an enthalpy."""

    def state(self, pressure_pa: float, quantity: Quantity, value: float) -> State:
        """State from a temperature, an enthalpy, an entropy or a quality."""

    def pressure_of_wet(self, temperature_k: float, quality: float) -> float:
        """Pressure of wet vapour from temperature and quality."""

    def checked_temperature(self, temperature_k: FloatOrArray) -> FloatOrArray:
        """The temperature, if it lies within the limits."""
