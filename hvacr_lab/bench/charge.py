"""How much refrigerant a bench wants: the charge that makes the condenser outlet right at the design point."""

from __future__ import annotations

from hvacr_lab.bench.chain import chain_of
from hvacr_lab.bench.continuation import guesses, point_on_curve
from hvacr_lab.bench.description import Bench, as_configured
from hvacr_lab.bench.line_up import COMPLETE, trace
from hvacr_lab.bench.march import March
from hvacr_lab.bench.residuals import Loop
from hvacr_lab.bench.settings import NOTHING_WRONG, design_settings
from hvacr_lab.errors import LabError, UnknownName

NOMINAL_SUBCOOLING_K = 5.0
# [K], at the condenser outlet without a receiver (common practice: 4 ... 7 K)
NOMINAL_LEVEL = 0.35
# of the receiver: room for what other conditions drive out of the coils (common practice: a third)
_ROUNDS = 12
_CLOSE_K = 0.01
_FIRST_COORDINATE = 0.05


def nominal_charge(bench: Bench, configuration: str) -> float:
    """Charge with which a configuration has 5 K of subcooling, or a receiver a third full, at its design point.

    Parameters
    ----------
    bench : Bench
    configuration : str, one of the bench's own configuration names

    Returns
    -------
    float [kg]

    Raises
    ------
    UnknownName : the bench has no such configuration
    LabError : with these valves, or with this hardware at these temperatures, nothing goes round

    Source
    ------
    Common practice; the numbers stand above.
    """
    if configuration not in bench.configurations:
        raise UnknownName("configuration", configuration, bench.configurations)
    configured = as_configured(bench, configuration)
    settings = design_settings(bench, bench.configurations[configuration], 1.0)
    line_up = trace(bench, settings.valves, settings.reversing)
    if line_up.outcome != COMPLETE:
        raise LabError(f"{configuration}: no charge can be worked out, because {_lowered(line_up.sentence)}")
    loop = Loop(chain_of(configured, settings, line_up, NOTHING_WRONG))
    march = _with_receiver(loop) if loop.chain.receiver is not None else _without_receiver(loop)
    if march is None:
        raise LabError(
            f"{configuration}: at the design point no charge makes the bench run as it should. Look at the sizes of "
            f"its coils and of {bench.configurations[configuration].metering}."
        )
    return sum(march.charges.values())


def _with_receiver(loop: Loop) -> March | None:
    return _march_at(loop, NOMINAL_LEVEL)


def _without_receiver(loop: Loop) -> March | None:
    """The coordinate is minus the quality: as much below zero as the wanted subcooling takes."""
    coordinate = _FIRST_COORDINATE
    march: March | None = None
    for _ in range(_ROUNDS):
        march = _march_at(loop, coordinate)
        if march is None:
            return None
        lines = march.high.condensing
        wanted = loop.fluid.enthalpy_of_temperature(lines, lines.bubble_k - NOMINAL_SUBCOOLING_K)
        if abs(loop.fluid.temperature(lines, march.high.enthalpy) - lines.bubble_k + NOMINAL_SUBCOOLING_K) < _CLOSE_K:
            return march
        coordinate = (lines.bubble_j_per_kg - wanted) / lines.latent_j_per_kg
    return march


def _march_at(loop: Loop, coordinate: float) -> March | None:
    """Once around at a given state of the condenser outlet."""
    for guess in guesses(loop.chain):
        x = point_on_curve(loop, guess, coordinate)
        if x is not None:
            return loop.march(x)
    return None


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
