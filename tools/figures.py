"""Print the page of figures: import times, look-ups a second, what is checked, how large the house is.

``python tools/figures.py`` takes about a minute; seconds per hand-in come from tests/benchmarks/test_grading_speed.py.
"""

from __future__ import annotations

import platform
import subprocess
import sys
import timeit
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[1]
FIRST_CELL = """
from hvacr_lab.exercises import check_form, check_practice, check_warm_up, glasses_picture, open_sheet, refrigerator
from hvacr_lab.exercises.look_ups import bubble_temperature_c, dew_temperature_c
str(open_sheet("02-refrigerant-states", salt="figures", units="SI", altitude_m=430.0))
"""


def seconds_inside(statement: str, runs: int = 7) -> float:
    """Median time of a statement in fresh interpreters, the interpreter's own start left out."""
    code = f"import time; began = time.perf_counter()\n{statement}\nprint(time.perf_counter() - began)"
    environment = {"HVACR_LAB_STUDENT": "figures", "PATH": "/usr/bin:/bin"}
    times = [
        float(
            subprocess.run(
                [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment
            ).stdout
        )
        for _ in range(runs + 1)
    ]
    return median(times[1:])


def calls_a_second(call: Callable[[], object], values: int = 1) -> float:
    """Values a second, best of five rounds of about a tenth of a second."""
    timer = timeit.Timer(call)
    number, _ = timer.autorange()
    return values * number / min(timer.repeat(5, number))


def lookups() -> Iterator[tuple[str, str]]:
    """Saturation points and states a second."""
    import numpy as np

    from hvacr_lab import refrigerant

    kelvins = np.linspace(240.0, 340.0, 100_000)
    for name in ("R-134a", "R-448A"):
        fluid = refrigerant(name)
        rate = calls_a_second(lambda fluid=fluid: fluid.dew_pressure(kelvins), kelvins.size)
        yield f"saturation points a second, {name}, array", f"{rate / 1e6:.1f} million"
        rate = calls_a_second(lambda fluid=fluid: fluid.temperature_ph(2e5, 4.1e5))
        yield f"temperatures from (p, h) a second, {name}, one by one", f"{rate / 1e3:.0f} thousand"


def lines_of(*patterns: str) -> str:
    """Lines of Python that are not blank, by folder pattern."""
    files = [path for pattern in patterns for path in ROOT.glob(pattern)]
    return f"{sum(1 for path in files for line in path.read_text('utf-8').splitlines() if line.strip()):,}"


def page() -> Iterator[tuple[str, str]]:
    """All figures, in words and as text."""
    yield "machine", f"{platform.machine()}, Python {platform.python_version()}"
    yield "import hvacr_lab, warm", f"{1000 * seconds_inside('import hvacr_lab'):.0f} ms"
    yield "first cell of lesson 02, warm", f"{1000 * seconds_inside(FIRST_CELL):.0f} ms"
    yield from lookups()
    yield "lines of code", lines_of("hvacr_lab/**/*.py", "tools/*.py", "lab.py")
    yield "lines of tests", lines_of("tests/**/*.py")


def main() -> None:
    """Print figures as they come."""
    for name, value in page():
        print(f"{name:58} {value}", flush=True)


if __name__ == "__main__":
    main()
