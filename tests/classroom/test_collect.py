"""Hand-ins come in as plain files only; links, devices and other people's names stay outside."""

from __future__ import annotations

import datetime
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.classroom.collect import FILE_BYTES, HAND_IN_FILES, collect, one_owner, read_stamp
from hvacr_lab.errors import LabError
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.records import Student

LESSON = "91-gauges"
ROSTER = (Student("mfernlow", "Mira", "Fernlow"), Student("TBraskin", "Tomas", "Braskin"))
EARLY, LATE = "2030-01-14 10:00:00.000001 UTC", "2030-01-15 09:30:00.5 UTC"


@pytest.fixture
def folder(tmp_path: Path) -> ClassFolder:
    (tmp_path / "inbound").mkdir()
    return ClassFolder(tmp_path / "class")


def hand_in(folder: ClassFolder, student: str, stamp: str, text: str = "{}", lesson: str = LESSON) -> Path:
    entry = folder.root.parent / "inbound" / f"{student}+{lesson}+{stamp}+x1"
    entry.mkdir()
    (entry / f"{lesson}.ipynb").write_text(text, encoding="utf-8")
    (entry / "timestamp.txt").write_text(stamp, encoding="utf-8")
    return entry


def take(folder: ClassFolder) -> dict[str, tuple[str, str]]:
    folder.root.mkdir(exist_ok=True)
    entries = collect(folder, folder.root.parent / "inbound", LESSON, ROSTER)
    return {entry.student: (entry.outcome, " ".join(entry.notes)) for entry in entries}


def notebook(folder: ClassFolder, student: str = "mfernlow") -> str:
    return folder.notebook(folder.submitted, LESSON, student).read_text("utf-8")


def test_the_newest_hand_in_counts_and_a_second_run_changes_nothing(folder: ClassFolder) -> None:
    hand_in(folder, "mfernlow", LATE, "late")
    hand_in(folder, "mfernlow", EARLY, "early")
    hand_in(folder, "mfernlow", "2030-02-01 10:00:00 UTC", lesson="92-more")
    assert take(folder) == {"mfernlow": ("new", "")}
    assert notebook(folder) == "late"
    assert take(folder) == {"mfernlow": ("unchanged", "")}
    assert sorted(path.name for path in folder.submitted.iterdir()) == ["mfernlow"]


def test_a_newer_one_replaces_an_older_one_as_a_whole(folder: ClassFolder) -> None:
    (hand_in(folder, "mfernlow", EARLY) / "notes.txt").write_text("old", encoding="utf-8")
    take(folder)
    hand_in(folder, "mfernlow", LATE, "late")
    assert take(folder) == {"mfernlow": ("newer", "")}
    assert notebook(folder) == "late"
    assert not (folder.submitted / "mfernlow" / LESSON / "notes.txt").exists()


def test_what_was_put_there_by_hand_is_kept(folder: ClassFolder) -> None:
    place = folder.notebook(folder.submitted, LESSON, "mfernlow")
    place.parent.mkdir(parents=True)
    place.write_text("by hand", encoding="utf-8")
    hand_in(folder, "mfernlow", LATE)
    assert take(folder)["mfernlow"][0] == "unchanged"
    assert notebook(folder) == "by hand"


def test_ids_are_compared_without_capitals_and_strangers_are_refused(folder: ClassFolder) -> None:
    hand_in(folder, "tbraskin", EARLY)
    hand_in(folder, "stranger", EARLY)
    hand_in(folder, "..", EARLY)
    taken = take(folder)
    assert taken["TBraskin"] == ("new", "")
    assert taken["stranger"] == ("refused", "stranger is not in roster.csv.")
    assert taken[".."][0] == "refused"
    assert [path.name for path in folder.submitted.iterdir()] == ["TBraskin"]


def test_links_and_devices_are_left_out(folder: ClassFolder, tmp_path: Path) -> None:
    secret = tmp_path / "key.ipynb"
    secret.write_text("the key", encoding="utf-8")
    entry = hand_in(folder, "mfernlow", EARLY)
    (entry / "soft.ipynb").symlink_to(secret)
    os.link(secret, entry / "hard.ipynb")
    os.mkfifo(entry / "pipe.ipynb")
    (entry / "folder.csv").mkdir()
    outcome, notes = take(folder)["mfernlow"]
    assert outcome == "new"
    for name in ("soft.ipynb was left out: it is a link", "hard.ipynb", "pipe.ipynb", "folder.csv"):
        assert name in notes
    copied = {path.name for path in (folder.submitted / "mfernlow" / LESSON).iterdir()}
    assert copied == {f"{LESSON}.ipynb", "timestamp.txt"}


def test_a_hand_in_that_is_itself_a_link_is_refused(folder: ClassFolder, tmp_path: Path) -> None:
    (tmp_path / "source").mkdir()
    (tmp_path / "source" / f"{LESSON}.ipynb").write_text("the key", encoding="utf-8")
    (tmp_path / "inbound" / f"mfernlow+{LESSON}+{EARLY}+x").symlink_to(tmp_path / "source")
    assert take(folder)["mfernlow"][0] == "refused"
    assert not (folder.submitted / "mfernlow").exists()


def test_other_kinds_too_large_and_too_many_files_are_left_out(folder: ClassFolder) -> None:
    entry = hand_in(folder, "mfernlow", EARLY)
    (entry / "run.sh").write_text("x", encoding="utf-8")
    with (entry / "big.csv").open("wb") as file:
        file.truncate(FILE_BYTES + 1)
    for number in range(HAND_IN_FILES):
        (entry / f"z{number}.txt").write_text("", encoding="utf-8")
    _, notes = take(folder)["mfernlow"]
    assert "run.sh was left out: only .ipynb" in notes
    assert "big.csv was left out: more than 10.0 MB" in notes
    assert "the rest was left out" in notes


def test_a_hand_in_without_a_notebook_does_not_replace_one(folder: ClassFolder) -> None:
    hand_in(folder, "mfernlow", EARLY, "good")
    take(folder)
    (hand_in(folder, "mfernlow", LATE) / f"{LESSON}.ipynb").unlink()
    assert take(folder)["mfernlow"] == ("refused", "There is no notebook in it.")
    assert notebook(folder) == "good"


def test_one_account_for_all_says_nothing_about_who_did_the_work(folder: ClassFolder) -> None:
    hand_in(folder, "mfernlow", EARLY)
    hand_in(folder, "tbraskin", EARLY)
    folder.root.mkdir()
    entries = collect(folder, folder.root.parent / "inbound", LESSON, ROSTER)
    assert one_owner(entries) == entries[0].owner != ""
    assert one_owner(entries[:1]) == ""


def test_no_inbound_folder_is_said_plainly(folder: ClassFolder) -> None:
    with pytest.raises(LabError, match="Release the lesson first"):
        collect(folder, folder.root / "nowhere", LESSON, ROSTER)


@given(st.datetimes(min_value=datetime.datetime(2000, 1, 1)))
@settings(max_examples=50, deadline=None)
def test_a_stamp_is_read_as_nbgrader_writes_it(moment: datetime.datetime) -> None:
    written = moment.strftime("%Y-%m-%d %H:%M:%S.%f UTC")
    stamp = read_stamp(written)
    assert stamp is not None
    assert stamp.replace(tzinfo=None) == moment


@pytest.mark.parametrize("text", ["", "yesterday", "2030-13-01 10:00:00 UTC", "2030-01-01 10:00:00 CET", "2030-01-01"])
def test_other_texts_are_no_stamp(text: str) -> None:
    assert read_stamp(text) is None
