"""Random benches, settings and faults from the whole declared envelope, the same ones for the same seed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from hvacr_lab.bench import Bench, bench_names, load_bench
from hvacr_lab.bench.charge import nominal_charge
from hvacr_lab.bench.faults import FAULTS
from hvacr_lab.bench.rescaling import with_refrigerant
from hvacr_lab.bench.settings import Settings, conditioned_space, design_settings
from hvacr_lab.units import ICE_POINT_K

REFRIGERANTS = ("R-134a", "R-404A", "R-410A", "R-32", "R-290", "R-454B", "R-1234yf")
AMBIENT_C, SPACE_C = (-20.0, 50.0), (-30.0, 40.0)
CHARGE_SHARE = (0.2, 1.6)


@lru_cache(maxsize=64)
def bench_with(name: str, refrigerant: str) -> Bench:
    """A shipped bench with its hardware scaled to a refrigerant."""
    return with_refrigerant(load_bench(name), refrigerant)


@lru_cache(maxsize=512)
def nominal(name: str, refrigerant: str, configuration: str) -> float:
    """Charge that the bench file gives, or else the computed one."""
    bench = bench_with(name, refrigerant)
    given = bench.configurations[configuration].charge_kg
    return nominal_charge(bench, configuration) if given is None else given


def points(seed: int, refrigerants: tuple[str, ...] = REFRIGERANTS) -> Iterator[tuple[str, Bench, Settings]]:
    """Benches and settings without end; the name says which bench, refrigerant and configuration."""
    draw = random.Random(seed)
    while True:
        name, refrigerant = draw.choice(bench_names()), draw.choice(refrigerants)
        bench = bench_with(name, refrigerant)
        configuration = draw.choice(tuple(bench.configurations))
        yield f"{name} {refrigerant} {configuration}", bench, _settings(draw, name, bench, configuration)


def _settings(draw: random.Random, name: str, bench: Bench, configuration: str) -> Settings:
    wanted = bench.configurations[configuration]
    cooled = conditioned_space(bench, wanted)
    charge_kg = nominal(name, bench.refrigerant, configuration) * draw.uniform(*CHARGE_SHARE)
    return replace(
        design_settings(bench, wanted, charge_kg),
        valves=_valves(draw, wanted.valves),
        reversing=_reversing(draw, wanted.reversing),
        fans={coil: draw.choice((1.0, draw.random(), 0.0)) for coil in bench.coils},
        temperatures_k={
            space: ICE_POINT_K + draw.uniform(*(SPACE_C if space == cooled else AMBIENT_C)) for space in bench.spaces
        },
        relative_humidity={space: draw.uniform(0.05, 1.0) for space in bench.spaces},
        faults=_faults(draw),
        compressor_on=draw.random() > 0.02,
    )


def _valves(draw: random.Random, wanted: dict[str, float]) -> dict[str, float]:
    way = draw.random()
    if way < 0.45:
        return dict(wanted)
    if way < 0.70:  # part shut, here and there
        return {name: position * draw.choice((1.0, 1.0, draw.uniform(0.02, 1.0))) for name, position in wanted.items()}
    if way < 0.88:  # a few hands on the wrong valve
        turned = set(draw.sample(sorted(wanted), draw.randint(1, 3)))
        return {name: draw.random() if name in turned else position for name, position in wanted.items()}
    return {name: draw.choice((0.0, 1.0, draw.random())) for name in wanted}


def _reversing(draw: random.Random, wanted: str | None) -> str | None:
    if wanted is None or draw.random() > 0.05:
        return wanted
    return "heating" if wanted == "cooling" else "cooling"


def _faults(draw: random.Random) -> dict[str, float]:
    count = draw.choices((0, 1, 2), (0.4, 0.45, 0.15))[0]
    return {name: draw.choice((draw.random(), draw.random(), 1.0)) for name in draw.sample(sorted(FAULTS), count)}
