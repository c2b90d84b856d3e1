"""The class report: what it counts, what it says, and that nothing a student writes can act in it.

Class, points and names are invented (own values); each expected number is counted by hand from the class below.
"""

from __future__ import annotations

import base64
import csv
import dataclasses
import io
import math
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from html.parser import HTMLParser

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from hvacr_lab.exercises.slips import SLIPS
from hvacr_lab.grading.class_report import (
    CSV_COLUMNS,
    CSV_QUESTION_COLUMNS,
    ClassReport,
    analyse,
    report_csv,
    report_html,
)
from hvacr_lab.grading.class_statistics import discrimination
from hvacr_lab.grading.records import ClassRecord, QuestionResult, Student, SubmissionResult
from hvacr_lab.grading.teach_again import IDEAS

QUESTIONS = (
    ("q1-glasses", "State at each of the five glasses", 3.0),
    ("q2-boiling", "Boiling temperature at the suction gauge", 2.0),
    ("q3-superheat", "Superheat at the evaporator outlet", 2.0),
    ("q4-total", "Total superheat at the compressor", 2.0),
    ("q5-subcooling", "Subcooling in the liquid line", 2.0),
    ("q6-wet", "Wet or dry suction", 1.0),
    ("q7-glide", "Superheat of a blend with glide", 2.0),
    ("q8-order", "Order of the steps", 2.0),
    ("q9-explain", "Why the pipe must be warmer than the boiling temperature", 4.0),
)
MAX_POINTS = 20.0
NAMES = (
    "Abara Tomi, Bergum Lene, Calder Ines, Dorval Pia, Estman Ruben, Farrow Jon, Galbo Mira, Hartlin Osk, "
    "Ingvar Sol, Jarnek Ada, Kestrel Ben, Lomas Rita, Mardin Kai, Norvel Eva, Ostrey Lu, Pellan Max, "
    "Quarles Ivo, Rostan Nia, Selmer Tad, Tavik Una, Ulmer Cy, Varga Zoe, Wendel Abe, Åkerby Lin"
)
ROSTER = tuple(
    Student(f"s{number:02d}", first, last)
    for number, (last, first) in enumerate((name.split() for name in NAMES.split(", ")), start=1)
)
SEEN = {"head_pressure": "rises", "suction_pressure": "about the same", "superheat": "falls"}


def answer(place: int, outcome: str, points: float | None = 0.0, slip: str | None = None) -> QuestionResult:
    grade_id, title, max_points = QUESTIONS[place]
    return QuestionResult(grade_id, title, points, max_points, outcome, slip=slip, given="4.2", sentence="Look again.")


def right(place: int) -> QuestionResult:
    return answer(place, "right", QUESTIONS[place][2])


def prediction(before: dict[str, str], after: dict[str, str]) -> QuestionResult:
    detail = {"before": before, "after": after, "truth": SEEN}
    return QuestionResult("p1-fan", "Condenser fan at half speed", 0.0, 0.0, "recorded", detail=detail)


def sheet(student: str, answers: Sequence[QuestionResult], **more: object) -> SubmissionResult:
    usual: dict[str, object] = {"status": "graded", "reasons": (), "suspicions": ()}
    usual |= {"submitted_at": "2031-03-07T14:05:00"} | more
    return SubmissionResult(student, "02-refrigerant-states", questions=tuple(answers), **usual)  # type: ignore[arg-type]


def class_of_24() -> ClassRecord:
    """22 hand in: number 17 (Quarles) a file that cannot be read, number 10 (Jarnek) a blank sheet."""
    results = []
    for number, student in enumerate(ROSTER[:22], start=1):
        answers = [right(place) for place in range(8)]
        if number % 3 == 0:  # 3 6 9 12 15 18 21: seven students
            answers[2] = answer(2, "slip", 0.5, "gauge-as-absolute")
        if number in (3, 6):  # the same slip once more, by two of the seven
            answers[3] = answer(3, "slip", 0.0, "gauge-as-absolute")
        if number in (4, 8):
            answers[6] = answer(6, "slip", 1.0, "mean-for-end")
        if number in (1, 2, 3, 5, 6, 7, 9, 12, 15, 21):  # ten students
            answers[6] = answer(6, "unknown" if number % 2 else "not answered")
        if number in (5, 6, 15):
            answers[7] = answer(7, "close")
        by_hand = answer(8, "by hand", None if number in (20, 21, 22) else 3.0)
        before = SEEN if number % 4 == 0 else {**SEEN, "suction_pressure": "falls"}
        after = SEEN if number % 4 in (0, 1, 2) else {**SEEN, "suction_pressure": "rises"}
        results.append(sheet(student.id, [prediction(before, after), *answers, by_hand]))
    blank = [*(answer(place, "not answered") for place in range(8)), answer(8, "by hand", 0.0)]
    results[9] = sheet("s10", [dataclasses.replace(question, given="") for question in blank])
    results[16] = sheet("s17", [], status="unreadable", reasons=("The file is not a notebook: it is cut off.",))
    stopped = "The notebook ran for more than 60 s in cell 14 and was stopped."
    results[12] = dataclasses.replace(results[12], status="stopped", reasons=(stopped,))
    fits = "Three answers miss the own numbers and fit those of Lene Bergum."
    results[6] = dataclasses.replace(results[6], suspicions=(fits,))
    edited = "The check of question 3 had been edited; it was put back."
    results[3] = dataclasses.replace(results[3], reasons=(edited,), suspicions=("A locked check was edited.",))
    return ClassRecord("02-refrigerant-states", "States of the refrigerant", ROSTER, tuple(results))


@pytest.fixture(scope="module")
def record() -> ClassRecord:
    return class_of_24()


@pytest.fixture(scope="module")
def report(record: ClassRecord) -> ClassReport:
    return analyse(record)


@pytest.fixture(scope="module")
def html(report: ClassReport) -> str:
    return report_html(report)


# --- what is counted -------------------------------------------------------------------------------------------------


def test_the_class_is_described_in_the_headline(report: ClassReport) -> None:
    assert report.headline.startswith(
        "22 of 24 students handed in. Half of the sheets have 17 of 20 points or more so far."
    )
    assert report.headline.endswith("Teach again first: Superheat of a blend with glide (10 of 20).")


def test_who_has_not_handed_in_and_who_waits(report: ClassReport) -> None:
    assert report.not_handed_in == ("Lin Åkerby", "Abe Wendel")
    assert [line.name for line in report.waiting] == ["Una Tavik", "Cy Ulmer", "Zoe Varga"]


def test_students_stand_by_last_name_with_accents_where_people_look_for_them(report: ClassReport) -> None:
    last_names = [line.student.last_name for line in report.lines]
    assert last_names[:3] == ["Abara", "Åkerby", "Bergum"]
    assert last_names[3:] == sorted(last_names[3:])


def test_a_slip_counts_each_student_once_and_each_answer(report: ClassReport) -> None:
    gauge = report.slips[0]
    assert (gauge.slip, gauge.label) == ("gauge-as-absolute", SLIPS["gauge-as-absolute"].label)
    assert (len(gauge.students), gauge.answers) == (7, 9)
    assert [question.number for question in gauge.questions] == [3, 4]


def test_difficulty_leaves_out_blank_and_unreadable_sheets(report: ClassReport) -> None:
    superheat = report.questions[2]
    assert superheat.sheets == 20
    # 13 x 2 points and 7 x 0.5 points of 20 x 2
    assert superheat.share_of_points == pytest.approx((13 * 2 + 7 * 0.5) / 40)
    assert superheat.outcomes == (("right", 13), ("slip", 7))


def test_a_question_that_waits_counts_only_what_is_marked(report: ClassReport) -> None:
    explain = report.questions[8]
    assert explain.share_of_points == pytest.approx(0.75)
    assert dict(explain.outcomes) == {"by hand": 17, "waiting": 3}
    assert explain.discrimination is None
    assert explain.why_no_discrimination == "Not every answer is marked yet."


def test_predictions_before_and_after(report: ClassReport) -> None:
    _, suction, _ = report.predictions
    assert suction.title == "Condenser fan at half speed: suction pressure"
    assert suction.seen == "about the same"
    # those with a number that 4 divides were right before (4 8 12 16 20); numbers 3 7 11 15 19 were not right after
    assert (suction.predicted, suction.right_before, suction.right_after) == (20, 5, 15)
    assert (suction.changed_to_right, suction.changed_away) == (10, 0)
    assert suction.still_other == ("Ines Calder", "Mira Galbo", "Ben Kestrel", "Lu Ostrey", "Tad Selmer")


def test_what_to_teach_again_is_ranked_and_says_whom_and_what_to_ask(report: ClassReport) -> None:
    numbers = [idea.number for idea in report.teach_again]
    assert numbers == sorted(numbers, reverse=True) == [10, 7, 5, 3, 2]
    gauge = report.teach_again[1]
    assert gauge.heading == "Gauge or absolute?"
    assert gauge.sentence.startswith("7 of 20 mixed up gauge and absolute pressure in questions 3 and 4.")
    assert gauge.ask.endswith("?")
    assert len(gauge.students) == 7


@pytest.mark.parametrize("slip", sorted(set(SLIPS) - {"neighbour"}))
def test_each_slip_of_the_library_has_a_question_for_the_class(slip: str) -> None:
    idea = IDEAS[slip]
    assert "?" in idea.ask
    assert not idea.heading.endswith(".")


def test_no_idea_is_left_over_from_a_slip_that_is_gone() -> None:
    assert set(IDEAS) <= set(SLIPS)


def test_a_neighbours_numbers_are_looked_at_but_not_taught() -> None:
    results = [sheet(student.id, [answer(2, "slip", 0.0, "neighbour")]) for student in ROSTER[:12]]
    report = analyse(ClassRecord("x", "X", ROSTER[:12], tuple(results)))
    assert report.slips[0].slip == "neighbour"
    assert report.teach_again == ()


# --- discrimination --------------------------------------------------------------------------------------------------


def test_discrimination_is_the_correlation_with_the_other_questions() -> None:
    # own value: five know everything, five know nothing but the easy question; by hand r = 1 without the item itself
    rows = [[1.0, 2.0, 1.0]] * 5 + [[0.0, 0.0, 1.0]] * 5
    assert discrimination(rows, 0)[0] == pytest.approx(1.0)
    assert discrimination([[1.0 - row[0], *row[1:]] for row in rows], 0)[0] == pytest.approx(-1.0)


def test_discrimination_of_right_and_wrong_agrees_with_the_point_biserial_formula() -> None:
    # r = (M1 - M0) / s * sqrt(p q), population standard deviation; a standard formula of statistics (from memory)
    item = [1.0, 1.0, 1.0, 0.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0, 1.0, 1.0]
    rest = [9.0, 7.0, 8.0, 3.0, 5.0, 6.0, 6.0, 9.0, 2.0, 4.0, 5.0, 8.0]
    ones = [value for hit, value in zip(item, rest, strict=True) if hit]
    zeros = [value for hit, value in zip(item, rest, strict=True) if not hit]
    mean = sum(rest) / len(rest)
    spread = math.sqrt(sum((value - mean) ** 2 for value in rest) / len(rest))
    p = len(ones) / len(item)
    expected = (sum(ones) / len(ones) - sum(zeros) / len(zeros)) / spread * math.sqrt(p * (1 - p))
    assert discrimination(list(zip(item, rest, strict=True)), 0)[0] == pytest.approx(expected)


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([[1.0, 2.0]] * 9, "Too few sheets (9); from 10 on the figure says something."),
        ([[1.0, float(n)] for n in range(12)], "Everybody has the same points here."),
        ([[float(n), 1.0] for n in range(12)], "Everybody has the same points in the other questions."),
        ([[float(n)] for n in range(12)], "There is no other marked question to compare with."),
        ([[None, 1.0]] * 12, "Not every answer is marked yet."),
    ],
)
def test_discrimination_says_why_there_is_none(rows: list[list[float | None]], sentence: str) -> None:
    assert discrimination(rows, 0) == (None, sentence)


# --- classes at the edge ---------------------------------------------------------------------------------------------


def small_class(*results: SubmissionResult, roster: Sequence[Student] = ROSTER[:3]) -> ClassReport:
    return analyse(ClassRecord("02-refrigerant-states", "States of the refrigerant", tuple(roster), results))


def blank_sheet(student: str) -> SubmissionResult:
    return sheet(student, [answer(place, "not answered") for place in range(8)])


def perfect_sheet(student: str) -> SubmissionResult:
    return sheet(student, [right(place) for place in range(8)])


def unreadable(student: str) -> SubmissionResult:
    return sheet(student, [], status="unreadable", reasons=("The file is not a notebook.",))


EDGES = {
    "nobody": (small_class(), "Nobody of 3 students on the roster has handed in yet."),
    "empty roster": (small_class(roster=()), "Nobody of 0 students on the roster has handed in yet."),
    "one": (small_class(perfect_sheet("s01"), roster=ROSTER[:1]), "1 of 1 student handed in."),
    "all blank": (small_class(*map(blank_sheet, ("s01", "s02", "s03"))), "Every sheet is blank."),
    "all unreadable": (small_class(*map(unreadable, ("s01", "s02", "s03"))), "None of the files could be read."),
    "perfect": (small_class(*map(perfect_sheet, ("s01", "s02", "s03"))), "Everybody who handed in has all points."),
    "no points": (small_class(sheet("s01", [prediction(SEEN, SEEN)])), "1 of 3 students handed in."),
}


@pytest.mark.parametrize("edge", EDGES)
def test_an_unusual_class_gets_a_page_all_the_same(edge: str) -> None:
    report, words = EDGES[edge]
    assert words in report.headline
    assert_sound_page(report_html(report))
    assert len(list(csv.reader(io.StringIO(report_csv(report))))) == 1 + len(report.lines)


def test_before_anybody_has_handed_in_there_is_only_the_class_list() -> None:
    headings = re.findall(r"<h2[^>]*>([^<]*)</h2>", report_html(EDGES["nobody"][0]))
    assert headings == ["All students"]


def test_blank_sheets_do_not_say_that_all_is_well() -> None:
    html = report_html(EDGES["all blank"][0])
    assert "No sheet tells yet what to teach again." in html
    assert "Go on with the next lesson." not in html


def test_a_perfect_class_is_taught_nothing_again() -> None:
    report, _ = EDGES["perfect"]
    assert report.teach_again == ()
    assert report.median_points == report.max_points


def test_an_own_slip_of_a_question_is_called_by_its_id_and_still_taught() -> None:
    report = small_class(sheet("s01", [answer(2, "slip", 0.0, "forgot-the-hose")]))
    assert report.slips[0].label == "forgot the hose"
    assert report.teach_again[0].sentence.startswith("1 of 1 made this slip: forgot the hose in question 3")


def test_a_hand_in_from_outside_the_roster_is_shown_and_counts_nobody_missing() -> None:
    report = small_class(perfect_sheet("visitor"), perfect_sheet("s02"))
    assert report.lines[-1].name == "visitor"
    assert not report.lines[-1].on_roster
    assert report.not_handed_in == ("Tomi Abara", "Ines Calder")
    assert report.headline.startswith("1 of 3 students handed in.")


def test_two_of_the_same_name_are_told_apart() -> None:
    twins = (Student("a1", "Lu", "Ostrey"), Student("a2", "Lu", "Ostrey"))
    report = small_class(perfect_sheet("a1"), roster=twins)
    assert report.not_handed_in == ("Lu Ostrey (a2)",)


def test_a_text_that_was_written_keeps_a_sheet_from_being_blank() -> None:
    text = dataclasses.replace(answer(8, "by hand", None), given="Because the last drop is gone.")
    report = small_class(sheet("s01", [answer(0, "not answered"), text]), sheet("s02", [answer(0, "not answered")]))
    assert [line.state for line in report.lines] == ["graded", "blank", "not handed in"]


def test_points_beyond_the_full_number_are_shown_but_do_not_break_the_shares() -> None:
    report = small_class(sheet("s01", [answer(0, "by hand", 4.0)]))
    assert report.questions[0].share_of_points == 1.0
    assert report.lines[0].points == 4.0
    assert_sound_page(report_html(report))


OUTCOMES = ("right", "close", "slip", "partly", "unknown", "form", "not answered", "by hand")
quarters = st.integers(0, 8).map(lambda steps: steps / 4)
questions = st.builds(
    QuestionResult,
    grade_id=st.sampled_from([f"q{n}" for n in range(6)]),
    title=st.text(st.characters(codec="latin-1"), max_size=12),
    points=st.one_of(st.none(), quarters),
    max_points=st.just(2.0),
    outcome=st.sampled_from(OUTCOMES),
    slip=st.sampled_from([None, None, "sign", "kilo", "no-such-slip"]),
    given=st.text(max_size=8),
)
submissions = st.builds(
    sheet,
    st.sampled_from([student.id for student in ROSTER] + ["visitor"]),
    st.lists(questions, max_size=6, unique_by=lambda question: question.grade_id),
    status=st.sampled_from(["graded", "stopped", "unreadable"]),
    submitted_at=st.sampled_from(["", "2031-03-07T14:05:00", "2031-03-07T14:05:00+02:00", "yesterday"]),
)
records = st.lists(submissions, max_size=24, unique_by=lambda result: result.student).map(
    lambda results: ClassRecord("02-refrigerant-states", "States of the refrigerant", ROSTER, tuple(results))
)


@settings(max_examples=50, deadline=None)
@given(records)
def test_shares_stay_between_nothing_and_all_and_counts_add_up(record: ClassRecord) -> None:
    report = analyse(record)
    assert len(report.handed_in) == len(record.results)
    assert len(report.handed_in) + len(report.not_handed_in) == len(report.lines)
    assert {line.student for line in report.lines} >= set(ROSTER)
    assert sum(number for _, _, number in report.distribution) == len(report.scored)
    for place, figures in enumerate(report.questions):
        assert figures.share_of_points is None or 0.0 <= figures.share_of_points <= 1.0
        assert figures.discrimination is None or -1.0 <= figures.discrimination <= 1.0
        assert (figures.discrimination is None) == bool(figures.why_no_discrimination)
        assert sum(number for _, number in figures.outcomes) == figures.sheets <= len(report.scored)
        assert figures.sheets == sum(line.tells and line.answers[place] is not None for line in report.lines)
    answers = [answer for line in report.lines for answer in line.answers if answer is not None]
    assert sum(slip.answers for slip in report.slips) == sum(answer.slip is not None for answer in answers)
    for idea in report.teach_again:
        assert 0 < idea.number == len(idea.students)


@settings(max_examples=8, deadline=None, phases=(Phase.generate,))  # drawing is slow, so nothing is made smaller
@given(records)
def test_every_class_makes_a_sound_page(record: ClassRecord) -> None:
    assert_sound_page(report_html(analyse(record)))


# --- the page --------------------------------------------------------------------------------------------------------

EMPTY_ELEMENTS = {"br", "hr", "img", "meta"}


class SoundPage(HTMLParser):
    """Opens and closes every element in turn, and remembers what would reach outside or run."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in EMPTY_ELEMENTS:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.seen if name == tag]


def assert_sound_page(html: str) -> SoundPage:
    html.encode("utf-8")
    parsed = SoundPage()
    parsed.feed(html)
    parsed.close()
    assert parsed.open == []
    assert html.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert len(parsed.all("h1")) == 1
    policy = next(meta["content"] for meta in parsed.all("meta") if "http-equiv" in meta)
    assert policy.startswith("default-src 'none'; img-src data:; style-src 'unsafe-inline'")
    ids = [attributes["id"] for _, attributes in parsed.seen if "id" in attributes]
    assert len(ids) == len(set(ids))
    for tag, attributes in parsed.seen:
        assert tag not in {"script", "iframe", "object", "embed", "link", "base", "form", "svg"}
        assert not [name for name in attributes if name.startswith("on") or name == "srcset"]
        assert attributes.get("src", "data:image/").startswith("data:image/")
        target = attributes.get("href", "#")
        assert not target.startswith("#") or target == "#" or target[1:] in ids
    assert all(image["alt"].strip() for image in parsed.all("img"))
    assert all(head["scope"] in {"row", "col"} for head in parsed.all("th"))
    assert len(parsed.all("caption")) == len(parsed.all("table"))
    assert "url(" not in html
    assert "@import" not in html
    return parsed


def test_the_page_is_sound_and_reaches_nothing_outside(html: str) -> None:
    parsed = assert_sound_page(html)
    assert not re.search(r"https?://", html)
    assert all(link["href"].startswith("#") for link in parsed.all("a"))


def test_each_chart_is_an_image_that_says_in_words_what_it_shows(html: str) -> None:
    images = assert_sound_page(html).all("img")
    assert len(images) == 4
    for image in images:
        svg = base64.b64decode(image["src"].removeprefix("data:image/svg+xml;base64,"), validate=True)
        assert ElementTree.fromstring(svg).tag.endswith("svg")
    points, difficulty, slips, predictions = (image["alt"] for image in images)
    assert "90 to 100 %: 7 sheets" in points
    assert "7. Superheat of a blend with glide: 45 %" in difficulty
    assert "gauge reading used as absolute: 7 students" in slips
    assert "suction pressure: 25 % right before, 75 % after" in predictions


def test_the_page_says_everything_in_text_too(html: str) -> None:
    words = " ".join(assert_sound_page(html).words)
    for sentence in (
        "Not handed in 2 students: Lin Åkerby, Abe Wendel",
        "3 answers on 3 sheets to mark by hand",
        "Median 17 of 20 points; lowest 0, highest 19, over 21 sheets",
        "The notebook ran for more than 60 s in cell 14 and was stopped.",
        "Three answers miss the own numbers and fit those of Lene Bergum.",
        "The file is not a notebook: it is cut off.",
        "A suspicion is a reason to look and to ask, not a finding.",
        "Everybody has the same points here.",
        "correlation (Pearson's r)",
    ):
        assert sentence in words


def test_names_titles_and_slips_cannot_become_markup() -> None:
    evil = '"><script>alert(1)</script><img src=x onerror=alert(1)>'
    hostile = QuestionResult(evil, evil, 0.0, 2.0, evil, slip=evil, sentence=evil, given=evil, detail={})
    guess = QuestionResult(
        "p", evil, 0.0, 0.0, "recorded", detail={w: {evil: evil} for w in ("before", "after", "truth")}
    )
    seen = sheet(evil, [hostile, guess], reasons=(evil,), suspicions=(evil,), submitted_at=evil)
    record = ClassRecord(evil, evil, (Student(evil, evil, evil), Student("b", "x\x00\ud800\u202e", "y")), (seen,))
    html = report_html(analyse(record))
    assert_sound_page(html)
    assert "<script" not in html
    assert "onerror=alert(1)&gt;" in html


def test_what_holds_for_the_whole_run_is_said_at_the_top(record: ClassRecord) -> None:
    note = "Students' code was kept apart in a reduced way only."
    words = assert_sound_page(report_html(analyse(dataclasses.replace(record, notes=(note,))))).words
    assert words.index(note) < words.index("Teach again first")


def test_the_page_is_the_same_each_time(report: ClassReport, html: str) -> None:
    assert report_html(report) == html


# --- the table for other programs ------------------------------------------------------------------------------------


def test_csv_has_the_documented_columns_and_a_line_for_everybody(report: ClassReport) -> None:
    rows = list(csv.DictReader(io.StringIO(report_csv(report))))
    documented = [name for name, _ in CSV_COLUMNS]
    asked = [f"{grade_id}_{name}" for grade_id, _, _ in QUESTIONS for name, _ in CSV_QUESTION_COLUMNS]
    assert list(rows[0]) == documented + asked
    assert len(rows) == 24
    by_id = {row["student"]: row for row in rows}
    calder = by_id["s03"]
    assert (calder["last_name"], calder["status"], calder["points"], calder["max_points"]) == (
        "Calder",
        "graded",
        "13.5",
        "20",
    )
    assert (calder["slips"], calder["q3-superheat_points"]) == ("gauge-as-absolute", "0.5")
    assert by_id["s24"]["status"] == "not handed in"
    assert by_id["s24"]["points"] == ""
    assert by_id["s10"]["status"] == "blank"
    assert (by_id["s20"]["waiting"], by_id["s20"]["q9-explain_points"]) == ("1", "")


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_csv_gives_a_spreadsheet_no_formula_to_run(start: str) -> None:
    students = (Student("a", f"{start}1+1", "x\ny"),)
    text = report_csv(small_class(perfect_sheet("a"), roster=students))
    [row] = csv.DictReader(io.StringIO(text))
    assert row["first_name"] == f"'{start}1+1"
    assert row["last_name"] == "x y"
