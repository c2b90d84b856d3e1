"""Own numbers: on the grid, the same every time, other ones for another student. All values are our own."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.errors import NotUsable
from hvacr_lab.exercises.numbers import draw, shuffled, student_key

RANGES = {"evaporating_c": (-14.0, -8.0, 0.1), "superheat_k": (4, 8, 0.5)}
texts = st.text(min_size=1, max_size=20)


def drawn(student: str = "a.one", question: str = "q1", attempt: int = 0, **more: object) -> dict[str, float]:
    return draw("salt", student, "02", question, RANGES, attempt, **more)  # type: ignore[arg-type]


@settings(max_examples=50, deadline=None)
@given(salt=texts, student=texts, question=texts, attempt=st.integers(0, 9))
def test_every_number_lies_on_its_grid(salt: str, student: str, question: str, attempt: int) -> None:
    point = draw(salt, student, "02", question, RANGES, attempt)
    assert list(point) == list(RANGES)
    for name, (low, high, step) in RANGES.items():
        assert low <= point[name] <= high
        places = (Decimal(str(point[name])) - Decimal(str(low))) / Decimal(str(step))
        assert places == places.to_integral_value()


@settings(max_examples=50, deadline=None)
@given(student=texts)
def test_the_same_student_gets_the_same_numbers_however_the_id_is_written(student: str) -> None:
    assert drawn(student) == drawn(f" {student.strip()}\t") == drawn(student_key(student))


def test_composed_and_decomposed_letters_are_one_student() -> None:
    assert student_key("ZO\u00cb.OAK") == student_key("zoe\u0308.oak") == "zo\u00eb.oak"


def test_student_question_attempt_and_salt_each_give_other_numbers() -> None:
    points = [drawn(), drawn("b.two"), drawn(question="q2"), drawn(attempt=1)]
    points.append(draw("other", "a.one", "02", "q1", RANGES))
    assert len({tuple(point.values()) for point in points}) == len(points)


def test_names_cannot_run_into_one_another() -> None:
    """Lesson "0", question "2 q1" is not lesson "02", question "q1"."""
    assert draw("salt", "a", "0", "2q1", RANGES) != draw("salt", "a", "02", "q1", RANGES)


def test_adding_a_range_behind_the_others_keeps_the_order_of_the_names() -> None:
    one_way = draw("salt", "a", "02", "q1", {"x": (0, 9, 1), "y": (0, 9, 1)})
    other_way = draw("salt", "a", "02", "q1", {"y": (0, 9, 1), "x": (0, 9, 1)})
    assert one_way == other_way


def test_a_grid_is_used_evenly() -> None:
    """600 students on 6 places: each place 100 times, give or take four standard deviations (36)."""
    places = [draw("salt", f"s{n}", "02", "q1", {"x": (1, 6, 1)})["x"] for n in range(600)]
    counts = [places.count(place) for place in range(1, 7)]
    assert min(counts) > 64
    assert max(counts) < 136


def test_refused_points_are_drawn_again() -> None:
    students = [f"s{n}" for n in range(100)]
    refused = [{"superheat_k": value} for value in (4.0, 4.5, 5.0, 5.5)]
    assert {drawn(student)["superheat_k"] for student in students} & {4.0, 5.5}
    assert min(drawn(student, refused=refused)["superheat_k"] for student in students) == 6.0


def test_a_point_is_refused_only_where_all_its_numbers_fit() -> None:
    refused = [drawn() | {"superheat_k": 99.0}]
    assert drawn(refused=refused) == drawn()


@pytest.mark.parametrize(
    ("limits", "why"),
    [
        ((8, 4, 1), "step must be"),
        ((4, 8, 0), "step must be"),
        ((4, 8, 3), "do not end"),
        ((4, 8), "no range"),
        ("4-8", "no range"),
    ],
)
def test_a_range_that_is_no_grid_is_refused(limits: object, why: str) -> None:
    with pytest.raises(NotUsable, match=why):
        draw("salt", "a", "02", "q1", {"superheat_k": limits})  # type: ignore[dict-item]


def test_a_grid_with_nothing_left_says_so() -> None:
    with pytest.raises(NotUsable, match="refused"):
        draw("salt", "a", "02", "q1", {"x": (1, 2, 1)}, refused=[{"x": 1.0}, {"x": 2.0}])


@settings(max_examples=50, deadline=None)
@given(student=texts)
def test_shuffling_loses_nothing_and_stays(student: str) -> None:
    items = ("boil", "condense", "cool", "drop")
    assert sorted(shuffled("salt", student, "02", "q8", items)) == sorted(items)
    assert shuffled("salt", student, "02", "q8", items) == shuffled("salt", student, "02", "q8", reversed(items))  # type: ignore[arg-type]


def test_students_have_their_own_order() -> None:
    assert len({shuffled("salt", f"s{n}", "02", "q8", "abcdef") for n in range(24)}) >= 23
