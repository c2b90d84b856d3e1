"""Every fact of the trade on every machine, refrigerant and condition: one row each, and a table of what holds.

Run it: python tests/bench/fact_table.py
"""

from __future__ import annotations

import collections
from collections.abc import Iterator
from typing import NamedTuple

from machines import CAP, MACHINES, Machine, at, set_up, solved
from trade_facts import FACTS, Fact, in_order, verdict

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings

REFRIGERANTS = ("R-134a", "R-404A", "R-410A", "R-32", "R-290", "R-454B", "R-1234yf")
CONDITIONS_K = ((298.15, 278.15), (301.15, 280.15), (295.15, 277.15), (303.15, 281.15))
# [K], surroundings and cooled space (own values of a refrigerator)


class Row(NamedTuple):
    fact: str
    machine: Machine
    refrigerant: str
    ambient_k: float
    space_k: float
    result: str
    # "" holds, "out of order": the machine was not in order to begin with, else what went another way


def rows(
    refrigerants: tuple[str, ...] = REFRIGERANTS,
    conditions: tuple[tuple[float, float], ...] = CONDITIONS_K,
    machines: tuple[Machine, ...] = MACHINES,
    facts: tuple[Fact, ...] = FACTS,
) -> Iterator[Row]:
    for machine in machines:
        for name in refrigerants:
            bench, start = set_up(machine, name)
            for ambient_k, space_k in conditions:
                settings = at(bench, start, ambient_k, space_k)
                before = solved(bench, settings)
                for fact in facts:
                    if fact.expected(machine):
                        result = _result(fact, machine, bench, settings, before)
                        yield Row(fact.id, machine, name, ambient_k, space_k, result)


def _result(fact: Fact, machine: Machine, bench: Bench, settings: Settings, before: OperatingPoint) -> str:
    if not in_order(before):
        return "out of order"
    for strength in fact.strengths:
        after = solved(bench, fact.change(bench, settings, strength), before)
        most_pa = fact.most_head * before.discharge_pressure_pa
        if machine.device == CAP or not after.is_solved or after.discharge_pressure_pa <= most_pa:
            break
    return verdict(fact, machine, before, after)


def main() -> None:
    found = list(rows())
    held, failed, skipped = collections.Counter(), collections.Counter(), collections.Counter()
    for row in found:
        {"": held, "out of order": skipped}.get(row.result, failed)[row.fact] += 1
    print("fact   holds  fails  machine not in order")
    for fact in FACTS:
        print(f"{fact.id:6} {held[fact.id]:5} {failed[fact.id]:6} {skipped[fact.id]:6}   {fact.says}")
    print()
    for row in found:
        if row.result not in {"", "out of order"}:
            where = f"{row.ambient_k - 273.15:.0f}/{row.space_k - 273.15:.0f} C"
            print(f"{row.fact:6} {row.machine!s:55} {row.refrigerant:8} {where:8} {row.result}")


if __name__ == "__main__":
    main()
