"""Where a class keeps its work: one folder, nbgrader's own names inside it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class ClassFolder:
    """The folder of one class; every path of release, hand-in, grading and report starts here.

    Parameters
    ----------
    root : Path, the folder that holds course.toml and roster.csv
    """

    root: Path

    @property
    def source(self) -> Path:
        """Source notebooks with their keys, one folder a lesson; never shown to a student."""
        return self.root / "source"

    @property
    def release(self) -> Path:
        """Student editions, one folder a lesson."""
        return self.root / "release"

    @property
    def submitted(self) -> Path:
        """What was handed in: submitted/STUDENT/LESSON/."""
        return self.root / "submitted"

    @property
    def autograded(self) -> Path:
        """Graded notebooks, as formgrader shows them."""
        return self.root / "autograded"

    @property
    def feedback(self) -> Path:
        """Feedback pages, one HTML file for each student and lesson."""
        return self.root / "feedback"

    @property
    def exchange(self) -> Path:
        """The local exchange: released lessons go out through it, hand-ins come in."""
        return self.root / "exchange"

    @property
    def reports(self) -> Path:
        """Class reports, HTML and CSV."""
        return self.root / "reports"

    @property
    def exports(self) -> Path:
        """Tables of marks for other programs."""
        return self.root / "exports"

    @property
    def gradebook(self) -> Path:
        """nbgrader's SQLite gradebook, with the ledger of graded files in it."""
        return self.root / "gradebook.db"

    @property
    def lock(self) -> Path:
        """Locked while one grading run is at work."""
        return self.root / ".grading.lock"

    def notebook(self, area: Path, lesson: str, student: str | None = None) -> Path:
        """Path of a lesson's notebook in one of the areas above."""
        folder = area / student / lesson if student else area / lesson
        return folder / f"{lesson}.ipynb"
