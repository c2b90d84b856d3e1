"""The warm template: a process that has imported the libraries, holds nothing else, and forks one sandbox a submission.

The grader starts it with a clean environment. It never sees a key, and it never reads a job: it passes the job's socket
on to the sandbox, so that no submission is in the memory which the next one inherits.
"""

from __future__ import annotations

import contextlib
import gc
import io
import json
import os
import random
import select
import signal
import socket
import sys
from pathlib import Path
from typing import Any, NoReturn

from hvacr_lab.grading import runner, sandbox
from hvacr_lab.grading.call_filter import call_filter
from hvacr_lab.grading.sandbox import Limits

_STUDENT_ENVIRONMENT = {
    "PATH": "/usr/bin",
    "LANG": "C.UTF-8",
    "HOME": sandbox.HOME,
    "TMPDIR": sandbox.SCRATCH,
    "MPLCONFIGDIR": sandbox.HOME,
    "IPYTHONDIR": sandbox.HOME,
    "MPLBACKEND": "module://matplotlib_inline.backend_inline",
    "PYTHONDONTWRITEBYTECODE": "1",
    "USER": "student",
}
_WARM_CELL = "import matplotlib.pyplot as _p; _p.figure(); _p.plot([1, 2]); _p.show(); del _p\n1 / 0"


class _Template:
    """What every sandbox inherits."""

    def __init__(self, control: socket.socket, wishes: dict[str, Any]) -> None:
        self.control = control
        self.limits = Limits(**wishes["limits"])
        self.outputs = runner.Outputs()
        self.shell = _warm_shell(self.outputs, wishes["imports"])
        _only_thread()
        self.base_bytes = sandbox.address_space_bytes()
        folder = Path(wishes["folder"]) / "root"
        folder.mkdir()
        self.mode = wishes["mode"] or sandbox.find_mode(str(folder))
        self.filter = call_filter(self.mode)
        if self.mode != "reduced":
            sandbox.build_root(self.mode, str(folder), sandbox.readable_paths())


def _warm_shell(outputs: runner.Outputs, imports: list[str]) -> Any:
    """Load everything that a notebook usually needs, once, before any fork."""
    import numpy.linalg
    import numpy.random  # noqa: F401  (loaded on first use otherwise, where it can no longer be found)

    shell = runner.make_shell(outputs)
    shell.run_cell(_WARM_CELL)  # fonts, figures and tracebacks
    for line in imports:
        # a module that is not installed fails again, visibly, in the student's own cell
        with contextlib.suppress(Exception), contextlib.redirect_stderr(io.StringIO()):
            exec(line, {})
    shell.reset()
    return shell


def _only_thread() -> None:
    threads = len(list(Path("/proc/self/task").iterdir()))
    if threads != 1:
        raise RuntimeError(f"the template has {threads} threads; forking it would not be safe")


def _say(control: socket.socket, message: dict[str, Any]) -> None:
    control.sendall(json.dumps(message).encode() + b"\n")


def main() -> NoReturn:
    """Warm up, build the walls, say what they are, then fork a sandbox for each socket that arrives."""
    control = socket.socket(fileno=int(sys.argv[1]))
    try:
        template = _Template(control, json.loads(sys.argv[2]))
        gc.collect()
        gc.freeze()
        sandbox.forget_files(kept=control.fileno())
    except BaseException as problem:
        _say(control, {"problem": f"{type(problem).__name__}: {problem}"})
        os._exit(1)
    _say(control, {"mode": template.mode})
    _serve(template)


def _serve(template: _Template) -> NoReturn:
    slot = children = 0
    while True:
        message, descriptors, _, _ = socket.recv_fds(template.control, 16, 1)
        if not message:
            os._exit(0)  # the grader is gone; the monitors end with their parent, the sandboxes with theirs
        slot += 1
        if os.fork() == 0:
            _in_child(_monitor, template, socket.socket(fileno=descriptors[0]), slot)
        os.close(descriptors[0])
        children += 1
        while children and os.waitpid(-1, os.WNOHANG)[0]:
            children -= 1


def _in_child(task: Any, *arguments: Any) -> NoReturn:
    """Run a task in a fork; whatever happens, it never returns into the code of the parent."""
    code = 3
    try:
        task(*arguments)
        code = 0
    finally:
        os._exit(code)


def _monitor(template: _Template, way: socket.socket, slot: int) -> None:
    """Start the sandbox and watch it; this process runs no code of a student's."""
    sandbox.die_with_parent()
    os.setsid()
    template.control.close()
    sandbox.own_process_space(template.mode)
    child = os.fork()
    if child == 0:
        _in_child(_sandbox, template, way, slot)
    by = _wait_for_end(child, way, template.limits.wall_seconds)
    _, status, usage = os.wait4(child, 0)
    report = {"ended": by, "signal": status & 0x7F, "cpu_seconds": round(usage.ru_utime + usage.ru_stime, 3)}
    with contextlib.suppress(OSError):
        runner.send(way, report)


def _wait_for_end(child: int, way: socket.socket, wall_seconds: float) -> str:
    handle = os.pidfd_open(child)
    watch = select.poll()
    watch.register(handle, select.POLLIN)
    watch.register(way, 0)  # reports only that the grader has hung up
    events = watch.poll(wall_seconds * 1000)
    if any(descriptor == handle for descriptor, _ in events):
        return "itself"
    signal.pidfd_send_signal(handle, signal.SIGKILL)
    return "grader" if events else "clock"


def _sandbox(template: _Template, way: socket.socket, slot: int) -> None:
    """Give everything up, and only then read the job and run it."""
    try:
        _give_everything_up(template, slot)
    except BaseException as problem:
        runner.send(way, {"problem": f"{type(problem).__name__}: {problem}"})
        return
    runner.send(way, {"started": True})
    job = runner.receive(way)
    os.environ["JUPYTERHUB_USER"] = job["student"]
    runner.run_notebook(way, template.shell, template.outputs, job)


def _give_everything_up(template: _Template, slot: int) -> None:
    import numpy

    os.setsid()  # process groups reach across process namespaces: kill(0, 9) must find nobody else
    sandbox.private_folder(template.mode, slot, template.limits)
    os.environ.clear()
    os.environ.update(_STUDENT_ENVIRONMENT)
    random.seed(0)
    numpy.random.seed(0)
    sandbox.set_limits(template.limits, template.base_bytes)
    sandbox.give_up_rights(template.mode, slot)
    # without walls the filter names the process that it is for
    wall = call_filter(template.mode) if template.mode == "reduced" else template.filter
    wall.load()
