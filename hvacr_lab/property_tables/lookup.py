"""Properties read from the shipped tables: plain numbers in microseconds, arrays at some millions a second.

A place is found in three steps. The logarithm of the pressure gives the place on the bubble and the dew line. The
enthalpy says on which side of them the state lies. The square root of the distance from the line, or the quality
inside the dome, then gives the departure from the line. Only (pressure, enthalpy) is tabulated: temperature, entropy
and quality are turned into an enthalpy by Newton's method, so that all ways to ask for a state agree with each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from hvacr_lab.property_tables.files import LINE_INTERVALS, PRESSURE_INTERVALS, TableFile
from hvacr_lab.property_tables.parts import Part
from hvacr_lab.property_tables.splines import (
    Arithmetic,
    Four,
    Numbers,
    Whole,
    place,
    read_across,
    read_line,
    slope_weights,
    weigh,
)
from hvacr_lab.states import LINES, Line

Spot = tuple[Whole, Four, Whole, Four]
# a pressure: cell and weights on the lines, row and weights on the surfaces
OnePhase = Callable[[Part, Spot, Numbers, Numbers, str], Numbers]
Wet = Callable[[Spot, Numbers, Numbers, Numbers, str], Numbers]
_EVERY = LINE_INTERVALS // PRESSURE_INTERVALS
_CLOSE = 1e-6
# a step of Newton's method so small leaves an error of its square, 1e-12
_ROUNDS = 12
_NEAREST = 1e-6
# Newton's method starts this far from the line at least: on the line itself the slope is zero
_EDGE = 1.0 + 2e-4
# the callers allow a ten-thousandth of a kelvin beyond the end of the table


class BeyondTable(Exception):
    """An enthalpy or entropy beyond the tabulated liquid or vapour; caught and put into words one room higher."""


class OnTheLine(Exception):
    """A temperature between bubble and dew point, which does not fix a state; put into words one room higher."""


class Lookup:
    """Formulas on one table in one arithmetic; the caller has checked the ranges."""

    def __init__(self, table: TableFile, arithmetic: Arithmetic) -> None:
        self.arithmetic = arithmetic
        about = table.about
        self._start = float(np.log(about["pressure_low_pa"]))
        self._per_log = LINE_INTERVALS / (float(np.log(about["pressure_high_pa"])) - self._start)
        self.liquid, self.vapour = (Part(table, part, arithmetic) for part in ("liquid", "vapour"))
        self.wet = Part(table, "wet", arithmetic) if about["kind"] == "blend" else None
        self._log_pressures = {
            line: (
                arithmetic.hold(table.arrays[f"{line}_log_pressure"]),
                about[f"{line}_low_k"],
                LINE_INTERVALS / (about[f"{line}_high_k"] - about[f"{line}_low_k"]),
            )
            for line in LINES
        }

    def line_pressure(self, line: Line, temperature_k: Numbers) -> Numbers:
        """Pressure [Pa] on the "bubble" or "dew" line.

        Parameters
        ----------
        line : "bubble" or "dew"
        temperature_k : float or array [K]

        Returns
        -------
        float or array [Pa, absolute]

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> round(lookup.line_pressure("dew", 273.15))
        292803
        """
        logs, low_k, per_kelvin = self._log_pressures[line]
        cell, weights = place((temperature_k - low_k) * per_kelvin, LINE_INTERVALS, self.arithmetic)
        return self.arithmetic.exp(read_line(logs, cell, weights))

    def line_value(self, line: Line, quantity: str, pressure_pa: Numbers) -> Numbers:
        """Temperature, enthalpy, entropy or volume on the bubble or the dew line.

        Parameters
        ----------
        line : "bubble" or "dew"
        quantity : "temperature", "enthalpy", "entropy" or "volume"
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        float or array [K, J/kg, J/(kg K) or m3/kg]

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> round(lookup.line_value("bubble", "enthalpy", 292_803.0))
        200000
        """
        position = (self.arithmetic.log(pressure_pa) - self._start) * self._per_log
        cell, weights = place(position, LINE_INTERVALS, self.arithmetic)
        return self._on_line(self.liquid if line == "bubble" else self.vapour, quantity, cell, weights)

    def spot(self, pressure_pa: Numbers) -> Spot:
        """Place of a pressure on the lines and on the surfaces.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]

        Returns
        -------
        Spot

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> lookup.spot(292_803.0)[0]
        151
        """
        position = (self.arithmetic.log(pressure_pa) - self._start) * self._per_log
        return *place(position, LINE_INTERVALS, self.arithmetic), *place(
            position / _EVERY, PRESSURE_INTERVALS, self.arithmetic
        )

    def _on_line(self, part: Part, quantity: str, cell: Whole, weights: Four) -> Numbers:
        if quantity == "volume":
            return self.arithmetic.exp(read_line(part.lines["log_volume"], cell, weights))
        return read_line(part.lines[quantity], cell, weights)

    def ends(self, spot: Spot, quantity: str) -> tuple[Numbers, Numbers]:
        """Enthalpy or entropy of the coldest liquid and of the hottest vapour in the table.

        Parameters
        ----------
        spot : from `spot`
        quantity : "enthalpy" or "entropy"

        Returns
        -------
        (coldest liquid, hottest vapour)

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> [round(end) for end in lookup.ends(lookup.spot(200_000.0), "enthalpy")]
        [99245, 576548]
        """
        cell, weights, _, _ = spot
        low, high = (
            read_line(part.lines[quantity], cell, weights) + read_line(part.lines[f"{quantity}_span"], cell, weights)
            for part in (self.liquid, self.vapour)
        )
        return low, high

    def on_lines(self, spot: Spot, quantity: str) -> tuple[Numbers, Numbers]:
        """Temperature, enthalpy or entropy of boiling liquid and of dry vapour.

        Parameters
        ----------
        spot : from `spot`
        quantity : "temperature", "enthalpy" or "entropy"

        Returns
        -------
        (boiling liquid, dry vapour)

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> [round(end) for end in lookup.on_lines(lookup.spot(292_803.0), "enthalpy")]
        [200000, 398603]
        """
        low, high = (read_line(part.lines[quantity], spot[0], spot[1]) for part in (self.liquid, self.vapour))
        return low, high

    def at_quality(self, spot: Spot, quality: Numbers, quantity: str) -> Numbers:
        """Temperature, enthalpy, entropy or volume of wet vapour.

        Parameters
        ----------
        spot : from `spot`
        quality : float or array, 0 ... 1
        quantity : "temperature", "enthalpy", "entropy" or "volume"

        Returns
        -------
        float or array [K, J/kg, J/(kg K) or m3/kg]

        Source
        ------
        Cubic splines on the shipped table; a pure refrigerant is linear in quality.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> round(lookup.at_quality(lookup.spot(292_803.0), 0.5, "enthalpy"))
        299302
        """
        cell, weights, _, _ = spot
        low = self._on_line(self.liquid, quantity, cell, weights)
        rise = self._on_line(self.vapour, quantity, cell, weights) - low
        if self.wet is None:
            return low + quality * rise
        four, along, _ = self._along(self.wet, quantity, spot, quality)
        bend = weigh(four, along)
        return low + quality * rise + (bend * rise if quantity == "volume" else bend)

    def pressure_of_wet(self, temperature_k: float, quality: float) -> float:
        """Pressure at which wet vapour of this quality has this temperature.

        Parameters
        ----------
        temperature_k : float [K]
        quality : float, 0 ... 1

        Returns
        -------
        float [Pa, absolute]

        Source
        ------
        Own search along the logarithm of the pressure.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-407C")
        >>> round(lookup.pressure_of_wet(273.15, 0.5))
        512288
        """
        log_dew = math.log(self.line_pressure("dew", temperature_k))
        log_bubble = math.log(self.line_pressure("bubble", temperature_k))
        per_kelvin = log_dew - math.log(self.line_pressure("dew", temperature_k - 1.0))
        log_pressure = log_dew + (1.0 - quality) * (log_bubble - log_dew)
        for _ in range(_ROUNDS):
            miss = self.at_quality(self.spot(math.exp(log_pressure)), quality, "temperature") - temperature_k
            log_pressure -= miss * per_kelvin
        return math.exp(log_pressure)

    def from_enthalpy(self, spot: Spot, enthalpy: Numbers, quantity: str) -> Numbers:
        """Temperature, entropy, volume or quality of whatever has this enthalpy.

        Parameters
        ----------
        spot : from `spot`
        enthalpy : float or array [J/kg]
        quantity : "temperature", "entropy", "volume" or "quality"

        Returns
        -------
        float or array [K, J/(kg K), m3/kg or 0 ... 1]

        Source
        ------
        Cubic splines on the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> round(lookup.from_enthalpy(lookup.spot(200_000.0), 250e3, "quality"), 3)
        0.308
        """
        return self._by_side(spot, enthalpy, "enthalpy", self._of_one_phase, self._of_wet, quantity)

    def to_enthalpy(self, spot: Spot, value: Numbers, quantity: str) -> Numbers:
        """Enthalpy of whatever has this temperature, entropy or quality.

        Parameters
        ----------
        spot : from `spot`
        value : float or array [K, J/(kg K) or 0 ... 1]
        quantity : "temperature", "entropy" or "quality"

        Returns
        -------
        float or array [J/kg]

        Source
        ------
        Newton's method on the splines of the shipped table.

        Examples
        --------
        >>> from hvacr_lab.property_tables.sides import plain_lookup
        >>> lookup = plain_lookup("R-134a")
        >>> round(lookup.to_enthalpy(lookup.spot(200_000.0), 273.15, "temperature"))
        401197
        """
        if quantity == "quality":
            return self.at_quality(spot, value, "enthalpy")
        return self._by_side(spot, value, quantity, self._enthalpy_of_one_phase, self._enthalpy_of_wet, quantity)

    def _by_side(self, spot: Spot, value: Numbers, side: str, one_phase: OnePhase, wet: Wet, quantity: str) -> Numbers:
        raise NotImplementedError

    def _of_one_phase(self, part: Part, spot: Spot, line: Numbers, enthalpy: Numbers, quantity: str) -> Numbers:
        share = self._share(part, spot, enthalpy - line, "enthalpy")
        if quantity == "quality":
            return part.quality + 0.0 * share
        distance = self.arithmetic.sqrt(share)
        key = "log_volume" if quantity == "volume" else quantity
        four, along, _ = self._along(part, key, spot, distance)
        value = read_line(part.lines[key], spot[0], spot[1]) + weigh(four, along)
        return self.arithmetic.exp(value) if quantity == "volume" else value

    def _of_wet(self, spot: Spot, low: Numbers, high: Numbers, enthalpy: Numbers, quantity: str) -> Numbers:
        quality = self._quality_of_wet(spot, low, high, enthalpy, "enthalpy")
        return quality if quantity == "quality" else self.at_quality(spot, quality, quantity)

    def _share(self, part: Part, spot: Spot, beyond: Numbers, quantity: str) -> Numbers:
        """How far along from the line to the end of the table, 0 to 1."""
        share = self.arithmetic.at_least(beyond / read_line(part.lines[f"{quantity}_span"], spot[0], spot[1]), 0.0)
        if self.arithmetic.size(share) > _EDGE:
            raise BeyondTable
        return share

    def _along(self, part: Part, key: str, spot: Spot, distance: Numbers) -> tuple[Four, Four, Numbers]:
        """Four coefficients, their weights and the fraction of the cell, at a distance from the line."""
        position = distance * part.intervals
        column, along = place(position, part.intervals, self.arithmetic)
        four = read_across(part.surfaces[key], spot[2] * part.width + column, part.width, spot[3])
        return four, along, position - column

    def _enthalpy_of_one_phase(self, part: Part, spot: Spot, line: Numbers, value: Numbers, quantity: str) -> Numbers:
        beyond = value - line
        distance = self.arithmetic.sqrt(self._share(part, spot, beyond, quantity))
        distance = self._newton(part, quantity, spot, self.arithmetic.at_least(distance, _NEAREST), beyond, 0.0)
        start, span = (read_line(part.lines[key], spot[0], spot[1]) for key in ("enthalpy", "enthalpy_span"))
        return start + distance * distance * span

    def _enthalpy_of_wet(self, spot: Spot, low: Numbers, high: Numbers, value: Numbers, quantity: str) -> Numbers:
        if quantity == "temperature":
            raise OnTheLine
        return self.at_quality(spot, self._quality_of_wet(spot, low, high, value, quantity), "enthalpy")

    def _quality_of_wet(self, spot: Spot, low: Numbers, high: Numbers, value: Numbers, quantity: str) -> Numbers:
        straight = (value - low) / (high - low)
        if self.wet is None:
            return straight
        return self._newton(self.wet, quantity, spot, straight, value - low, high - low)

    def _newton(self, part: Part, key: str, spot: Spot, distance: Numbers, target: Numbers, slope: Numbers) -> Numbers:
        """Distance at which slope * distance + surface reaches the target."""
        for _ in range(_ROUNDS):
            four, along, fraction = self._along(part, key, spot, distance)
            miss = slope * distance + weigh(four, along) - target
            step = miss / (slope + weigh(four, slope_weights(fraction)) * part.intervals)
            distance = distance - step
            if self.arithmetic.size(step) < _CLOSE:
                break
        return distance
