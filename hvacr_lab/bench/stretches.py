"""Pipes, open valves and parts in series, added up; and where on such a stretch a port or a bulb sits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.lines import resistance_of_area
from hvacr_lab.bench.parts import Metering, Pipe, ThermostaticValve
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.valves import WIDE_OPEN_M2

_LEAST_OPENING = 1e-4
# of a hand valve that is not quite shut


class Mark(NamedTuple):
    """A port, junction or pipe on a stretch, and how much of its resistance and heat lie before it."""

    name: str
    resistance_share: float
    heat_share: float


class Stretch(NamedTuple):
    """Pipes and open valves in series, as one."""

    resistance_per_m4: float
    volume_m3: float
    ua_ambient_w_per_k: float
    surroundings_k: float
    marks: tuple[Mark, ...] = ()


class Bulb(NamedTuple):
    """Where the bulb of a thermostatic valve sits."""

    is_high: bool
    # on the hot gas, because the reversing valve made its pipe the discharge
    resistance_share: float
    heat_share: float
    # of the suction stretch before it
    is_external: bool
    # the valve feels the pressure there


class Lane(NamedTuple):
    """One metering device with the open valves and pipes in series with it."""

    device: Metering
    hand_area_m2: float
    bulb: Bulb | None
    before: tuple[str, ...]
    after: tuple[str, ...]
    # pipes and places before and after the device


class _Piece(NamedTuple):
    """One element of a stretch: what it adds, and where one stands before and after it."""

    name: str
    resistance_per_m4: float
    volume_m3: float
    ua_w_per_k: float
    before: str | None
    after: str | None


class Stretches:
    """Elements of a bench as pieces of stretches, at the valve positions of the settings."""

    def __init__(self, bench: Bench, settings: Settings) -> None:
        self.bench, self.settings = bench, settings
        self.pipes: Mapping[str, Pipe] = {pipe.id: pipe for pipe in bench.pipes}

    def volume(self, names: Iterable[str]) -> float:
        """Volume of all pipes among the names."""
        return sum(self.pipes[name].volume_m3 for name in names if name in self.pipes)

    def stretch(
        self, elements: tuple[str, ...], start: str | None, surroundings_k: float, first: float = 0.0, last: float = 0.0
    ) -> Stretch:
        """Add up a stretch; `first` and `last` are resistances of faults at its ends."""
        pieces = list(self._pieces(elements, start))
        resistance = first + last + sum(piece.resistance_per_m4 for piece in pieces)
        heat = sum(piece.ua_w_per_k for piece in pieces)
        marks, passed, warmed = [], first, 0.0
        if start is not None:
            marks.append(Mark(start, 0.0, 0.0))
        for piece in pieces:
            if piece.before is not None:
                marks.append(Mark(piece.before, _share(passed, resistance), _share(warmed, heat)))
            passed, warmed = passed + piece.resistance_per_m4, warmed + piece.ua_w_per_k
            if piece.after is not None:
                shares = _share(passed, resistance), _share(warmed, heat)
                marks += [Mark(piece.name, *shares), Mark(piece.after, *shares)]
        volume = sum(piece.volume_m3 for piece in pieces)
        return Stretch(resistance, volume, heat, surroundings_k, tuple(marks))

    def lane(self, elements: tuple[str, ...], suction: Stretch, evaporator_outlet: str) -> Lane:
        """One way through the metering bank."""
        index = next(index for index, name in enumerate(elements) if name in self.bench.metering)
        device = self.bench.metering[elements[index]]
        pieces = [*self._pieces(elements[:index], None), *self._pieces(elements[index + 1 :], f"{device.id}.out")]
        resistance = sum(piece.resistance_per_m4 for piece in pieces)
        area = math.sqrt(0.5 / resistance) if resistance > 0.0 else WIDE_OPEN_M2
        before, after = self._names(elements[:index], None), self._names(elements[index + 1 :], f"{device.id}.out")
        bulb = self._bulb(device, suction) if isinstance(device, ThermostaticValve) else None
        return Lane(device, area, bulb, (*before, f"{device.id}.in"), (f"{device.id}.out", *after))

    def _bulb(self, device: ThermostaticValve, suction: Stretch) -> Bulb:
        for mark in suction.marks:
            if mark.name == device.bulb:
                return Bulb(False, mark.resistance_share, mark.heat_share, device.external_equaliser)
        return Bulb(True, 0.0, 0.0, device.external_equaliser)

    def _names(self, elements: tuple[str, ...], start: str | None) -> tuple[str, ...]:
        pieces = self._pieces(elements, start)
        names = (name for piece in pieces for name in (piece.before, piece.name, piece.after))
        return tuple(name for name in names if name is not None and name not in self.bench.valves)

    def _pieces(self, elements: tuple[str, ...], start: str | None) -> Iterator[_Piece]:
        """Element after element; pipes may be passed backwards, which their far end shows."""
        here, part = start, None
        for name in elements:
            pipe = self.pipes.get(name)
            if pipe is not None:
                is_forward = here == pipe.start if here is not None else _starts_at(pipe, part)
                before, here = (pipe.start, pipe.end) if is_forward else (pipe.end, pipe.start)
                part = None
                yield _Piece(name, pipe.resistance_per_m4, pipe.volume_m3, pipe.ua_ambient_w_per_k, before, here)
            elif name in self.bench.valves:
                yield _Piece(name, self._resistance_of_valve(name), 0.0, 0.0, None, None)
            else:
                here, part = None, name
                yield self._part(name)

    def _resistance_of_valve(self, name: str) -> float:
        opening = max(float(self.settings.valves[name]), _LEAST_OPENING)
        return resistance_of_area(self.bench.valves[name].flow_area_m2 * opening)

    def _part(self, name: str) -> _Piece:
        """A part on the way: its resistance, its volume where no equation of its own gives its charge."""
        special = (self.bench.reversing_valve, self.bench.bridge)
        resistance = next((part.resistance_per_m4 for part in special if part is not None and part.id == name), 0.0)
        volume = self.bench.coils[name].volume_m3 if name in self.bench.coils else 0.0
        return _Piece(name, resistance, volume, 0.0, None, None)


def _share(part: float, whole: float) -> float:
    return part / whole if whole else 0.0


def _starts_at(pipe: Pipe, part: str | None) -> bool:
    return part is None or pipe.start.startswith(f"{part}.")
