"""Refrigerant properties for solvers: the shipped tables without checks, one pressure at a time, in a few microseconds.

The same splines as in `hvacr_lab.property_tables`, written as a polynomial for each cell. ``lines`` reads all that
belongs to a pressure once; everything else is read beside it. Nothing here raises for a positive pressure:

- above the table the lines bend to a standstill two cells further (about 5 % in pressure), so that a search feels them;
- below the table the lines stand still and vapour is an ideal gas of the lowest tabulated pressure;
- hotter vapour and colder liquid than tabulated go on with the slope of the end of the table.

There is no step at the bubble and the dew line, because every departure is counted from them.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from hvacr_lab.bench.fluid_surfaces import Lines, Surfaces, beyond_table, end_of_table, polynomials, read
from hvacr_lab.property_tables.files import (
    DISTANCE_INTERVALS,
    LINE_INTERVALS,
    PRESSURE_INTERVALS,
    QUALITY_INTERVALS,
    shipped_table,
)
from hvacr_lab.refrigerants import refrigerant

_EVERY = LINE_INTERVALS // PRESSURE_INTERVALS
_BEYOND_CELLS = 2.0
# how far above the table the lines still bend (own value)
_FAR_K = 1.0
# a glide beyond this, at the middle of the table, is no longer nearly straight in enthalpy (own value)
_ROUNDS = 12
_CLOSE = 1e-9
_NEAREST = 1e-6
# Newton's method along the distance starts at least so far from the line, where its slope is zero
_GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324
# CODATA 2018, exact
_LINES = ("temperature", "enthalpy", "log_volume", "entropy", "enthalpy_span")
_TEMPERATURE, _LOG_VOLUME, _ENTROPY = 0, 1, 2
_ONE_PHASE = ("temperature", "log_volume", "entropy")
_WET = ("temperature", "volume", "entropy", "enthalpy")
_WET_ENTHALPY = 3


class FluidState(NamedTuple):
    """Temperature, volume, entropy and quality (0 for liquid, 1 for vapour)."""

    temperature_k: float
    volume_m3_per_kg: float
    entropy_j_per_kg_k: float
    quality: float


class Fluid:
    """One refrigerant; get it with `fluid_of`, which keeps it.

    It carries ``name``, ``p_low_pa`` and ``p_high_pa`` (ends of the table), ``glides`` (a blend),
    ``glides_far`` (by more than a kelvin), ``molar_mass_kg_per_mol``, ``critical_pressure_pa`` and
    ``critical_temperature_k``.
    """

    def __init__(self, name: str) -> None:
        table = shipped_table(name)
        about = table.about
        self.name = name
        self.p_low_pa, self.p_high_pa = float(about["pressure_low_pa"]), float(about["pressure_high_pa"])
        self.glides = about["kind"] == "blend"
        self.molar_mass_kg_per_mol = float(about["molar_mass_kg_per_mol"])
        self.critical_pressure_pa = float(about["critical_pressure_pa"])
        self.critical_temperature_k = float(about["critical_temperature_k"])
        self._log_low = math.log(self.p_low_pa)
        self._per_log = LINE_INTERVALS / (math.log(self.p_high_pa) - self._log_low)
        self._gas_constant = _GAS_CONSTANT_J_PER_MOL_K / self.molar_mass_kg_per_mol
        parts = ("liquid", "vapour")
        by_quantity = [polynomials(table.arrays[f"{part}_{key}"]) for key in _LINES for part in parts]
        self._cells = list(zip(*by_quantity, strict=True))
        self._spans = {
            (part, key): polynomials(table.arrays[f"{part}_{key}_span"])
            for part in parts
            for key in ("temperature", "entropy")
        }
        self._liquid, self._vapour = (Surfaces(table, part, _ONE_PHASE, DISTANCE_INTERVALS) for part in parts)
        self._wet = Surfaces(table, "wet", _WET, QUALITY_INTERVALS) if self.glides else None
        self._log_pressures = {
            line: (
                polynomials(table.arrays[f"{line}_log_pressure"]),
                float(about[f"{line}_low_k"]),
                LINE_INTERVALS / (float(about[f"{line}_high_k"]) - float(about[f"{line}_low_k"])),
            )
            for line in ("bubble", "dew")
        }
        usual = self.lines(math.sqrt(self.p_low_pa * self.p_high_pa))
        self.glides_far = usual.dew_k - usual.bubble_k > _FAR_K

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return fluid_of, (self.name,)

    def __repr__(self) -> str:
        return f"fluid_of({self.name!r})"

    def lines(self, pressure_pa: float) -> Lines:
        """Everything that belongs to a pressure.

        Parameters
        ----------
        pressure_pa : float [Pa absolute], above zero

        Returns
        -------
        Lines

        Examples
        --------
        >>> round(fluid_of("R-134a").lines(292_803.0).dew_k, 2)
        273.15
        """
        position = (math.log(pressure_pa) - self._log_low) * self._per_log
        thin = 1.0
        if position < 0.0:
            position, thin = 0.0, self.p_low_pa / pressure_pa
        elif position > LINE_INTERVALS:
            position = LINE_INTERVALS + _BEYOND_CELLS * -math.expm1((LINE_INTERVALS - position) / _BEYOND_CELLS)
        cell = int(position)
        if cell >= LINE_INTERVALS:
            cell = LINE_INTERVALS - 1
        u = position - cell
        bubble_k, dew_k, bubble_h, dew_h, bubble_log_v, dew_log_v, bubble_s, dew_s, liquid_span, vapour_span = [
            a + u * (b + u * (c + u * d)) for a, b, c, d in self._cells[cell]
        ]
        row = cell // _EVERY
        dew_v = math.exp(dew_log_v)
        if thin != 1.0:
            dew_v *= thin
            dew_s += self._gas_constant * math.log(thin)
        return Lines(
            pressure_pa, bubble_k, dew_k, bubble_h, dew_h, dew_h - bubble_h, math.exp(bubble_log_v), dew_v,
            bubble_s, dew_s, liquid_span, vapour_span, cell, u, row, position / _EVERY - row,
        )  # fmt: skip

    def state(self, lines: Lines, enthalpy_j_per_kg: float) -> FluidState:
        """Temperature, volume, entropy and quality at a pressure and an enthalpy.

        Parameters
        ----------
        lines : Lines, of the pressure
        enthalpy_j_per_kg : float [J/kg]

        Returns
        -------
        FluidState

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.state(fluid.lines(200_000.0), 250e3).quality, 3)
        0.308
        """
        if enthalpy_j_per_kg > lines.dew_j_per_kg:
            share = (enthalpy_j_per_kg - lines.dew_j_per_kg) / lines.vapour_span
            rise_k, rise_log_v, rise_s = self._departures(self._vapour, lines, share)
            volume = lines.dew_m3_per_kg * math.exp(rise_log_v)
            return FluidState(lines.dew_k + rise_k, volume, lines.dew_j_per_kg_k + rise_s, 1.0)
        if enthalpy_j_per_kg < lines.bubble_j_per_kg:
            share = (enthalpy_j_per_kg - lines.bubble_j_per_kg) / lines.liquid_span
            rise_k, rise_log_v, rise_s = self._departures(self._liquid, lines, share)
            volume = lines.bubble_m3_per_kg * math.exp(rise_log_v)
            return FluidState(lines.bubble_k + rise_k, volume, lines.bubble_j_per_kg_k + rise_s, 0.0)
        return self._wet_state(lines, self.quality(lines, enthalpy_j_per_kg))

    def temperature(self, lines: Lines, enthalpy_j_per_kg: float) -> float:
        """Temperature at a pressure and an enthalpy.

        Parameters
        ----------
        lines : Lines, of the pressure
        enthalpy_j_per_kg : float [J/kg]

        Returns
        -------
        float [K]

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.temperature(fluid.lines(200_000.0), 401_197.0), 2)
        273.15
        """
        if enthalpy_j_per_kg > lines.dew_j_per_kg:
            share = (enthalpy_j_per_kg - lines.dew_j_per_kg) / lines.vapour_span
            return lines.dew_k + self._departure(self._vapour, lines, share, _TEMPERATURE)
        if enthalpy_j_per_kg < lines.bubble_j_per_kg:
            share = (enthalpy_j_per_kg - lines.bubble_j_per_kg) / lines.liquid_span
            return lines.bubble_k + self._departure(self._liquid, lines, share, _TEMPERATURE)
        return self.temperature_of_quality(lines, self.quality(lines, enthalpy_j_per_kg))

    def volume(self, lines: Lines, enthalpy_j_per_kg: float) -> float:
        """Specific volume at a pressure and an enthalpy; wet vapour homogeneous.

        Parameters
        ----------
        lines : Lines, of the pressure
        enthalpy_j_per_kg : float [J/kg]

        Returns
        -------
        float [m3/kg]

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.volume(fluid.lines(200_000.0), 401_197.0), 4)
        0.1048
        """
        if enthalpy_j_per_kg > lines.dew_j_per_kg:
            share = (enthalpy_j_per_kg - lines.dew_j_per_kg) / lines.vapour_span
            return lines.dew_m3_per_kg * math.exp(self._departure(self._vapour, lines, share, _LOG_VOLUME))
        if enthalpy_j_per_kg < lines.bubble_j_per_kg:
            share = (enthalpy_j_per_kg - lines.bubble_j_per_kg) / lines.liquid_span
            return lines.bubble_m3_per_kg * math.exp(self._departure(self._liquid, lines, share, _LOG_VOLUME))
        quality = self.quality(lines, enthalpy_j_per_kg)
        rise = lines.dew_m3_per_kg - lines.bubble_m3_per_kg
        if self._wet is None:
            return lines.bubble_m3_per_kg + quality * rise
        patch, u = self._wet.along(lines, quality)
        return lines.bubble_m3_per_kg + rise * (quality + read(patch[_LOG_VOLUME], lines.part_of_row, u))

    def quality(self, lines: Lines, enthalpy_j_per_kg: float) -> float:
        """Vapour mass fraction at a pressure and an enthalpy, 0 for liquid and 1 for vapour.

        Parameters
        ----------
        lines : Lines, of the pressure
        enthalpy_j_per_kg : float [J/kg]

        Returns
        -------
        float [0 ... 1]

        Examples
        --------
        >>> fluid = fluid_of("R-454B")
        >>> lines = fluid.lines(800_000.0)
        >>> round(fluid.quality(lines, lines.bubble_j_per_kg + 0.5 * lines.latent_j_per_kg), 3)
        0.482
        """
        straight = (enthalpy_j_per_kg - lines.bubble_j_per_kg) / lines.latent_j_per_kg
        straight = min(max(straight, 0.0), 1.0)
        if self._wet is None:
            return straight
        target = straight * lines.latent_j_per_kg
        return self._wet.solve(lines, _WET_ENTHALPY, straight, target, lines.latent_j_per_kg)

    def enthalpy_of_quality(self, lines: Lines, quality: float) -> float:
        """Enthalpy of wet vapour.

        Parameters
        ----------
        lines : Lines, of the pressure
        quality : float [0 ... 1]

        Returns
        -------
        float [J/kg]

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.enthalpy_of_quality(fluid.lines(292_803.0), 0.5))
        299302
        """
        straight = lines.bubble_j_per_kg + quality * lines.latent_j_per_kg
        if self._wet is None:
            return straight
        patch, u = self._wet.along(lines, quality)
        return straight + read(patch[_WET_ENTHALPY], lines.part_of_row, u)

    def temperature_of_quality(self, lines: Lines, quality: float) -> float:
        """Temperature of wet vapour.

        Parameters
        ----------
        lines : Lines, of the pressure
        quality : float [0 ... 1]

        Returns
        -------
        float [K]
        """
        straight = lines.bubble_k + quality * (lines.dew_k - lines.bubble_k)
        if self._wet is None:
            return straight
        patch, u = self._wet.along(lines, quality)
        return straight + read(patch[_TEMPERATURE], lines.part_of_row, u)

    def enthalpy_of_temperature(self, lines: Lines, temperature_k: float) -> float:
        """Enthalpy of liquid or vapour; between bubble and dew point of a blend, of its wet vapour.

        Parameters
        ----------
        lines : Lines, of the pressure
        temperature_k : float [K]

        Returns
        -------
        float [J/kg]

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.enthalpy_of_temperature(fluid.lines(200_000.0), 273.15))
        401197
        """
        above = temperature_k - lines.dew_k
        if above >= 0.0:
            share = self._share(self._vapour, "vapour", "temperature", _TEMPERATURE, lines, above)
            return lines.dew_j_per_kg + share * lines.vapour_span
        below = temperature_k - lines.bubble_k
        if below <= 0.0:
            share = self._share(self._liquid, "liquid", "temperature", _TEMPERATURE, lines, below)
            return lines.bubble_j_per_kg + share * lines.liquid_span
        glide = lines.dew_k - lines.bubble_k
        quality = below / glide
        if self._wet is not None:
            quality = self._wet.solve(lines, _TEMPERATURE, quality, below, glide)
        return self.enthalpy_of_quality(lines, quality)

    def isentropic_enthalpy(self, lines: Lines, entropy_j_per_kg_k: float) -> float:
        """Enthalpy at a pressure and an entropy: where a loss-free compression ends.

        Parameters
        ----------
        lines : Lines, of the pressure
        entropy_j_per_kg_k : float [J/(kg K)]

        Returns
        -------
        float [J/kg]

        Examples
        --------
        >>> fluid = fluid_of("R-134a")
        >>> round(fluid.isentropic_enthalpy(fluid.lines(1e6), 1750.0))
        431479
        """
        above = entropy_j_per_kg_k - lines.dew_j_per_kg_k
        if above >= 0.0:
            share = self._share(self._vapour, "vapour", "entropy", _ENTROPY, lines, above)
            return lines.dew_j_per_kg + share * lines.vapour_span
        below = entropy_j_per_kg_k - lines.bubble_j_per_kg_k
        if below <= 0.0:
            share = self._share(self._liquid, "liquid", "entropy", _ENTROPY, lines, below)
            return lines.bubble_j_per_kg + share * lines.liquid_span
        rise = lines.dew_j_per_kg_k - lines.bubble_j_per_kg_k
        quality = below / rise
        if self._wet is not None:
            quality = self._wet.solve(lines, _ENTROPY, quality, below, rise)
        return self.enthalpy_of_quality(lines, quality)

    def dew_pressure(self, temperature_k: float) -> float:
        """Pressure on the dew line; beyond the table with the slope of its end.

        Parameters
        ----------
        temperature_k : float [K]

        Returns
        -------
        float [Pa absolute]

        Examples
        --------
        >>> round(fluid_of("R-134a").dew_pressure(273.15))
        292803
        """
        return self._pressure("dew", temperature_k)

    def bubble_pressure(self, temperature_k: float) -> float:
        """Pressure on the bubble line; beyond the table with the slope of its end.

        Parameters
        ----------
        temperature_k : float [K]

        Returns
        -------
        float [Pa absolute]

        Examples
        --------
        >>> round(fluid_of("R-454B").bubble_pressure(273.15) / 1e5, 2)
        7.67
        """
        return self._pressure("bubble", temperature_k)

    def pressure_of_bubble_enthalpy(self, enthalpy_j_per_kg: float, start_pa: float) -> float:
        """Pressure at which liquid of this enthalpy begins to boil: the flash point of a throttled liquid.

        Parameters
        ----------
        enthalpy_j_per_kg : float [J/kg]
        start_pa : float [Pa absolute], first guess

        Returns
        -------
        float [Pa absolute], kept within the table

        Examples
        --------
        >>> round(fluid_of("R-134a").pressure_of_bubble_enthalpy(200e3, 1e6))
        292803
        """
        position = (math.log(start_pa) - self._log_low) * self._per_log
        for _ in range(_ROUNDS):
            cell = min(max(int(position), 0), LINE_INTERVALS - 1)
            u = position - cell
            a, b, c, d = self._cells[cell][2]
            step = (a + u * (b + u * (c + u * d)) - enthalpy_j_per_kg) / (b + u * (2.0 * c + 3.0 * u * d))
            position = min(max(position - step, 0.0), float(LINE_INTERVALS))
            if -_CLOSE < step < _CLOSE:
                break
        return math.exp(self._log_low + position / self._per_log)

    def _pressure(self, line: str, temperature_k: float) -> float:
        polynomials, low_k, per_kelvin = self._log_pressures[line]
        position = (temperature_k - low_k) * per_kelvin
        cell = min(max(int(position), 0), LINE_INTERVALS - 1)
        u = position - cell
        a, b, c, d = polynomials[cell]
        if 0.0 <= u <= 1.0:
            return math.exp(a + u * (b + u * (c + u * d)))
        end = 0.0 if u < 0.0 else 1.0
        slope = b + end * (2.0 * c + 3.0 * end * d)
        return math.exp(a + end * (b + end * (c + end * d)) + slope * (u - end))

    def _wet_state(self, lines: Lines, quality: float) -> FluidState:
        temperature = lines.bubble_k + quality * (lines.dew_k - lines.bubble_k)
        rise = lines.dew_m3_per_kg - lines.bubble_m3_per_kg
        volume = lines.bubble_m3_per_kg + quality * rise
        entropy = lines.bubble_j_per_kg_k + quality * (lines.dew_j_per_kg_k - lines.bubble_j_per_kg_k)
        if self._wet is not None:
            patch, u = self._wet.along(lines, quality)
            t = lines.part_of_row
            temperature += read(patch[_TEMPERATURE], t, u)
            volume += read(patch[_LOG_VOLUME], t, u) * rise
            entropy += read(patch[_ENTROPY], t, u)
        return FluidState(temperature, volume, entropy, quality)

    def _departures(self, side: Surfaces, lines: Lines, share: float) -> tuple[float, float, float]:
        if share > 1.0:
            return (
                beyond_table(side, lines, share, _TEMPERATURE),
                beyond_table(side, lines, share, _LOG_VOLUME),
                beyond_table(side, lines, share, _ENTROPY),
            )
        patch, u = side.along(lines, math.sqrt(share))
        t = lines.part_of_row
        temperature, log_volume, entropy = patch
        return read(temperature, t, u), read(log_volume, t, u), read(entropy, t, u)

    def _departure(self, side: Surfaces, lines: Lines, share: float, quantity: int) -> float:
        if share > 1.0:
            return beyond_table(side, lines, share, quantity)
        patch, u = side.along(lines, math.sqrt(share))
        return read(patch[quantity], lines.part_of_row, u)

    def _share(self, side: Surfaces, part: str, name: str, quantity: int, lines: Lines, departure: float) -> float:
        """How far along from the line to the end of the table a temperature or entropy lies, in enthalpy."""
        a, b, c, d = self._spans[part, name][lines.cell]
        u = lines.part_of_cell
        share = departure / (a + u * (b + u * (c + u * d)))
        if share <= 0.0:
            return 0.0
        end, slope = end_of_table(side, lines, quantity)
        if share >= 1.0 or departure / end >= 1.0:
            return 1.0 + (departure - end) / slope
        distance = side.solve(lines, quantity, max(math.sqrt(share), _NEAREST), departure, 0.0)
        return distance * distance


@lru_cache(maxsize=64)
def fluid_of(name: str) -> Fluid:
    """The fast look-ups of a refrigerant, made once.

    Parameters
    ----------
    name : str, "R-134a"

    Returns
    -------
    Fluid

    Raises
    ------
    UnknownName : no such refrigerant

    Source
    ------
    Shipped table.

    Examples
    --------
    >>> fluid_of("R-134a").glides
    False
    """
    return Fluid(refrigerant(name).name)
