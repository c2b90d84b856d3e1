"""The equation of state of a refrigerant, from CoolProp: builds the tables and is their reference.

Slow, and the only room of the house that imports CoolProp. Three habits make it dependable for blends: saturation
lines are followed step by step from a cold point, liquid and vapour are always imposed and never guessed, and the
wet vapour comes from an own equilibrium (blend_equilibrium.py). Enthalpy and entropy are moved to the IIR reference
state here, by an offset; CoolProp's own reference states are never touched, because that changes other objects.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import fields
from typing import Any, Literal

from hvacr_lab.exact_properties.blend_equilibrium import Equilibrium, equilibrium
from hvacr_lab.states import Line, Point

Side = Literal["liquid", "vapour"]
REFERENCE_TEMPERATURE_K = 273.15
REFERENCE_ENTHALPY_J_PER_KG = 200e3
REFERENCE_ENTROPY_J_PER_KG_K = 1e3
# reference state of the International Institute of Refrigeration (IIR): saturated liquid at 0 degC
_SIDES: tuple[Side, Side] = ("liquid", "vapour")
_QUALITY_OF = {"bubble": 0.0, "dew": 1.0}
_COLD_START_K = 190.0
# at this temperature the saturation lines of all blends here are found without a guess
_STEP_K = 1.0
_CLOSE_K = 1e-8


class _Phase:
    """Liquid or vapour, imposed. Remembers its density, the one guess that helps close to the critical point."""

    def __init__(self, coolprop: Any, name: str, phase: int) -> None:
        self._coolprop, self.handle = coolprop, coolprop.AbstractState("HEOS", name)
        self.handle.specify_phase(phase)
        self.density_mol_per_m3: float | None = None

    def update(self, pressure_pa: float, temperature_k: float) -> Any:
        try:
            self.handle.update(self._coolprop.PT_INPUTS, pressure_pa, temperature_k)
        except ValueError:
            if self.density_mol_per_m3 is None:
                raise
            guess = self._coolprop.PyGuessesStructure()
            guess.rhomolar = self.density_mol_per_m3
            self.handle.update_with_guesses(self._coolprop.PT_INPUTS, pressure_pa, temperature_k, guess)
        self.density_mol_per_m3 = self.handle.rhomolar()
        return self.handle


class EquationOfState:
    """The equation of state of one refrigerant; one object for each thread, it holds CoolProp objects that change."""

    def __init__(self, coolprop_name: str, *, blend: bool) -> None:
        import CoolProp.CoolProp

        self._coolprop, self.name, self.blend = CoolProp.CoolProp, coolprop_name, blend
        self._plain = self._new()
        self._sides = self._two_phases()
        self._walkers = {line: self._at_cold_start(line) for line in _QUALITY_OF} if blend else {}
        self._enthalpy_offset = self._entropy_offset = 0.0
        reference = self.line_point("bubble", REFERENCE_TEMPERATURE_K)
        self._enthalpy_offset = REFERENCE_ENTHALPY_J_PER_KG - reference.enthalpy_j_per_kg
        self._entropy_offset = REFERENCE_ENTROPY_J_PER_KG_K - reference.entropy_j_per_kg_k

    def about(self) -> dict[str, Any]:
        """Fixed points and origin of the equation of state, as plain values.

        Returns
        -------
        dict of plain values, SI with the unit in each key

        Source
        ------
        CoolProp.

        Examples
        --------
        >>> state = EquationOfState("R134a", blend=False)
        >>> round(state.about()["critical_temperature_k"], 2)
        374.21
        """
        ask, names = self._coolprop.PropsSI, self._plain.fluid_names()
        critical = max(
            (point for point in self._plain.all_critical_points() if point.stable), key=lambda point: point.T
        )
        return {
            "coolprop_name": self.name,
            "coolprop_version": self._coolprop.get_global_param_string("version"),
            "coolprop_revision": self._coolprop.get_global_param_string("gitrevision"),
            "mass_fractions": dict(zip(names, self._plain.get_mass_fractions(), strict=True)),
            "molar_mass_kg_per_mol": self._plain.molar_mass(),
            "critical_temperature_k": critical.T,
            "critical_pressure_pa": critical.p,
            "triple_temperature_k": None if self.blend else self._plain.Ttriple(),
            "triple_pressure_pa": None if self.blend else ask("ptriple", self.name),
            "highest_temperature_k": min(ask("Tmax", name) for name in names),
            "highest_pressure_pa": min(ask("pmax", name) for name in names),
            "enthalpy_offset_j_per_kg": self._enthalpy_offset,
            "entropy_offset_j_per_kg_k": self._entropy_offset,
        }

    def line_point(self, line: Line, temperature_k: float) -> Point:
        """Saturated liquid ("bubble") or saturated vapour ("dew") at a temperature.

        Parameters
        ----------
        line : "bubble" or "dew"
        temperature_k : float [K]

        Returns
        -------
        Point

        Source
        ------
        CoolProp; reference state of the IIR.

        Examples
        --------
        >>> state = EquationOfState("R134a", blend=False)
        >>> round(state.line_point("bubble", 273.15).enthalpy_j_per_kg)
        200000
        """
        if not self.blend:
            self._plain.update(self._coolprop.QT_INPUTS, _QUALITY_OF[line], temperature_k)
            return self._point(self._plain)
        try:
            self._walk(line, temperature_k)
        except ValueError:
            self._walkers[line] = self._at_cold_start(line)
            raise
        return self._point(self._walkers[line])

    def line_point_at_pressure(self, line: Line, pressure_pa: float) -> Point:
        """Saturated liquid ("bubble") or saturated vapour ("dew") at a pressure.

        Parameters
        ----------
        line : "bubble" or "dew"
        pressure_pa : float [Pa, absolute]

        Returns
        -------
        Point

        Source
        ------
        CoolProp; reference state of the IIR.

        Examples
        --------
        >>> state = EquationOfState("R407C.mix", blend=True)
        >>> round(state.line_point_at_pressure("dew", 101_325.0).temperature_k - 273.15, 2)
        -36.63
        """
        if not self.blend:
            self._plain.update(self._coolprop.PQ_INPUTS, pressure_pa, _QUALITY_OF[line])
            return self._point(self._plain)
        point = self.line_point(line, self._walkers[line].T())
        for _ in range(40):
            warmer = self.line_point(line, point.temperature_k + 0.01)
            per_kelvin = math.log(warmer.pressure_pa / point.pressure_pa) / 0.01
            step = math.log(pressure_pa / point.pressure_pa) / per_kelvin
            point = self.line_point(line, point.temperature_k + max(-15.0, min(15.0, step)))
            if abs(step) < _CLOSE_K:
                break
        return point

    def one_phase(self, side: Side, pressure_pa: float, temperature_k: float, near: Point | None = None) -> Point:
        """Liquid or vapour; the caller knows which it is, for on the wrong side of the dome the answer is nonsense.

        Parameters
        ----------
        side : "liquid" or "vapour"
        pressure_pa : float [Pa, absolute]
        temperature_k : float [K]
        near : Point or None, a neighbour whose density helps close to the critical point

        Returns
        -------
        Point

        Source
        ------
        CoolProp; reference state of the IIR.

        Examples
        --------
        >>> state = EquationOfState("R134a", blend=False)
        >>> round(state.one_phase("vapour", 200_000.0, 273.15).enthalpy_j_per_kg)
        401197
        """
        phase = self._sides[side]
        if near is not None:
            phase.density_mol_per_m3 = 1.0 / (near.volume_m3_per_kg * phase.handle.molar_mass())
        return self._point(phase.update(pressure_pa, temperature_k))

    def along_isobar(self, side: Side, start: Point, quantity: str, values: Iterable[float]) -> Iterator[Point]:
        """Liquid or vapour of given "enthalpy" or "entropy" at the pressure of start, each from the one before.

        Parameters
        ----------
        side : "liquid" or "vapour"
        start : Point at the pressure wanted
        quantity : "enthalpy_j_per_kg" or "entropy_j_per_kg_k"
        values : of that quantity

        Yields
        ------
        Point

        Source
        ------
        CoolProp; Newton's method with the isobaric heat capacity.

        Examples
        --------
        >>> state = EquationOfState("R134a", blend=False)
        >>> start = state.line_point("dew", 273.15)
        >>> points = state.along_isobar("vapour", start, "enthalpy_j_per_kg", [420e3])
        >>> [round(point.temperature_k, 2) for point in points]
        [297.2]
        """
        point, handle = start, self._sides[side].handle
        for value in values:
            point = self.one_phase(side, start.pressure_pa, point.temperature_k, point)
            for _ in range(60):
                miss = value - getattr(point, quantity)
                per_kelvin = handle.cpmass() / (1.0 if quantity == "enthalpy_j_per_kg" else point.temperature_k)
                step = miss / per_kelvin
                point = self.one_phase(side, start.pressure_pa, point.temperature_k + step, point)
                if abs(step) < _CLOSE_K:
                    break
            yield point

    def wet_points(self, pressure_pa: float, qualities: Iterable[float]) -> Iterator[Point | None]:
        """Wet vapour at qualities that rise from the bubble point; None where the equilibrium does not settle.

        Parameters
        ----------
        pressure_pa : float [Pa, absolute]
        qualities : vapour mass fractions, rising

        Yields
        ------
        Point or None

        Source
        ------
        Equality of the fugacities from CoolProp (blend_equilibrium.py); pure refrigerants are linear in quality.

        Examples
        --------
        >>> state = EquationOfState("R407C.mix", blend=True)
        >>> [round(point.temperature_k - 273.15, 2) for point in state.wet_points(101_325.0, [0.5])]
        [-40.1]
        """
        if not self.blend:
            ends = [self.line_point_at_pressure(line, pressure_pa) for line in ("bubble", "dew")]
            for quality in qualities:
                yield _mixed(quality, *ends)
            return
        bubble_k = self.line_point_at_pressure("bubble", pressure_pa).temperature_k
        walker = self._walkers["bubble"]
        pairs = zip(walker.mole_fractions_vapor(), walker.mole_fractions_liquid(), strict=True)
        start, phases = (bubble_k, tuple(y / x for y, x in pairs)), self._two_phases()
        for quality in qualities:
            found = self._equilibrium(pressure_pa, quality, phases, start)
            if found is None:
                phases = self._two_phases()
                yield None
            else:
                start = (found.temperature_k, found.ratios)
                yield _mixed(quality, *(self._point(phases[side].handle) for side in _SIDES))

    def supercritical(self, pressure_pa: float, quantity: str, value: float) -> Point:
        """Above the critical pressure: the state of a "temperature", "enthalpy" or "entropy".

        Parameters
        ----------
        pressure_pa : float [Pa, absolute]
        quantity : "temperature", "enthalpy" or "entropy"
        value : float [K, J/kg or J/(kg K)]

        Returns
        -------
        Point

        Source
        ------
        CoolProp; reference state of the IIR.

        Examples
        --------
        >>> state = EquationOfState("CarbonDioxide", blend=False)
        >>> round(state.supercritical(90e5, "temperature", 313.15).enthalpy_j_per_kg)
        343782
        """
        pairs = {
            "temperature": (self._coolprop.PT_INPUTS, pressure_pa, value),
            "enthalpy": (self._coolprop.HmassP_INPUTS, value - self._enthalpy_offset, pressure_pa),
            "entropy": (self._coolprop.PSmass_INPUTS, pressure_pa, value - self._entropy_offset),
        }
        self._plain.update(*pairs[quantity])
        return self._point(self._plain)

    def _new(self) -> Any:
        return self._coolprop.AbstractState("HEOS", self.name)

    def _point(self, handle: Any) -> Point:
        return Point(
            handle.p(),
            handle.T(),
            handle.hmass() + self._enthalpy_offset,
            handle.smass() + self._entropy_offset,
            1.0 / handle.rhomass(),
        )

    def _at_cold_start(self, line: str) -> Any:
        walker = self._new()
        walker.update(self._coolprop.QT_INPUTS, _QUALITY_OF[line], _COLD_START_K)
        return walker

    def _walk(self, line: Line, temperature_k: float) -> None:
        """Move the walker of a line to a temperature, a kelvin at a time."""
        walker = self._walkers[line]
        while abs(temperature_k - walker.T()) > _STEP_K:
            self._step(walker, line, walker.T() + math.copysign(_STEP_K, temperature_k - walker.T()))
        self._step(walker, line, temperature_k)

    def _step(self, walker: Any, line: Line, temperature_k: float) -> None:
        guess = self._coolprop.PyGuessesStructure()
        guess.T, guess.p = temperature_k, walker.p()
        guess.rhomolar_liq = walker.saturated_liquid_keyed_output(self._coolprop.iDmolar)
        guess.rhomolar_vap = walker.saturated_vapor_keyed_output(self._coolprop.iDmolar)
        guess.x, guess.y = walker.mole_fractions_liquid(), walker.mole_fractions_vapor()
        walker.update_with_guesses(self._coolprop.QT_INPUTS, _QUALITY_OF[line], temperature_k, guess)

    def _two_phases(self) -> dict[Side, _Phase]:
        phases = (self._coolprop.iphase_liquid, self._coolprop.iphase_gas)
        return {side: _Phase(self._coolprop, self.name, phase) for side, phase in zip(_SIDES, phases, strict=True)}

    def _equilibrium(
        self,
        pressure_pa: float,
        quality: float,
        phases: dict[Side, _Phase],
        start: tuple[float, tuple[float, ...]],
    ) -> Equilibrium | None:
        whole = self._plain.get_mole_fractions()
        masses = [self._plain.get_fluid_constant(i, self._coolprop.imolar_mass) for i in range(len(whole))]

        def ratios_at(temperature_k: float, *compositions: Any) -> tuple[tuple[float, ...], float]:
            for phase, composition in zip(phases.values(), compositions, strict=True):
                phase.handle.set_mole_fractions(composition)
                phase.update(pressure_pa, temperature_k)
            liquid, vapour = (phase.handle for phase in phases.values())
            ratios = (liquid.fugacity_coefficient(i) / vapour.fugacity_coefficient(i) for i in range(len(whole)))
            return tuple(ratios), vapour.hmolar() - liquid.hmolar()

        try:
            return equilibrium(whole, masses, quality, ratios_at, start)
        except ValueError:  # CoolProp finds no such liquid or vapour, and what the phases hold now is of no use
            return None


def _mixed(quality: float, liquid: Point, vapour: Point) -> Point:
    def mean(of_liquid: float, of_vapour: float) -> float:
        return (1.0 - quality) * of_liquid + quality * of_vapour

    return Point(*(mean(getattr(liquid, field.name), getattr(vapour, field.name)) for field in fields(Point)))
