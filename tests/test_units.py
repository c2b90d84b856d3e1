"""Units: the numbers of the trade, the barometer, gauge pressures, and values as people write them.

The digits of NIST SP 811 are from memory; the printed conversions in tests/reference are the outside check.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab import units
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.units import from_si, parse_quantity, pressure_from_pa, pressure_pa, to_si
from hvacr_lab.units.table import UNITS, find_pressure_unit, find_unit

SEA_LEVEL_PA = 101_325.0
SCHOOL_PA = 96_265.0  # own value: standard atmosphere at 430 m


@pytest.mark.parametrize(
    ("value", "unit", "quantity", "si"),
    [
        (1.0, "psi", "pressure", 6894.757),  # NIST SP 811, appendix B.8
        (1.0, "inHg", "pressure", 3386.389),  # NIST SP 811, conventional inch of mercury
        (1.0, "inH2O", "pressure", 249.0889),  # NIST SP 811, conventional inch of water
        (1.0, "mmHg", "pressure", 133.3224),  # NIST SP 811
        (500.0, "micron", "pressure", 66.66119),  # common practice: the evacuation target 500 micron is 0.5 mmHg
        (32.0, "F", "temperature", 273.15),  # definition
        (-40.0, "F", "temperature", 233.15),  # the two scales meet at -40
        (491.67, "R", "temperature", 273.15),  # definition
        (18.0, "F", "temperature difference", 10.0),  # definition: no 32 in a difference
        (1.0, "ton", "power", 3516.853),  # NIST SP 811, ton of refrigeration
        (12_000.0, "Btu/h", "power", 3516.853),  # definition of the ton
        (1.0, "hp", "power", 745.6999),  # NIST SP 811, 550 ft lbf/s
        (1.0, "Btu", "energy", 1055.056),  # NIST SP 811, International Table
        (1.0, "kWh", "energy", 3.6e6),  # definition
        (1.0, "lb/h", "mass flow", 1.259979e-4),  # NIST SP 811
        (1.0, "lb/min", "mass flow", 7.559873e-3),  # NIST SP 811
        (1.0, "ft3/min", "volume flow", 4.719474e-4),  # NIST SP 811
        (1.0, "Btu/lb", "specific enthalpy", 2326.0),  # NIST SP 811, exact
        (1.0, "Btu/(lb F)", "specific entropy", 4186.8),  # NIST SP 811, exact
        (1.0, "ft3/lb", "specific volume", 0.06242796),  # NIST SP 811
        (1.0, "lb/ft3", "density", 16.01846),  # NIST SP 811
        (1.0, "oz", "mass", 0.02834952),  # NIST SP 811, avoirdupois
        (1.0, "in", "length", 0.0254),  # definition
        (7000.0, "gr/lb", "humidity ratio", 1.0),  # definition: 7000 grains in a pound
        (1500.0, "rpm", "rotational speed", 25.0),  # definition
        (3.412142, "Btu/(W h)", "COP", 1.0),  # 1 W = 3.412142 Btu/h, NIST SP 811
    ],
)
def test_one_of_each_as_the_standard_prints_it(value: float, unit: str, quantity: str, si: float) -> None:
    assert to_si(value, unit, quantity) == pytest.approx(si, rel=1e-6)


def test_a_temperature_difference_and_a_temperature_are_two_things() -> None:
    assert to_si(10.0, "K", "temperature difference") == to_si(10.0, "C", "temperature difference")
    assert to_si(10.0, "C", "temperature") == pytest.approx(283.15)
    assert to_si(9.0, "F", "temperature difference") == pytest.approx(5.0)
    assert to_si(-5.0, "K", "temperature difference") == -5.0
    with pytest.raises(OutOfRange, match="difference"):
        to_si(-5.0, "K", "temperature")


ALL_UNITS = [(quantity, unit) for quantity in units.quantities() for unit in units.units_of(quantity)]


@given(where=st.sampled_from(ALL_UNITS), value=st.floats(0.0, 1e7))
@settings(max_examples=200, deadline=None)
def test_there_and_back_again(where: tuple[str, str], value: float) -> None:
    quantity, unit = where
    assert from_si(to_si(value, unit, quantity), unit, quantity) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(where=st.sampled_from(ALL_UNITS), first=st.floats(0.0, 1e6), more=st.floats(1.0, 1e6))
@settings(max_examples=100, deadline=None)
def test_more_is_more_in_every_unit(where: tuple[str, str], first: float, more: float) -> None:
    quantity, unit = where
    assert to_si(first + more, unit, quantity) > to_si(first, unit, quantity)


def test_the_first_unit_of_each_quantity_is_the_si_unit() -> None:
    assert {quantity: UNITS[quantity][units.units_of(quantity)[0]] for quantity in UNITS} == dict.fromkeys(
        UNITS, (1.0, 0.0)
    )


@pytest.mark.parametrize(("quantity", "unit"), ALL_UNITS)
def test_each_unit_is_found_under_its_own_name_however_it_is_typed(quantity: str, unit: str) -> None:
    for typed in (unit, unit.upper(), unit.lower(), f" {unit} "):
        assert find_unit(typed, quantity) is UNITS[quantity][unit]


def test_no_pressure_spelling_means_two_things() -> None:
    marks = {"gauge": ("(g)", "g", " gauge"), "absolute": ("", "(a)", "a", " abs"), "vacuum": (" vacuum", " vac")}
    for unit, (reference, spellings) in itertools.product(UNITS["pressure"], marks.items()):
        for spelling in spellings:
            assert find_pressure_unit(unit + spelling) == (unit, reference)


def test_arrays_keep_their_shape_and_lists_count_as_arrays() -> None:
    grid = np.array([[0.0, 10.0], [20.0, 30.0]])
    assert to_si(grid, "C", "temperature").shape == (2, 2)
    assert to_si([1, 2], "bar", "pressure").tolist() == [1e5, 2e5]  # type: ignore[type-var]
    assert to_si(np.array([]), "bar", "pressure").size == 0
    assert isinstance(to_si(np.float64(1.0), "bar", "pressure"), float)


# the barometer


@pytest.mark.parametrize(
    ("altitude_m", "pressure"),
    [(-500.0, 107_478), (0.0, 101_325), (500.0, 95_461), (1500.0, 84_556), (3000.0, 70_108), (5000.0, 54_020)],
)
def test_standard_atmosphere_as_printed(altitude_m: float, pressure: float) -> None:
    # ASHRAE Fundamentals 2021, ch. 1, table 1
    assert units.standard_atmosphere_pa(altitude_m) == pytest.approx(pressure, rel=3e-5)


@pytest.mark.parametrize(("altitude_m", "celsius"), [(1000.0, 8.5), (3000.0, -4.5)])
def test_standard_temperature_as_printed(altitude_m: float, celsius: float) -> None:
    # ASHRAE Fundamentals 2021, ch. 1, table 1
    assert units.standard_atmosphere_k(altitude_m) - 273.15 == pytest.approx(celsius, abs=0.05)


def test_the_barometer_falls_with_altitude() -> None:
    assert np.all(np.diff(units.barometer_pa(np.linspace(-430.0, 5000.0, 200))) < 0.0)


def test_an_altitude_in_feet_is_suspected() -> None:
    with pytest.raises(OutOfRange, match=r"altitude 7200 m is outside -430 ... 5000 m. Is it in feet"):
        units.barometer_pa(7200.0)


@pytest.mark.parametrize("wrong", [1013.25, 1.013, 101.325, 29.92])
def test_a_barometer_in_another_unit_is_refused(wrong: float) -> None:
    with pytest.raises(OutOfRange, match="1013 hPa is 101300 Pa"):
        units.absolute_pressure_pa(2e5, wrong)


# gauge and absolute


def test_gauge_is_absolute_less_barometer() -> None:
    # common practice: 0 psig is the atmosphere; 14.696 psi at sea level
    assert pressure_pa(0.0, "psig", SEA_LEVEL_PA) == SEA_LEVEL_PA
    assert pressure_from_pa(SEA_LEVEL_PA, "psia") == pytest.approx(14.696, abs=5e-4)
    assert pressure_from_pa(SCHOOL_PA, "bar(g)", SCHOOL_PA) == 0.0


def test_a_vacuum_counts_downwards_from_the_barometer() -> None:
    # common practice: 29.92 inHg vacuum is (nearly) nothing at sea level, and cannot be reached in the hills
    assert pressure_pa(29.92, "inHg vacuum", SEA_LEVEL_PA) == pytest.approx(0.0, abs=10.0)
    assert pressure_pa(10.0, "inHg vacuum", SEA_LEVEL_PA) == pytest.approx(67_461, abs=1.0)
    with pytest.raises(OutOfRange, match="no vacuum is deeper"):
        pressure_pa(29.92, "inHg vacuum", SCHOOL_PA)


@given(
    pressure=st.floats(1.0, 5e6),
    barometer=st.floats(50_000.0, 112_000.0),
    unit=st.sampled_from(["bar(g)", "psig", "kPa(a)", "inHg vacuum", "MPa", "psia"]),
)
@settings(max_examples=100, deadline=None)
def test_what_the_gauge_shows_leads_back_to_the_pressure(pressure: float, barometer: float, unit: str) -> None:
    shown = pressure_from_pa(pressure, unit, barometer)
    assert pressure_pa(shown, unit, barometer) == pytest.approx(pressure, abs=1e-3)


def test_a_gauge_pressure_without_barometer_is_refused() -> None:
    with pytest.raises(NotUsable, match="needs the barometer as well"):
        pressure_pa(2.0, "bar(g)")
    with pytest.raises(UnknownName, match=r"pressure_pa\(value, unit, barometer_pa\)"):
        to_si(2.0, "bar(g)", "pressure")


@pytest.mark.parametrize(("value", "unit"), [(-1.2, "bar(g)"), (-15.0, "psig"), (-1.0, "bar"), (31.0, "inHg vacuum")])
def test_nothing_lies_below_a_perfect_vacuum(value: float, unit: str) -> None:
    with pytest.raises(OutOfRange, match="pressure"):
        pressure_pa(value, unit, SCHOOL_PA)


# values as people write them


@pytest.mark.parametrize(
    ("text", "quantity", "si"),
    [
        ("2 bar", "pressure", 200_000.0),
        ("2,5 bar", "pressure", 250_000.0),
        ("2bar(g)", "pressure", 200_000.0 + SCHOOL_PA),
        ("2 barg", "pressure", 200_000.0 + SCHOOL_PA),
        ("29.4 psig", "pressure", 29.4 * 6894.757 + SCHOOL_PA),
        ("−0.5 bar(g)", "pressure", SCHOOL_PA - 50_000.0),
        ("1e5 Pa", "pressure", 1e5),
        ("0,125 MPa", "pressure", 125_000.0),
        ("40 degC", "temperature", 313.15),
        ("40 °C", "temperature", 313.15),
        ("40 C", "temperature", 313.15),
        ("104 F", "temperature", 313.15),
        ("300K", "temperature", 300.0),
        ("5 °C", "temperature difference", 5.0),
        ("9 degF", "temperature difference", 5.0),
        ("60 lb/hr", "mass flow", 60.0 * 1.259979e-4),
        ("400 cfm", "volume flow", 0.1887790),
        ("12 EER", "COP", 3.516853),
        ("3.5", "COP", 3.5),
        ("45 %", "ratio", 0.45),
        ("0.24 Btu/lb·°F", "specific entropy", 1004.83),
    ],
)
def test_values_as_people_write_them(text: str, quantity: str, si: float) -> None:
    assert parse_quantity(text, quantity, barometer_pa=SCHOOL_PA) == pytest.approx(si, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "quantity", "says"),
    [
        ("1,234 kPa", "pressure", 'thousands or decimals. Write "1.234" or "1234"'),
        ("1,234.5 kPa", "pressure", "one decimal point"),
        ("2", "pressure", 'no unit. Write for example "2 bar"'),
        ("bar", "pressure", "does not start with a number"),
        ("", "temperature", 'Write a number and a unit: "2 C"'),
        ("nan bar", "pressure", "does not start with a number"),
        ("2 barr", "pressure", "Closest: bar"),
        ("5 Celsiuss", "temperature", "Write one of: K, C, F, R"),
        ("2 bar", "pressuer", "Closest: pressure"),
    ],
)
def test_what_cannot_be_read_says_how_to_write_it(text: str, quantity: str, says: str) -> None:
    with pytest.raises((NotUsable, UnknownName)) as refused:
        parse_quantity(text, quantity)
    assert says in str(refused.value)


@given(value=st.floats(-1e6, 1e6, allow_nan=False), comma=st.booleans())
@settings(max_examples=100, deadline=None)
def test_a_number_is_read_with_point_or_comma(value: float, comma: bool) -> None:
    text = f"{value:.4f}"  # four decimals are never taken for thousands
    assert units.parse_number(text.replace(".", ",") if comma else text, "x") == pytest.approx(value, abs=5e-5)


# bad input


@pytest.mark.parametrize("bad", [math.nan, math.inf, "2", True, None, b"2", [1.0, math.nan], ["a"], object()])
def test_what_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(NotUsable):
        to_si(bad, "bar", "pressure")  # type: ignore[type-var]


def test_one_bad_element_of_many_is_named() -> None:
    with pytest.raises(NotUsable, match=r"element 2 is not a number \(1 of 3 values\)"):
        to_si(np.array([1.0, 2.0, math.nan]), "bar", "pressure")
    with pytest.raises(OutOfRange, match=r"pressure -2 bar is below the limit of 0 bar. \(2 values are.\)"):
        to_si(np.array([1.0, -2.0, -3.0]), "bar", "pressure")


@pytest.mark.parametrize("value", [-1.0, np.array([1.0, -1.0])])
@pytest.mark.parametrize("quantity", ["pressure", "density", "specific volume", "mass", "humidity ratio"])
def test_some_quantities_cannot_be_negative(quantity: str, value: float) -> None:
    with pytest.raises(OutOfRange):
        to_si(value, units.units_of(quantity)[0], quantity)
    with pytest.raises(OutOfRange):
        from_si(value, units.units_of(quantity)[0], quantity)


# gauge passed as absolute


def _superheat_k(pressure: float) -> float:
    """Own line through two points of R-134a: dew -10 degC at 2.006 bar, 0 degC at 2.928 bar; pipe at 6 degC."""
    return 6.0 - (-10.0 + (pressure - 200_600.0) / 9220.0)


def test_a_gauge_reading_taken_as_absolute_is_suspected_with_its_reason() -> None:
    # 0.5 bar(g) at the school is 1.46 bar absolute: taken as 0.5 bar the superheat comes out far too large
    found = units.gauge_suspicion(50_000.0, SCHOOL_PA, name="suction pressure", margin_k=_superheat_k)
    assert found is not None
    assert "suction pressure 0.5 bar was taken as absolute: the superheat would be 32.3 K" in found
    assert "1.463 bar absolute" in found


def test_an_absolute_pressure_in_order_is_not_suspected() -> None:
    assert units.gauge_suspicion(200_600.0, SCHOOL_PA, margin_k=_superheat_k) is None
    assert units.gauge_suspicion(200_600.0, SCHOOL_PA) is None


def test_a_deep_vacuum_is_suspected_even_without_a_thermometer() -> None:
    assert "deep vacuum" in str(units.gauge_suspicion(10_000.0, SCHOOL_PA))
    assert "deep vacuum" in str(units.gauge_suspicion(-20_000.0, SCHOOL_PA))


def test_a_pressure_beyond_the_refrigerant_is_left_to_others() -> None:
    def refuses(pressure: float) -> float:
        raise OutOfRange("pressure", pressure, "Pa", high=4e6)

    assert units.gauge_suspicion(5e6, SCHOOL_PA, margin_k=refuses) is None
