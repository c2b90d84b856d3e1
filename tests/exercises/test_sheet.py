"""A student's own sheet: whose it is, what it shows, what formulas find in it."""

from __future__ import annotations

import pickle
from typing import Any

import pytest

from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.exercises import Sheet, after_predicting, open_sheet, refrigerator, working_as
from hvacr_lab.exercises.identity import current_student

LESSON = "02-refrigerant-states"
MACHINE: dict[str, Any] = {
    "refrigerant": "R-134a",
    "evaporating_c": (-14.0, -8.0, 0.1),
    "condensing_c": 40.0,
    "superheat_k": (4.0, 8.0, 0.1),
}


def sheet_of(student: str = "a.one", units: str = "SI", altitude_m: float = 430.0) -> Sheet:
    with working_as(student):
        return open_sheet(LESSON, salt="trial", units=units, altitude_m=altitude_m)


@pytest.fixture
def nobody(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    monkeypatch.delenv("HVACR_LAB_STUDENT", raising=False)
    monkeypatch.delenv("JUPYTERHUB_USER", raising=False)
    return monkeypatch


# ---- whose sheet -----------------------------------------------------------------------------------------------------


def test_the_grader_comes_first_then_our_variable_then_the_hub(nobody: pytest.MonkeyPatch) -> None:
    assert current_student() == "guest"
    nobody.setenv("JUPYTERHUB_USER", "from.hub")
    assert current_student() == "from.hub"
    nobody.setenv("HVACR_LAB_STUDENT", " from.us ")
    assert current_student() == "from.us"
    with working_as("from.grader"):
        assert current_student() == "from.grader"
    assert current_student() == "from.us"


def test_one_student_after_another_in_one_process() -> None:
    assert _values("a.one") == _values("A.One ") != _values("b.two")


def _values(student: str, question: str = "q1", units: str = "SI", **more: Any) -> dict[str, float]:
    return dict(sheet_of(student, units).readings(question, refrigerator, show="suction", **MACHINE | more).values)


@pytest.mark.parametrize(
    ("change", "error"),
    [({"units": "metric"}, UnknownName), ({"salt": " "}, NotUsable), ({"altitude_m": 12_000.0}, OutOfRange)],
)
def test_a_sheet_that_cannot_be_is_refused(change: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error):
        open_sheet(LESSON, **{"salt": "trial", "units": "SI", "altitude_m": 430.0} | change)


# ---- readings --------------------------------------------------------------------------------------------------------


def test_gauge_and_absolute_differ_by_the_barometer_that_is_shown() -> None:
    r = sheet_of().readings("q1", refrigerator, show=("suction", "liquid_pipe"), **MACHINE)
    assert r.text("barometer") == "0.963 bar(a)"
    assert r.barometer_pa == pytest.approx(96_300.0)
    assert r.suction_pressure_pa == pytest.approx(r.suction_gauge_pa + r.barometer_pa)
    assert r.suction_gauge_pa == pytest.approx(r.shown["suction_pressure"] * 1e5)
    assert r.suction_pipe_k == pytest.approx(r.shown["suction_pipe"] + 273.15)
    assert r.at("suction") == (r.suction_pressure_pa, r.suction_pipe_k)
    assert r.gauge_at("suction") == (r.suction_gauge_pa, r.suction_pipe_k)
    assert r.refrigerant.name == "R-134a"


def test_the_school_on_the_mountain_has_less_air_pressure() -> None:
    """Standard atmosphere at 1500 m: 84.556 kPa (ASHRAE Fundamentals 2017, ch. 1, table 1)."""
    assert "0.846 bar(a)" in str(sheet_of(altitude_m=1500.0))
    assert "12.26 psia" in str(sheet_of(units="US", altitude_m=1500.0))


def test_both_editions_show_the_same_machine() -> None:
    si, us = _values("a.one"), _values("a.one", units="US")
    assert si["suction_pressure_pa"] == pytest.approx(us["suction_pressure_pa"], abs=1100.0)  # 0.01 bar and 0.1 psi
    assert si["suction_pipe_k"] == pytest.approx(us["suction_pipe_k"], abs=0.1)


def test_what_is_not_shown_cannot_be_asked_for() -> None:
    r = sheet_of().readings("q1", refrigerator, show="suction", **MACHINE)
    with pytest.raises(UnknownName, match="suction_pipe_k"):
        r.suction_pip_k  # noqa: B018
    with pytest.raises(UnknownName):
        r.text("liquid_pipe")
    with pytest.raises(UnknownName, match="suction"):
        sheet_of().readings("q1", refrigerator, show="suktion", **MACHINE)
    with pytest.raises(UnknownName, match="reading of this situation"):
        sheet_of().readings("q1", lambda: {"suction_pipe_k": 280.0}, show="suction")


def test_the_answer_of_the_machine_is_not_carried_along() -> None:
    """Neither the drawn superheat nor the solved one can be found in what the student holds."""
    r = sheet_of().readings("q1", refrigerator, show="evaporator_outlet", **MACHINE)
    assert not any("superheat" in name for name in (*r.values, *r.shown, *r.texts, *type(r).__slots__))


def test_readings_survive_a_copy() -> None:
    r = sheet_of().readings("q1", refrigerator, show="suction", **MACHINE)
    assert pickle.loads(pickle.dumps(r)) == r


def test_practice_tells_nothing_about_the_graded_question() -> None:
    sheet = sheet_of()
    graded = sheet.readings("q1", refrigerator, show="suction", **MACHINE)
    first, second = (sheet.practice("q1", refrigerator, number=n, show="suction", **MACHINE) for n in (1, 2))
    assert len({r.text("suction_pipe") for r in (graded, first, second)}) == 3


def test_questions_of_one_sheet_have_their_own_numbers() -> None:
    assert _values("a.one", "q1") != _values("a.one", "q2")


def test_refused_settings_are_not_drawn() -> None:
    settings = {**MACHINE, "superheat_k": (4.0, 8.0, 4.0)}
    for number in range(10):
        r = sheet_of(f"s{number}").readings(
            "q1", refrigerator, show="evaporator_outlet", refused=[{"superheat_k": 8.0}], **settings
        )
        assert r.refrigerant.superheat(*r.at("evaporator_outlet")) == pytest.approx(4.0, abs=0.2)


# ---- what is shown ---------------------------------------------------------------------------------------------------


def test_the_text_names_places_units_and_question() -> None:
    r = sheet_of().readings(
        "q1", refrigerator, show=("evaporator_outlet", "liquid_pipe"), ask="Superheat, in K? Within 1.", **MACHINE
    )
    assert str(r) == (
        "Your machine: R-134a. Barometer 0.963 bar(a).\n"
        f"  evaporator outlet: gauge pressure {r.text('evaporator_outlet_pressure')}, "
        f"pipe temperature {r.text('evaporator_outlet_pipe')}\n"
        f"  glass 3, liquid line before the expansion device: pipe temperature {r.text('liquid_pipe')}\n"
        "Superheat, in K? Within 1."
    )
    html = r._repr_html_()
    assert "<strong>Superheat, in K?</strong> Within 1." in html
    assert '<th scope="col"' in html
    assert '<th scope="row"' in html


def test_sentences_get_letters_in_the_students_own_order() -> None:
    items = {"boil": "It boils.", "drop": "It drops & flashes.", "warm": "It warms."}
    r = sheet_of().readings("q8", ask="Which?", items=items)
    letters = r.letters("boil", "drop", "warm")
    assert sorted(letters) == ["a", "b", "c"]
    for letter, text in zip(letters, items.values(), strict=True):
        assert f"  {letter}) {text}" in str(r)
    assert "It drops &amp; flashes." in r._repr_html_()
    with pytest.raises(UnknownName):
        r.letters("cool")
    orders = {sheet_of(f"s{n}").readings("q8", items=items).letters("boil", "drop", "warm") for n in range(30)}
    assert len(orders) == 6


def test_words_for_the_worked_way_follow_the_edition() -> None:
    si, us = (sheet_of(units=units).readings("q1", refrigerator, show="suction", **MACHINE) for units in ("SI", "US"))
    assert (si.pressure(2e5), us.pressure(2e5)) == ("2.000 bar(a)", "29.01 psia")
    assert (si.temperature(273.15), us.temperature(273.15)) == ("0.0 degC", "32.0 degF")
    assert (si.difference(5.0), us.difference(5.0)) == ("5.0 K", "9.0 degF")
    assert (si.enthalpy(2.326e5), us.enthalpy(2.326e5)) == ("232.6 kJ/kg", "100.0 Btu/lb")
    assert si.percent(0.25) == us.percent(0.25) == "25.0 %"


# ---- before and after ------------------------------------------------------------------------------------------------


def test_a_change_is_worked_out_and_set_beside_what_was_before() -> None:
    compared = sheet_of().compare(
        "p1", refrigerator, change={"liquid_drop_k": 12.0},
        show=("liquid_pressure", "liquid_glass", "condenser_outlet_pipe", "suction_pipe"), **MACHINE,
    )  # fmt: skip
    assert [compared.change(name) for name in compared.rows] == ["falls", "bubbles", "about the same", "about the same"]
    assert compared.words("liquid_glass") == ("vapour", "bubbles", "liquid")
    assert compared.words("liquid_pressure") == ("rises", "falls", "about the same")
    assert "glass 3: shows: liquid -> bubbles" in str(compared)
    assert '<th scope="col" style="text-align:left">after</th>' in compared._repr_html_()
    with pytest.raises(UnknownName, match="liquid_glass"):
        compared.change("liquid_glas")


def test_the_table_opens_after_the_prediction() -> None:
    compared = sheet_of().compare("p1", refrigerator, change={"liquid_drop_k": 12.0}, show="liquid_glass", **MACHINE)
    names = {"before_glass_3": "liquid", "before_subcooling": ...}
    assert str(after_predicting(names, compared, "before_glass_3", "before_subcooling")).startswith("The table opens")
    assert after_predicting(names, compared, "before_glass_3") is compared
