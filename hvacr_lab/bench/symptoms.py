"""What the textbook expects of a fault: which of the six tell-tale readings rise, fall, or stay about the same.

Common practice, by metering device, with and without a receiver. Each pattern is six signs in the order of
`comparison.SYMPTOMS`: head, suction, superheat, subcooling by the gauge, discharge temperature, power of the compressor
(the current goes the same way). "+" rises, "-" falls, "0" about the same; "." must not be demanded. Why not:

- suction with a thermostatic valve stays the same only while the disturbance is moderate;
- with a capillary tube the discharge temperature may fall when the disturbance floods the suction;
- a partly full receiver holds the subcooling at its outlet at zero, whatever the charge;
- an accumulator in line swallows an overcharge;
- a constant-pressure valve holds the suction by itself;
- less heat from the evaporator lowers the head, but often by less than a gauge shows beyond doubt.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from hvacr_lab.bench.comparison import FALLS, RISES, SAME, SYMPTOMS
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.faults import CAPILLARY, CONSTANT_PRESSURE, THERMOSTATIC, fault
from hvacr_lab.bench.line_up import trace
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, Metering, ThermostaticValve
from hvacr_lab.bench.settings import Settings

_SIGNS = {"+": RISES, "-": FALLS, "0": SAME}
_KINDS: Mapping[type[Metering], str] = {
    Capillary: CAPILLARY,
    ThermostaticValve: THERMOSTATIC,
    ConstantPressureValve: CONSTANT_PRESSURE,
}
_WITH_RECEIVER = ", receiver"
_ACCUMULATOR = ", accumulator"


class Textbook(NamedTuple):
    """The pattern of a fault, and a severity at which it shows well.

    Parameters
    ----------
    signs : str, six signs
    severity : float, 0 ... 1
    """

    signs: str
    severity: float


_CAP, _TXV, _AXV = CAPILLARY, THERMOSTATIC, CONSTANT_PRESSURE
_TXV_R, _AXV_R = _TXV + _WITH_RECEIVER, _AXV + _WITH_RECEIVER
_ANY = (_CAP, _TXV, _AXV)


def _alike(signs: str, severity: float) -> dict[str, Textbook]:
    return dict.fromkeys(_ANY, Textbook(signs, severity))


def _each(**signs: tuple[str, float]) -> dict[str, Textbook]:
    names = {"cap": _CAP, "txv": _TXV, "axv": _AXV, "txv_r": _TXV_R, "axv_r": _AXV_R, "cap_a": _CAP + _ACCUMULATOR}
    return {names[name]: Textbook(*pattern) for name, pattern in signs.items()}


_HOT_CONDENSER = _each(cap=("++-..+", 0.8), txv=("+00.++", 0.5), axv=("+0..++", 0.5))
_COLD_EVAPORATOR = _each(cap=(".--...", 0.8), txv=(".-0...", 0.8), axv=("..-.-.", 0.8))
_STARVED = _alike("--+.+-", 0.85)
_CHOKED = _each(cap=("--+.+-", 0.5), txv=("--+.+-", 0.85), axv=("--+.+-", 0.85))
_FLOODED = (".+-.-.", 0.5)

TEXTBOOK: Mapping[str, Mapping[str, Textbook]] = MappingProxyType(
    {
        "undercharge": _each(
            cap=("--+-+-", 0.22),
            txv=("--+-+-", 0.72),
            axv=("--+-.-", 0.72),
            txv_r=("-.+.+.", 0.8),
            axv_r=("-.+...", 0.8),
        ),
        "overcharge": _each(
            cap=("+.-+.+", 0.6),
            cap_a=("......", 0.6),
            txv=("+.0+++", 0.6),
            axv=("+..+++", 0.6),
            txv_r=("000000", 0.3),
            axv_r=("000000", 0.3),
        ),
        "wrong-refrigerant": {},
        "air-in-system": _each(cap=("+.-..+", 0.5), txv=("+.0+++", 0.5), axv=("+.0+++", 0.5)),
        "dirty-condenser": _HOT_CONDENSER,
        "slow-condenser-fan": _each(cap=("++-..+", 0.7), txv=("+00.++", 0.5), axv=("+0..++", 0.5)),
        "dirty-evaporator": _COLD_EVAPORATOR,
        "frosted-evaporator": _COLD_EVAPORATOR,
        "slow-evaporator-fan": _each(cap=(".--...", 0.6), txv=(".-0...", 0.6), axv=("..-.-.", 0.6)),
        "oil-in-condenser": _alike("+.....", 1.0),
        "oil-in-evaporator": _each(txv=(".-0...", 1.0), axv=("..-.-.", 1.0)),
        "liquid-line-restriction": _STARVED,
        "blocked-drier": _STARVED,
        "blocked-metering-inlet": _CHOKED,
        "ice-in-metering": _CHOKED,
        "kinked-capillary": _each(cap=("--+.+-", 0.5)),
        "suction-restriction": _each(cap=("--...-", 0.65), txv=("--0.+-", 0.65), axv=("--..+-", 0.65)),
        "discharge-restriction": _each(cap=("+..+.+", 0.6), txv=("+.0+++", 0.6), axv=("+.0+++", 0.6)),
        "bulb-loose": _each(txv=_FLOODED),
        "bulb-warm": _each(txv=(".+-.-.", 1.0)),
        "bulb-charge-lost": _each(txv=("--+.+-", 0.9)),
        "valve-stuck-open": _each(txv=(".+-.-.", 1.0), axv=(".+-.-.", 1.0)),
        "valve-stuck-shut": _each(txv=("--+.+-", 0.7), axv=("--+.+-", 0.8)),
        "superheat-set-high": _each(txv=("..+.+.", 0.5)),
        "superheat-set-low": _each(txv=("..-...", 0.5)),
        "pressure-set-high": _each(axv=(".+-.-.", 0.25)),
        "pressure-set-low": _each(axv=(".-+.+-", 0.5)),
        "worn-compressor-valves": _each(cap=("-+-..-", 0.7), txv=("-+0..-", 0.7), axv=("-....-", 0.7)),
        "worn-bearings": _alike("00000+", 0.5),
        "slow-compressor": _each(cap=("-+-..-", 0.8), txv=("-+0..-", 0.8), axv=("-....-", 0.8)),
        "low-voltage": {},
        "leaking-reversing-valve": _each(cap=("-+....", 1.0), txv=("-+..+.", 1.0), axv=("-...+.", 1.0)),
        "leaking-dip-tube": {},
        "blocked-accumulator-bleed": {},
        "high-control-set-low": _alike("000000", 0.5),
        "low-control-set-high": _alike("000000", 0.5),
        "thermostat-set-warm": _alike("000000", 0.5),
        "thermostat-set-cold": _alike("000000", 0.5),
    }
)
"""Fault -> device, with ", receiver" or ", accumulator" where that makes a difference -> Textbook."""


LOOK_ALIKES: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "Too little passes on the way to the coil. Feel the line for a cold place, warm the valve, move the bulb; the "
        "gauges alone do not tell.": frozenset(
            (
                "liquid-line-restriction",
                "blocked-drier",
                "blocked-metering-inlet",
                "ice-in-metering",
                "kinked-capillary",
                "valve-stuck-shut",
                "bulb-charge-lost",
                "superheat-set-high",
                "pressure-set-low",
                "suction-restriction",
            )
        ),
        "The coil passes on less heat than the valve feeds. Look at the coil first, then at the valve.": frozenset(
            (
                "dirty-evaporator",
                "frosted-evaporator",
                "oil-in-evaporator",
                "pressure-set-high",
                "valve-stuck-open",
                "valve-stuck-shut",
            )
        ),
        "The valve is open further than it should be.": frozenset(
            ("bulb-loose", "bulb-warm", "superheat-set-low", "valve-stuck-open", "valve-stuck-shut")
        ),
        "The head is up, the condenser clean. Stop the machine and compare the pressure at rest with the temperature: "
        "air shows there.": frozenset(("air-in-system", "discharge-restriction", "overcharge")),
        "Gas comes along with the liquid. Look at the level of the receiver.": frozenset(
            ("undercharge", "leaking-dip-tube")
        ),
        "The compressor pumps less than it should. Count its speed, or see how deep it can pull.": frozenset(
            ("slow-compressor", "worn-compressor-valves")
        ),
    }
)
"""How to tell them apart -> faults that can look alike on every instrument of some bench when they are equally visible.

A valve that is stuck half open stands in three groups: it depends on where it would have stood.
"""


def textbook(name: str, device: str, *, receiver: bool = False, accumulator: bool = False) -> Textbook | None:
    """Pattern of a fault on a machine.

    Parameters
    ----------
    name : str, one of `faults.FAULTS`
    device : str, kind of metering device, one of `faults.CAPILLARY`, `THERMOSTATIC`, `CONSTANT_PRESSURE`
    receiver, accumulator : bool, whether one is in line

    Returns
    -------
    Textbook, or None where the books expect nothing in particular

    Raises
    ------
    UnknownName : there is no such fault

    Source
    ------
    Common practice.

    Examples
    --------
    >>> textbook("overcharge", "thermostatic valve", receiver=True)
    Textbook(signs='000000', severity=0.3)
    """
    fault(name)
    patterns = TEXTBOOK[name]
    wanted = [device + _WITH_RECEIVER] * receiver + [device + _ACCUMULATOR] * accumulator + [device]
    return next((patterns[key] for key in wanted if key in patterns), None)


def expected(name: str, bench: Bench, settings: Settings) -> dict[str, str]:
    """What the textbook expects of a fault on a bench as it is lined up.

    Parameters
    ----------
    name : str, one of `faults.FAULTS`
    bench : Bench
    settings : Settings

    Returns
    -------
    dict, some of `comparison.SYMPTOMS` -> "rises", "falls", "about the same"

    Raises
    ------
    UnknownName : there is no such fault
    """
    vessels = {bench.vessels[part].kind for part in _in_line(bench, settings) if part in bench.vessels}
    device = device_in_use(bench, settings)
    pattern = textbook(name, device, receiver="receiver" in vessels, accumulator="accumulator" in vessels)
    signs = pattern.signs if pattern is not None else ""
    return {symptom: _SIGNS[sign] for symptom, sign in zip(SYMPTOMS, signs, strict=False) if sign in _SIGNS}


def device_id_in_use(bench: Bench, settings: Settings) -> str | None:
    """The metering device that refrigerant passes; the first where there are several.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    str, id; None where the metering line is shut
    """
    lanes = trace(bench, settings.valves, settings.reversing).lanes
    return next((part for lane in lanes for part in lane if part in bench.metering), None)


def device_in_use(bench: Bench, settings: Settings) -> str:
    """Kind of the metering device that refrigerant passes.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    str, "capillary tube", "thermostatic valve", "constant-pressure valve" or "no metering device"
    """
    device = device_id_in_use(bench, settings)
    return "no metering device" if device is None else _KINDS[type(bench.metering[device])]


def _in_line(bench: Bench, settings: Settings) -> tuple[str, ...]:
    found = trace(bench, settings.valves, settings.reversing)
    return (*found.high, *found.low)
