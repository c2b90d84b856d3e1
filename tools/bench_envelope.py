"""Solve random benches from the whole declared envelope and count how they end.

``python tools/bench_envelope.py`` runs the twenty thousand points of the project (about a quarter of an hour);
``--points`` and ``--seed`` choose others. Every twentieth solved point is solved again from two other starts. The exit
code is 1 when anything was raised, left unresolved, did not close, or came out differently from another start.
"""

from __future__ import annotations

import argparse
import sys
import time
import traceback
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "bench"))

from random_points import points

from hvacr_lab.bench import Bench
from hvacr_lab.bench.operating_point import RUNNING, UNRESOLVED, OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.steady import solve

LIMITS = {"charge": 1e-6, "energy": 1e-4, "flow": 1e-4, "condenser": 1e-4}
SAME = 1e-4
# of the logarithm of a pressure, from another start
AGAIN_EVERY = 20
FAR = ((0.5, -0.3, 0.4, 0.3), (-0.2, 0.4, -0.5, -0.3))
# shifts of the unknowns to other starts


@dataclass
class Tally:
    """What has come out so far."""

    outcomes: Counter[str] = field(default_factory=Counter)
    by_configuration: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    worst: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    bad: list[str] = field(default_factory=list)
    again: int = 0


def one(tally: Tally, number: int, name: str, bench: Bench, settings: Settings) -> None:
    """Solve a point and count it."""
    began = time.perf_counter()
    try:
        point = solve(bench, settings)
    except Exception:  # the very thing that is counted here
        tally.bad.append(f"{number} {name}: {traceback.format_exc(limit=-2)}")
        tally.outcomes["raised"] += 1
        return
    _, refrigerant, _ = name.split(" ", 2)
    tally.seconds[refrigerant].append(time.perf_counter() - began)
    ended = point.outcome if not point.stopped_by else f"{point.outcome}; {point.stopped_by}"
    tally.outcomes[ended] += 1
    tally.by_configuration[bench.configurations[settings.configuration].kind][ended] += 1
    if point.outcome == UNRESOLVED or not point.converged:
        tally.bad.append(f"{number} {name}: unresolved, {settings}")
    if point.outcome == RUNNING:
        closing(tally, number, name, point)
        if number % AGAIN_EVERY == 0:
            from_other_starts(tally, f"{number} {name}", bench, settings, point)


def closing(tally: Tally, number: int, name: str, point: OperatingPoint) -> None:
    """Compare the residuals with what is promised."""
    for what, limit in LIMITS.items():
        size = abs(point.residuals[what])
        tally.worst[what] = max(tally.worst[what], size)
        if not size < limit:
            tally.bad.append(f"{number} {name}: {what} is off by {size:.1e}")


def from_other_starts(tally: Tally, name: str, bench: Bench, settings: Settings, point: OperatingPoint) -> None:
    """Solve again from elsewhere and compare."""
    assert point.unknowns is not None
    for shift in FAR:
        start = tuple(value + change for value, change in zip(point.unknowns, shift, strict=True))
        other = solve(bench, settings, start=replace(point, unknowns=start))  # type: ignore[arg-type]
        tally.again += 1
        found = other.unknowns or (0.0, 0.0)
        if max(abs(found[index] - point.unknowns[index]) for index in (0, 1)) > SAME:
            tally.bad.append(f"{name}: {point.unknowns} but from another start {other.outcome} {other.unknowns}")


def report(tally: Tally) -> None:
    """Print the counts, the worst residuals and the times."""
    for ended, count in tally.outcomes.most_common():
        print(f"{count:7d}  {ended}")
    for kind, outcomes in sorted(tally.by_configuration.items()):
        print(f"{kind}: " + ", ".join(f"{ended} {count}" for ended, count in outcomes.most_common()))
    print("worst residuals: " + ", ".join(f"{what} {size:.1e}" for what, size in tally.worst.items()))
    print(f"solved again from another start: {tally.again}")
    print("cold, random settings, milliseconds: median, 90 %, 99 %, longest")
    for refrigerant, seconds in sorted(tally.seconds.items()):
        ordered = sorted(seconds)
        shown = (1e3 * ordered[int(share * (len(ordered) - 1))] for share in (0.5, 0.9, 0.99, 1.0))
        print(f"{refrigerant:<10}" + "".join(f"{value:9.1f}" for value in shown))
    print(f"bad: {len(tally.bad)}")
    for line in tally.bad[:50]:
        print(line)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--points", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=2026)
    chosen = parser.parse_args()
    tally, began = Tally(), time.perf_counter()
    for number, (name, bench, settings) in enumerate(islice(points(chosen.seed), chosen.points), start=1):
        one(tally, number, name, bench, settings)
        if number % 250 == 0:
            took = time.perf_counter() - began
            print(
                f"\r{number} of {chosen.points}, {took:.0f} s, bad {len(tally.bad)}",
                end="",
                file=sys.stderr,
                flush=True,
            )
    print(file=sys.stderr)
    report(tally)
    return 1 if tally.bad else 0


if __name__ == "__main__":
    sys.exit(main())
