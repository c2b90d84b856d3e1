"""course.toml and roster.csv: what an instructor may write, and what is said about a slip."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest

from classroom.small_class import COURSE, ROOT, ROSTER
from hvacr_lab.classroom.course import COURSE_VARIABLE, LessonPlan, find_course, load_course
from hvacr_lab.classroom.roster import read_roster
from hvacr_lab.errors import FileProblem, LabError, UnknownName

MakeClass = Callable[..., Path]


def test_the_sample_class_of_the_repository_can_be_used() -> None:
    course = load_course(ROOT / "course")
    assert course.units == "SI"
    assert course.lesson("02").name == "02-refrigerant-states"
    assert (course.source_notebooks, len(course.roster)) == (ROOT / "source_notebooks", 3)


def test_settings_and_roster_arrive(make_class: MakeClass) -> None:
    course = load_course(make_class())
    assert (course.altitude_m, course.cell_seconds) == (430.0, 10.0)
    assert [student.name for student in course.roster] == ["Mira Fernlow", "Tomas Braskin", "Yara Olindar"]


@pytest.mark.parametrize(
    ("line", "instead", "said"),
    [
        (
            "altitude_m = 430",
            "altitude_m = -4300",
            r"line 5: `altitude_m = -4300`\. .*-430 and 5,000 m.*mean 430 or 4300\?",
        ),
        ("altitude_m = 430", 'altitude_m = "430"', r'line 5: `altitude_m = "430"`'),
        ("altitude_m = 430", "altitude_m = 4300000 # high", r"line 5: `altitude_m = 4300000`"),
        ("altitude_m = 430", "altitude_m = nan", r"line 5: `altitude_m = nan`"),
        ("altitude_m = 430", "", r"`altitude_m` is missing"),
        ('units = "SI"', 'units = "metric"', r'line 4: .*"SI" or "US"\. Did you mean "SI"\?'),
        ('units = "SI"', "units = SI", r"line 4: .*Text stands in"),
        ('course_id = "gauges"', 'course_id = "Gauges 1"', r"line 3: .*small letters"),
        ('salt = "a salt of the tests"', 'salt = "abc"', r"line 6: .*6 to 64"),
        ('title = "Gauges"', 'titel = "Gauges"', r"line 1: `titel` is not a setting here\. Did you mean title\?"),
        ("due = 2030-01-15 17:00:00", 'due = "15.1."', r"line 11: .*without quotes"),
        ("due = 2030-01-15 17:00:00", "due = 2030-01-15", r"line 11: .*with the time"),
        ('name = "91-gauges"', 'name = "../source"', r"line 10: "),
        ('name = "91-gauges"', "", r"`name` is missing in block 1 of \[\[lessons\]\]"),
    ],
)
def test_a_slip_is_named_with_its_line(make_class: MakeClass, line: str, instead: str, said: str) -> None:
    assert line in COURSE
    with pytest.raises(FileProblem, match=said):
        load_course(make_class(course=COURSE.replace(line, instead)))


def test_the_line_is_that_of_the_right_block(make_class: MakeClass) -> None:
    more = '\n[[lessons]]\nname = "92-more"\ndue = "soon"\n'
    with pytest.raises(FileProblem, match=r"line 15: "):
        load_course(make_class(course=COURSE + more))


def test_a_lesson_stands_there_once(make_class: MakeClass) -> None:
    with pytest.raises(FileProblem, match=r"line 14: .*twice"):
        load_course(make_class(course=COURSE + '\n[[lessons]]\nname = "91-gauges"\n'))


def test_a_lesson_is_found_by_the_beginning_of_its_name(make_class: MakeClass) -> None:
    course = load_course(make_class(course=COURSE + '\n[[lessons]]\nname = "92-more"\n'))
    assert course.lesson("92") == LessonPlan("92-more")
    with pytest.raises(UnknownName, match="Write more of the name"):
        course.lesson("9")
    with pytest.raises(UnknownName, match="Lessons stand in"):
        course.lesson("03")


def test_due_dates_are_local_time_and_pass() -> None:
    due = datetime.datetime(2030, 1, 15, 17).astimezone()
    plan = LessonPlan("91-gauges", due)
    assert not plan.is_over(due - datetime.timedelta(seconds=1))
    assert plan.is_over(due)
    assert not LessonPlan("91-gauges").is_over()


def test_the_class_is_looked_for_in_four_places(
    make_class: MakeClass, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(COURSE_VARIABLE, raising=False)
    root = make_class()
    assert find_course(root) == find_course(root / "course.toml") == root
    below = root / "submitted" / "mfernlow"
    below.mkdir(parents=True)
    assert find_course(start=below) == root
    (tmp_path / "elsewhere").mkdir()
    assert find_course(start=tmp_path / "elsewhere") == ROOT / "course"
    monkeypatch.setenv(COURSE_VARIABLE, str(root))
    assert find_course(start=tmp_path) == root
    with pytest.raises(LabError, match=r"--course: there is no course\.toml"):
        find_course(tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        ROSTER.encode(),
        b"\xef\xbb\xbf" + ROSTER.replace(",", ";").replace("\n", "\r\n").encode(),
        ROSTER.replace(",", "\t").encode(),
        b"\nLast_Name, First_Name, Username\nFernlow, Mira, mfernlow\n\nBraskin,Tomas,tbraskin\n"
        b"Olindar,Yara,yolindar,x\n",
    ],
    ids=["commas", "semicolons and a mark", "tabs", "other order, blanks"],
)
def test_a_roster_may_look_as_spreadsheets_write_it(tmp_path: Path, text: bytes) -> None:
    (tmp_path / "roster.csv").write_bytes(text)
    students = read_roster(tmp_path / "roster.csv")
    assert [(student.id, student.name) for student in students] == [
        ("mfernlow", "Mira Fernlow"),
        ("tbraskin", "Tomas Braskin"),
        ("yolindar", "Yara Olindar"),
    ]


def test_an_older_spreadsheet_keeps_its_accents(tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_bytes("id;first name;last name\nzko;Zoë;Köhlmar\n".encode("cp1252"))
    assert read_roster(tmp_path / "roster.csv")[0].name == "Zoë Köhlmar"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("id,first name\nmf,Mira\n", r"line 1: no column 'last name'"),
        ("id,first name,last name\nmf,Mira,F\n\nM F,Max,F\n", r"line 4: the id 'M F' cannot be used"),
        ("id,first name,last name\n../x,Mira,F\n", r"line 2: the id"),
        ("id,first name,last name\na+b,Mira,F\n", r"line 2: the id"),
        ("id,first name,last name\nmf,Mira,F\nMF,Max,F\n", r"line 3: the id 'MF' stands there twice"),
        ("id,first name,last name\n", r"no student"),
        ("", r"no student"),
    ],
)
def test_a_slip_in_the_roster_is_named_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "roster.csv").write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem, match=said):
        read_roster(tmp_path / "roster.csv")


def test_a_missing_roster_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match=r"cannot be read .*Columns"):
        read_roster(tmp_path / "roster.csv")
