"""Run notebooks of students apart from the grader: hand a job to the warm template, read back claims, with limits.

What comes back is checked field by field: a student's process can say nothing here but what its own cells showed and
which plain values its own answers have.
"""

from __future__ import annotations

import json
import shutil
import socket
import struct
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from hvacr_lab.errors import LabError, UnknownName
from hvacr_lab.grading import sandbox
from hvacr_lab.grading.claims import CellRun, CodeCell, Malformed, RunOutcome, Story, frames
from hvacr_lab.grading.sandbox import Limits

__all__ = ["CellRun", "CodeCell", "Executor", "Limits", "RunOutcome"]

_START_SECONDS, _SLACK_SECONDS = 120.0, 5.0
_THREAD_SETTINGS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS")


class _NotStarted(Exception):
    """The sandbox could not be built; nothing of the student's ran."""


class Executor:
    """A warm template and as many sandboxes at a time as there are workers.

    Parameters
    ----------
    workers : int, notebooks that run at the same time
    limits : Limits of one notebook
    imports : import statements of the released notebook, done once in the template
    mode : "root", "user" or "reduced"; found out when empty

    Raises
    ------
    LabError : this is not Linux, or the template does not start

    Examples
    --------
    ::

        with Executor(workers=2) as executor:
            outcome = executor.run([CodeCell("x = 1"), CodeCell("", "q1")], student="a.one", captures={"q1": ("x",)})
    """

    def __init__(
        self, workers: int = 2, *, limits: Limits | None = None, imports: Sequence[str] = (), mode: str = ""
    ) -> None:
        sandbox.refuse_off_linux()
        if mode and mode not in sandbox.MODES:
            raise UnknownName("kind of sandbox", mode, sandbox.MODES)
        self.limits = limits or Limits()
        self._wishes = {"limits": asdict(self.limits), "imports": list(imports), "mode": mode}
        self._lock = threading.Lock()
        self._closed = False
        self._pool = ThreadPoolExecutor(workers, "sandbox")
        self._template: _TemplateProcess | None = _TemplateProcess(self._wishes)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def mode(self) -> str:
        """The sandbox that this machine allows: "root", "user" or "reduced"; waits for the template."""
        return self._running_template().mode

    def submit(
        self, cells: Sequence[CodeCell], *, student: str, captures: Mapping[str, tuple[str, ...]]
    ) -> Future[RunOutcome]:
        """Start a notebook as soon as a worker is free."""
        return self._pool.submit(self._run, tuple(cells), student, dict(captures))

    def run(
        self, cells: Sequence[CodeCell], *, student: str, captures: Mapping[str, tuple[str, ...]] | None = None
    ) -> RunOutcome:
        """Run a notebook and wait for its end."""
        return self.submit(cells, student=student, captures=captures or {}).result()

    def close(self) -> None:
        """End the template, and with it every sandbox that is still there."""
        with self._lock:
            self._closed = True
            if self._template is not None:
                self._template.close()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _run(self, cells: tuple[CodeCell, ...], student: str, captures: dict[str, tuple[str, ...]]) -> RunOutcome:
        """Run a notebook; if the template failed under it, which is not the student's doing, once more."""
        for is_last_try in (False, True):
            template = self._running_template()
            try:
                story, seconds = _converse(template, cells, student, captures, self.limits)
            except _NotStarted as problem:
                self._discard(template)
                if is_last_try:
                    raise LabError(f"The sandbox for students' code could not be built: {problem}.") from None
                continue
            if story.ended or is_last_try:
                break
            if not template.is_alive:
                self._discard(template)
        return story.outcome(seconds, template.mode)

    def _running_template(self) -> _TemplateProcess:
        with self._lock:
            if self._closed:
                raise LabError("The grading run was ended.")
            if self._template is None:
                self._template = _TemplateProcess(self._wishes)
            self._template.wait_until_warm()
            return self._template

    def _discard(self, template: _TemplateProcess) -> None:
        """A template that died is replaced at the next run; another thread may have done so already."""
        with self._lock:
            if self._template is template:
                template.close()
                self._template = None


class _TemplateProcess:
    """The template as the grader sees it: a process, a control socket, a folder for its scratch files."""

    def __init__(self, wishes: Mapping[str, Any]) -> None:
        self.mode = ""
        self._folder = Path(tempfile.mkdtemp(prefix="hvacr-lab-"))
        ours, theirs = socket.socketpair()
        self._control = ours
        with theirs, (self._folder / "log").open("wb") as log:
            self._process = subprocess.Popen(
                self._command(theirs, {**wishes, "folder": str(self._folder)}),
                env=self._environment(),
                cwd="/",
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                pass_fds=[theirs.fileno()],
                start_new_session=True,
            )

    def _command(self, control: socket.socket, wishes: Mapping[str, Any]) -> list[str]:
        # -I leaves out the user's own settings and folders; the libraries of this interpreter are named instead
        known = [*sandbox.library_folders(), str(Path(__file__).parent.parent.parent)]
        code = (
            f"import sys; sys.path += [p for p in {known!r} if p not in sys.path]; "
            "from hvacr_lab.grading.template import main; main()"
        )
        return [sys.executable, "-I", "-c", code, str(control.fileno()), json.dumps(wishes)]

    def _environment(self) -> dict[str, str]:
        names = ("HOME", "TMPDIR", "IPYTHONDIR", "MPLCONFIGDIR")
        return {
            "PATH": "/usr/bin:/bin",
            "LANG": "C.UTF-8",
            "PYTHONHASHSEED": "0",
            "MALLOC_ARENA_MAX": "1",
            "MPLBACKEND": "module://matplotlib_inline.backend_inline",
            **dict.fromkeys(names, str(self._folder)),
            **dict.fromkeys(_THREAD_SETTINGS, "1"),
        }

    def wait_until_warm(self) -> None:
        """Wait for the template's first word; raises LabError with its reason if it has none to say."""
        if self.mode:
            return
        self._control.settimeout(_START_SECONDS)
        try:
            with self._control.makefile("rb") as lines:
                said = json.loads(lines.readline(10_000) or b"{}")
        except OSError:
            said = {"problem": f"no answer within {_START_SECONDS:g} s"}
        if "mode" not in said:
            log = (self._folder / "log").read_text(errors="replace").strip().splitlines()
            raise LabError(
                "The sandbox for students' code does not start, so nothing was run: "
                f"{said.get('problem') or (log or ['no reason given'])[-1]}. "
                "It needs Debian's package libseccomp2 (or the same library elsewhere) and Linux 5.3 or newer."
            )
        self._control.settimeout(None)
        self.mode = said["mode"]

    def new_sandbox(self) -> socket.socket:
        """Fork a sandbox and return the way to it."""
        ours, theirs = socket.socketpair()
        try:
            with theirs:
                socket.send_fds(self._control, [b"job"], [theirs.fileno()])
        except OSError:
            ours.close()
            raise _NotStarted("the template ended") from None
        return ours

    @property
    def is_alive(self) -> bool:
        """False once the process has ended."""
        return self._process.poll() is None

    def close(self) -> None:
        """End the template; the kernel ends its monitors with it, and the sandboxes with them."""
        self._control.close()
        self._process.kill()
        self._process.wait()
        shutil.rmtree(self._folder, ignore_errors=True)


def _converse(
    template: _TemplateProcess,
    cells: Sequence[CodeCell],
    student: str,
    captures: Mapping[str, tuple[str, ...]],
    limits: Limits,
) -> tuple[Story, float]:
    """Hand a job over and listen to its end; a story without an end means that the line went dead."""
    names = [captures.get(cell.grade_id, ()) for cell in cells]
    asked = [{"source": cell.source, "names": wanted} for cell, wanted in zip(cells, names, strict=True)]
    job = json.dumps({"cells": asked, "student": student, "cell_seconds": limits.cell_seconds}).encode()
    story = Story(cells, captures, limits)
    started = time.monotonic()
    with template.new_sandbox() as way:
        _expect_start(frames(way, time.monotonic() + _START_SECONDS))
        told = frames(way, time.monotonic() + limits.wall_seconds + _SLACK_SECONDS)
        try:
            way.sendall(struct.pack("!I", len(job)) + job)
            next((frame for frame in told if story.hears(frame)), None)
        except TimeoutError:
            story.ended = "clock"
        except (Malformed, ValueError, RecursionError):
            story.ended = "malformed"
        except OSError:
            pass
    return story, time.monotonic() - started


def _expect_start(told: Iterator[dict[str, Any]]) -> None:
    try:
        first = next(told, {})
    except (OSError, Malformed, ValueError) as problem:
        raise _NotStarted(str(problem)) from None
    if first.get("started") is not True:
        raise _NotStarted(str(first.get("problem") or "it ended at once"))
