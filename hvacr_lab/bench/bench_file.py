"""From a bench file to a bench: every number converted once, every name looked up, every mistake with its line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from hvacr_lab.bench import bench_keys as keys
from hvacr_lab.bench.bench_text import BenchText, Key, offer
from hvacr_lab.bench.description import COMPRESSOR, Bench, Configuration
from hvacr_lab.bench.parts import (
    Capillary,
    CheckValveBridge,
    Coil,
    Compressor,
    ConstantPressureValve,
    Controls,
    HandValve,
    Metering,
    Pipe,
    Port,
    ReversingValve,
    Space,
    ThermostaticValve,
    Vessel,
)
from hvacr_lab.bench.wiring import check_parts, check_wiring
from hvacr_lab.errors import UnknownName

_SHIPPED = Path(__file__).resolve().parent.parent / "data" / "benches"
_TEMPLATE = "template"


def bench_names() -> tuple[str, ...]:
    """Names of the benches that come with the package.

    Returns
    -------
    tuple of str, fit for `load_bench`

    Examples
    --------
    >>> bench_names()
    ('demo', 'propane')
    """
    return tuple(sorted(path.stem for path in _SHIPPED.glob("*.toml") if path.stem != _TEMPLATE))


def new_bench_text() -> str:
    """A commented bench file to start from; it loads as it is.

    Returns
    -------
    str, TOML
    """
    return (_SHIPPED / f"{_TEMPLATE}.toml").read_text(encoding="utf-8")


def load_bench(source: str | Path) -> Bench:
    """Read and check a bench.

    Parameters
    ----------
    source : Path of a bench file, or the name of a bench that comes with the package

    Returns
    -------
    Bench

    Raises
    ------
    UnknownName : neither a file nor a shipped bench
    FileProblem : something in the file cannot be used; with key, value, limit and line

    Examples
    --------
    >>> load_bench("demo").refrigerant
    'R-134a'
    """
    if str(source) in bench_names():
        return _bench(BenchText(_SHIPPED / f"{source}.toml"))
    path = Path(source)
    if path.suffix != ".toml" and len(path.parts) <= 1 and not path.is_file():
        raise UnknownName("bench", str(source), bench_names(), hint="Or give the path of a bench file (.toml).")
    return _bench(BenchText(path))


def _bench(file: BenchText) -> Bench:
    _check_sections(file)
    heading = file.block(("bench",), file.values["bench"], keys.BENCH)
    bench = Bench(
        name=file.path.stem,
        title=heading["title"],
        refrigerant=heading["refrigerant"],
        compressor=_compressor(file.block((COMPRESSOR,), file.values[COMPRESSOR], keys.COMPRESSOR)),
        coils={name: _coil(name, read) for name, read in file.blocks("coil", keys.COIL).items()},
        vessels={name: _vessel(name, read) for name, read in file.blocks("vessel", keys.VESSEL).items()},
        metering=_metering(file),
        valves={name: _valve(name, read) for name, read in file.blocks("valve", keys.VALVE).items()},
        pipes=tuple(_pipe(name, read) for name, read in file.blocks("pipe", keys.PIPE).items()),
        sight_glasses={name: read["pipe"] for name, read in file.blocks("sight_glass", keys.SIGHT_GLASS).items()},
        ports={name: Port(id=name, **read) for name, read in file.blocks("port", keys.PORT).items()},
        reversing_valve=_only(file, "reversing_valve", ReversingValve),
        spaces={name: Space(id=name, **read) for name, read in file.blocks("space", keys.SPACE).items()},
        controls=_controls(file.block(("controls",), file.values["controls"], keys.CONTROLS)),
        configurations={},
        bridge=_only(file, "check_valve_bridge", CheckValveBridge),
    )
    _check_names(file, bench)
    check_parts(file, bench)
    bench = replace(bench, configurations=_configurations(file, bench))
    _check_controls(file, bench)
    check_wiring(file, bench)
    return bench


def _check_sections(file: BenchText) -> None:
    for section in file.values:
        if section not in keys.SECTIONS:
            raise file.problem(
                (section,), f"`{section}` is not a section of a bench file.{offer(section, keys.SECTIONS)}"
            )
    for section, need in keys.SECTIONS.items():
        if need and not file.values.get(section):
            raise file.problem((section,), f"section [{section}] is missing: {need}.")


def _compressor(read: dict[str, Any]) -> Compressor:
    return Compressor(
        displacement_m3_per_s=read["displacement_cm3"] * read["speed_per_min"],
        clearance=read["clearance_percent"],
        polytropic_exponent=read["polytropic_exponent"],
        filling=read["filling_percent"],
        isentropic_peak=read["best_efficiency_percent"],
        ratio_at_peak=read["ratio_at_best"],
        isentropic_falloff=read["falloff_percent_per_ratio"],
        shell_loss=read["shell_loss_percent"],
        suction_heat_j_per_kg=read["suction_heat_kj_per_kg"],
        idle_w=read["idle_w"],
        shell_volume_m3=read["shell_volume_l"],
        voltage_v=read["voltage_v"],
        no_load_a=read["no_load_a"],
        locked_rotor_a=read["locked_rotor_a"],
        label=read["label"],
    )


def _coil(name: str, read: dict[str, Any]) -> Coil:
    return Coil(
        id=name,
        label=read["label"],
        volume_m3=read["inside_volume_l"],
        ua_refrigerant_w_per_k=read["ua_inside_w_per_k"],
        vapour_share=read["vapour_share_percent"],
        liquid_share=read["liquid_share_percent"],
        ua_air_w_per_k=read["ua_outside_w_per_k"],
        air_flow_kg_per_s=read["air_flow_m3_per_h"],
        fan_w=read["fan_w"],
        draught=read["draught_percent"],
        space=read["space"],
    )


def _vessel(name: str, read: dict[str, Any]) -> Vessel:
    return Vessel(
        id=name,
        label=read["label"],
        kind=read["kind"],
        volume_m3=read["volume_l"],
        bleed_quality=read["bleed_percent"],
        has_relief=read["relief"],
        isolated_by=read["isolated_by"],
        bypassed_by=read["bypassed_by"],
    )


def _capillary(name: str, read: dict[str, Any]) -> Capillary:
    return Capillary(name, read["label"], diameter_m=read["bore_mm"], length_m=read["length_m"])


def _thermostatic(name: str, read: dict[str, Any]) -> ThermostaticValve:
    return ThermostaticValve(
        id=name,
        label=read["label"],
        flow_area_m2=read["flow_area_mm2"],
        static_superheat_k=read["static_superheat_k"],
        opening_superheat_k=read["opening_superheat_k"],
        maximum_operating_pressure_pa=read["maximum_operating_pressure_bar_abs"],
        bulb=read["bulb"],
        external_equaliser=read["external_equaliser"],
    )


def _constant_pressure(name: str, read: dict[str, Any]) -> ConstantPressureValve:
    return ConstantPressureValve(
        id=name,
        label=read["label"],
        flow_area_m2=read["flow_area_mm2"],
        setting_pa=read["setting_bar_abs"],
        opening_pa=read["opening_bar"],
    )


_METERING: Mapping[str, tuple[Mapping[str, Key], Callable[[str, dict[str, Any]], Metering]]] = {
    "capillary": (keys.CAPILLARY, _capillary),
    "thermostatic": (keys.THERMOSTATIC, _thermostatic),
    "constant_pressure": (keys.CONSTANT_PRESSURE, _constant_pressure),
}


def _metering(file: BenchText) -> dict[str, Metering]:
    devices: dict[str, Metering] = {}
    for section, (kinds, build) in _METERING.items():
        for name, read in file.blocks(section, kinds).items():
            if name in devices:
                raise file.problem((section, name), f"two metering devices are called `{name}`. Give one another name.")
            devices[name] = build(name, read)
    return devices


def _valve(name: str, read: dict[str, Any]) -> HandValve:
    return HandValve(name, read["label"], read["discharge_coefficient"] * keys.hole_m2(read["bore_mm"]))


def _pipe(name: str, read: dict[str, Any]) -> Pipe:
    bore_m, length_m = read["bore_mm"], read["length_m"]
    return Pipe(
        id=name,
        start=read["from"],
        end=read["to"],
        volume_m3=keys.hole_m2(bore_m) * length_m,
        resistance_per_m4=keys.pipe_resistance_per_m4(bore_m, length_m, read["loss_coefficient"]),
        ua_ambient_w_per_k=keys.pipe_ua_w_per_k(bore_m, length_m, read["insulated"]),
        valve=read["valve"],
        contents=read["contents"],
        has_relief=read["relief"],
        has_drier=read["drier"],
    )


def _only(file: BenchText, section: str, kind: Any) -> Any:
    """The one part of a kind that a bench may have, or None."""
    found = file.blocks(section, keys.FOUR_PORT)
    if len(found) > 1:
        raise file.problem((section, list(found)[1]), f"a bench has at most one [{section}...]. Remove one block.")
    for name, read in found.items():
        return kind(name, read["label"], keys.pipe_resistance_per_m4(read["bore_mm"], 0.0, read["loss_coefficient"]))
    return None


def _controls(read: Mapping[str, Any]) -> Controls:
    return Controls(
        high_cut_out_pa=read["high_cut_out_bar_abs"],
        high_cut_in_pa=read["high_cut_in_bar_abs"],
        low_cut_out_pa=read["low_cut_out_bar_abs"],
        low_cut_in_pa=read["low_cut_in_bar_abs"],
        thermostat_k=read["thermostat_c"],
        differential_k=read["differential_k"],
        minimum_off_s=read["minimum_off_s"],
    )


_SECTION_OF = {"coils": "coil", "vessels": "vessel", "valves": "valve", "ports": "port", "sight_glasses": "sight_glass"}


def _check_names(file: BenchText, bench: Bench) -> None:
    """No name twice among all that can be pointed at, spaces apart; what is pointed at exists."""
    places: dict[str, tuple[str, str]] = {COMPRESSOR: (COMPRESSOR, "")}
    metering = [(section, name) for section in _METERING for name in file.values.get(section, {})]
    named = [(section, name) for many, section in _SECTION_OF.items() for name in getattr(bench, many)]
    single = [
        (section, name)
        for section in ("reversing_valve", "check_valve_bridge")
        for name in file.values.get(section, {})
    ]
    for section, name in [*named, *metering, *single, *(("pipe", pipe.id) for pipe in bench.pipes)]:
        if name in places:
            first = ".".join(filter(None, places[name]))
            raise file.problem(
                (section, name), f"`{name}` is also the name of [{first}]. Give one of them another name."
            )
        places[name] = (section, name)
    for coil in bench.coils.values():
        file.known(("coil", coil.id, "space"), "space", coil.space, bench.spaces)
    for vessel in bench.vessels.values():
        for key, valves in (("isolated_by", vessel.isolated_by), ("bypassed_by", filter(None, [vessel.bypassed_by]))):
            for valve in valves:
                file.known(("vessel", vessel.id, key), "valve", valve, bench.valves)
    for glass, pipe in bench.sight_glasses.items():
        file.known(("sight_glass", glass, "pipe"), "pipe", pipe, [pipe.id for pipe in bench.pipes])


def _configurations(file: BenchText, bench: Bench) -> dict[str, Configuration]:
    found: dict[str, Configuration] = {}
    blocks = file.values["configuration"]
    if not isinstance(blocks, dict):
        raise file.problem(
            ("configuration",), "`configuration` is a section: [configuration.name], then lines key = value."
        )
    raw: dict[str, Mapping[str, Any]] = {}
    for name, block in blocks.items():
        if not isinstance(block, dict):
            file.block(("configuration", name), block, keys.CONFIGURATION)
        raw[name] = _with_model(file, name, block, raw)
    merged = file.blocks("configuration", keys.CONFIGURATION, raw)
    for name, read in merged.items():
        found[name] = _configuration(file, bench, name, read)
    return found


def _with_model(
    file: BenchText, name: str, block: Mapping[str, Any], above: Mapping[str, Mapping[str, Any]]
) -> Mapping[str, Any]:
    """A block with ``like = "other"`` takes over whatever it does not say itself."""
    if "like" not in block:
        return block
    model, place = block["like"], ("configuration", name, "like")
    if not isinstance(model, str) or model not in above:
        raise file.problem(place, f"[configuration.{name}] `like` is a configuration further up.{offer(model, above)}")
    return {**above[model], **{key: value for key, value in block.items() if key != "like"}}


def _configuration(file: BenchText, bench: Bench, name: str, read: dict[str, Any]) -> Configuration:
    place = ("configuration", name)
    openings = dict.fromkeys(bench.valves, 0.0)
    for key, opened in (
        ("open", dict.fromkeys(read["open"], 1.0)),
        ("partly_open_percent", read["partly_open_percent"]),
    ):
        for valve, opening in opened.items():
            file.known((*place, key), "valve", valve, bench.valves)
            openings[valve] = opening
    file.known((*place, "metering"), "metering device", read["metering"], bench.metering)
    for coil, space in read["coil_spaces"].items():
        file.known((*place, "coil_spaces"), "coil", coil, bench.coils)
        file.known((*place, "coil_spaces"), "space", space, bench.spaces)
    for coil in read["fans_percent"]:
        file.known((*place, "fans_percent"), "coil", coil, bench.coils)
    adjustable = [device.id for device in bench.metering.values() if isinstance(device, ConstantPressureValve)]
    for device in read["settings_bar_abs"]:
        file.known((*place, "settings_bar_abs"), "constant-pressure valve", device, adjustable)
    return Configuration(
        id=name,
        title=read["title"],
        kind=read["kind"],
        valves=openings,
        reversing=read["reversing"],
        metering=read["metering"],
        charge_kg=read["charge_g"],
        ambient_k=read["ambient_c"],
        space_k=read["space_c"],
        space_relative_humidity=read["space_humidity_percent"],
        ambient_relative_humidity=read["ambient_humidity_percent"],
        fans=read["fans_percent"],
        coil_spaces=read["coil_spaces"],
        settings_pa=read["settings_bar_abs"],
        controls=_changed_controls(file, (*place, "controls"), read["controls"], bench.controls),
    )


_OPTIONAL_CONTROLS = {key: Key(kind.read, None, kind.need) for key, kind in keys.CONTROLS.items()}


def _changed_controls(file: BenchText, place: tuple[str, ...], found: Any, base: Controls) -> Controls | None:
    if not found:
        return None
    changed = _controls(file.block(place, found, _OPTIONAL_CONTROLS))
    fields = Controls.__dataclass_fields__
    return replace(base, **{key: value for key in fields if (value := getattr(changed, key)) is not None})


def _check_controls(file: BenchText, bench: Bench) -> None:
    """A pressure control that cuts in before it has cut out cannot work."""
    settings: list[tuple[tuple[str, ...], Controls]] = [(("controls",), bench.controls)]
    settings += [
        (("configuration", name, "controls"), configuration.controls)
        for name, configuration in bench.configurations.items()
        if configuration.controls is not None
    ]
    for place, controls in settings:
        high_in = controls.high_cut_in_pa
        pairs = (
            ("low_cut_out_bar_abs", controls.low_cut_out_pa, "low_cut_in_bar_abs", controls.low_cut_in_pa),
            ("low_cut_in_bar_abs", controls.low_cut_in_pa, "high_cut_out_bar_abs", controls.high_cut_out_pa),
            ("high_cut_in_bar_abs", high_in or 0.0, "high_cut_out_bar_abs", controls.high_cut_out_pa),
        )
        for lower, low_pa, upper, high_pa in pairs:
            if low_pa >= high_pa:
                heading = ".".join(place)
                what = f"[{heading}] `{lower} = {low_pa / 1e5:g}` is not below `{upper} = {high_pa / 1e5:g}` bar."
                raise file.problem((*place, lower), f"{what} Exchange or correct them.")
