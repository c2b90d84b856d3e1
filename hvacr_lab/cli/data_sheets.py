"""What is known of a refrigerant without a look-up: data sheet, list of all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hvacr_lab.cli import figure_lists as lists
from hvacr_lab.cli.figures import SHOWN, figure_rows, print_json, print_notes, print_table, written
from hvacr_lab.errors import LabError
from hvacr_lab.units import STANDARD_ATMOSPHERE_PA

if TYPE_CHECKING:
    from hvacr_lab.refrigerants import Refrigerant

GWP_EDITIONS = ("AR6", "AR5", "AR4")
# assessment reports of the IPCC, newest first


def data_sheet(fluid: Refrigerant, as_json: bool, units: str) -> None:
    """Print what is known of a refrigerant without a look-up.

    Parameters
    ----------
    fluid : Refrigerant
    as_json : bool, one flat object instead of a table
    units : str, "SI" or "US", of the table
    """
    result = _data(fluid)
    if as_json:
        print_json(result)
        return
    words = [
        (
            "Composition by mass",
            ", ".join(f"{_percent(part)} {component}" for component, part in _composition(fluid)),
            "",
        ),
        ("Safety class", fluid.safety_class, ""),
        *((f"GWP, 100 years, {edition}", _gwp_written(result, edition), "") for edition in GWP_EDITIONS),
    ]
    print_table(f"{fluid.name}, {fluid.kind}", ("",) * 3, words + figure_rows(lists.DATA_FIGURES, result, units))
    print_notes("Before you work with it:", _cautions(fluid.safety_class))
    print_notes("Also:", [fluid.note] if fluid.note else [])
    print_notes("Sources:", (f"{what}: {source}" for what, source in fluid.sources.items()))


def _cautions(safety_class: str) -> list[str]:
    """The usual cautions for a safety class, the last one for all of them."""
    letter, flame = safety_class[0], safety_class[1:]
    by_class = {
        "B": "Toxic: gas detection, ventilation, mask and a way out.",
        "2L": "Burns slowly: ventilation, no ignition source, tools made for it.",
        "2": "Flammable: ventilation, no ignition source, tools made for it.",
        "3": "Highly flammable: ventilation, no ignition source, tools made for it, charge limits.",
    }
    said = [by_class[mark] for mark in (letter, flame) if mark in by_class]
    return [*said, "Goggles and gloves; recover, never vent. Local code and licensed practice come first."]


def _data(fluid: Refrigerant) -> dict[str, Any]:
    boiling_k = fluid.normal_boiling_point_k
    return {
        "refrigerant": fluid.name,
        "kind": fluid.kind,
        "safety_class": fluid.safety_class,
        **{f"mass_fraction_of_{component}": part for component, part in _composition(fluid)},
        **{f"gwp_100_years_{edition.lower()}": _gwp(fluid, edition) for edition in GWP_EDITIONS},
        "molar_mass_kg_per_mol": fluid.molar_mass_kg_per_mol,
        "normal_boiling_point_k": boiling_k,
        "glide_at_normal_boiling_point_k": None if boiling_k is None else fluid.glide(STANDARD_ATMOSPHERE_PA),
        "critical_temperature_k": fluid.critical_temperature_k,
        "critical_pressure_pa": fluid.critical_pressure_pa,
        "triple_temperature_k": fluid.triple_temperature_k,
        "lowest_dew_temperature_k": fluid.limits.dew_temperature_k[0],
        "highest_dew_temperature_k": fluid.limits.dew_temperature_k[1],
    }


def _composition(fluid: Refrigerant) -> list[tuple[str, float]]:
    return list(zip(fluid.components, fluid.mass_fractions, strict=True))


def _percent(part: float) -> str:
    return f"{100.0 * part:.4g} %"


def _gwp(fluid: Refrigerant, edition: str) -> float | None:
    try:
        return fluid.gwp(edition)
    except LabError:
        return None  # not in that report


def _gwp_written(result: dict[str, Any], edition: str) -> str:
    value = result[f"gwp_100_years_{edition.lower()}"]
    if value is None:
        return "-"
    return f"{value:.0f}" if value >= 10.0 else f"{value:.3g}"


def list_refrigerants(as_json: bool, units: str) -> None:
    """Print one line for each refrigerant.

    Parameters
    ----------
    as_json : bool, name and safety class instead of a table
    units : str, "SI" or "US", of the table
    """
    from hvacr_lab.refrigerants import refrigerant, refrigerant_names

    fluids = [refrigerant(name) for name in refrigerant_names()]
    if as_json:
        print_json({fluid.name: fluid.safety_class for fluid in fluids})
        return
    degrees = SHOWN[units]["temperature"].written
    header = ("", "class", "GWP AR6", f"boils {degrees}", f"critical {degrees}", "by mass")
    print_table("Refrigerants", header, (_line(fluid, units) for fluid in fluids), left=(0, 5))


def _line(fluid: Refrigerant, units: str) -> tuple[str, ...]:
    result = _data(fluid)
    boiling_k = result["normal_boiling_point_k"]
    return (
        fluid.name,
        fluid.safety_class,
        _gwp_written(result, "AR6"),
        "-" if boiling_k is None else written(boiling_k, "temperature", units),
        written(fluid.critical_temperature_k, "temperature", units),
        ", ".join(f"{_percent(part)} {component}" for component, part in _composition(fluid))
        if fluid.kind == "blend"
        else "",
    )
