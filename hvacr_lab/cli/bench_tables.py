"""What `hvacr-lab bench` prints: tables for people, one flat object in SI for scripts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from hvacr_lab.bench.comparison import Compared
from hvacr_lab.bench.description import Bench
from hvacr_lab.bench.operating_point import OUTCOMES, OperatingPoint
from hvacr_lab.bench.service_sheet import Entry, worked_out
from hvacr_lab.cli.figures import WIDTH, Figure, figure_rows, print_notes, print_table
from hvacr_lab.units import from_si, pressure_from_pa

_DT, _POWER = "temperature difference", "power"
WORKED_OUT = (
    Figure("superheat_k", "Superheat, evaporator outlet", _DT, "pipe less dew temperature at the suction gauge", 1),
    Figure("total_superheat_k", "Superheat, compressor", _DT, "suction pipe less the same", 1),
    Figure("subcooling_k", "Subcooling, condenser outlet", _DT, "bubble temperature at the head gauge less pipe", 1),
)
"""What a technician works out from the readings."""

HIDDEN = (
    Figure("mass_flow_kg_per_s", "Mass flow", "mass flow", "refrigerant that circulates"),
    Figure("cooling_w", "Cooling capacity", _POWER, "heat taken up in the evaporator"),
    Figure("sensible_w", "of it sensible", _POWER, "what makes the air colder"),
    Figure("latent_w", "of it latent", _POWER, "what dries the air", silent_at_zero=True),
    Figure("condensate_kg_per_s", "Condensate", "mass flow", "water that drips off the coil", silent_at_zero=True),
    Figure("heating_w", "Heat given off", _POWER, "in the condenser"),
    Figure("cop_cooling", "COP cooling", "COP", "cooling capacity / power of compressor and fans", 2),
    Figure("cop_heating", "COP heating", "COP", "heat given off / power of compressor and fans", 2),
    Figure("superheat_k", "True superheat, evaporator outlet", _DT, "of the refrigerant that is really inside", 1),
    Figure("subcooling_k", "True subcooling, condenser outlet", _DT, "likewise", 1),
    Figure("evaporator_outlet_quality", "Quality, evaporator outlet", "ratio", "vapour part of the mass", 3),
    Figure("metering_inlet_quality", "Flash gas before the metering device", "ratio", "vapour part of the mass", 3),
    Figure("receiver_level", "Level of the receiver", "ratio", "share of its volume that is liquid", 2),
)
"""What the solver knows and no instrument shows."""

_PLAIN = (
    "outcome",
    "refrigerant",
    "configuration",
    "why",
    "stopped_by",
    "converged",
    "discharge_pressure_pa",
    "suction_pressure_pa",
    "condensing_pressure_pa",
    "evaporating_pressure_pa",
    "metering_inlet_pressure_pa",
    "total_superheat_k",
    "discharge_temperature_k",
    "compressor_power_w",
    "fan_power_w",
    "current_a",
    "accumulator_level",
)
_STATE = ("pressure_pa", "temperature_k", "enthalpy_j_per_kg", "entropy_j_per_kg_k", "quality")
_COMPARED_UNITS = {
    "SI": {
        "pressure": ("bar(g)", 2),
        "temperature difference": ("K", 1),
        "temperature": ("C", 1),
        "power": ("W", 0),
        "mass flow": ("kg/h", 2),
        "current": ("A", 2),
        "ratio": ("%", 0),
    },
    "US": {
        "pressure": ("psig", 1),
        "temperature difference": ("F", 1),
        "temperature": ("F", 1),
        "power": ("W", 0),
        "mass flow": ("lb/h", 2),
        "current": ("A", 2),
        "ratio": ("%", 0),
    },
}
_SUFFIX = {"bar(g)": "pa", "psig": "pa", "degC": "k", "degF": "k", "A": "a", "W": "w"}
_SUFFIX_OF_QUANTITY = {
    "pressure": "pa",
    "temperature difference": "k",
    "temperature": "k",
    "power": "w",
    "mass flow": "kg_per_s",
    "current": "a",
    "ratio": "",
}
_WRITTEN = {"C": "°C", "F": "°F"}


def in_shown_unit(value: float, quantity: str, units: str, barometer_pa: float) -> float:
    """A value in the unit in which curves and comparisons show it.

    Parameters
    ----------
    value : float [SI; pressures absolute]
    quantity : str
    units : str, "SI" or "US"
    barometer_pa : float [Pa absolute]

    Returns
    -------
    float
    """
    unit, _ = _COMPARED_UNITS[units][quantity]
    if quantity == "pressure":
        return pressure_from_pa(value, unit, barometer_pa)
    return value if quantity == "current" else from_si(value, unit, quantity)


def unit_words(quantity: str, units: str) -> str:
    """The unit in which curves and comparisons show a quantity, as written.

    Parameters
    ----------
    quantity : str
    units : str, "SI" or "US"

    Returns
    -------
    str
    """
    unit, _ = _COMPARED_UNITS[units][quantity]
    return _WRITTEN.get(unit, unit)


def print_sheet(sheet: tuple[Entry, ...], point: OperatingPoint, bench: Bench, units: str) -> None:
    """Readings, what is worked out from them, glasses, and what no instrument shows.

    Parameters
    ----------
    sheet : tuple of Entry
    point : OperatingPoint
    bench : Bench
    units : str, "SI" or "US"
    """
    rows = [(entry.place, entry.what, _degrees(entry.shown.text)) for entry in sheet]
    rows += [(f"glass {name}", "shows", seen) for name, seen in point.glasses.items()]
    print_table("Readings", ("place", "", "reading"), rows, left=(0, 1))
    if not point.is_solved:
        return
    print_table("Worked out from them", ("",) * 3, figure_rows(WORKED_OUT, worked_out(sheet, bench.refrigerant), units))
    hidden = {figure.key: getattr(point, figure.key) for figure in HIDDEN}
    print_table("What no instrument shows", ("",) * 3, figure_rows(HIDDEN, hidden, units))


def print_headline(point: OperatingPoint, bench: Bench) -> None:
    """What the bench does, in a sentence or two.

    Parameters
    ----------
    point : OperatingPoint
    bench : Bench
    """
    configuration = bench.configurations.get(point.configuration)
    machine = configuration.title if configuration else point.configuration or "bench"
    click.echo(f"{bench.title}, {machine}, {bench.refrigerant}: {point.outcome}")
    said = point.why or OUTCOMES[point.outcome]
    if point.stopped_by:
        said += f" The {point.stopped_by} would stop the compressor here; the readings are what it would run at."
    click.echo(click.wrap_text(said, width=WIDTH) + "\n")


def print_controls(point: OperatingPoint) -> None:
    """Open controls with their reason, and the warnings.

    Parameters
    ----------
    point : OperatingPoint
    """
    print_notes("Controls:", [f"{control.name}: {control.why}" for control in point.controls if control.is_open])
    print_notes("Mind:", point.warnings)


def flat(point: OperatingPoint, sheet: tuple[Entry, ...] = ()) -> dict[str, Any]:
    """An operating point as one flat object.

    Parameters
    ----------
    point : OperatingPoint
    sheet : tuple of Entry, readings to be added

    Returns
    -------
    dict, key with the unit as suffix -> number in SI, text, True, False or None
    """
    result: dict[str, Any] = {name: getattr(point, name) for name in _PLAIN}
    result |= {figure.key: getattr(point, figure.key) for figure in HIDDEN}
    for name, state in point.points.items():
        result |= {f"point_{name}_{field}": getattr(state, field) for field in _STATE}
    result |= {f"glass_{name}": seen for name, seen in point.glasses.items()}
    result |= {f"charge_{part}_kg": mass_kg for part, mass_kg in point.charge_by_part.items()}
    result |= {f"{_key(control.name)}_is_open": control.is_open for control in point.controls}
    result |= {f"shown_{_key(entry.key)}_{_SUFFIX[entry.shown.unit]}": entry.shown.si for entry in sheet}
    return result | {"warnings": " ".join(point.warnings)}


def print_comparison(rows: Mapping[str, Compared], units: str, barometer_pa: float) -> None:
    """Before, after and what each reading did.

    Parameters
    ----------
    rows : name -> Compared
    units : str, "SI" or "US"
    barometer_pa : float [Pa absolute], for gauge pressures
    """
    lines = [
        (
            row.label,
            _shown(row.before, row.quantity, units, barometer_pa),
            _shown(row.after, row.quantity, units, barometer_pa),
            unit_words(row.quantity, units),
            row.change or "-",
        )
        for row in rows.values()
        if row.before is not None or row.after is not None
    ]
    print_table("", ("reading", "before", "after", "", "what it did"), lines, left=(0, 3, 4))


def flat_comparison(rows: Mapping[str, Compared]) -> dict[str, Any]:
    """A comparison as one flat object.

    Parameters
    ----------
    rows : name -> Compared

    Returns
    -------
    dict, NAME_UNIT_before, NAME_UNIT_after [SI] and NAME_change
    """
    result: dict[str, Any] = {}
    for name, row in rows.items():
        key = f"{_key(name)}_{_SUFFIX_OF_QUANTITY[row.quantity]}".rstrip("_")
        result |= {f"{key}_before": row.before, f"{key}_after": row.after, f"{_key(name)}_change": row.change}
    return result


def number(value: float | None, quantity: str, units: str, barometer_pa: float) -> str:
    """A value as comparisons and sweeps show it, without the unit.

    Parameters
    ----------
    value : float or None [SI; pressures absolute]
    quantity : str
    units : str, "SI" or "US"
    barometer_pa : float [Pa absolute]

    Returns
    -------
    str, "-" where there is no value
    """
    return _shown(value, quantity, units, barometer_pa)


def charge_text(mass_kg: float, units: str) -> str:
    """Refrigerant in the unit of a charging scale.

    Parameters
    ----------
    mass_kg : float [kg]
    units : str, "SI" or "US"

    Returns
    -------
    str
    """
    unit = {"SI": "g", "US": "oz"}[units]
    return f"{from_si(mass_kg, unit, 'mass'):.{0 if units == 'SI' else 1}f} {unit}"


def _shown(value: float | None, quantity: str, units: str, barometer_pa: float) -> str:
    if value is None:
        return "-"
    digits = _COMPARED_UNITS[units][quantity][1]
    return f"{in_shown_unit(value, quantity, units, barometer_pa):.{digits}f}"


def _key(words: str) -> str:
    return words.replace(", ", "_").replace(" ", "_").replace("-", "_")


def _degrees(text: str) -> str:
    return text.replace("degC", "°C").replace("degF", "°F")
