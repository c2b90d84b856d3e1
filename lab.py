#!/usr/bin/env python3
"""Run hvacr_lab from this folder; the environment it needs is made once, in .lab/.

    python3 lab.py demo            any command of hvacr-lab; the list: python3 lab.py --help
    python3 lab.py test            the tests; further words go to pytest

Needs Python 3.11 or newer with pip or venv, and about 1 GB of disk. To remove everything it made: delete .lab/.
"""

# This file has to be *parsed* by old Pythons, so that they can say what is missing: no f-strings, no annotations.

import os
import sys

OLDEST = (3, 11)


def newer_python():
    """Find a Python on PATH that is new enough; ask it, because a name on PATH may be an empty shim."""
    import shutil
    import subprocess

    for minor in (13, 12, 11, 14):
        path = shutil.which("python3.%d" % minor)
        if path is None:
            continue
        try:
            with open(os.devnull, "w") as nowhere:
                answer = subprocess.check_output(
                    [path, "-c", "import sys; print(sys.version_info >= (3, 11))"], stderr=nowhere
                )
        except (OSError, subprocess.CalledProcessError):
            continue
        if answer.strip() == b"True":
            return path
    return None


if sys.version_info < OLDEST:
    found = newer_python() if sys.version_info >= (3, 3) else None
    if found is None:
        sys.exit(
            "hvacr_lab needs Python 3.11 or newer; this is Python %d.%d (%s).\n"
            "Install a newer Python, or name it: python3.12 lab.py ..."
            % (sys.version_info[0], sys.version_info[1], sys.executable)
        )
    os.execv(found, [found] + sys.argv)

import contextlib
import hashlib
import json
import shutil
import subprocess
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
WINDOWS = os.name == "nt"
# settings of the user's shell that would lead pip or Python away from the environment made here
FOREIGN = (
    "PYTHONHOME",
    "PYTHONPATH",
    "PIP_USER",
    "PIP_TARGET",
    "PIP_PREFIX",
    "PIP_REQUIRE_VIRTUALENV",
    "__PYVENV_LAUNCHER__",
)


def say(text):
    """Progress goes to standard error, so that results on standard output stay clean."""
    print("lab: " + text, file=sys.stderr, flush=True)


def child_environment():
    """The environment of every process started here."""
    environment = {name: value for name, value in os.environ.items() if name not in FOREIGN}
    environment["PYTHONNOUSERSITE"] = "1"
    return environment


class Environment:
    """The virtual environment below .lab/ and the stamp that says it is complete."""

    def __init__(self, extras):
        self.base = Path(os.environ.get("HVACR_LAB_ENV") or ROOT / ".lab")
        # named by minor version only: a new patch release replaces the folder instead of adding one
        self.folder = self.base / ("py%d.%d" % sys.version_info[:2])
        self.bin = self.folder / ("Scripts" if WINDOWS else "bin")
        self.python = self.bin / ("python.exe" if WINDOWS else "python")
        self.stamp = self.folder / "ready.json"
        self.log = self.base / "setup.log"
        self.extras = set(extras)

    def wanted(self):
        """What the stamp must say; a copied or moved folder, another Python or another list of packages differs."""
        files = hashlib.sha256()
        for name in ("pyproject.toml", "constraints.txt"):
            files.update((ROOT / name).read_bytes())
        return {
            "files": files.hexdigest(),
            "root": str(ROOT),
            "folder": str(self.folder),
            "base": os.path.realpath(getattr(sys, "_base_executable", None) or sys.executable),
            "version": sys.version.split()[0],
        }

    def state(self):
        """ "missing", "stale", "extend" (an extra is to be added) or "ready", and the extras that are there."""
        try:
            stamp = json.loads(self.stamp.read_text())
        except (OSError, ValueError):
            return "missing", set()
        there = set(stamp.pop("extras", []))
        if stamp != self.wanted() or not self.python.exists():
            return "stale", there
        return ("ready" if self.extras <= there else "extend"), there

    def ensure(self):
        """Make the environment if it is not ready; two first runs at once wait for each other."""
        if self.state()[0] == "ready":
            return
        try:
            self.base.mkdir(parents=True, exist_ok=True)
            lock = open(self.base / "lock", "w")
        except OSError as problem:
            sys.exit(
                "lab: cannot write to %s (%s).\nSet HVACR_LAB_ENV to a folder where you may write."
                % (self.base, problem.strerror)
            )
        with lock:
            wait_for(lock)
            state, there = self.state()
            if state == "ready":
                return
            start = time.time()
            if state != "extend":
                there = set()
                self.make_empty()
            self.extras |= there
            self.stamp.unlink(missing_ok=True)
            self.install()
            self.write_stamp()
            say("ready after %.0f s" % (time.time() - start))

    def make_empty(self):
        """A fresh virtual environment with pip, also where Debian's ensurepip package is not installed."""
        import venv

        if self.folder.exists():
            say("the environment is incomplete or out of date; making it anew")
            shutil.rmtree(self.folder)
        with contextlib.suppress(OSError):
            self.log.unlink()
        outer_pip = None
        try:
            import ensurepip  # noqa: F401
        except ImportError:
            outer_pip = pip_version_of(sys.executable)
            if outer_pip is None:
                sys.exit(
                    "lab: this Python has neither ensurepip nor pip, so nothing can be installed.\n"
                    "Debian or Ubuntu: apt install python3-venv    Others: install pip for %s" % sys.executable
                )
        say("making the environment in %s (once; about 700 MB, one to three minutes)" % self.folder)
        venv.EnvBuilder(with_pip=outer_pip is None, symlinks=not WINDOWS).create(self.folder)
        if outer_pip is not None:
            self.bring_pip(outer_pip)

    def bring_pip(self, outer_pip):
        """Put pip into the environment with the pip that the machine has."""
        say("no ensurepip here: using the pip of %s" % sys.executable)
        if outer_pip >= (22, 3):
            self.call([sys.executable, "-m", "pip", "--python", str(self.python), "install", "-q", "pip"])
            return
        wheels = self.folder / "pip-wheel"
        self.call([sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", str(wheels), "pip"])
        wheel = next(wheels.glob("pip-*.whl"))
        self.call([str(self.python), str(wheel / "pip"), "install", "-q", "--no-index", str(wheel)])

    def install(self):
        """Install the package, editable, with what it needs."""
        names = "[%s]" % ",".join(sorted(self.extras)) if self.extras else ""
        say("installing hvacr-lab%s" % names)
        command = [str(self.python), "-m", "pip", "install", "--progress-bar", "off", "--disable-pip-version-check"]
        self.call(command + ["-c", str(ROOT / "constraints.txt"), "-e", str(ROOT) + names], progress=True)

    def write_stamp(self):
        """Last of all and in one step: no stamp, no trust."""
        new = self.stamp.with_suffix(".new")
        new.write_text(json.dumps(dict(self.wanted(), extras=sorted(self.extras))))
        os.replace(new, self.stamp)

    def call(self, command, progress=False):
        """Run a set-up command; everything it prints goes to the log, a line of progress to the screen."""
        with open(self.log, "ab") as log:
            process = subprocess.Popen(
                command,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                errors="replace",
                env=child_environment(),
                cwd=str(self.base),
            )
            start = shown = time.time()
            doing, count = "looking for packages", 0
            for line in process.stdout:
                log.write(line.encode())
                count += line.lstrip().startswith(("Collecting ", "Processing "))
                if line.startswith("Installing collected"):
                    doing, count, shown = "writing packages to disk", line.count(",") + 1, 0
                if progress and time.time() - shown > 5:
                    shown = time.time()
                    say("  %3.0f s  %s (%d)" % (shown - start, doing, count))
        if process.wait() != 0:
            self.give_up()

    def give_up(self):
        """Lead with the first error of the log: what follows it is usually only its echo."""
        lines = self.log.read_text(errors="replace").splitlines()
        errors = [line for line in lines if "ERROR" in line or "No space left" in line]
        sys.exit(
            "\n".join(errors[:2] or lines[-5:])
            + "\nlab: set-up stopped; the whole log is %s\n" % self.log
            + "Check the network and the disk (1 GB free), then give the same command again."
        )


def wait_for(lock):
    """Hold the lock; the system frees it when its owner ends, however it ends."""
    if WINDOWS:
        return
    import fcntl

    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        say("another set-up is at work here; waiting for it")
        fcntl.flock(lock, fcntl.LOCK_EX)


def pip_version_of(python):
    """Major and minor version of a Python's pip, or None."""
    answer = subprocess.run(
        [python, "-m", "pip", "--version"], capture_output=True, text=True, env=child_environment(), check=False
    )
    if answer.returncode != 0:
        return None
    return tuple(int(part) for part in answer.stdout.split()[1].split(".")[:2])


def command_environment(environment):
    """What the command itself sees: the environment's programs first, and a home even where the machine gives none."""
    inside = child_environment()
    inside["PATH"] = str(environment.bin) + os.pathsep + inside.get("PATH", os.defpath)
    inside["VIRTUAL_ENV"] = str(environment.folder)
    try:
        Path.home()
    except RuntimeError:
        import tempfile

        inside["HOME"] = tempfile.mkdtemp(prefix="hvacr-lab-home-")
    return inside


def main():
    """Make the environment ready, then become the command."""
    words = sys.argv[1:]
    if not words:
        print(__doc__)
        return 2
    testing = words[0] == "test"
    extras = ["ci" if os.environ.get("CI") else "test"] if testing else []
    environment = Environment(extras)
    try:
        environment.ensure()
    except KeyboardInterrupt:
        sys.exit("\nlab: stopped; give the same command again and it starts over")
    inside = command_environment(environment)
    module = ["pytest"] + words[1:] if testing else ["hvacr_lab"] + words
    command = [str(environment.python), "-m"] + module
    if testing:
        os.chdir(str(ROOT))
    if WINDOWS:
        return subprocess.call(command, env=inside)
    os.execve(command[0], command, inside)
    return 1


if __name__ == "__main__":
    sys.exit(main())
