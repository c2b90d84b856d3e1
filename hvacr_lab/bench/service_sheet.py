"""What a technician writes down at a bench: gauges, clamps, ammeter, air, glasses, and what is worked out from them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from hvacr_lab.bench.description import HEATING, Bench, as_configured, passages
from hvacr_lab.bench.fault_actions import coil_in_use
from hvacr_lab.bench.instruments import INSTRUMENTS, Instrument, Shown, gauges_for, read
from hvacr_lab.bench.operating_point import OperatingPoint
from hvacr_lab.bench.settings import Settings
from hvacr_lab.errors import LabError
from hvacr_lab.refrigerants import refrigerant

SUPERHEAT, TOTAL_SUPERHEAT, SUBCOOLING = "superheat_k", "total_superheat_k", "subcooling_k"


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the sheet.

    Parameters
    ----------
    key : str, short name
    place : str, where it is read
    what : str, what is read
    shown : Shown
    """

    key: str
    place: str
    what: str
    shown: Shown


@dataclass(frozen=True, slots=True)
class _Look:
    """Who looks: at which bench, with which instruments, in which units."""

    bench: Bench
    key: str | None
    edition: str
    barometer_pa: float

    def entry(self, name: str, place: str, what: str, device: Instrument, true_si: float, air_k: float | None) -> Entry:
        key = None if self.key is None else f"{self.key}/{name}"
        shown = read(device, true_si, key=key, edition=self.edition, barometer_pa=self.barometer_pa, air_k=air_k)
        return Entry(name, place, what, shown)


def service_sheet(
    bench: Bench,
    settings: Settings,
    point: OperatingPoint,
    *,
    barometer_pa: float,
    key: str | None = None,
    edition: str = "SI",
) -> tuple[Entry, ...]:
    """Read every instrument once.

    Parameters
    ----------
    bench : Bench
    settings : Settings
    point : OperatingPoint, what `solve` found for the two
    barometer_pa : float [Pa absolute]
    key : str or None, which set of instruments; None: instruments without errors, only their divisions
    edition : str, "SI" or "US"

    Returns
    -------
    tuple of Entry: both gauges always; clamps, air and electrical readings where the bench runs

    Source
    ------
    Common practice: the places of an ordinary service sheet.
    """
    look = _Look(as_configured(bench, settings.configuration), key, edition, barometer_pa)
    low, high = gauges_for(bench.refrigerant)
    gauges = [
        look.entry("head", "compressor discharge", "gauge pressure", high, point.discharge_pressure_pa, None),
        look.entry("suction", "compressor suction", "gauge pressure", low, point.suction_pressure_pa, None),
    ]
    if not point.is_solved:
        return tuple(gauges)
    return (*gauges, *_pipes(look, settings, point), *_electrical(look, point), *_air(look, point))


def worked_out(sheet: tuple[Entry, ...], refrigerant_name: str) -> dict[str, float]:
    """Superheat and subcooling from the sheet, with the chart of the refrigerant that the plate names.

    Parameters
    ----------
    sheet : tuple of Entry, as `service_sheet`
    refrigerant_name : str, as on the plate of the bench; another one may be inside

    Returns
    -------
    dict of float [K]: "superheat_k", "total_superheat_k", "subcooling_k", as far as they can be worked out; they may
    be negative by the errors of the instruments

    Source
    ------
    Common practice: pipe temperature less dew temperature at the suction gauge, bubble temperature at the head gauge
    less pipe temperature.
    """
    fluid = refrigerant(refrigerant_name)
    shown = {entry.key: entry.shown.si for entry in sheet}
    results: dict[str, float] = {}
    for name, pipe in ((SUPERHEAT, "evaporator outlet"), (TOTAL_SUPERHEAT, "suction pipe")):
        if pipe in shown:
            results |= _difference(name, lambda: fluid.dew_temperature(shown["suction"]), shown[pipe], 1.0)
    if "liquid pipe" in shown:
        results |= _difference(SUBCOOLING, lambda: fluid.bubble_temperature(shown["head"]), shown["liquid pipe"], -1.0)
    return results


def ports_in_use(bench: Bench, settings: Settings) -> dict[str, str]:
    """Names of the places at which coils are entered and left as the valves stand.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    dict, "condenser inlet", "condenser outlet", "evaporator inlet", "evaporator outlet" -> port of the bench
    """
    ways = {way.part: way for way in passages(bench, settings.reversing)}
    ports: dict[str, str] = {}
    for role, side in (("condenser", "high"), ("evaporator", "low")):
        coil = coil_in_use(bench, settings, side)
        if coil is not None:
            ports |= {f"{role} inlet": ways[coil].start, f"{role} outlet": ways[coil].end}
    return ports


def spaces_in_use(bench: Bench, settings: Settings) -> dict[str, str]:
    """Which space is cooled or heated, and which one takes or gives the heat.

    Parameters
    ----------
    bench : Bench
    settings : Settings

    Returns
    -------
    dict, "space" and "ambient" -> id of a space
    """
    configured = as_configured(bench, settings.configuration)
    sides = ("high", "low") if settings.reversing == HEATING else ("low", "high")
    coils = {
        name: coil_in_use(configured, settings, side) for name, side in zip(("space", "ambient"), sides, strict=True)
    }
    return {name: configured.coils[coil].space for name, coil in coils.items() if coil is not None}


def _difference(name: str, saturation_k: Callable[[], float], pipe_k: float, sign: float) -> dict[str, float]:
    try:
        return {name: sign * (pipe_k - float(saturation_k()))}
    except LabError:
        return {}  # the gauge stands where the chart has no line


def _pipes(look: _Look, settings: Settings, point: OperatingPoint) -> Iterator[Entry]:
    """Clamps; the pipes of a bench stand in the air of its surroundings."""
    ports = ports_in_use(look.bench, settings)
    around = spaces_in_use(look.bench, settings).get("ambient")
    air_k = settings.temperatures_k.get(around) if around is not None else None
    clamp = INSTRUMENTS["clamp thermometer"]
    temperatures = {
        "discharge pipe": ("compressor discharge", point.discharge_temperature_k),
        "liquid pipe": ("condenser outlet", _temperature_k(point, ports.get("condenser outlet"))),
        "evaporator outlet": ("evaporator outlet", _temperature_k(point, ports.get("evaporator outlet"))),
        "suction pipe": ("compressor suction", _temperature_k(point, "compressor.in")),
    }
    for name, (place, temperature_k) in temperatures.items():
        if temperature_k is not None:
            yield look.entry(name, place, "pipe temperature", clamp, temperature_k, air_k)


def _temperature_k(point: OperatingPoint, port: str | None) -> float | None:
    state = point.points.get(port) if port is not None else None
    return None if state is None else state.temperature_k


def _electrical(look: _Look, point: OperatingPoint) -> Iterator[Entry]:
    yield look.entry("current", "compressor", "current", INSTRUMENTS["clamp ammeter"], point.current_a, None)
    yield look.entry("power", "compressor", "power", INSTRUMENTS["wattmeter"], point.compressor_power_w, None)


def _air(look: _Look, point: OperatingPoint) -> Iterator[Entry]:
    device = INSTRUMENTS["air thermometer"]
    for coil, air in point.air.items():
        label = look.bench.coils[coil].label if coil in look.bench.coils else coil
        yield look.entry(f"air in, {coil}", label, "air entering", device, air.inlet_k, None)
        yield look.entry(f"air out, {coil}", label, "air leaving", device, air.outlet_k, None)
