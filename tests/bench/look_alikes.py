"""Which faults look alike on every instrument of a bench, when they are equally visible?

Each fault is followed from nothing to 1. A fault is taken where its largest change is `VISIBLE` margins of
`comparison.MARGINS`; another one looks alike if at some severity no instrument differs from that by more than a margin.
Instruments: every gauge and thermometer of the bench file, ammeter and wattmeter of the compressor, power of the fans,
air behind each coil, sight glasses.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from machines import Machine, set_up, solved, with_faults

from hvacr_lab.bench.comparison import MARGINS
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.faults import FAULTS, is_possible
from hvacr_lab.bench.operating_point import OperatingPoint

VISIBLE = 4.0
_SEVERITIES = tuple(step / 20 for step in range(21))
_GLASS_STEP = 10.0
# margins between two looks of a glass: nobody mistakes bubbles for liquid


@dataclass(frozen=True)
class Curve:
    """A fault from nothing to 1: severities, and what every instrument shows at each of them, in margins."""

    severities: tuple[float, ...]
    places: tuple[tuple[float, ...], ...]

    def strength(self, place: tuple[float, ...]) -> float:
        """How plainly the fault shows, the fans apart: their ammeter would tell at once."""
        return distance(place[:-1], self.places[0][:-1])

    def at_strength(self, wanted: float) -> tuple[float, ...] | None:
        """Where the largest change reaches the wanted size, None where the fault never gets so far."""
        for here, there in zip(self.places, self.places[1:], strict=False):
            if self.strength(here) <= wanted <= self.strength(there):
                low, high = 0.0, 1.0
                for _ in range(30):
                    share = (low + high) / 2
                    low, high = (share, high) if self.strength(between(here, there, share)) < wanted else (low, share)
                return between(here, there, low)
        return None

    def nearest(self, place: tuple[float, ...]) -> float:
        """Smallest distance of this fault, at any severity, from a place."""
        shares = [step / 20 for step in range(21)]
        return min(
            distance(between(here, there, share), place)
            for here, there in zip(self.places, self.places[1:], strict=False)
            for share in shares
        )


def between(here: tuple[float, ...], there: tuple[float, ...], share: float) -> tuple[float, ...]:
    return tuple(a + share * (b - a) for a, b in zip(here, there, strict=True))


def distance(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    return max(abs(a - b) for a, b in zip(one, other, strict=True))


def curves(machine: Machine) -> dict[str, Curve]:
    bench, start = set_up(machine)
    base = solved(bench, start)
    found = {}
    for name in FAULTS:
        if not is_possible(name, bench):
            continue
        severities, places, near = [], [], base
        for severity in _SEVERITIES:
            point = solved(bench, with_faults(start, {name: severity}), near)
            if not point.is_solved:
                break
            near = point
            severities.append(severity)
            places.append(tuple(_shown(bench, point).values()))
        found[name] = Curve(tuple(severities), tuple(places))
    return found


def look_alikes(found: Mapping[str, Curve]) -> set[frozenset[str]]:
    """Pairs that no instrument tells apart, seen from either side."""
    pairs = set()
    for name, curve in found.items():
        place = curve.at_strength(VISIBLE)
        if place is None:
            continue
        for other, its_curve in found.items():
            if other != name and len(its_curve.places) > 1 and its_curve.nearest(place) <= 1.0:
                pairs.add(frozenset((name, other)))
    return pairs


def _shown(bench: Bench, point: OperatingPoint) -> dict[str, float]:
    """What every instrument shows, in margins; pressures and powers as logarithms."""
    share = {name: math.log1p(MARGINS[name].share) for name in ("pressure", "electrical")}
    kelvin = MARGINS["superheat or subcooling"].difference
    shown: dict[str, float] = {}
    for name, port in bench.ports.items():
        state = point.points.get(port.at)
        if state is not None and port.kind == "gauge":
            shown[name] = math.log(state.pressure_pa) / share["pressure"]
        elif state is not None and port.kind == "thermometer":
            margin = MARGINS["discharge temperature"].difference if port.at == "compressor.out" else kelvin
            shown[name] = state.temperature_k / margin
    shown["head"] = math.log(point.discharge_pressure_pa) / share["pressure"]
    shown["current"] = math.log(point.current_a) / share["electrical"]
    shown["power"] = math.log(point.compressor_power_w) / share["electrical"]
    for coil, air in point.air.items():
        shown[f"air behind {coil}"] = air.outlet_k / kelvin
    for name, seen in point.glasses.items():
        shown[f"glass {name}"] = _GLASS_STEP * ("vapour", "bubbles", "liquid").index(seen)
    shown["fans"] = math.log(max(point.fan_power_w, 1.0)) / share["electrical"]  # stands last
    return shown
