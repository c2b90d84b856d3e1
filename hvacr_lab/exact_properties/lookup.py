"""Look-ups in the equation of state, checked like those in the tables; slow, for comparison and beyond the tables."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property
from typing import Any

import numpy as np

from hvacr_lab.errors import LabError, NotUsable
from hvacr_lab.exact_properties.equation_of_state import EquationOfState, Side
from hvacr_lab.property_checks import ON_THE_LINE_K, numbers, on_the_line, same_shape, within
from hvacr_lab.states import LINES, Limits, Line, Point, Properties, Quantity, State, phase_of_quality

_FIELDS: dict[str, str] = {
    "temperature": "temperature_k",
    "enthalpy": "enthalpy_j_per_kg",
    "entropy": "entropy_j_per_kg_k",
    "volume": "volume_m3_per_kg",
}
_ROUNDS = 60


class ExactProperties:
    """Look-ups in the equation of state of one refrigerant.

    Pure refrigerants: from the triple point to the critical point and beyond it. Blends: within the limits of their
    table, because near the critical point their equilibrium is not dependable, and its critical point takes seconds.
    """

    def __init__(self, name: str, coolprop_name: str, table_of_blend: Properties | None) -> None:
        self.name, self._coolprop_name, self._table_of_blend = name, coolprop_name, table_of_blend
        self._per_thread = threading.local()

    @property
    def _equation(self) -> EquationOfState:
        if not hasattr(self._per_thread, "equation"):
            self._per_thread.equation = EquationOfState(self._coolprop_name, blend=self._table_of_blend is not None)
        equation: EquationOfState = self._per_thread.equation
        return equation

    @cached_property
    def about(self) -> Mapping[str, Any]:
        """Fixed points, composition and origin."""
        return self._table_of_blend.about if self._table_of_blend else self._equation.about()

    @cached_property
    def limits(self) -> Limits:
        """Where answers are given."""
        if self._table_of_blend:
            return self._table_of_blend.limits
        about = self.about
        line = about["triple_temperature_k"], about["critical_temperature_k"]
        return Limits(
            line,
            line,
            (about["triple_pressure_pa"], about["highest_pressure_pa"]),
            (line[0], about["highest_temperature_k"]),
        )

    @property
    def source(self) -> str:
        """Where the answers come from."""
        return f"equation of state in CoolProp {self.about['coolprop_version']}"

    def line_pressure(self, line: Line, temperature_k: Any) -> Any:
        """Pressure on the bubble or dew line.

        Parameters
        ----------
        line : "bubble" or "dew"
        temperature_k : float or array [K]

        Returns
        -------
        float or array [Pa, absolute]

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> round(ExactProperties("R-134a", "R134a", None).line_pressure("dew", 273.15))
        292803
        """
        limits = self.limits.dew_temperature_k if line == "dew" else self.limits.bubble_temperature_k
        kelvins = within(numbers(temperature_k, f"{line} temperature"), f"{line} temperature", limits, self.name)
        return self._each(lambda kelvin: self._equation.line_point(line, kelvin).pressure_pa, kelvins)

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

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> round(ExactProperties("R-134a", "R134a", None).line_property("dew", "temperature", 292_803.0), 2)
        273.15
        """
        low, high = self.limits.pressure_pa
        ends, why = (low, min(high, self.about["critical_pressure_pa"])), ("", ", beyond which nothing boils")
        pressures = within(numbers(pressure_pa, "pressure"), "pressure", ends, self.name, why)
        return self._each(lambda pressure: getattr(self._line(line, pressure), _FIELDS[quantity]), pressures)

    def enthalpy(self, pressure_pa: Any, quantity: Quantity, value: Any) -> Any:
        """Enthalpy from a temperature, an entropy or a quality.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        quantity : "temperature", "entropy" or "quality"
        value : float or array [K, J/(kg K) or 0 ... 1]

        Returns
        -------
        float or array [J/kg]

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> round(ExactProperties("R-134a", "R134a", None).enthalpy(200_000.0, "temperature", 273.15))
        401197
        """
        return self._each_pair(
            lambda pressure, one: self._found(pressure, quantity, one)[0].enthalpy_j_per_kg,
            pressure_pa,
            quantity,
            value,
        )

    def at_enthalpy(self, pressure_pa: Any, enthalpy_j_per_kg: Any, quantity: Quantity) -> Any:
        """Temperature, entropy, volume or quality from an enthalpy.

        Parameters
        ----------
        pressure_pa : float or array [Pa, absolute]
        enthalpy_j_per_kg : float or array [J/kg]
        quantity : "temperature", "entropy", "volume" or "quality"

        Returns
        -------
        float or array [K, J/(kg K), m3/kg or 0 ... 1]

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> round(ExactProperties("R-134a", "R134a", None).at_enthalpy(200_000.0, 401_197.0, "temperature"), 2)
        273.15
        """

        def one(pressure: float, enthalpy: float) -> float:
            point, quality = self._found(pressure, "enthalpy", enthalpy)
            return quality if quantity == "quality" else float(getattr(point, _FIELDS[quantity]))

        return self._each_pair(one, pressure_pa, "enthalpy", enthalpy_j_per_kg)

    def state(self, pressure_pa: float, quantity: Quantity, value: float) -> State:
        """State from a temperature, an enthalpy, an entropy or a quality.

        Parameters
        ----------
        pressure_pa : float [Pa, absolute]
        quantity : "temperature", "enthalpy", "entropy" or "quality"
        value : float [K, J/kg, J/(kg K) or 0 ... 1]

        Returns
        -------
        State

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> ExactProperties("R-134a", "R134a", None).state(200_000.0, "temperature", 273.15).phase
        'vapour'
        """
        pressure, value = self._checked_pair(pressure_pa, quantity, value)
        point, quality = self._found(pressure, quantity, value)
        fields = (point.temperature_k, point.enthalpy_j_per_kg, point.entropy_j_per_kg_k, point.volume_m3_per_kg)
        if self._is_above_critical(pressure):
            hot = point.temperature_k >= self.about["critical_temperature_k"]
            return State(pressure, *fields, None, "supercritical" if hot else "liquid", None, None)
        bubble, dew = (self._line(line, pressure) for line in LINES)
        wet = bubble.enthalpy_j_per_kg <= point.enthalpy_j_per_kg <= dew.enthalpy_j_per_kg
        return State(
            pressure,
            *fields,
            quality if wet or quantity == "quality" else None,
            phase_of_quality(quality),
            point.temperature_k - dew.temperature_k,
            bubble.temperature_k - point.temperature_k,
        )

    def pressure_of_wet(self, temperature_k: float, quality: float) -> float:
        """Pressure of wet vapour from temperature and quality.

        Parameters
        ----------
        temperature_k : float [K]
        quality : float, vapour mass fraction, 0 ... 1

        Returns
        -------
        float [Pa, absolute]

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> round(ExactProperties("R-134a", "R134a", None).pressure_of_wet(273.15, 0.5))
        292803
        """
        within(quality, "quality", (0.0, 1.0), self.name)
        dew = float(self.line_pressure("dew", temperature_k))
        if quality == 1.0 or self._table_of_blend is None:
            return dew
        bubble = float(self.line_pressure("bubble", temperature_k))
        if quality == 0.0:
            return bubble
        return _crossing(lambda pressure: self._wet(pressure, quality).temperature_k, temperature_k, dew, bubble)

    def checked_temperature(self, temperature_k: Any) -> Any:
        """The temperature, if it lies within the limits.

        Parameters
        ----------
        temperature_k : float or array [K]

        Returns
        -------
        float or array [K]

        Raises
        ------
        LabError : outside the limits, text, not a number

        Source
        ------
        Equation of state in CoolProp.

        Examples
        --------
        >>> ExactProperties("R-134a", "R134a", None).checked_temperature(273.15)
        273.15
        """
        return within(numbers(temperature_k, "temperature"), "temperature", self.limits.temperature_k, self.name)

    def _found(self, pressure: float, quantity: Quantity, value: float) -> tuple[Point, float]:
        """The state and its vapour mass fraction, 0 in liquid and 1 in vapour."""
        with _in_words(self.name, pressure, quantity, value):
            if quantity == "quality":
                return self._wet(pressure, value), value
            if self._is_above_critical(pressure):
                point = self._equation.supercritical(pressure, quantity, value)
                quality = float(point.temperature_k >= self.about["critical_temperature_k"])
            else:
                point, quality = self._found_below_critical(pressure, quantity, value)
        self.checked_temperature(point.temperature_k)
        return point, quality

    def _found_below_critical(self, pressure: float, quantity: Quantity, value: float) -> tuple[Point, float]:
        field, margin = _FIELDS[quantity], ON_THE_LINE_K if quantity == "temperature" else 0.0
        bubble, dew = (self._line(line, pressure) for line in LINES)
        if value > getattr(dew, field) + margin:
            return self._of_one_phase("vapour", dew, quantity, value), 1.0
        if value < getattr(bubble, field) - margin:
            return self._of_one_phase("liquid", bubble, quantity, value), 0.0
        if quantity == "temperature":
            raise on_the_line(self.name, pressure, value, (bubble.temperature_k, dew.temperature_k))
        quality = self._quality(pressure, field, value, bubble, dew)
        return self._wet(pressure, quality), quality

    def _of_one_phase(self, side: Side, line: Point, quantity: Quantity, value: float) -> Point:
        if quantity == "temperature":
            return self._equation.one_phase(side, line.pressure_pa, value)
        return next(self._equation.along_isobar(side, line, _FIELDS[quantity], [value]))

    def _quality(self, pressure: float, field: str, value: float, bubble: Point, dew: Point) -> float:
        if self._table_of_blend is None:
            low, high = getattr(bubble, field), getattr(dew, field)
            return float((value - low) / (high - low))
        return _crossing(lambda quality: getattr(self._wet(pressure, quality), field), value, 0.0, 1.0)

    def _wet(self, pressure: float, quality: float) -> Point:
        if quality in (0.0, 1.0):
            return self._line("dew" if quality else "bubble", pressure)
        point = next(self._equation.wet_points(pressure, [quality]))
        if point is None:
            raise NotUsable("quality", quality, f"the equilibrium of {self.name} does not settle at {pressure:.0f} Pa")
        return point

    def _line(self, line: Line, pressure: float) -> Point:
        return self._equation.line_point_at_pressure(line, pressure)

    def _is_above_critical(self, pressure: float) -> bool:
        return self._table_of_blend is None and pressure >= self.about["critical_pressure_pa"]

    def _checked_pair(self, pressure_pa: Any, quantity: Quantity, value: Any) -> tuple[Any, Any]:
        pressures = within(numbers(pressure_pa, "pressure"), "pressure", self.limits.pressure_pa, self.name)
        values = numbers(value, quantity)
        bounds = {"temperature": self.limits.temperature_k, "quality": (0.0, 1.0)}
        if quantity in bounds:
            values = within(values, quantity, bounds[quantity], self.name)
        return pressures, values

    def _each(self, function: Callable[[float], float], values: Any) -> Any:
        if isinstance(values, float):
            return function(values)
        return np.array([function(float(value)) for value in values.flat]).reshape(values.shape)

    def _each_pair(
        self, function: Callable[[float, float], float], pressure_pa: Any, quantity: Quantity, value: Any
    ) -> Any:
        pressures, values = self._checked_pair(pressure_pa, quantity, value)
        if isinstance(pressures, float) and isinstance(values, float):
            return function(pressures, values)
        pressures, values = same_shape(pressures, values)
        found = [function(float(p), float(v)) for p, v in zip(pressures.flat, values.flat, strict=True)]
        return np.array(found).reshape(pressures.shape)


@contextmanager
def _in_words(name: str, pressure: float, quantity: str, value: float) -> Iterator[None]:
    """CoolProp's complaints, which speak of its solvers, become one sentence."""
    try:
        yield
    except LabError:
        raise
    except ValueError as trouble:
        raise NotUsable(
            f"pressure and {quantity}",
            f"{pressure:g} Pa, {value:g}",
            f"the equation of state of {name} has no state there",
        ) from trouble


def _crossing(function: Callable[[float], float], target: float, low: float, high: float) -> float:
    """Where a monotone function reaches the target (regula falsi with the Illinois correction)."""
    at_low, at_high = function(low) - target, function(high) - target
    middle = low
    for _ in range(_ROUNDS):
        if at_low == at_high:
            break
        before, middle = middle, (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = function(middle) - target
        if at_middle == 0.0 or abs(middle - before) <= 1e-12 * abs(middle):
            break
        if at_middle * at_high < 0.0:
            low, at_low = high, at_high
        else:
            at_low *= 0.5
        high, at_high = middle, at_middle
    return middle
