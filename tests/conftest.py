"""What all tests share: helper programs are found, homes are private, CI does not forgive a missing library."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# nbgrader calls alembic by name; it is beside this interpreter whether or not the environment is activated
os.environ["PATH"] = str(Path(sys.executable).parent) + os.pathsep + os.environ.get("PATH", os.defpath)


@pytest.fixture(scope="session", autouse=True)
def private_homes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the user's own Jupyter, IPython or matplotlib settings."""
    home = tmp_path_factory.mktemp("home")
    names = ("IPYTHONDIR", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "MPLCONFIGDIR")
    before = {name: os.environ.get(name) for name in names}
    for name in names:
        folder = home / name.lower()
        folder.mkdir()
        os.environ[name] = str(folder)
    yield
    for name, value in before.items():
        if value is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = value


def _missing_extras(reports: list[pytest.CollectReport | pytest.TestReport]) -> list[str]:
    """Reasons of the tests that did not run because a library of an extra is not installed."""
    reasons = [str(report.longrepr[2]) for report in reports if isinstance(report.longrepr, tuple)]
    return sorted({reason.removeprefix("Skipped: ") for reason in reasons if "could not import" in reason})


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    missing = _missing_extras(terminalreporter.stats.get("skipped", []))
    if missing:
        terminalreporter.write_line(
            f"not run for want of a library: {'; '.join(missing)}  (pip install -e '.[ci]' brings them all)",
            yellow=True,
        )


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if os.environ.get("CI") and reporter and _missing_extras(reporter.stats.get("skipped", [])):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
