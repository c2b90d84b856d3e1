"""Readings taken at a bench: the file in all its shapes, what is doubtful, what it means and how certain that is."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.errors import FileProblem, NotUsable, OutOfRange, UnknownName
from hvacr_lab.readings import (
    Instruments,
    Moment,
    Readings,
    blank_readings_csv,
    evaluate,
    load_readings,
    parse_readings,
    plausibility_notes,
    propagate,
    reading_limits,
    shifted,
)
from hvacr_lab.readings.columns import COLUMNS, find_column
from hvacr_lab.readings.records import NUMBERS
from hvacr_lab.refrigerants import refrigerant

EXAMPLE = Path(__file__).resolve().parent.parent / "course" / "readings-example.csv"
SCHOOL_PA = 96_265.0  # own value: standard atmosphere at 430 m

SHEET = """\
time,altitude [m],suction pressure [bar(g)],discharge pressure [bar(g)],suction pipe temperature [°C],power [W]
10:05,430,1.20,9.00,-2.0,390
10:10,,1.25,9.10,-1.5,395
"""


def moments(text: str) -> tuple[Moment, ...]:
    return parse_readings(text, "sheet.csv").moments


def refusal(text: str) -> str:
    with pytest.raises(FileProblem) as refused:
        parse_readings(text, "sheet.csv")
    return str(refused.value)


# the file in all its shapes


def test_readings_arrive_in_si_with_absolute_pressures() -> None:
    first, second = moments(SHEET)
    assert first.suction_pressure_pa == pytest.approx(SCHOOL_PA + 120_000.0, abs=1.0)
    assert first.suction_pipe_k == pytest.approx(271.15)
    assert first.power_w == 390.0
    assert (first.line, first.time, first.barometer_read) == (2, "10:05", False)
    assert second.barometer_pa == pytest.approx(SCHOOL_PA, abs=1.0)  # the altitude stands only in the first row
    assert second.liquid_pipe_k is None


SAME_SHEET = {
    "another order": "power [W],suction pressure [bar(g)],altitude [m],time,discharge pressure [bar(g)],"
    "suction pipe temperature [°C]\n390,1.20,430,10:05,9.00,-2.0\n395,1.25,,10:10,9.10,-1.5\n",
    "capitals and underscores": SHEET.replace("suction pressure", "SUCTION_Pressure").replace("power", "Power "),
    "another word for it": SHEET.replace("suction pipe temperature", "suction line temp"),
    "round brackets": SHEET.replace("[W]", "(W)").replace("[bar(g)]", "(bar(g))"),
    "unit behind a stroke": SHEET.replace(" [bar(g)]", " / bar(g)"),
    "other units": SHEET.replace("[bar(g)]", "[kPa gauge]").replace("1.20", "120").replace("1.25", "125")
    .replace("9.00", "900").replace("9.10", "910"),
    "tabs": SHEET.replace(",", "\t"),
    "semicolons and decimal commas": SHEET.replace(",", ";").replace(".", ","),
    "a byte-order mark": "\ufeff" + SHEET,
    "line ends of another system": SHEET.replace("\n", "\r\n"),
    "comments and blank lines": "# bench 2, group 3\n\n" + SHEET.replace("395\n", "395\n,,,,,\n\n# the end\n"),
    "quoted cells": '"time","altitude [m]","suction pressure [bar(g)]","discharge pressure [bar(g)]",'
    '"suction pipe temperature [°C]","power [W]"\n"10:05","430","1.20","9.00","-2.0","390"\n'
    '"10:10","","1.25","9.10","-1.5","395"\n',
    "another minus": SHEET.replace("-2.0", "−2.0"),
    "empty columns at the end": SHEET.replace("\n", ",,\n"),
    "dashes for what was not read": SHEET.replace("power [W]\n", "power [W],liquid pipe [C]\n")
    .replace("390\n", "390,-\n").replace("395\n", "395,n/a\n"),
}  # fmt: skip


@pytest.mark.parametrize("shape", SAME_SHEET)
def test_the_same_readings_in_another_shape_are_the_same(shape: str) -> None:
    expected, found = moments(SHEET), moments(SAME_SHEET[shape])
    assert len(found) == len(expected)
    for one, other in zip(expected, found, strict=True):
        for field in NUMBERS:
            assert getattr(other, field) == pytest.approx(getattr(one, field)), field
        assert other.time == one.time


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_file_is_read_whatever_program_saved_it(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "sheet.csv"
    path.write_bytes(SHEET.encode(encoding))
    assert load_readings(path).moments == moments(SHEET)


def test_unknown_columns_are_kept_and_named() -> None:
    sheet = parse_readings("sucton pressure [bar(g)],mood,power [W]\n1.2,good,390\n1.3,better,395\n")
    assert sheet.others == {"sucton pressure [bar(g)]": ("1.2", "1.3"), "mood": ("good", "better")}
    assert sheet.notes[0].endswith('kept, but not used. Did you mean "suction pressure"?')
    assert sheet.notes[1] == 'Column "mood" is kept, but not used.'


def test_a_column_of_readings_is_an_array_with_gaps() -> None:
    sheet = parse_readings("power [W],liquid pipe [C]\n390,\n,34\n")
    assert sheet.column("power_w")[0] == 390.0
    assert np.isnan(sheet.column("power_w")[1])
    with pytest.raises(UnknownName, match="power_w"):
        sheet.column("powr_w")


def test_a_barometer_that_is_read_goes_before_the_altitude() -> None:
    (moment,) = moments("altitude [m],barometer [hPa],suction pressure [bar(g)]\n430,950,1\n")
    assert (moment.barometer_pa, moment.barometer_read) == (95_000.0, True)
    assert moment.suction_pressure_pa == pytest.approx(195_000.0)


def test_the_school_can_give_altitude_and_refrigerant() -> None:
    sheet = parse_readings("suction pressure [psig]\n20\n", altitude_m=430.0, refrigerant="134a")
    assert sheet.refrigerant == "R-134a"
    assert sheet.moments[0].suction_pressure_pa == pytest.approx(SCHOOL_PA + 20 * 6894.757, abs=1.0)


def test_an_absolute_pressure_needs_no_barometer() -> None:
    (moment,) = moments("suction pressure [bar(a)]\n2.0\n")
    assert (moment.suction_pressure_pa, moment.suction_is_gauge, moment.barometer_pa) == (200_000.0, False, None)


def test_the_example_of_the_course_is_in_order() -> None:
    sheet = load_readings(EXAMPLE)
    assert (sheet.refrigerant, len(sheet.moments), sheet.notes) == ("R-134a", 4, ())
    results = evaluate(sheet.moments[-1], "R-134a", Instruments(1.6, 1e6, 2.5e6, 0.5, 200.0, 0.01, 0.01))
    assert results.notes == ()
    assert results.cop is not None


@pytest.mark.parametrize("units", ["SI", "US"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_empty_sheet_can_be_filled_in_and_read(units: str, separator: str) -> None:
    blank = blank_readings_csv(units, separator=separator, rows=3, refrigerant="R-410A", altitude_m=430.0)
    with pytest.raises(FileProblem, match="no readings below"):
        parse_readings(blank)
    lines = blank.splitlines()
    filled = lines[-3].split(separator)
    shown = {"SI": "7.5", "US": "108.8"}[units]
    filled[[column.title for column in COLUMNS].index("suction pressure")] = shown
    lines[-3] = separator.join(filled)
    sheet = parse_readings("\n".join(lines))
    assert sheet.refrigerant == "R-410A"
    assert sheet.moments[0].suction_pressure_pa == pytest.approx(SCHOOL_PA + 750_000.0, rel=1e-3)
    assert sheet.notes == ("2 rows without a reading are left out.",)
    assert set(sheet.units) == {column.field for column in COLUMNS if column.quantity != "text"}


def test_an_empty_sheet_of_no_known_kind_is_refused() -> None:
    with pytest.raises(NotUsable, match='Write "SI" or "US"'):
        blank_readings_csv("imperial")
    with pytest.raises(NotUsable, match="separated by"):
        blank_readings_csv(separator="|")


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.title)
def test_each_column_is_found_by_each_of_its_names(column: object) -> None:
    for name in (column.title, *column.others):  # type: ignore[attr-defined]
        assert find_column(name) is column


# refusals say line, column, value, limit and what to do


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", ("sheet.csv: it is empty", "names the columns")),
        ("time,mood\n10:05,good\n", ("line 1", "no column is known", "suction pressure")),
        ("suction pressure [bar(g)]\n", ("line 1", "no readings below")),
        ("suction pressure\n1.2\n", ("line 1", "has no unit", 'Write "suction pressure [bar(g)]"')),
        ("suction pressure [bar]\n1.2\n", ("line 1", "gauge (g) or absolute (a)")),
        ("power [furlong]\n390\n", ("line 1", "'furlong' is not a known unit of power", "W, kW")),
        (
            "power [W],compressor power [kW]\n1,2\n",
            ("line 1", '"power [W]" and "compressor power [kW]"', "Leave one out"),
        ),
        ("suction pressure [bar(g)]\n1.2\n", ("line 2", "counts from the barometer", 'Add a column "altitude [m]"')),
        ("power [W]\n390 W\n", ("line 2", 'column "power [W]"', "'390 W'", "unit stands in the heading only")),
        ("power [W]\nlots\n", ("line 2", "'lots' cannot be used", "one decimal point")),
        ("power [W],altitude [m]\n390,0\n0,5,430\n", ("line 3", "3 values stand under 2 headings", "decimal comma")),
        ("power [W],altitude [m]\n390\n", ("line 2", "1 values stand under 2 headings", "Keep the separator")),
        ("power [kW]\n3900\n", ("line 2", "3900 kW is outside 0 ... 1000 kW", "decimal point")),
        ("liquid pipe [C]\n950\n", ("line 2", "950 C is outside -100 ... 250 C")),
        ("liquid pipe [F]\n-500\n", ("line 2", "temperature -500 F is below the limit of -459.67 F")),
        ("barometer [hPa],power [W]\n29.9,1\n", ("line 2", "29.9 hPa is outside 500 ... 1120 hPa")),
        ("altitude [m],power [W]\n14000,1\n", ("line 2", "14000 m is outside -430 ... 5000 m")),
        ("altitude [m],suction pressure [bar(g)]\n430,-1.2\n", ("line 2", "-1.2 bar(g)", "no vacuum is deeper")),
        ("refrigerant,power [W]\nR-134b,1\n", ("line 2", "Closest: R-134a")),
        ("refrigerant,power [W]\nR-134a,1\nR-22,1\n", ("line 3", '"R-22" stands below "R-134a"', "one refrigerant")),
        ('power [W]\n"390\n', ("cannot be read",)),
    ],
)
def test_a_refusal_says_where_what_and_what_to_do(text: str, says: tuple[str, ...]) -> None:
    message = refusal(text)
    assert message.startswith("sheet.csv")
    for words in says:
        assert words in message


def test_the_line_is_counted_with_comments_and_blank_lines() -> None:
    assert "sheet.csv, line 5:" in refusal("# bench 2\n\npower [W]\n390\nlots\n")


@pytest.mark.parametrize(
    ("raw", "says"),
    [(b"PK\x03\x04\x00\x00", "Save it as CSV"), (b"\xff\xfe\x00", "CSV"), (b"x" * 5_000_001, "5000000")],
)
def test_what_is_no_sheet_is_refused(tmp_path: Path, raw: bytes, says: str) -> None:
    path = tmp_path / "sheet.csv"
    path.write_bytes(raw)
    with pytest.raises(FileProblem, match=says):
        load_readings(path)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="no such file"):
        load_readings(tmp_path / "sheet.csv")
    with pytest.raises(FileProblem, match="cannot be read"):
        load_readings(tmp_path)


# what is doubtful

IN_ORDER = Moment(
    line=2,
    barometer_pa=SCHOOL_PA,
    barometer_read=True,
    suction_pressure_pa=216_265.0,
    suction_is_gauge=True,
    discharge_pressure_pa=996_265.0,
    discharge_is_gauge=True,
    suction_pipe_k=271.15,
    compressor_inlet_k=279.15,
    discharge_pipe_k=340.15,
    liquid_pipe_k=307.15,
    evaporator_air_in_k=278.15,
    evaporator_air_in_wet_bulb_k=276.15,
    evaporator_air_out_k=272.65,
    condenser_air_in_k=296.65,
    condenser_air_out_k=302.65,
    mass_flow_kg_per_s=22.0 / 3600.0,
    power_w=390.0,
)
"""Own example: an R-134a refrigerator with 6 K of superheat and 5 K of subcooling."""
UNITS = dict.fromkeys(("suction_pipe_k", "liquid_pipe_k"), "°C")


def doubts(**changed: object) -> str:
    moment = dataclasses.replace(IN_ORDER, **changed)  # type: ignore[arg-type]
    return " ".join(plausibility_notes((moment,), refrigerant("R-134a"), UNITS))


def test_readings_in_order_raise_no_doubt() -> None:
    assert doubts() == ""


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"suction_pressure_pa": 996_265.0, "discharge_pressure_pa": 216_265.0}, "Are the gauges swapped?"),
        ({"suction_pressure_pa": 60_000.0}, "compression ratio 17"),
        ({"suction_pressure_pa": 500.0}, "outside the table of R-134a"),
        ({"suction_pipe_k": 262.15}, "superheat is -2.9 K"),
        ({"liquid_pipe_k": 315.15}, "subcooling is -2.8 K"),
        ({"discharge_pipe_k": 300.15}, "colder than the vapour in it can be"),
        ({"evaporator_air_in_wet_bulb_k": 279.15}, "wet bulb is 1.0 K above the dry bulb"),
        ({"evaporator_air_out_k": 282.15}, "the evaporator warms its air"),
        ({"condenser_air_out_k": 290.15}, "the condenser cools its air"),
        ({"mass_flow_kg_per_s": 2.2}, "Check the units of flow"),
        ({"power_w": 0.39}, "power (W or kW)"),
        # 28.4 F typed as 28.4 C would still be a superheat; 93 F typed as 93 C is no liquid pipe
        ({"liquid_pipe_k": 273.15 + 93.0}, "Was it 93 F?"),
        ({"suction_pipe_k": 273.15 + 34.0}, "Was it 34 F?"),
        # 1.2 bar(g) and 9 bar(g) written under headings that say absolute
        ({"suction_pressure_pa": 70_000.0, "suction_is_gauge": False}, "Was it a gauge pressure?"),
        ({"discharge_pressure_pa": 900_000.0, "discharge_is_gauge": False, "liquid_pipe_k": 311.15}, "Was it a gauge"),
    ],
)
def test_each_doubt_is_raised_with_its_reason(changed: dict[str, object], says: str) -> None:
    found = doubts(**changed)
    assert found.startswith("Line 2: ")
    assert says in found


def test_a_doubt_is_raised_once_for_many_rows() -> None:
    wet = dataclasses.replace(IN_ORDER, suction_pipe_k=262.15)
    (note,) = plausibility_notes((IN_ORDER, wet, wet, wet), refrigerant("R-134a"), UNITS)
    assert note.endswith("(And 2 more rows.)")


def test_a_file_brings_its_doubts_along() -> None:
    sheet = parse_readings("suction pressure [bar(a)],discharge pressure [bar(a)]\n9,2\n")
    assert "swapped" in sheet.notes[0]


# what it means

BENCH = Instruments(
    gauge_class_percent=1.6,  # EN 837-1 class, as common on service gauges (common practice)
    suction_full_scale_pa=1.0e6,
    discharge_full_scale_pa=2.5e6,
    thermometer_k=0.5,
    barometer_pa=200.0,
    mass_flow_share=0.02,
    power_share=0.01,
)
RESULTS = ("superheat", "total_superheat", "subcooling", "capacity", "cop")


def test_the_results_are_the_chain_of_elementary_steps() -> None:
    fluid, found = refrigerant("R-134a"), evaluate(IN_ORDER, "R-134a")
    dew_k, bubble_k = fluid.dew_temperature(216_265.0), fluid.bubble_temperature(996_265.0)
    assert found.superheat.value == pytest.approx(271.15 - dew_k)
    assert found.total_superheat.value == pytest.approx(279.15 - dew_k)
    assert found.subcooling.value == pytest.approx(bubble_k - 307.15)
    effect = fluid.enthalpy_pt(216_265.0, 271.15) - fluid.enthalpy_pt(996_265.0, 307.15)
    assert found.capacity.value == pytest.approx(22.0 / 3600.0 * effect)
    assert found.cop.value == pytest.approx(found.capacity.value / 390.0)
    assert found.cop.expanded_uncertainty is None


def test_a_blend_takes_the_dew_line_for_superheat_and_the_bubble_line_for_subcooling() -> None:
    blend = refrigerant("R-407C")
    moment = Moment(suction_pressure_pa=5e5, suction_pipe_k=283.15, discharge_pressure_pa=17e5, liquid_pipe_k=308.15)
    found = evaluate(moment, blend)
    assert found.superheat.value == pytest.approx(283.15 - blend.dew_temperature(5e5))
    assert found.subcooling.value == pytest.approx(blend.bubble_temperature(17e5) - 308.15)


@pytest.mark.parametrize("missing", ["suction_pressure_pa", "liquid_pipe_k", "mass_flow_kg_per_s"])
def test_a_missing_reading_is_named(missing: str) -> None:
    found = evaluate(dataclasses.replace(IN_ORDER, **{missing: None}), "R-134a", BENCH)
    title = next(column.title for column in COLUMNS if column.field == missing)
    assert found.capacity is None
    assert f"No capacity: {title} not read." in found.notes


def test_wet_refrigerant_has_no_capacity_from_pressure_and_temperature() -> None:
    found = evaluate(dataclasses.replace(IN_ORDER, liquid_pipe_k=315.15), "R-134a", BENCH)
    assert found.subcooling.value < 0.0
    assert found.capacity is None
    assert any("do not tell the enthalpy" in note for note in found.notes)


def test_a_plant_that_draws_no_power_has_no_cop() -> None:
    found = evaluate(dataclasses.replace(IN_ORDER, power_w=0.0), "R-134a", BENCH)
    assert found.cop is None
    assert found.capacity is not None


# how certain it is


def test_the_limit_of_an_instrument_is_a_rectangular_distribution() -> None:
    # GUM (JCGM 100:2008), 4.3.7: u = a / sqrt(3); 6.3.3: k = 2
    found = propagate(lambda moment: moment.power_w, IN_ORDER, {"power_w": 3.0}, "W")
    assert found.standard_uncertainty == pytest.approx(3.0 / math.sqrt(3.0))
    assert found.expanded_uncertainty == pytest.approx(2.0 * 3.0 / math.sqrt(3.0))
    assert found.shares == {"power_w": pytest.approx(1.0)}


def test_superheat_is_as_uncertain_as_gauge_and_thermometer_make_it() -> None:
    # by hand: u(p) = 1.6 % of 10 bar / sqrt(3); dT/dp of the dew line from the table; u(T) = 0.5 K / sqrt(3)
    fluid, found = refrigerant("R-134a"), evaluate(IN_ORDER, "R-134a", BENCH)
    slope = (fluid.dew_temperature(217_265.0) - fluid.dew_temperature(215_265.0)) / 2000.0
    by_hand = math.hypot(slope * 16_000.0, slope * 200.0, 0.5) / math.sqrt(3.0)
    assert found.superheat.standard_uncertainty == pytest.approx(by_hand, rel=0.002)
    assert list(found.superheat.shares) == ["suction_pressure_pa", "suction_pipe_k", "barometer_pa"]
    assert sum(found.superheat.shares.values()) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("name", "moment"),
    [
        ("R-134a", IN_ORDER),
        (
            "R-407C",  # own example with glide: 6 K of superheat, 5 K of subcooling, both gauges absolute
            Moment(
                suction_pressure_pa=5e5,
                suction_pipe_k=285.15,
                compressor_inlet_k=289.15,
                discharge_pressure_pa=17e5,
                liquid_pipe_k=304.15,
                mass_flow_kg_per_s=0.02,
                power_w=1100.0,
            ),
        ),
    ],
)
def test_first_order_agrees_with_monte_carlo(name: str, moment: Moment) -> None:
    # JCGM 101:2008: draw each instrument's error from its rectangular distribution and look at the spread
    fluid = refrigerant(name)
    first_order = evaluate(moment, fluid, BENCH)
    limits = reading_limits(moment, BENCH)
    draws = np.random.default_rng(20240229).uniform(-1.0, 1.0, size=(3000, len(limits)))
    spread = {result: [] for result in RESULTS}
    for draw in draws:
        errors = {field: float(share) * limit for share, (field, limit) in zip(draw, limits.items(), strict=True)}
        trial = evaluate(shifted(moment, errors), fluid)
        for result in RESULTS:
            spread[result].append(getattr(trial, result).value)
    for result in RESULTS:
        found = getattr(first_order, result)
        # 3000 draws know the spread to about 1 %; the rest is the bend of the saturation line
        assert np.std(spread[result]) == pytest.approx(found.standard_uncertainty, rel=0.04), result
        assert np.mean(spread[result]) == pytest.approx(found.value, abs=0.1 * found.standard_uncertainty), result
        inside = np.abs(np.array(spread[result]) - found.value) <= found.expanded_uncertainty
        assert 0.93 <= np.mean(inside) <= 1.0, result


@given(worse=st.floats(1.1, 5.0), field=st.sampled_from(["gauge_class_percent", "thermometer_k", "mass_flow_share"]))
@settings(max_examples=30, deadline=None)
def test_a_worse_instrument_never_makes_a_result_more_certain(worse: float, field: str) -> None:
    coarse = dataclasses.replace(BENCH, **{field: getattr(BENCH, field) * worse})
    better, poorer = evaluate(IN_ORDER, "R-134a", BENCH), evaluate(IN_ORDER, "R-134a", coarse)
    for result in RESULTS:
        one, other = getattr(better, result), getattr(poorer, result)
        if other.standard_uncertainty is not None:
            assert other.standard_uncertainty >= one.standard_uncertainty * (1.0 - 1e-3)
    assert poorer.capacity.standard_uncertainty > better.capacity.standard_uncertainty


def test_the_barometer_moves_gauges_and_not_absolute_instruments() -> None:
    gauge = shifted(IN_ORDER, {"barometer_pa": 1000.0})
    assert gauge.suction_pressure_pa == IN_ORDER.suction_pressure_pa + 1000.0
    assert gauge.discharge_pressure_pa == IN_ORDER.discharge_pressure_pa + 1000.0
    absolute = dataclasses.replace(IN_ORDER, suction_is_gauge=False)
    assert shifted(absolute, {"barometer_pa": 1000.0}).suction_pressure_pa == IN_ORDER.suction_pressure_pa


def test_an_altitude_is_less_certain_than_a_barometer() -> None:
    guessed = dataclasses.replace(IN_ORDER, barometer_read=False)
    assert reading_limits(guessed, BENCH)["barometer_pa"] > reading_limits(IN_ORDER, BENCH)["barometer_pa"]
    assert (
        evaluate(guessed, "R-134a", BENCH).superheat.standard_uncertainty
        > evaluate(IN_ORDER, "R-134a", BENCH).superheat.standard_uncertainty
    )


def test_a_superheat_smaller_than_its_uncertainty_is_doubted() -> None:
    nearly_wet = dataclasses.replace(IN_ORDER, suction_pipe_k=266.15)
    found = evaluate(nearly_wet, "R-134a", BENCH)
    assert any("liquid may leave the evaporator" in note for note in found.notes)
    assert found.capacity is not None  # computed one-sided: the wet side is refused


def test_without_the_limit_of_the_flow_meter_capacity_has_no_uncertainty() -> None:
    found = evaluate(IN_ORDER, "R-134a", dataclasses.replace(BENCH, mass_flow_share=None))
    assert found.capacity.standard_uncertainty is None
    assert found.superheat.standard_uncertainty is not None
    assert any("limit of refrigerant flow is not known" in note for note in found.notes)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"gauge_class_percent": 16.0}, "gauge class 16 % is outside 0 ... 10 %"),
        ({"thermometer_k": -0.5}, "thermometers -0.5 K"),
        ({"mass_flow_share": 2.0}, "flow meter 2 is outside 0 ... 0.5"),
        ({"suction_full_scale_pa": math.nan}, "not a number"),
    ],
)
def test_an_impossible_instrument_is_refused(changed: dict[str, float], says: str) -> None:
    with pytest.raises((OutOfRange, NotUsable), match=says.replace(".", r"\.")):
        dataclasses.replace(BENCH, **changed)


def test_an_unknown_refrigerant_is_refused_with_the_closest_names() -> None:
    with pytest.raises(UnknownName, match="R-134a"):
        evaluate(IN_ORDER, "R-134b")


def test_readings_cannot_be_changed() -> None:
    sheet = parse_readings(SHEET)
    assert isinstance(sheet, Readings)
    with pytest.raises(dataclasses.FrozenInstanceError):
        sheet.moments[0].power_w = 1.0  # type: ignore[misc]
