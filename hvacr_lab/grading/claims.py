"""What a sandbox says about a run, and how much of it is believed: checked field by field, bounded, in plain values.

A student's process can say nothing here but what its own cells showed and which values its own answers have.
"""

from __future__ import annotations

import json
import math
import re
import socket
import struct
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from hvacr_lab.exercises.form import NotPlain
from hvacr_lab.grading.runner import DISPLAYS, IMAGE_TYPES, TEXT_TYPES
from hvacr_lab.grading.sandbox import Limits

_FRAME_BYTES, _ALL_BYTES, _FRAME_BRACKETS = 5 << 20, 12 << 20, 60_000
_INTEGER_DIGITS, _TEXT = 320, 25_000
_ANSWER_DEPTH = 24  # a dict in a dict is three levels on the way
_BASE64 = re.compile(r"[A-Za-z0-9+/=\s]*")


@dataclass(frozen=True, slots=True)
class CodeCell:
    """One code cell to run.

    Parameters
    ----------
    source : str
    grade_id : str, nbgrader's id, or "" for a cell that is the student's own
    """

    source: str
    grade_id: str = ""


@dataclass(frozen=True, slots=True)
class CellRun:
    """What one code cell did.

    Parameters
    ----------
    status : "ok", "error", "timeout" or "not run"
    outputs : notebook outputs (nbformat 4), checked and bounded
    execution_count : int, or None when it did not run
    seconds : float, wall time
    """

    status: str
    outputs: tuple[dict[str, Any], ...] = ()
    execution_count: int | None = None
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class RunOutcome:
    """What one notebook did.

    Parameters
    ----------
    status : "graded", or "stopped" when the run ended before the last cell
    reasons : sentences that say what was stopped or cut
    cells : one CellRun for each cell given, in order
    answers : grade_id -> variable name -> plain value, as it was right after that cell
    seconds : float, wall time of the whole run
    mode : the sandbox that it ran in: "root", "user" or "reduced"
    """

    status: str
    reasons: tuple[str, ...]
    cells: tuple[CellRun, ...]
    answers: Mapping[str, Mapping[str, object]] = field(default_factory=dict)
    seconds: float = 0.0
    mode: str = ""


class Malformed(Exception):
    """The sandbox sent something that is no result."""


class Story:
    """The run of one notebook as its sandbox tells it, one frame after the other.

    Parameters
    ----------
    cells : the cells that were sent
    captures : grade_id -> names of the answers to take after that cell
    limits : Limits that were set
    """

    def __init__(self, cells: Sequence[CodeCell], captures: Mapping[str, tuple[str, ...]], limits: Limits) -> None:
        self._cells, self._captures, self._limits = cells, captures, limits
        self._runs = [CellRun("not run")] * len(cells)
        self._answers: dict[str, dict[str, object]] = {}
        self._reasons: list[str] = []
        self._reached = 0
        self.ended = ""

    def hears(self, frame: Mapping[str, Any]) -> bool:
        """Take one frame; True when nothing more is to come."""
        if frame.get("end") is True and self._reached == len(self._cells):
            self.ended = "after the last cell"
        elif "ended" in frame:
            self.ended = self.ended or self._how_it_ended(frame)
        elif frame.get("stubborn") is True:
            self.ended = "stubborn"
        elif frame.get("cell") == self._reached < len(self._cells):
            self._take_cell(frame)
        else:
            raise Malformed("not the next frame")
        return bool(self.ended)

    def _take_cell(self, frame: Mapping[str, Any]) -> None:
        cell, number = self._cells[self._reached], self._reached
        status = frame.get("status")
        if status not in ("ok", "error", "timeout"):
            raise Malformed("no known status")
        outputs = believed_outputs(frame.get("outputs"), number + 1)
        seconds = frame.get("seconds")
        self._runs[number] = CellRun(status, outputs, number + 1, seconds if isinstance(seconds, float) else 0.0)
        claimed = frame.get("answers")
        if cell.grade_id in self._captures and isinstance(claimed, dict):
            wanted = self._captures[cell.grade_id]
            self._answers[cell.grade_id] = {name: believed_answer(claimed[name]) for name in wanted if name in claimed}
        self._remark(status, outputs, cut=frame.get("cut") is True)
        self._reached += 1

    def _remark(self, status: str, outputs: tuple[dict[str, Any], ...], *, cut: bool) -> None:
        where = self._where()
        if status == "timeout":
            limit = f"{self._limits.cell_seconds:g} s"
            self._reasons.append(f"{where} ran longer than {limit} and was stopped; the cells after it were still run.")
        if cut:
            self._reasons.append(f"{where} showed more than is kept; the rest of its output was cut.")
        if any(output.get("ename") == "MemoryError" for output in outputs):
            gigabytes = self._limits.memory_bytes / (1 << 30)
            self._reasons.append(f"{where} asked for more memory than a notebook may use ({gigabytes:g} GB).")

    def _where(self) -> str:
        if self._reached >= len(self._cells):
            return "The notebook"
        name = self._cells[self._reached].grade_id
        return f"Code cell {self._reached + 1}" + (f" ({name})" if name else "")

    def _how_it_ended(self, frame: Mapping[str, Any]) -> str:
        if frame["ended"] == "clock":
            return "clock"
        spent = frame.get("cpu_seconds")
        if frame.get("signal") in (9, 24) and isinstance(spent, float) and spent >= self._limits.cpu_seconds - 1:
            return "processor"
        return "crash" if frame.get("signal") else "itself"

    def outcome(self, seconds: float, mode: str) -> RunOutcome:
        """Sum up; a run that ended before the last cell says why."""
        finished = self.ended == "after the last cell"
        reasons = list(self._reasons)
        if not finished:
            reasons.append(f"{self._where()} {self._why()}. The run ended there; what came before counts.")
        return RunOutcome(
            "graded" if finished else "stopped", tuple(reasons), tuple(self._runs), self._answers, seconds, mode
        )

    def _why(self) -> str:
        limits = self._limits
        return {
            "clock": f"was still running when the notebook had used its {limits.wall_seconds:g} s",
            "processor": f"was still computing when the notebook had used its {limits.cpu_seconds} s of processor time",
            "stubborn": f"ran longer than {limits.cell_seconds:g} s and did not let itself be stopped",
            "crash": "crashed Python, or made the system end it",
            "malformed": "sent more than is kept, or something that is no result",
        }.get(self.ended, "ended the Python process itself")


def frames(way: socket.socket, deadline: float) -> Iterator[dict[str, Any]]:
    """Read frames until the other side hangs up.

    Parameters
    ----------
    way : socket to a sandbox
    deadline : float, as time.monotonic()

    Yields
    ------
    dict, one frame

    Raises
    ------
    Malformed, ValueError, RecursionError : what came is no frame, or too much
    TimeoutError : the deadline has passed
    """
    received = 0
    while True:
        head = _read(way, 4, deadline)
        if len(head) < 4:
            return
        (length,) = struct.unpack("!I", head)
        received += length
        if length > _FRAME_BYTES or received > _ALL_BYTES:
            raise Malformed("too long")
        body = _read(way, length, deadline)
        if len(body) < length:
            return
        yield _parsed(body)


def _read(way: socket.socket, count: int, deadline: float) -> bytes:
    """Read exactly so many bytes, or fewer when the other side hangs up."""
    parts = bytearray()
    while len(parts) < count:
        left = deadline - time.monotonic()
        if left <= 0:
            raise TimeoutError
        way.settimeout(left)
        part = way.recv(min(count - len(parts), 1 << 16))
        if not part:
            break
        parts += part
    return bytes(parts)


def _parsed(body: bytes) -> dict[str, Any]:
    if body.count(b"[") + body.count(b"{") > _FRAME_BRACKETS:
        raise Malformed("too many parts")
    frame = json.loads(
        body.decode("utf-8"), parse_constant=_refused_number, parse_int=_bounded_integer, parse_float=_finite_float
    )
    if not isinstance(frame, dict):
        raise Malformed("no object")
    return frame


def _refused_number(text: str) -> float:
    raise Malformed(text)


def _bounded_integer(text: str) -> int:
    if len(text) > _INTEGER_DIGITS:
        raise Malformed("very long integer")
    return int(text)


def _finite_float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise Malformed(text)
    return value


def believed_answer(claim: object, depth: int = 0) -> object:
    """Turn a claim about an answer back into a plain value.

    Parameters
    ----------
    claim : JSON data, as runner.plain makes it
    depth : int, how deep inside a list this is

    Returns
    -------
    None, bool, int, float, str, list, set, dict, ``...`` or NotPlain

    Examples
    --------
    >>> believed_answer([8.3, "K", {"kind": "ellipsis"}])
    [8.3, 'K', Ellipsis]
    """
    if depth > _ANSWER_DEPTH:
        raise Malformed("too deep")
    if claim is None or isinstance(claim, (bool, int, float)):
        return claim
    if isinstance(claim, str):
        return _text(claim)
    if isinstance(claim, list):
        return [believed_answer(item, depth + 1) for item in claim]
    if isinstance(claim, dict):
        return _NOTES.get(str(claim.get("kind")), _not_plain)(claim, depth + 1)
    raise Malformed("no plain value")


def _not_plain(note: Mapping[str, Any], depth: int) -> object:
    return NotPlain(_text(note.get("what"))[:80], _text(note.get("text"))[:80])


def _odd_float(note: Mapping[str, Any], depth: int) -> object:
    return {"nan": math.nan, "inf": math.inf, "-inf": -math.inf}.get(str(note.get("text")), math.nan)


def _list_of(note: Mapping[str, Any], depth: int) -> list[Any]:
    items = believed_answer(note.get("items"), depth)
    if not isinstance(items, list):
        raise Malformed("no items")
    return items


def _set_of(note: Mapping[str, Any], depth: int) -> object:
    try:
        return set(_list_of(note, depth))
    except TypeError:
        return NotPlain("set", "")


def _dict_of(note: Mapping[str, Any], depth: int) -> object:
    try:
        return dict(_list_of(note, depth))
    except (TypeError, ValueError):
        return NotPlain("dict", "")


_NOTES: dict[str, Callable[[Mapping[str, Any], int], object]] = {
    "ellipsis": lambda note, depth: ...,
    "float": _odd_float,
    "set": _set_of,
    "dict": _dict_of,
}


def _text(value: object) -> str:
    """Text that can be written to a file; half characters are replaced."""
    text = value if isinstance(value, str) else ""
    return text[:_TEXT].encode("utf-8", "replace").decode("utf-8")


def believed_outputs(claim: object, execution_count: int) -> tuple[dict[str, Any], ...]:
    """Rebuild notebook outputs from the known fields of a claim; everything else is left behind.

    Parameters
    ----------
    claim : JSON data
    execution_count : int, number of the cell in the run

    Returns
    -------
    tuple of nbformat 4 outputs
    """
    if not isinstance(claim, list) or len(claim) > 4 * DISPLAYS + 1000:
        raise Malformed("no list of outputs")
    return tuple(_output(item, execution_count) for item in claim if isinstance(item, dict))


def _output(item: Mapping[str, Any], execution_count: int) -> dict[str, Any]:
    kind = item.get("output_type")
    if kind == "stream":
        name = "stderr" if item.get("name") == "stderr" else "stdout"
        return {"output_type": "stream", "name": name, "text": _text(item.get("text"))}
    if kind == "error":
        lines = item.get("traceback")
        kept = [_text(line) for line in lines[:40]] if isinstance(lines, list) else []
        ename, evalue = _text(item.get("ename"))[:80], _text(item.get("evalue"))[:500]
        return {"output_type": "error", "ename": ename, "evalue": evalue, "traceback": kept}
    if kind in ("display_data", "execute_result"):
        numbered = {"execution_count": execution_count} if kind == "execute_result" else {}
        return {"output_type": kind, "data": _data(item.get("data")), "metadata": {}, **numbered}
    raise Malformed("no known output")


def _data(claim: object) -> dict[str, str]:
    if not isinstance(claim, dict):
        raise Malformed("no data")
    texts = {mime: _text(claim[mime]) for mime in TEXT_TYPES if mime in claim}
    images = {mime: claim[mime] for mime in IMAGE_TYPES if isinstance(claim.get(mime), str)}
    # an image stands inside quotes on a page: letters of base64 only
    return texts | {mime: image for mime, image in images.items() if _BASE64.fullmatch(image)}
