"""Bracketed searches one inside the other: slow, but they find a first point from anywhere."""

from __future__ import annotations

from hvacr_lab.bench.newton import Vector, bracket, root_in
from hvacr_lab.bench.residuals import Loop

FOUND, HEAD, FLOOR, HOT, UNRESOLVED = "found", "head", "floor", "hot", "unresolved"
"""How a search ends: with an answer, at the highest or lowest pressure, overheated, or not at all."""

AT_BOUND = 1e-6


class Nested:
    """Searches one inside the other: discharge pressure, suction pressure, suction enthalpy, at a fixed coordinate."""

    def __init__(self, loop: Loop, coordinate: float, guess: Vector) -> None:
        self.loop, self.x = loop, [*guess[:3], coordinate]
        self.end = FOUND
        self.left_over: Vector = [0.0, 0.0, 0.0, 0.0]

    def solve(self) -> None:
        """Find the discharge pressure; `end` says whether there is one."""
        box = self.loop.box
        found = bracket(self._condenser_heat, self.x[0], lambda value: 0.02, box.low[0], box.high[0])
        if not found.is_closed:
            self.end = HEAD if found.at_a > 0.0 else FLOOR
            return
        root_in(self._condenser_heat, found, 1e-7, 1e-12, 50)
        if abs(self.left_over[0]) > 1e-5 or abs(self.left_over[1]) > 1e-4:
            is_hot = self.x[2] > box.high[2] - AT_BOUND
            self.end = HOT if is_hot else FLOOR if self.loop.at_ports(self.x)[1] <= box.low[1] + 0.02 else UNRESOLVED

    def _condenser_heat(self, log_discharge: float) -> float:
        self.x[0] = log_discharge
        low, high = self.loop.box.low[1], log_discharge - 6.0 * self.loop.box.gap
        found = bracket(self._flow, min(self.x[1], high), lambda value: 0.02, low, high, 3.0)
        if found.is_closed:
            root_in(self._flow, found, 1e-9, 1e-13)
        return self.left_over[2]

    def _flow(self, log_suction: float) -> float:
        self.x[1] = log_suction
        low, high = self.loop.box.low[2], self.loop.box.high[2]
        found = bracket(self._evaporator_heat, self.x[2], lambda value: max(1.2 * abs(value), 1e-9), low, high, 2.5)
        if found.is_closed:
            root_in(self._evaporator_heat, found, 1e-10, 1e-12, 60)
        return self.left_over[0]

    def _evaporator_heat(self, enthalpy: float) -> float:
        self.x[2] = enthalpy
        self.left_over = self.loop.residuals(self.x)
        return self.left_over[1]
