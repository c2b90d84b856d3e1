"""Box or room in balance: the temperature at which the bench carries away, or brings, what the walls let pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hvacr_lab.bench.chain import surroundings
from hvacr_lab.bench.description import HEATING, Bench, as_configured
from hvacr_lab.bench.line_up import COMPLETE, trace
from hvacr_lab.bench.newton import bracket, root_in
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.steady import solve_checked

_LOWEST_K, _HIGHEST_K = 223.15, 333.15
# between which a balance is looked for
_FIRST_STEP_K = 4.0
_CLOSE_W, _CLOSE_K = 1e-3, 1e-7


def balanced(bench: Bench, settings: Settings, start: OperatingPoint | None = None) -> OperatingPoint:
    """Solve the bench together with the space that it cools or heats.

    Parameters
    ----------
    bench : Bench
    settings : Settings, looked over; the temperature of that space is only where the search begins
    start : OperatingPoint or None

    Returns
    -------
    OperatingPoint; its ``space_temperatures_k`` has the balance, its ``residuals`` what is left of it under "space"

    Source
    ------
    Steady heat balance: walls (UA times temperature difference), load, fan, and the coil in it sum to zero.
    """
    place = _Place(bench, settings)
    if place.space is None:
        return solve_checked(bench, settings, start)
    place.point = start
    first_k = settings.temperatures_k[place.space]
    found = bracket(place.gain_w, first_k, lambda value: _FIRST_STEP_K, _LOWEST_K, _HIGHEST_K)
    if found.is_closed:
        root_in(place.gain_w, found, _CLOSE_W, _CLOSE_K)
    return place.report(found.is_closed)


class _Place:
    """The space in question, and the bench as it was last solved in it."""

    def __init__(self, bench: Bench, settings: Settings) -> None:
        self.bench, self.settings = bench, settings
        self.point: OperatingPoint | None = None
        self.left_w = 0.0
        configured = as_configured(bench, settings.configuration)
        line_up = trace(bench, settings.valves, settings.reversing)
        self.space: str | None = None
        if line_up.outcome != COMPLETE:
            return
        condenser, evaporator = (
            next(name for name in way if name in bench.coils) for way in (line_up.high, line_up.low)
        )
        self.is_heating = settings.reversing == HEATING
        self.space = configured.coils[condenser if self.is_heating else evaporator].space
        self.around_k = surroundings(configured, settings, condenser, evaporator)
        self.coils = [name for name, coil in configured.coils.items() if coil.space == self.space]

    def gain_w(self, space_k: float) -> float:
        """Heat that the space gains at a temperature; falls as it gets warmer."""
        assert self.space is not None
        temperatures = {**self.settings.temperatures_k, self.space: space_k}
        near = self.point if self.point is not None and self.point.unknowns is not None else None
        self.point = solve_checked(self.bench, replace(self.settings, temperatures_k=temperatures), near)
        about = self.bench.spaces[self.space]
        from_coils_w = sum(-self.point.air[name].heat_w for name in self.coils if name in self.point.air)
        fans_w = sum(self.point.air[name].fan_w for name in self.coils if name in self.point.air)
        self.left_w = about.ua_w_per_k * (self.around_k - space_k) + about.load_w + fans_w + from_coils_w
        return self.left_w

    def report(self, is_closed: bool) -> OperatingPoint:
        """The bench as last solved, with a word on the balance."""
        assert self.point is not None
        residuals: Mapping[str, float] = {**self.point.residuals, "space": self.left_w}
        if is_closed:
            return replace(self.point, residuals=residuals)
        label = self.bench.spaces[self.space or ""].label
        word = (
            f"{label} finds no balance between {_LOWEST_K - 273.15:.0f} and {_HIGHEST_K - 273.15:.0f} degrees Celsius."
        )
        return replace(self.point, residuals=residuals, warnings=(*self.point.warnings, word))
