"""formgrader's button "collect" takes the same care as the command."""

from __future__ import annotations

from pathlib import Path

from nbgrader.exchange.default import ExchangeCollect

from hvacr_lab.classroom.collect import collect
from hvacr_lab.classroom.course import load_course


class PlainFilesCollect(ExchangeCollect):  # type: ignore[misc]  # nbgrader ships no types
    """Named in nbgrader_config.py; stock nbgrader follows links out of a hand-in and copies what they point to."""

    def copy_files(self) -> None:
        """Copy the newest hand-in of each student of the roster."""
        course = load_course(Path(self.coursedir.root))
        for entry in collect(course.folder, Path(self.inbound_path), self.coursedir.assignment_id, course.roster):
            self.log.info("%s: %s", entry.student, entry.outcome)
            for note in entry.notes:
                self.log.warning("%s: %s", entry.student, note)

    def init_src(self) -> None:
        """Only the inbound folder is needed: :func:`collect` reads its entries itself."""
        self.inbound_path = str(Path(self.root) / self.coursedir.course_id / "inbound")
