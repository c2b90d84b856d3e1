"""Warm-ups, practice and pictures: answered or shown at once."""

from __future__ import annotations

import base64

import pytest

from hvacr_lab.draw.sight_glasses import sight_glass_picture
from hvacr_lab.errors import UnknownName
from hvacr_lab.exercises import check_practice, check_warm_up, glasses_picture, open_sheet, refrigerator, working_as
from hvacr_lab.exercises.practice import PRACTICE, WARM_UPS
from hvacr_lab.exercises.proofs import check_question
from hvacr_lab.exercises.sheet import Shown

LESSON = "02-refrigerant-states"
ANSWER = {"SI": ("practice_superheat_k", "K"), "US": ("practice_superheat_f", "degF")}


def practice(student: str = "a.one", units: str = "SI", number: int = 1) -> Shown:
    with working_as(student):
        sheet = open_sheet(LESSON, salt="trial", units=units, altitude_m=430.0)
    return sheet.practice(
        "superheat", refrigerator, number=number, show="evaporator_outlet", refrigerant="R-134a",
        evaporating_c=(-14.0, -4.0, 0.1), condensing_c=40.0, superheat_k=(4.0, 9.0, 0.1),
    )  # fmt: skip


def test_the_warm_up_answers_each_question_at_once() -> None:
    sheet = open_sheet(LESSON, salt="trial", units="SI", altitude_m=430.0)
    assert str(check_warm_up({"warm_up_1": "b", "warm_up_2": ...}, sheet)).splitlines() == [
        "1. Right. The table counts from empty space, the gauge from the air around it.",
        "2. Not answered.",
    ]
    assert str(check_warm_up({"warm_up_1": "c", "warm_up_2": "A"}, sheet)).startswith("1. Not that one.")


def test_a_lesson_without_a_warm_up_says_so() -> None:
    sheet = open_sheet("99-nothing", salt="trial", units="SI", altitude_m=430.0)
    with pytest.raises(UnknownName, match="02-refrigerant-states"):
        check_warm_up({}, sheet)
    with pytest.raises(UnknownName, match="superheat"):
        check_practice({}, "superhet", practice(), answer="x", unit="K")


@pytest.mark.parametrize("units", ["SI", "US"])
def test_practice_shows_the_worked_way_only_when_it_is_right(units: str) -> None:
    name, unit = ANSWER[units]
    readings = practice(units=units)
    right = PRACTICE["superheat"](name, unit).right_answers(readings)
    shown = str(check_practice(right, "superheat", readings, answer=name, unit=unit))
    assert shown.startswith("Right.")
    assert f"Superheat: {readings.text('evaporator_outlet_pipe')} - (" in shown
    wrong = str(check_practice({name: 77.0}, "superheat", readings, answer=name, unit=unit))
    assert wrong == (
        "Not recognised. Go back to step 1: absolute pressure. Then the boiling temperature. Then the difference."
    )


@pytest.mark.parametrize("units", ["SI", "US"])
def test_practice_questions_are_as_sound_as_graded_ones(units: str) -> None:
    question = PRACTICE["superheat"](*ANSWER[units])
    problems = check_question(question, [practice(f"s{n}", units) for n in range(60)]).problems
    # two slips may fall together now and then: practice numbers range wider, and nothing is graded
    assert [
        problem for problem in problems if "is recognised on" not in problem and "counts as right" not in problem
    ] == []


def test_warm_ups_have_one_right_letter() -> None:
    for questions in WARM_UPS.values():
        for question in questions:
            outcomes = [question.mark({question.answers[0]: letter}, None).outcome for letter in "abc"]
            assert outcomes.count("right") == 1


def test_a_picture_is_an_image_with_words() -> None:
    states = ("vapour", "liquid", "bubbles", "bubbles", "vapour")
    picture = glasses_picture(states, title="A clogged drier")
    html = picture._repr_html_()
    data = html.partition("base64,")[2].partition('"')[0]
    assert base64.b64decode(data).decode() == sight_glass_picture(states, title="A clogged drier")
    assert f'alt="{picture.alt}"' in html
    assert "Glass 3, liquid line before the expansion device: bubbles." in str(picture)
