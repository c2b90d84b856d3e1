"""Facts of the trade, all common practice: what a change does to a machine that was in order.

Six signs in the order of `comparison.SYMPTOMS`: head, suction, superheat, subcooling by the gauge, discharge
temperature, current; "+" rises, "-" falls, "0" about the same, "." not demanded. Where a real machine may leave the
textbook for a good reason the sign is a point, and the reason stands beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from machines import AXV, CAP, TXV, Machine, at, with_faults

from hvacr_lab.bench.comparison import SYMPTOMS, compare
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.fault_actions import coil_in_use
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.service_sheet import spaces_in_use
from hvacr_lab.bench.settings import Settings
from hvacr_lab.bench.symptoms import _SIGNS

Change = Callable[[Bench, Settings, float], Settings]


@dataclass(frozen=True)
class Fact:
    """What is said, what is done (as strong as given, or weaker), and what is expected of which machine."""

    id: str
    says: str
    change: Change
    strengths: tuple[float, ...]
    signs: Mapping[str, str]
    most_head: float = 10.0
    # with an expansion valve the strongest of the strengths at which the head stays below this multiple is taken

    def expected(self, machine: Machine) -> dict[str, str]:
        vessels = "+receiver" * machine.receiver + "+accumulator" * machine.accumulator
        signs = self.signs.get(machine.device + vessels, self.signs.get(machine.device, ""))
        return {symptom: _SIGNS[sign] for symptom, sign in zip(SYMPTOMS, signs, strict=False) if sign != "."}


def fan(side: str) -> Change:
    def act(bench: Bench, settings: Settings, share: float) -> Settings:
        coil = coil_in_use(bench, settings, side)
        assert coil is not None
        return replace(settings, fans={**settings.fans, coil: settings.fans[coil] * share})

    return act


def fault(name: str) -> Change:
    return lambda bench, settings, severity: with_faults(settings, {name: severity})


def charge(bench: Bench, settings: Settings, share: float) -> Settings:
    return replace(settings, charge_kg=settings.charge_kg * share)


def ambient(bench: Bench, settings: Settings, by_k: float) -> Settings:
    spaces = spaces_in_use(bench, settings)
    now = settings.temperatures_k
    return at(bench, settings, now[spaces["ambient"]] + by_k, now[spaces["space"]])


def space(bench: Bench, settings: Settings, by_k: float) -> Settings:
    spaces = spaces_in_use(bench, settings)
    now = settings.temperatures_k
    return at(bench, settings, now[spaces["ambient"]], now[spaces["space"]] + by_k)


_MODERATE_FAN = (0.35, 0.5, 0.6, 0.7, 0.8)
_HOT_CONDENSER = {CAP: "++-..+", TXV: "+00.++", AXV: "+0..++"}
# with a constant-pressure valve the superheat may rise: the liquid is warmer, so less of it is left after the valve
_STARVED = {CAP: "--+.+-", TXV: "--+.+-", AXV: "--+.+-"}

FACTS = (
    # suction with an expansion valve stays only while the disturbance is moderate: head up to 1.25 times
    Fact("F-1", "less air over the condenser: the head rises; the suction rises with a capillary tube and stays with "
         "an expansion valve", fan("high"), _MODERATE_FAN, _HOT_CONDENSER, 1.25),
    # a constant-pressure valve holds the suction within 5 %, so 3 % is not demanded; it floods the coil. The head falls
    # with the heat that is moved, often by less than 3 %
    Fact("F-2", "less air over the evaporator: a thermostatic valve holds the superheat while the suction falls; with "
         "a capillary tube both fall; with a constant-pressure valve the superheat falls",
         fan("low"), (0.5,), {CAP: ".--...", TXV: ".-0...", AXV: "..-..."}),
    Fact("F-3a", "charge 80 %: a machine without receiver starves, a receiver covers the loss",
         charge, (0.8,), {CAP: "--+-+-", TXV: "...-..", TXV + "+receiver": "000000", AXV + "+receiver": "000000"}),
    Fact("F-3b", "charge 25 %: the receiver is empty and the valve starves",
         charge, (0.25,), {TXV: "--+.+-", TXV + "+receiver": "-.+...", AXV + "+receiver": "-.+..."}),
    # an accumulator in line swallows an overcharge
    Fact("F-4", "too much refrigerant: head and subcooling rise without receiver, a receiver covers it",
         charge, (1.6,), {CAP: "+.-+..", CAP + "+accumulator": "......", TXV: "+..+..", TXV + "+receiver": "000000",
                          AXV + "+receiver": "000000"}),
    Fact("F-5", "severe restriction in the liquid line: the evaporator starves",
         fault("liquid-line-restriction"), (0.8,), _STARVED),
    Fact("F-6", "air in the system: the head rises, and with an expansion valve the subcooling by the gauge",
         fault("air-in-system"), (0.5,), {CAP: "+.-...", TXV: "+..+.+", AXV: "+..+.+"}),
    # a constant-pressure valve holds the suction by itself
    Fact("F-7", "worn compressor valves: suction up, head and current down",
         fault("worn-compressor-valves"), (0.7,), {CAP: "-+...-", TXV: "-+...-", AXV: "-....-"}),
    Fact("F-8", "dirty condenser: as F-1", fault("dirty-condenser"), (0.8, 0.6, 0.5, 0.4), _HOT_CONDENSER, 1.25),
    Fact("F-9", "dirty evaporator: as F-2", fault("dirty-evaporator"), (0.8,),
         {CAP: ".--...", TXV: ".-0...", AXV: "..-..."}),
    Fact("F-10", "bulb off the pipe: the valve floods", fault("bulb-loose"), (0.5,), {TXV: ".+-..."}),
    Fact("F-11", "bulb without charge: the valve starves", fault("bulb-charge-lost"), (0.9,), {TXV: "--+.+-"}),
    Fact("F-12a", "superheat set 4 K higher: superheat rises", fault("superheat-set-high"), (0.5,), {TXV: "..+..."}),
    Fact("F-12b", "constant-pressure valve set higher: suction up, superheat down",
         fault("pressure-set-high"), (0.25,), {AXV: ".+-..."}),
    Fact("F-13", "restriction in the suction line: the pressure at the compressor falls, the current falls",
         fault("suction-restriction"), (0.65,), {CAP: "--...-", TXV: "--...-", AXV: "--...-"}),
    Fact("F-14", "discharge valve part shut: head and current rise at the port, with an expansion valve also the "
         "subcooling by the gauge", fault("discharge-restriction"), (0.6,),
         {CAP: "+....+", TXV: "+..+.+", AXV: "+..+.+"}),
    Fact("C-1", "warmer surroundings: head and current rise, with a capillary tube also the suction",
         ambient, (10.0,), {CAP: "++...+", TXV: "+....+", AXV: "+....+"}),
    Fact("C-2", "colder surroundings: head and current fall; a capillary tube starves",
         ambient, (-15.0,), {CAP: "--+..-", TXV: "-....-", AXV: "-....-"}),
    Fact("C-3", "warmer space: suction and current rise, with a capillary tube also the superheat; a constant-pressure "
         "valve holds the suction and lets the superheat rise",
         space, (8.0,), {CAP: ".++...", TXV: ".+0..+", AXV: ".0+..."}),
    Fact("C-4", "colder space: suction falls; with a constant-pressure valve the superheat goes",
         space, (-8.0,), {CAP: ".--...", TXV: "--...-", AXV: "..-..."}),
)  # fmt: skip
"""F-1 ... F-14: faults and settings; C-1 ... C-4: conditions."""


def in_order(point: OperatingPoint) -> bool:
    """The machine runs, its evaporator is fed and not flooded: only then does a fact speak about it."""
    return point.is_solved and 2.0 <= point.superheat_k <= 18.0


def verdict(fact: Fact, machine: Machine, before: OperatingPoint, after: OperatingPoint) -> str:
    """Empty where the fact holds, else what went another way."""
    if not after.is_solved:
        return after.outcome
    rows = compare(before, after)
    wrong = [
        f"{name} {rows[name].change}, not {sign}"
        for name, sign in fact.expected(machine).items()
        if rows[name].change != sign
    ]
    return "; ".join(wrong)
