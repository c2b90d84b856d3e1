"""What runs inside the sandbox: the cells of one notebook, their bounded outputs, and the answers as plain data.

Everything that this module sends is a claim of the student's process about the student's own answers. The grader
(execution.py) reads it with limits and decides nothing else by it.
"""

from __future__ import annotations

import base64
import json
import math
import os
import signal
import socket
import struct
import sys
import time
import types
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NoReturn

CELL_TEXT, ALL_TEXT = 20_000, 200_000  # characters
IMAGE, ALL_IMAGES = 400_000, 3_000_000  # characters of base64
DISPLAYS = 60  # items of one cell
_ANSWER_ITEMS, _ANSWER_DEPTH, _ANSWER_TEXT = 5_000, 5, 4_000
_GRACE_S = 2.0  # between the first and the last word to a cell that runs too long

TEXT_TYPES = ("text/plain", "text/html", "text/latex", "text/markdown")
IMAGE_TYPES = ("image/png", "image/jpeg")


class CellTimeout(BaseException):
    """Raised in a cell that runs longer than it may; no Exception, so that an ordinary retry loop lets it pass."""


class Outputs:
    """The outputs of the running cell, cut where they grow too long."""

    def __init__(self) -> None:
        self.items: list[dict[str, Any]] = []
        self.cut = False
        self._cell_text = self._all_text = self._all_images = self._displays = 0

    def next_cell(self) -> None:
        """Forget the last cell; what the whole notebook may still use is remembered."""
        self.items, self.cut, self._cell_text, self._displays = [], False, 0, 0

    def stream(self, name: str, text: str) -> None:
        """Take what was printed."""
        text = self._as_much_as_fits(text)
        if not text:
            return
        last = self.items[-1] if self.items else {}
        if last.get("output_type") == "stream" and last["name"] == name:
            last["text"] += text
        else:
            self.items.append({"output_type": "stream", "name": name, "text": text})

    def _as_much_as_fits(self, text: str) -> str:
        room = max(0, min(CELL_TEXT - self._cell_text, ALL_TEXT - self._all_text))
        self.cut = self.cut or len(text) > room
        text = text[:room]
        self._cell_text += len(text)
        self._all_text += len(text)
        return text

    def display(self, kind: str, data: Mapping[str, Any]) -> None:
        """Take what was displayed or is the value of the last line."""
        self._displays += 1
        if self._displays > DISPLAYS:
            self.cut = True
            return
        shown = {mime: self._as_much_as_fits(str(data[mime])) for mime in TEXT_TYPES if mime in data}
        shown |= {mime: image for mime in IMAGE_TYPES if (image := self._image(data.get(mime)))}
        self.items.append({"output_type": kind, "data": shown, "metadata": {}})

    def _image(self, data: object) -> str:
        text = base64.b64encode(data).decode() if isinstance(data, bytes) else str(data or "")
        if len(text) > IMAGE or self._all_images + len(text) > ALL_IMAGES:
            self.cut = True
            return ""
        self._all_images += len(text)
        return text

    def error(self, kind: str, message: str, traceback: Iterable[str]) -> None:
        """Take an error with the last lines of its traceback."""
        lines = [self._as_much_as_fits(str(line)[:2000]) for line in list(traceback)[-20:]]
        self.items.append({"output_type": "error", "ename": kind[:80], "evalue": message[:500], "traceback": lines})


class _Stream:
    """Stands in for sys.stdout and sys.stderr."""

    encoding, errors, closed = "utf-8", "replace", False

    def __init__(self, outputs: Outputs, name: str) -> None:
        self._outputs, self.name = outputs, name

    def write(self, text: str) -> int:
        self._outputs.stream(self.name, text)
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.write(line)

    def flush(self) -> None:
        """Nothing waits."""

    def isatty(self) -> bool:
        return False

    def fileno(self) -> NoReturn:
        raise OSError("there is no file behind it")


def make_shell(outputs: Outputs) -> Any:
    """Make the IPython shell that runs the cells, with nothing of a user's own settings in it.

    Parameters
    ----------
    outputs : Outputs, gets what the cells show

    Returns
    -------
    IPython.core.interactiveshell.InteractiveShell
    """
    from IPython.core.displayhook import DisplayHook
    from IPython.core.displaypub import DisplayPublisher
    from IPython.core.interactiveshell import InteractiveShell
    from traitlets.config import Config

    class Publisher(DisplayPublisher):  # type: ignore[misc]
        def publish(self, data: Mapping[str, Any], metadata: Any = None, **_: Any) -> None:
            outputs.display("display_data", data)

        def clear_output(self, wait: bool = False) -> None:
            outputs.items.clear()

    class LastValue(DisplayHook):  # type: ignore[misc]
        def write_output_prompt(self) -> None:
            """A notebook shows its numbers beside the cell."""

        def write_format_data(self, format_dict: Mapping[str, Any], md_dict: Any = None) -> None:
            outputs.display("execute_result", format_dict)

        def finish_displayhook(self) -> None:
            """Nothing to flush."""

    class Shell(InteractiveShell):  # type: ignore[misc]
        def _showtraceback(self, etype: Any, evalue: Any, stb: Iterable[str]) -> None:
            outputs.error(str(getattr(etype, "__name__", etype)), str(evalue), stb)

        def enable_gui(self, gui: Any = None) -> None:
            """No windows here."""

        def ask_exit(self) -> None:
            """`exit` ends the cell, not the notebook."""

    settings = Config()
    settings.HistoryManager.enabled = False
    settings.HistoryManager.hist_file = ":memory:"
    settings.InteractiveShell.colors = "nocolor"
    settings.InteractiveShell.cache_size = 0
    shell = Shell.instance(config=settings, display_pub_class=Publisher, displayhook_class=LastValue)
    shell.enable_matplotlib("inline")
    return shell


def plain(value: object) -> Any:
    """Turn an answer into plain data; what is no plain data becomes a note that says what it was.

    Parameters
    ----------
    value : object of the student's

    Returns
    -------
    JSON data; a dict is always a note: {"kind": ..., ...}

    Examples
    --------
    >>> plain([1, 2.5, None, "vapour", ...])
    [1, 2.5, None, 'vapour', {'kind': 'ellipsis'}]
    """
    return _plain(value, 0, [_ANSWER_ITEMS])


def _plain(value: object, depth: int, left: list[int]) -> Any:
    left[0] -= 1
    if left[0] < 0 or depth > _ANSWER_DEPTH:
        return _note("other", "too large", "")
    # exact types: a subclass may lie about everything it does
    converter = _CONVERTERS.get(type(value))
    if converter is not None:
        return converter(value, depth, left)
    if type(value).__module__ == "numpy":
        return _numpy(value, depth, left)
    return _note("other", type(value).__name__, _shown(value))


def _numpy(value: Any, depth: int, left: list[int]) -> Any:
    if getattr(value, "size", 0) > _ANSWER_ITEMS:
        return _note("other", "too large", "")
    inner = value.tolist() if hasattr(value, "tolist") else value
    if type(inner) not in _CONVERTERS:
        return _note("other", type(value).__name__, _shown(value))
    return _plain(inner, depth, left)


def _note(kind: str, what: str, text: str) -> dict[str, str]:
    return {"kind": kind, "what": what[:80], "text": text[:80]}


def _shown(value: object) -> str:
    try:
        return repr(value)[:80]
    except Exception:
        return ""


def _float(value: Any, depth: int, left: list[int]) -> Any:
    return value if math.isfinite(value) else {"kind": "float", "text": repr(value)}


def _integer(value: Any, depth: int, left: list[int]) -> Any:
    return value if value.bit_length() < 1024 else _note("other", "very long integer", "")


def _sequence(value: Any, depth: int, left: list[int]) -> Any:
    return [_plain(item, depth + 1, left) for item in value[: _ANSWER_ITEMS + 1]]


def _set(value: Any, depth: int, left: list[int]) -> Any:
    return {"kind": "set", "items": [_plain(item, depth + 1, left) for item in list(value)[: _ANSWER_ITEMS + 1]]}


def _dict(value: Any, depth: int, left: list[int]) -> Any:
    pairs = list(value.items())[: _ANSWER_ITEMS + 1]
    return {
        "kind": "dict",
        "items": [[_plain(name, depth + 1, left), _plain(item, depth + 1, left)] for name, item in pairs],
    }


_CONVERTERS: dict[type, Callable[[Any, int, list[int]], Any]] = {
    type(None): lambda value, depth, left: None,
    bool: lambda value, depth, left: value,
    int: _integer,
    float: _float,
    str: lambda value, depth, left: value[:_ANSWER_TEXT],
    list: _sequence,
    tuple: _sequence,
    set: _set,
    frozenset: _set,
    dict: _dict,
    types.EllipsisType: lambda value, depth, left: {"kind": "ellipsis"},
}


def send(way: socket.socket, frame: Mapping[str, Any]) -> None:
    """Send one frame: its length in four bytes, then JSON.

    Parameters
    ----------
    way : socket to the grader
    frame : JSON data
    """
    body = json.dumps(frame, allow_nan=False).encode("utf-8", "replace")
    way.sendall(struct.pack("!I", len(body)) + body)


def receive(way: socket.socket) -> Any:
    """Receive one frame; the process ends if the grader is gone.

    Parameters
    ----------
    way : socket to the grader

    Returns
    -------
    JSON data
    """
    (length,) = struct.unpack("!I", _exactly(way, 4))
    return json.loads(_exactly(way, length))


def _exactly(way: socket.socket, count: int) -> bytes:
    parts = bytearray()
    while len(parts) < count:
        part = way.recv(min(count - len(parts), 1 << 20))
        if not part:
            os._exit(0)
        parts += part
    return bytes(parts)


def _start_clock(way: socket.socket, number: int, seconds: float) -> None:
    """Arrange that an overrun first raises in the cell and, if the cell goes on all the same, ends the notebook."""
    overruns = 0

    def overrun(*_: object) -> None:
        nonlocal overruns
        overruns += 1
        if overruns > 1:
            send(way, {"cell": number, "stubborn": True})
            os._exit(0)
        raise CellTimeout("the cell ran longer than it may")

    signal.signal(signal.SIGALRM, overrun)
    signal.setitimer(signal.ITIMER_REAL, seconds, _GRACE_S)


def _stop_clock() -> None:
    signal.setitimer(signal.ITIMER_REAL, 0)


def _run_cell(shell: Any, outputs: Outputs, source: str) -> str:
    try:
        result = shell.run_cell(source, store_history=True)
    except CellTimeout:
        return "timeout"
    except BaseException as problem:
        outputs.error(type(problem).__name__, str(problem), [])
        return "error"
    raised = result.error_in_exec or result.error_before_exec
    if isinstance(raised, CellTimeout):
        return "timeout"
    return "error" if raised else "ok"


def run_notebook(way: socket.socket, shell: Any, outputs: Outputs, job: Mapping[str, Any]) -> None:
    """Run the cells in order and report after each one.

    Parameters
    ----------
    way : socket to the grader
    shell : from make_shell
    outputs : the same that the shell writes to
    job : {"cells": [{"source", "names"}], "cell_seconds"}
    """
    sys.stdout, sys.stderr = _Stream(outputs, "stdout"), _Stream(outputs, "stderr")
    for number, cell in enumerate(job["cells"]):
        outputs.next_cell()
        started = time.perf_counter()
        answers: dict[str, Any] = {}
        try:
            _start_clock(way, number, job["cell_seconds"])
            status = _run_cell(shell, outputs, cell["source"])
            answers = {name: plain(shell.user_ns[name]) for name in cell["names"] if name in shell.user_ns}
            _stop_clock()
        except CellTimeout:
            _stop_clock()
            status = "timeout"
        report = {"cell": number, "status": status, "outputs": outputs.items, "answers": answers, "cut": outputs.cut}
        send(way, report | {"seconds": round(time.perf_counter() - started, 4)})
    send(way, {"end": True})
