"""What a person changes on a bench, in words: `ambient=35 C`, `fan:condenser=50 %`, `fault:overcharge=0.6`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from hvacr_lab.bench.description import Bench, with_vessel
from hvacr_lab.bench.fault_actions import coil_in_use
from hvacr_lab.bench.faults import fault, is_possible
from hvacr_lab.bench.service_sheet import spaces_in_use
from hvacr_lab.bench.settings import Settings
from hvacr_lab.errors import LabError, NotUsable, UnknownName
from hvacr_lab.units import parse_quantity, within

_ROLES = {"condenser": "high", "evaporator": "low"}
_DEFAULT_SEVERITY = "0.5"


@dataclass(frozen=True, slots=True)
class Kind:
    """Something that can be set.

    Parameters
    ----------
    quantity : str, as the units room names it
    named : bool, whether a name follows behind a colon
    apply : (Bench, Settings, name, value [SI]) -> Settings
    meaning : str, for --help
    """

    quantity: str
    named: bool
    apply: Callable[[Bench, Settings, str, float], Settings]
    meaning: str


def _known(kind: str, name: str, known: Iterable[str]) -> str:
    names = list(known)
    if name not in names:
        raise UnknownName(kind, name, names)
    return name


def _charge(bench: Bench, settings: Settings, name: str, kilograms: float) -> Settings:
    return replace(settings, charge_kg=within("charge", kilograms, "kg", (0.0, None)))


def _temperature(bench: Bench, settings: Settings, name: str, kelvin: float) -> Settings:
    space = spaces_in_use(bench, settings).get(name) or _known("space", name, settings.temperatures_k)
    return replace(settings, temperatures_k={**settings.temperatures_k, space: kelvin})


def _ambient(bench: Bench, settings: Settings, name: str, kelvin: float) -> Settings:
    return _temperature(bench, settings, "ambient", kelvin)


def _space(bench: Bench, settings: Settings, name: str, kelvin: float) -> Settings:
    return _temperature(bench, settings, "space", kelvin)


def _humidity(bench: Bench, settings: Settings, name: str, share: float) -> Settings:
    space = spaces_in_use(bench, settings).get(name or "space") or _known("space", name, settings.relative_humidity)
    held = within(f"relative humidity of {space}", share, "", (0.0, 1.0))
    return replace(settings, relative_humidity={**settings.relative_humidity, space: held})


def _fan(bench: Bench, settings: Settings, name: str, share: float) -> Settings:
    role = _ROLES.get(name)
    coil = coil_in_use(bench, settings, role) if role else None
    coil = coil or _known("coil", name, [*settings.fans, *_ROLES])
    return replace(settings, fans={**settings.fans, coil: within(f"fan of {coil}", share, "", (0.0, 1.0))})


def _valve(bench: Bench, settings: Settings, name: str, share: float) -> Settings:
    valve = _known("valve of this bench", name, settings.valves)
    return replace(settings, valves={**settings.valves, valve: within(f"opening of {valve}", share, "", (0.0, 1.0))})


def _fault(bench: Bench, settings: Settings, name: str, severity: float) -> Settings:
    needed = fault(name).needs
    if not is_possible(name, bench):
        raise NotUsable("fault", name, f"{bench.name} has no {needed}")
    held = within(f"severity of {name}", severity, "", (0.0, 1.0), hint="0 is nothing, 1 is as bad as it gets.")
    return replace(settings, faults={**settings.faults, name: held})


KINDS: dict[str, Kind] = {
    "ambient": Kind("temperature", False, _ambient, 'air around the bench or outdoors: "ambient=35 C"'),
    "space": Kind("temperature", False, _space, 'the cooled or heated space: "space=8 C"'),
    "temperature": Kind("temperature", True, _temperature, 'a space by its name: "temperature:box=8 C"'),
    "humidity": Kind("ratio", False, _humidity, 'relative, of the cooled or heated space: "humidity=60 %"'),
    "charge": Kind("mass", False, _charge, 'refrigerant, as mass or as share of the nominal charge: "charge=80 %"'),
    "fan": Kind("ratio", True, _fan, 'of a coil, of "condenser" or of "evaporator": "fan:condenser=50 %"'),
    "valve": Kind("ratio", True, _valve, 'opening of a hand valve by its name: "valve:V3=0"'),
    "fault": Kind("ratio", True, _fault, '0 ... 1, 0.5 if not said: "fault:dirty-condenser=0.6"'),
}
"""What can be set -> how."""


def split(text: str) -> tuple[str, str]:
    """Separate what is set from the value.

    Parameters
    ----------
    text : str, "fan:condenser=50 %"

    Returns
    -------
    tuple of two str, "fan:condenser" and "50 %"

    Raises
    ------
    NotUsable : there is no value

    Examples
    --------
    >>> split("fan:condenser = 50 %"), split("fault:overcharge")
    (('fan:condenser', '50 %'), ('fault:overcharge', '0.5'))
    """
    what, equals, value = (part.strip() for part in text.partition("="))
    if not equals and what.startswith("fault:"):
        return what, _DEFAULT_SEVERITY
    if not value:
        raise NotUsable("change", text, "it says nothing to change to", hint='Write for example "ambient=35 C".')
    return what, value


def kind_of(what: str) -> tuple[Kind, str]:
    """Look up what is set.

    Parameters
    ----------
    what : str, "fan:condenser"

    Returns
    -------
    tuple of Kind and the name behind the colon ("" without)

    Raises
    ------
    UnknownName : nothing of this kind can be set
    NotUsable : a name is missing, or one too many
    """
    kind_name, _, name = (part.strip() for part in what.partition(":"))
    if kind_name not in KINDS:
        raise UnknownName("thing to set on a bench", kind_name, KINDS)
    kind = KINDS[kind_name]
    if kind.named != bool(name):
        why = "the name behind the colon is missing" if kind.named else "it takes no name"
        raise NotUsable("change", what, why, hint=f"It is: {kind.meaning}.")
    return kind, name


def value_of(settings: Settings, what: str, text: str) -> float:
    """Read a value in the unit that fits.

    Parameters
    ----------
    settings : Settings, whose charge a share counts from
    what : str, "ambient"
    text : str, "35 C"

    Returns
    -------
    float [SI]

    Raises
    ------
    NotUsable, OutOfRange, UnknownName : as `parse_quantity`
    """
    kind, _ = kind_of(what)
    if kind.quantity == "mass":
        try:
            return parse_quantity(text, "ratio") * settings.charge_kg
        except LabError:
            pass  # not a share, so a mass
    return parse_quantity(text, kind.quantity)


def set_value(bench: Bench, settings: Settings, what: str, value: float) -> Settings:
    """Set one thing.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    what : str, "fan:condenser"
    value : float [SI]

    Returns
    -------
    Settings

    Raises
    ------
    NotUsable, OutOfRange, UnknownName
    """
    kind, name = kind_of(what)
    return kind.apply(bench, settings, name, value)


def changed(bench: Bench, settings: Settings, changes: Iterable[str]) -> Settings:
    """Set one thing after the other.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    changes : iterable of str, "ambient=35 C"

    Returns
    -------
    Settings

    Raises
    ------
    NotUsable, OutOfRange, UnknownName
    """
    for text in changes:
        what, value = split(text)
        settings = set_value(bench, settings, what, value_of(settings, what, value))
    return settings


def lined_up(bench: Bench, configuration: str, metering: str | None, vessels: Mapping[str, str | None]) -> Bench:
    """The bench with one of its configurations changed: another metering device, vessels in line or bypassed.

    Parameters
    ----------
    bench : Bench
    configuration : str, its id
    metering : str or None, id of the device to be used
    vessels : kind of vessel -> "in", "out" or None

    Returns
    -------
    Bench, the very same one if nothing is asked for

    Raises
    ------
    UnknownName : no such configuration or device
    NotUsable : the device cannot be shut off; the bench has no such vessel
    """
    _known("configuration", configuration, bench.configurations)
    changed_one = bench.configurations[configuration]
    for kind, place in vessels.items():
        if place is not None:
            changed_one = with_vessel(bench, changed_one, _vessel(bench, kind), in_line=place == "in")
    if metering is not None:
        _known("metering device of this bench", metering, bench.metering)
        valves = {valve: float(device == metering) for device in bench.metering for valve in _valves_of(bench, device)}
        changed_one = replace(changed_one, metering=metering, valves={**changed_one.valves, **valves})
    if changed_one is bench.configurations[configuration]:
        return bench
    return replace(bench, configurations={**bench.configurations, configuration: changed_one})


def _vessel(bench: Bench, kind: str) -> str:
    found = next((name for name, vessel in bench.vessels.items() if vessel.kind == kind), None)
    if found is None:
        raise NotUsable(kind, bench.name, f"this bench has no {kind}")
    return found


def _valves_of(bench: Bench, device: str) -> list[str]:
    """Hand valves right before or behind a metering device."""
    ends = {f"{device}.in", f"{device}.out"}
    found = [pipe.valve for pipe in bench.pipes if pipe.valve is not None and ends & {pipe.start, pipe.end}]
    if not found and len(bench.metering) > 1:
        raise NotUsable("metering device", device, "it has no hand valve of its own to shut it off")
    return found
