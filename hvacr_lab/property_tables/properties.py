"""Properties of one refrigerant from its shipped table, with every input checked against the limits of the table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any

import numpy as np

from hvacr_lab.property_checks import ON_THE_LINE_K, numbers, on_the_line, same_shape, within
from hvacr_lab.property_tables.files import shipped_table
from hvacr_lab.property_tables.lookup import BeyondTable, Lookup, OnTheLine
from hvacr_lab.property_tables.sides import ArrayLookup, PlainLookup
from hvacr_lab.states import LINES, Limits, Line, Quantity, State, phase_of_quality

_SLACK_K = 1e-4
_SLACK_OF_PRESSURE = 1e-5
_SLACK = {"enthalpy": 0.5, "entropy": 0.002}
# what is computed from one end of the table must not fall off the other end because two splines differ a little
_ROUNDING_J_PER_KG = 0.01
# so close to its line a state counts as on it


class TableProperties:
    """Look-ups in the table of one refrigerant; plain numbers within the limits take the shortest way."""

    def __init__(self, name: str) -> None:
        self._table = shipped_table(name)
        self.name, about = name, self._table.about
        self.about: Mapping[str, Any] = about
        self.limits = Limits(
            dew_temperature_k=(about["dew_low_k"], about["dew_high_k"]),
            bubble_temperature_k=(about["bubble_low_k"], about["bubble_high_k"]),
            pressure_pa=(about["pressure_low_pa"], about["pressure_high_pa"]),
            temperature_k=(about["liquid_low_k"], about["vapour_high_k"]),
        )
        self.source = f"table made from the equation of state in CoolProp {about['coolprop_version']}"
        self._plain = PlainLookup(self._table)
        low, high = self.limits.pressure_pa
        self._low_pa, self._high_pa = low * (1.0 - _SLACK_OF_PRESSURE), high * (1.0 + _SLACK_OF_PRESSURE)
        self._line_limits = {
            "dew": _with_slack(self.limits.dew_temperature_k),
            "bubble": _with_slack(self.limits.bubble_temperature_k),
        }
        self._widest = {
            "temperature": _with_slack(self.limits.temperature_k),
            "quality": (0.0, 1.0),
            "enthalpy": self._plain.widest("enthalpy"),
            "entropy": self._plain.widest("entropy"),
        }

    def line_pressure(self, line: Line, temperature_k: Any) -> Any:
        """Pressure on the bubble or dew line.

        Parameters
        ----------
        line : "bubble" or "dew"
        temperature_k : float or array [K]

        Returns
        -------
        float or array [Pa, absolute]

        Source
        ------
        Shipped table.

        Examples
        --------
        >>> round(TableProperties("R-134a").line_pressure("dew", 273.15))
        292803
        """
        low, high = self._line_limits[line]
        if isinstance(temperature_k, (float, int)) and low <= temperature_k <= high:
            return self._plain.line_pressure(line, temperature_k)
        quantity = f"{line} temperature"
        kelvins = within(numbers(temperature_k, quantity), quantity, (low, high), self.name, self._why_of_lines)
        return self._lookup(kelvins).line_pressure(line, kelvins)

    def line_property(self, line: Line, quantity: Quantity, pressure_pa: Any) -> Any:
        """Temperature, enthalpy, entropy or volume on the bubble or dew line.

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
        Shipped table.

        Examples
        --------
        >>> round(TableProperties("R-134a").line_property("dew", "temperature", 292_803.0), 2)
        273.15
        """
        if isinstance(pressure_pa, (float, int)) and self._low_pa <= pressure_pa <= self._high_pa:
            return self._plain.line_value(line, quantity, pressure_pa)
        pressures = self._checked_pressure(pressure_pa)
        return self._lookup(pressures).line_value(line, quantity, pressures)

    def enthalpy(self, pressure_pa: Any, quantity: Quantity, value: Any) -> Any:
        """Enthalpy at a pressure and a temperature, an entropy or a quality.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        quantity : "temperature", "entropy" or "quality"
        value : float or array [K, J/(kg K) or 0 ... 1]

        Returns
        -------
        float or array [J/kg]

        Source
        ------
        Shipped table.

        Examples
        --------
        >>> round(TableProperties("R-134a").enthalpy(200_000.0, "temperature", 273.15))
        401197
        """
        return self._look_up(Lookup.to_enthalpy, pressure_pa, quantity, value, quantity)

    def at_enthalpy(self, pressure_pa: Any, enthalpy_j_per_kg: Any, quantity: Quantity) -> Any:
        """Temperature, entropy, volume or quality at a pressure and an enthalpy.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]
        quantity : "temperature", "entropy", "volume" or "quality"

        Returns
        -------
        float or array [K, J/(kg K), m3/kg or 0 ... 1]

        Source
        ------
        Shipped table.

        Examples
        --------
        >>> round(TableProperties("R-134a").at_enthalpy(200_000.0, 250e3, "quality"), 3)
        0.308
        """
        return self._look_up(Lookup.from_enthalpy, pressure_pa, "enthalpy", enthalpy_j_per_kg, quantity)

    def state(self, pressure_pa: float, quantity: Quantity, value: float) -> State:
        """State at a pressure and a temperature, an enthalpy, an entropy or a quality.

        Parameters
        ----------
        pressure_pa : float [Pa, absolute]
        quantity : "temperature", "enthalpy", "entropy" or "quality"
        value : float [K, J/kg, J/(kg K) or 0 ... 1]

        Returns
        -------
        State

        Source
        ------
        Shipped table.

        Examples
        --------
        >>> TableProperties("R-134a").state(200_000.0, "quality", 0.3).phase
        'two-phase'
        """
        enthalpy = value if quantity == "enthalpy" else self.enthalpy(pressure_pa, quantity, value)
        quality = value if quantity == "quality" else self.at_enthalpy(pressure_pa, enthalpy, "quality")
        lookup, spot = self._plain, self._plain.spot(pressure_pa)
        read, place = (lookup.at_quality, quality) if 0.0 < quality < 1.0 else (lookup.from_enthalpy, enthalpy)
        temperature = value if quantity == "temperature" else read(spot, place, "temperature")
        (bubble_k, dew_k), (bubble, dew) = (lookup.on_lines(spot, name) for name in ("temperature", "enthalpy"))
        is_wet = bubble - _ROUNDING_J_PER_KG <= enthalpy <= dew + _ROUNDING_J_PER_KG
        return State(
            pressure_pa,
            temperature,
            enthalpy,
            read(spot, place, "entropy"),
            read(spot, place, "volume"),
            quality if is_wet else None,
            phase_of_quality(quality),
            temperature - dew_k,
            bubble_k - temperature,
        )

    def pressure_of_wet(self, temperature_k: float, quality: float) -> float:
        """Pressure of wet vapour from its temperature and quality.

        Parameters
        ----------
        temperature_k : float [K]
        quality : float, 0 ... 1

        Returns
        -------
        float [Pa, absolute]

        Source
        ------
        Shipped table.

        Examples
        --------
        >>> round(TableProperties("R-407C").pressure_of_wet(273.15, 0.5))
        512288
        """
        within(quality, "quality", (0.0, 1.0), self.name)
        if quality == 1.0 or self.about["kind"] == "pure":
            return float(self.line_pressure("dew", temperature_k))
        if quality == 0.0:
            return float(self.line_pressure("bubble", temperature_k))
        ends = [
            self._plain.at_quality(self._plain.spot(end), quality, "temperature")
            for end in (self._low_pa, self._high_pa)
        ]
        within(temperature_k, "temperature", (ends[0], ends[1]), self.name, self._why_of_lines)
        return self._plain.pressure_of_wet(temperature_k, quality)

    def checked_temperature(self, temperature_k: Any) -> Any:
        """The temperature, if it lies within the limits.

        Parameters
        ----------
        temperature_k : float or array [K]

        Returns
        -------
        float or array [K]

        Source
        ------
        Limits of the shipped table.

        Examples
        --------
        >>> TableProperties("R-134a").checked_temperature(273.15)
        273.15
        """
        low, high = self._widest["temperature"]
        if isinstance(temperature_k, (float, int)) and low <= temperature_k <= high:
            return temperature_k
        return within(numbers(temperature_k, "temperature"), "temperature", (low, high), self.name)

    @cached_property
    def _array(self) -> ArrayLookup:
        return ArrayLookup(self._table)

    def _lookup(self, values: Any) -> Lookup:
        return self._plain if isinstance(values, float) else self._array

    def _look_up(self, formula: Callable[..., Any], pressure_pa: Any, given: str, value: Any, wanted: str) -> Any:
        low, high = self._widest[given]
        if (
            isinstance(pressure_pa, (float, int))
            and isinstance(value, (float, int))
            and self._low_pa <= pressure_pa <= self._high_pa
            and low <= value <= high
        ):
            try:
                return formula(self._plain, self._plain.spot(pressure_pa), value, wanted)
            except (BeyondTable, OnTheLine):
                pass  # the way below finds out what is wrong and says it
        pressures, values = self._checked_pair(pressure_pa, given, value)
        lookup = self._lookup(pressures)
        return formula(lookup, lookup.spot(pressures), values, wanted)

    def _checked_pair(self, pressure_pa: Any, given: str, value: Any) -> tuple[Any, Any]:
        pressures, values = self._checked_pressure(pressure_pa), numbers(value, given)
        if not (isinstance(pressures, float) and isinstance(values, float)):
            pressures, values = same_shape(pressures, values)
        if given == "temperature":
            self._refuse_the_line(pressures, values)
        if given in ("temperature", "quality"):
            return pressures, within(values, given, self._widest[given], self.name)
        lookup = self._lookup(pressures)
        low, high = lookup.ends(lookup.spot(pressures), given)
        ends = low - _SLACK[given], high + _SLACK[given]
        cold, hot = self.limits.temperature_k
        why = f" for liquid of {cold - 273.15:.2f} °C", f" for vapour of {hot - 273.15:.2f} °C"
        return pressures, within(values, given, ends, self.name, why)

    def _checked_pressure(self, pressure_pa: Any) -> Any:
        pressures = numbers(pressure_pa, "pressure")
        return within(pressures, "pressure", (self._low_pa, self._high_pa), self.name, self._why_of_lines)

    def _refuse_the_line(self, pressures: Any, kelvins: Any) -> None:
        bubble, dew = (self.line_property(line, "temperature", pressures) for line in LINES)
        wet = np.argwhere((kelvins >= bubble - ON_THE_LINE_K) & (kelvins <= dew + ON_THE_LINE_K))
        if len(wet):
            at = tuple(wet[0])
            pressure, kelvin, low, high = (
                float(np.asarray(values)[at]) for values in (pressures, kelvins, bubble, dew)
            )
            raise on_the_line(self.name, pressure, kelvin, (low, high))

    @property
    def _why_of_lines(self) -> tuple[str, str]:
        about = self.about
        critical = f"{about['critical_temperature_k'] - 273.15:.2f} °C, {about['critical_pressure_pa'] / 1e5:.2f} bar"
        high = f", close to the critical point ({critical}), beyond which nothing boils"
        if about["kind"] == "pure":
            high += f'; refrigerant("{self.name}").exact() reaches up to it'
        triple = about["triple_temperature_k"]
        return f", where the table begins (triple point {triple - 273.15:.2f} °C)" if triple else "", high


def _with_slack(limits: tuple[float, float]) -> tuple[float, float]:
    return limits[0] - _SLACK_K, limits[1] + _SLACK_K
