"""Sentences about a line-up: what it comes to, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.liquid_traps import LiquidExpansion
from hvacr_lab.bench.routes import (
    COMPLETE,
    CONDENSER_BYPASSED,
    DISCHARGE_SHUT,
    EVAPORATOR_BYPASSED,
    LIQUID_LINE_SHUT,
    METERING_SHUT,
    PUMPS_DOWN,
    SHORT_CIRCUIT,
    SUCTION_SHUT,
    Facts,
    Split,
    facts_of,
)
from hvacr_lab.bench.sections import Network
from hvacr_lab.bench.words import listed, spoken

WARMING_K: Final = 10.0
# what a pipe easily warms by when the bench stands still

_SENTENCES: Final[Mapping[str, str]] = {
    COMPLETE: "The refrigerant goes round: {high}, then {lanes}, then {low}, back to the compressor.",
    METERING_SHUT: "No metering device is open: a running compressor pumps the low side empty until the low-pressure "
    "control stops it. Open the valves of one device to cool.",
    LIQUID_LINE_SHUT: "The liquid line is shut: a running compressor pumps the low side empty until the low-pressure "
    "control stops it. Open the liquid line to cool.",
    SUCTION_SHUT: "The suction is shut: a running compressor pulls a vacuum in its own shell. Do not start it; open "
    "{suction} first.",
    DISCHARGE_SHUT: "The compressor would pump against a shut valve and can burst. Do not start it; open {discharge} "
    "first.",
    SHORT_CIRCUIT: "The high side and the low side are joined without a metering device: liquid can run to the "
    "compressor. Do not start it; shut {short}.",
    CONDENSER_BYPASSED: "The gas reaches the metering device without passing a condenser, so it gives off no heat. "
    "Do not start the compressor; open the way through the condenser.",
    EVAPORATOR_BYPASSED: "What leaves the metering device reaches the compressor without passing an evaporator, and "
    "liquid breaks valves and pistons. Do not start it; open the way through the evaporator.",
}


def shut_in_sentence(
    bench: Bench, elements: Iterable[str], closed_by: Iterable[str], expansion: LiquidExpansion
) -> str:
    """The warning on liquid between shut valves.

    Parameters
    ----------
    bench : Bench
    elements : ids of what is shut in
    closed_by : ids of the shut valves around it
    expansion : LiquidExpansion

    Returns
    -------
    str
    """
    names = list(closed_by)
    fences = [spoken(bench, name) if len(names) < 3 or name not in bench.valves else name for name in names]
    # tags alone where there are many
    place = f"between {listed(fences)}" if len(fences) > 1 else f"behind {listed(fences)}"
    hot = expansion.pressure_after_pa(WARMING_K) / 1e5
    remedy = "Open one of them." if len(fences) > 1 else "Open it."
    inside = listed(spoken(bench, name) for name in elements)
    return (
        f"Liquid can be shut in {place} ({inside}). If it fills the space and warms by {WARMING_K:.0f} K, the pressure "
        f"rises from {expansion.pressure_pa / 1e5:.1f} to about {hot:.0f} bar "
        f"absolute, more than the pipe may be able to take. {remedy}"
    )


def sentence_on(network: Network, facts: Facts, flow: Split) -> str:
    """What a line-up comes to and what to do.

    Parameters
    ----------
    network : Network
    facts : Facts
    flow : Split

    Returns
    -------
    str
    """
    bench = network.bench
    parts = bench.parts()

    def said(names: Iterable[str]) -> str:
        return listed(spoken(bench, name) for name in names if name in parts)

    def around(places: int) -> str:
        return listed((spoken(bench, name) for name in network.closed_by(places, facts.bits)), "or")

    return _SENTENCES[facts.outcome].format(
        high=said(flow.high),
        lanes=listed((said(lane) for lane in flow.lanes), "or"),
        low=said(flow.low),
        suction=around(facts.joined.low),
        discharge=around(facts.joined.high),
        short=listed((spoken(bench, valve) for valve in _ends_short_circuit(network, facts)), "or"),
    )


def _ends_short_circuit(network: Network, facts: Facts) -> tuple[str, ...]:
    """Valves of which a single one, shut, parts the two sides and leaves the compressor its discharge and suction."""
    if facts.outcome != SHORT_CIRCUIT:
        return ()
    opened = {valve: 1 << index for index, valve in enumerate(network.valve_ids) if facts.bits >> index & 1}
    after = {valve: facts_of(network, facts.bits & ~switch).outcome for valve, switch in opened.items()}
    for fine in ((COMPLETE,), PUMPS_DOWN):
        single = tuple(valve for valve, outcome in after.items() if outcome in fine)
        if single:
            return single
    return tuple(opened)


def shut_the_rest(bench: Bench, others: Iterable[tuple[str, ...]]) -> str:
    """Which valves end the ways that are open beside the flow.

    Parameters
    ----------
    bench : Bench
    others : what each of those ways passes

    Returns
    -------
    str, a sentence
    """
    valves = dict.fromkeys(name for other in others for name in other if name in bench.valves)
    if not valves:
        return "No valve can stop it: look at the piping."
    return f"Shut {listed((spoken(bench, valve) for valve in valves), 'or')} unless that is wanted."
