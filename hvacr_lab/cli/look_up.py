"""Answers on the command line: `hvacr-lab properties` and `hvacr-lab cycle`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from hvacr_lab.cli import figure_lists as lists
from hvacr_lab.cli.data_sheets import data_sheet, list_refrigerants
from hvacr_lab.cli.figures import (
    SHOWN,
    figure_rows,
    keys_text,
    print_json,
    print_notes,
    print_table,
    written,
)
from hvacr_lab.cli.spoken import SPOKEN, SpokenCommand, barometer, quantities, temperature_or_pressure
from hvacr_lab.errors import NotUsable

if TYPE_CHECKING:
    from hvacr_lab.cycle import Cycle
    from hvacr_lab.refrigerants import Refrigerant, State

_ZERO_OF_ENTHALPY = "Zero of h and s: saturated liquid at 0 °C has 200 kJ/kg and 1 kJ/(kg K)."

Command = Callable[..., None]


def _in_both(command: Command) -> Command:
    """Options of both commands."""
    options = (
        click.option("--altitude", type=SPOKEN, help='Height of the place, for gauge pressures: "430 m".'),
        click.option("--barometer", "barometer_reading", type=SPOKEN, help='Or the barometer itself: "963 hPa".'),
        click.option(
            "--units",
            type=click.Choice(["SI", "US"], case_sensitive=False),
            metavar="SI|US",
            default="SI",
            help="Of the tables.",
        ),
        click.option("--json", "as_json", is_flag=True, help="One flat object in SI instead of tables."),
    )
    for option in reversed(options):
        command = option(command)
    return command


_PROPERTIES_KEYS = keys_text(
    (*lists.SATURATION_FIGURES, *lists.STATE_FIGURES[3:], *lists.DATA_FIGURES),
    {
        "dew_..., bubble_...": "enthalpy, entropy, volume and density of saturated vapour and liquid",
        "phase": "liquid, two-phase, vapour or supercritical",
        "gwp_100_years_ar6, _ar5, _ar4": "global warming potential by assessment report of the IPCC",
        "mass_fraction_of_...": "part of each component",
        "molar_mass_kg_per_mol, kind, safety_class": "of the data sheet",
    },
)


@click.command(cls=SpokenCommand, epilog=_PROPERTIES_KEYS)
@click.argument("name", metavar="[REFRIGERANT]", required=False)
@click.option("--pressure", "--dew-pressure", "--bubble-pressure", type=SPOKEN, help='"2 bar", "15 psig".')
@click.option("--temperature", type=SPOKEN, help='"-10 C", "14 F".')
@click.option("--dew-temperature", type=SPOKEN, help="Stands for the pressure at which it is the dew temperature.")
@click.option(
    "--bubble-temperature", type=SPOKEN, help="Stands for the pressure at which it is the bubble temperature."
)
@click.option("--quality", type=SPOKEN, help='Vapour part of the mass: "0.3" or "30 %".')
@click.option("--enthalpy", type=SPOKEN, help='"400 kJ/kg".')
@click.option("--entropy", type=SPOKEN, help='"1.75 kJ/(kg K)".')
@_in_both
def properties(
    name: str | None, altitude: str | None, barometer_reading: str | None, units: str, as_json: bool, **said: str | None
) -> None:
    """Look up a refrigerant.

    One known value gives both saturation lines, two give the state there, none gives the data sheet. Without a
    REFRIGERANT all of them are listed. Pressures are absolute unless the unit says gauge: "1.04 bar(g)", "15 psig".

    \b
    Examples:
      hvacr-lab properties R-134a --dew-pressure 2 bar
      hvacr-lab properties R-407C --pressure "3.2 bar(g)" --altitude 430 m --temperature 5 C --json
    """
    from hvacr_lab.refrigerants import refrigerant

    if name is None:
        list_refrigerants(as_json, units)
        return
    fluid, air_pa = refrigerant(name), barometer(altitude, barometer_reading)
    known = _known_values(fluid, air_pa, said)
    if not known:
        data_sheet(fluid, as_json, units)
    elif len(known) == 1:
        _saturation(fluid, known, air_pa, as_json, units)
    else:
        _state(fluid, known, air_pa, as_json, units)


def _known_values(fluid: Refrigerant, air_pa: float | None, said: dict[str, str | None]) -> dict[str, float]:
    """What was said, as `state` takes it; a dew or bubble temperature stands for its pressure."""
    known = quantities(
        air_pa,
        pressure_pa=(said["pressure"], "pressure"),
        dew_temperature_k=(said["dew_temperature"], "temperature"),
        bubble_temperature_k=(said["bubble_temperature"], "temperature"),
        temperature_k=(said["temperature"], "temperature"),
        quality=(said["quality"], "ratio"),
        enthalpy_j_per_kg=(said["enthalpy"], "specific enthalpy"),
        entropy_j_per_kg_k=(said["entropy"], "specific entropy"),
    )
    pressures = [name for name in ("pressure_pa", "dew_temperature_k", "bubble_temperature_k") if name in known]
    if len(pressures) > 1:
        why = "pressure, dew temperature and bubble temperature stand for each other"
        raise NotUsable("pressure", ", ".join(pressures), why, hint="Give one of them.")
    if "dew_temperature_k" in known:
        known["pressure_pa"] = fluid.dew_pressure(known.pop("dew_temperature_k"))
    if "bubble_temperature_k" in known:
        known["pressure_pa"] = fluid.bubble_pressure(known.pop("bubble_temperature_k"))
    return known


def _saturation(fluid: Refrigerant, known: dict[str, float], air_pa: float | None, as_json: bool, units: str) -> None:
    """Both saturation lines at one pressure, or at one temperature."""
    if not known.keys() <= {"pressure_pa", "temperature_k"}:
        hint = "Give the pressure or the temperature as well."
        raise NotUsable("one known value", ", ".join(known), "it fixes no point on the saturation lines", hint=hint)
    lines = {"bubble": fluid.state(**known, quality=0.0), "dew": fluid.state(**known, quality=1.0)}
    other = "temperature_k" if "pressure_pa" in known else "pressure_pa"
    result: dict[str, Any] = {"refrigerant": fluid.name, **known}
    result |= {f"{line}_{other}": getattr(state, other) for line, state in lines.items()}
    if other == "temperature_k":
        result["glide_k"] = result["dew_temperature_k"] - result["bubble_temperature_k"]
    result["latent_heat_j_per_kg"] = lines["dew"].enthalpy_j_per_kg - lines["bubble"].enthalpy_j_per_kg
    result |= {
        f"{line}_{figure.key}": getattr(state, figure.key)
        for line, state in lines.items()
        for figure in lists.LINE_FIGURES
    }
    result = _with_gauge(result, air_pa)
    if as_json:
        print_json(result)
        return
    print_table(f"{fluid.name}, saturated", ("",) * 3, figure_rows(lists.SATURATION_FIGURES, result, units))
    print_table("", ("", "liquid", "vapour", ""), _line_rows(lines, units), left=(0, 3))
    click.echo(_ZERO_OF_ENTHALPY)


def _line_rows(lines: dict[str, State], units: str) -> list[tuple[str, ...]]:
    return [
        (
            figure.label,
            *(written(getattr(lines[line], figure.key), figure.quantity, units) for line in ("bubble", "dew")),
            SHOWN[units][figure.quantity].written,
        )
        for figure in lists.LINE_FIGURES
    ]


def _state(fluid: Refrigerant, known: dict[str, float], air_pa: float | None, as_json: bool, units: str) -> None:
    """The state that two known values fix."""
    state = fluid.state(**known)
    result: dict[str, Any] = {"refrigerant": fluid.name, "phase": state.phase}
    result |= {figure.key: getattr(state, figure.key, None) for figure in lists.STATE_FIGURES}
    if state.superheat_k is not None and state.subcooling_k is not None:
        result["dew_temperature_k"] = state.temperature_k - state.superheat_k
        result["bubble_temperature_k"] = state.temperature_k + state.subcooling_k
    result = _with_gauge(result, air_pa)
    if as_json:
        print_json(result)
        return
    margin = {"liquid": "superheat_k", "vapour": "subcooling_k"}.get(state.phase)
    figures = [figure for figure in lists.STATE_FIGURES if figure.key != margin]
    print_table(f"{fluid.name}, {state.phase}", ("",) * 3, figure_rows(figures, result, units))
    click.echo(_ZERO_OF_ENTHALPY)


def _with_gauge(result: dict[str, Any], air_pa: float | None) -> dict[str, Any]:
    """Add what a gauge shows to each pressure, where the barometer is known; drop what has no value without one."""
    present = {key: value for key, value in result.items() if not (key.endswith("gauge_pa") and value is None)}
    if air_pa is None:
        return present
    pressures = [key for key in present if key.endswith("pressure_pa")]
    return present | {key.removesuffix("_pa") + "_gauge_pa": present[key] - air_pa for key in pressures}


_POINTS = (
    "evaporator_inlet",
    "evaporator_outlet",
    "compressor_inlet",
    "compressor_outlet",
    "condenser_inlet",
    "condenser_outlet",
    "expansion_inlet",
)
_CYCLE_KEYS = keys_text(
    (*lists.CYCLE_FIGURES, *lists.FLOW_FIGURES, *lists.DISPLACEMENT_FIGURES),
    {
        "POINT_"
        + ", POINT_".join(figure.key for figure in lists.POINT_FIGURES): f"POINT is each of {', '.join(_POINTS)}",
        "notes": "what a careful person would say, one sentence after the other",
    },
)


@click.command(cls=SpokenCommand, epilog=_CYCLE_KEYS)
@click.argument("refrigerant", metavar="REFRIGERANT")
@click.option("--evaporating", type=SPOKEN, required=True, help='Temperature or pressure: "-10 C", "2 bar", "15 psig".')
@click.option("--condensing", type=SPOKEN, required=True, help='Temperature or pressure: "40 C", "9 bar(g)".')
@click.option("--superheat", type=SPOKEN, default="0 K", show_default=True, help="At the evaporator outlet.")
@click.option(
    "--suction-line-rise", type=SPOKEN, default="0 K", show_default=True, help="Warming up to the compressor."
)
@click.option("--subcooling", type=SPOKEN, default="0 K", show_default=True, help="At the condenser outlet.")
@click.option("--isentropic-efficiency", type=SPOKEN, default="1", show_default=True, help='"0.7" or "70 %".')
@click.option("--mass-flow", type=SPOKEN, help='"20 kg/h"; or give the capacity.')
@click.option("--capacity", type=SPOKEN, help='Cooling capacity: "1 kW", "12000 Btu/h", "2 ton".')
@click.option("--displacement", type=SPOKEN, help='Swept volume: "8 m3/h"; with or instead of the mass flow.')
@click.option("--volumetric-efficiency", type=SPOKEN, help='"0.8" or "80 %".')
@click.option("--suction-line-drop", type=SPOKEN, default="0 Pa", show_default=True, help="Pressure lost on the way.")
@click.option("--discharge-line-drop", type=SPOKEN, default="0 Pa", show_default=True, help="Likewise.")
@click.option("--liquid-line-drop", type=SPOKEN, default="0 Pa", show_default=True, help="Likewise.")
@click.option(
    "--temperatures",
    type=click.Choice(["dew", "dew-bubble", "mean"]),
    default="dew",
    show_default=True,
    help="What evaporating and condensing temperature of a blend mean.",
)
@_in_both
def cycle(
    refrigerant: str, altitude: str | None, barometer_reading: str | None, units: str, as_json: bool, **said: Any
) -> None:
    """Work out a single-stage cycle from design values.

    Pressures are absolute unless the unit says gauge: "1.04 bar(g)", "15 psig"; a gauge pressure needs the altitude or
    the barometer. For a blend, evaporating temperature is the dew temperature unless --temperatures says otherwise.

    \b
    Examples:
      hvacr-lab cycle R-134a --evaporating -10 C --condensing 40 C --superheat 6 K --capacity 1 kW
      hvacr-lab cycle R-290 --evaporating 20 psig --altitude 1400 ft --condensing 105 F --units US
    """
    from hvacr_lab.cycle import single_stage

    air_pa = barometer(altitude, barometer_reading)
    result = single_stage(refrigerant, **_design(air_pa, said), temperature_convention=said["temperatures"])
    figures = _cycle_figures(result, air_pa)
    if as_json:
        print_json(
            {"refrigerant": result.refrigerant.name, **figures, **_points(result), "notes": " ".join(result.notes)}
        )
        return
    shown = (*lists.CYCLE_FIGURES, *lists.FLOW_FIGURES, *lists.DISPLACEMENT_FIGURES)
    print_table(
        f"{result.refrigerant.name}, single-stage cycle", _point_header(units), _point_rows(result, units), left=(0,)
    )
    print_table("Figures", ("",) * 3, figure_rows(shown, figures, units))
    click.echo(_ZERO_OF_ENTHALPY)
    print_notes("Notes:", result.notes)


def _design(air_pa: float | None, said: dict[str, str | None]) -> dict[str, float]:
    """The inputs of `single_stage` from what was said."""
    sides: dict[str, float] = {}
    for side in ("evaporating", "condensing"):
        sides |= temperature_or_pressure(side, str(said[side]), air_pa)
    return sides | quantities(
        air_pa,
        superheat_k=(said["superheat"], "temperature difference"),
        suction_line_temperature_rise_k=(said["suction_line_rise"], "temperature difference"),
        subcooling_k=(said["subcooling"], "temperature difference"),
        isentropic_efficiency=(said["isentropic_efficiency"], "ratio"),
        mass_flow_kg_per_s=(said["mass_flow"], "mass flow"),
        capacity_w=(said["capacity"], "power"),
        displacement_m3_per_s=(said["displacement"], "volume flow"),
        volumetric_efficiency=(said["volumetric_efficiency"], "ratio"),
        suction_line_pressure_drop_pa=(said["suction_line_drop"], "pressure difference"),
        discharge_line_pressure_drop_pa=(said["discharge_line_drop"], "pressure difference"),
        liquid_line_pressure_drop_pa=(said["liquid_line_drop"], "pressure difference"),
    )


def _cycle_figures(cycle: Cycle, air_pa: float | None) -> dict[str, Any]:
    figures = list(lists.CYCLE_FIGURES)
    if cycle.known_mass_flow_kg_per_s is not None:
        figures += lists.FLOW_FIGURES
        if cycle.known_displacement_m3_per_s is not None:
            figures += lists.DISPLACEMENT_FIGURES
    return _with_gauge({figure.key: getattr(cycle, figure.key, None) for figure in figures}, air_pa)


def _points(cycle: Cycle) -> dict[str, float | None]:
    return {
        f"{name}_{figure.key}": getattr(state, figure.key)
        for name, state in cycle.points.items()
        for figure in lists.POINT_FIGURES
    }


def _point_header(units: str) -> tuple[str, ...]:
    heads = (f"{figure.label}\n{SHOWN[units][figure.quantity].written}" for figure in lists.POINT_FIGURES)
    return "", *heads


def _point_rows(cycle: Cycle, units: str) -> list[tuple[str, ...]]:
    return [
        (
            name.replace("_", " "),
            *(_or_dash(getattr(state, figure.key), figure.quantity, units) for figure in lists.POINT_FIGURES),
        )
        for name, state in cycle.points.items()
    ]


def _or_dash(value: float | None, quantity: str, units: str) -> str:
    return "-" if value is None else written(value, quantity, units)
