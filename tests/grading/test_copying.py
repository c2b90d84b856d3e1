"""A neighbour's numbers: said only when several answers fit one classmate, and never on a single one."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from small_class import LESSON, ROSTER

from hvacr_lab.grading.copying import find_neighbour
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.keys import AnswerKey, load_key

CLASS = [student.id for student in ROSTER]
NUMERIC = ("q1-pipes", "q2-pipes", "q3-pipes")
Answers = Mapping[str, Mapping[str, object]]


@pytest.fixture(scope="module")
def key(pristine_class: ClassFolder) -> AnswerKey:
    return load_key(pristine_class.notebook(pristine_class.source, LESSON))


def right_for(key: AnswerKey, student: str, names: tuple[str, ...] = NUMERIC) -> dict[str, dict[str, object]]:
    asked = key.asked(student)
    return {name: asked[name].question.right_answers(asked[name].readings) for name in names}


def test_three_answers_of_one_classmate_are_evidence(key: AnswerKey) -> None:
    found = find_neighbour(key, "eve.elm", right_for(key, "gus.gale"), NUMERIC, CLASS)
    assert found is not None
    assert found.classmate == "gus.gale"
    assert found.questions == NUMERIC
    assert found.by_chance < 0.05
    assert "evidence, not proof" in found.sentence


def test_one_answer_of_a_classmate_is_none(key: AnswerKey) -> None:
    answers: Answers = right_for(key, "gus.gale", ("q1-pipes",)) | {
        "q2-pipes": {"twice_k": 1.0},
        "q3-pipes": {"thrice_k": 2.0},
    }
    assert find_neighbour(key, "eve.elm", answers, NUMERIC, CLASS) is None


def test_answers_of_different_classmates_are_none(key: AnswerKey) -> None:
    answers = {
        name: right_for(key, student)[name]
        for name, student in zip(NUMERIC, ("gus.gale", "ida.iris", "kim.kite"), strict=True)
    }
    assert find_neighbour(key, "eve.elm", answers, NUMERIC, CLASS) is None


def test_words_are_no_evidence_because_few_can_be_chosen(key: AnswerKey) -> None:
    assert find_neighbour(key, "eve.elm", {"q4-warmer": {"warmer": "liquid"}}, ["q4-warmer"], CLASS) is None


def test_the_own_id_among_the_classmates_changes_nothing(key: AnswerKey) -> None:
    assert find_neighbour(key, "eve.elm", right_for(key, "eve.elm"), NUMERIC, ["eve.elm"] * 5) is None


def test_honest_wrong_answers_of_a_whole_class_raise_no_suspicion(key: AnswerKey) -> None:
    """Everyone makes the same honest mistake of 5 K in each answer: nobody is called a copyist (own value)."""
    for student in CLASS:
        wrong = {
            name: {answer: float(str(value)) + 5.0 for answer, value in values.items()}
            for name, values in right_for(key, student).items()
        }
        assert find_neighbour(key, student, wrong, NUMERIC, CLASS) is None
