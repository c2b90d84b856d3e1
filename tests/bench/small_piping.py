"""Small benches written as a few lines of piping, for tests of line-ups. Hardware: own values."""

from __future__ import annotations

from hvacr_lab.bench.description import Bench, Configuration
from hvacr_lab.bench.parts import (
    Capillary,
    Coil,
    Compressor,
    Controls,
    HandValve,
    Metering,
    Pipe,
    ReversingValve,
    Vessel,
)

COMPRESSOR = Compressor(3.9e-4, 0.03, 1.12, 0.95, 0.7, 2.5, 0.06, 0.25, 12e3, 40.0, 1.2e-3, 230.0, 1.0, 11.0)
CONTROLS = Controls(18.5e5, None, 1.0e5, 2.2e5, 276.0, 3.0, 180.0)
ALL_OPEN = 1.0


def piped(
    text: str, *, reliefs: tuple[str, ...] = (), charge_kg: float = 0.2, line_ups: dict[str, str] | None = None
) -> Bench:
    """A bench from lines ``start valve end contents``; a dash for no valve.

    What parts there are follows from their names: cond*, evap* are coils, rec*, acc* vessels, cap* capillary tubes,
    rv is the reversing valve. ``line_ups``: configuration -> the valves that are open.
    """
    rows = [line.split() for line in text.strip().splitlines()]
    pipes = tuple(
        Pipe(f"p{count}", start, end, 0.02e-3, 1e8, 0.1, None if valve == "-" else valve, contents)
        for count, (start, valve, end, contents) in enumerate(rows, start=1)
    )
    names = dict.fromkeys(end.split(".")[0] for pipe in pipes for end in (pipe.start, pipe.end) if "." in end)
    valves = {name: HandValve(name, name, 3e-6) for name in dict.fromkeys(p.valve for p in pipes if p.valve)}
    coils = {name: _coil(name) for name in names if name.startswith(("cond", "evap"))}
    vessels = {name: _vessel(name, name in reliefs) for name in names if name.startswith(("rec", "acc"))}
    metering: dict[str, Metering] = {name: Capillary(name, name, 1e-3, 2.0) for name in names if name.startswith("cap")}
    wanted = {
        name: Configuration(
            name,
            name,
            "refrigerator",
            {valve: float(valve in opened.split()) for valve in valves},
            None,
            next(iter(metering)),
            charge_kg,
            298.15,
            278.15,
            0.5,
        )
        for name, opened in (line_ups or {"all": " ".join(valves)}).items()
    }
    reversing = ReversingValve("rv", "reversing valve", 1e8) if "rv" in names else None
    return Bench(
        "small",
        "small",
        "R-134a",
        COMPRESSOR,
        coils,
        vessels,
        metering,
        valves,
        pipes,
        {},
        {},
        reversing,
        {},
        CONTROLS,
        wanted,
    )


def opened(bench: Bench, *valves: str) -> dict[str, float]:
    """Valve positions: these open, the others shut."""
    return {valve: float(valve in valves) for valve in bench.valves}


def all_but(bench: Bench, *valves: str) -> dict[str, float]:
    """Valve positions: these shut, the others open."""
    return {valve: float(valve not in valves) for valve in bench.valves}


def _coil(name: str) -> Coil:
    return Coil(name, name, 0.35e-3, 200.0, 0.35, 0.5, 150.0, 0.1, 20.0, 0.08, "room")


def _vessel(name: str, has_relief: bool) -> Vessel:
    return Vessel(name, name, "receiver" if name.startswith("rec") else "accumulator", 0.8e-3, 0.05, has_relief)


LOOP = """
compressor.out D    cond.in       gas
cond.out       L    before        liquid
before         M    cap.in        liquid
cap.out        -    evap.in       mixed
evap.out       S    compressor.in gas
"""

TWO_RECEIVERS = """
compressor.out -    cond.in       gas
cond.out       -    fork          liquid
fork           A1   rec_a.in      liquid
rec_a.out      A2   join          liquid
fork           B1   rec_b.in      liquid
rec_b.out      B2   join          liquid
join           -    cap.in        liquid
cap.out        -    evap.in       mixed
evap.out       -    compressor.in gas
"""

BYPASS_ROUND_A_BYPASS = """
compressor.out -    cond.in       gas
cond.out       -    outer_1       liquid
outer_1        O    outer_2       liquid
outer_1        -    inner_1       liquid
inner_1        I    inner_2       liquid
inner_1        R1   rec.in        liquid
rec.out        R2   inner_2       liquid
inner_2        X    outer_2       liquid
outer_2        -    cap.in        liquid
cap.out        -    evap.in       mixed
evap.out       -    compressor.in gas
"""

# everything that must not be opened: hot gas past the condenser, liquid past the evaporator, high to low
DANGEROUS = """
compressor.out D    hot           gas
hot            CI   cond.in       gas
cond.out       CO   liquid        liquid
hot            CB   liquid        gas
liquid         M    cap.in        liquid
cap.out        -    cold          mixed
cold           EI   evap.in       mixed
evap.out       EO   suction       gas
cold           EB   suction       mixed
liquid         Q    suction       liquid
suction        S    compressor.in gas
"""

# four pipes meet at one junction, and half of the pipes are drawn against the flow
FOUR_AT_ONE = """
cond.in        D    compressor.out gas
cross          -    cond.out      liquid
cross          M1   cap_a.in      liquid
cap_b.in       M2   cross         liquid
rec.in         R    cross         liquid
evap.in        -    cold          mixed
cold           -    cap_a.out     mixed
cap_b.out      -    cold          mixed
compressor.in  S    evap.out      gas
"""

REVERSIBLE = """
compressor.out -    rv.discharge  gas
rv.a           -    cond.in       gas
cond.out       L1   cap.in        liquid
cap.out        L2   evap.in       mixed
evap.out       -    rv.b          gas
rv.suction     S    compressor.in gas
"""
