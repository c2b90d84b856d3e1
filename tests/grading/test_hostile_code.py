"""Hostile code in an answer cell: what it tries fails, the notebook gets a reason, the next one does not notice."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from hvacr_lab.errors import LabError
from hvacr_lab.grading.claims import CodeCell, RunOutcome
from hvacr_lab.grading.execution import Executor, Limits
from hvacr_lab.grading.folders import ClassFolder

ATTACKS = Path(__file__).parent.parent / "submissions"


@dataclass(frozen=True)
class Fate:
    """What has to come of an attack: how its cell ends, by which error, and the reason that is given."""

    cell: str = "error"
    error: tuple[str, ...] = ()
    reason: str = ""

    @property
    def goes_on(self) -> bool:
        """True when the cell after it still runs."""
        return self.cell != "not run"


def refused(*errors: str) -> Fate:
    return Fate("error", errors or ("PermissionError",))


NOT_THERE = refused("FileNotFoundError")
READ_ONLY = refused("OSError", "PermissionError")
ENDED = Fate("not run", (), "ended the Python process itself")

FATES = {
    "becomes_root": refused(),
    "breaks_the_library_for_all": Fate("not run", (), "ended"),
    "claims_four_gigabytes": Fate("not run", (), "no result"),
    "closes_the_way_back": ENDED,
    "crashes_python": Fate("not run", (), "crashed Python"),
    "endless_loop": Fate("timeout", (), "ran longer than 0.7 s and was stopped"),
    "fills_the_disk": refused("OSError"),
    "flood_of_prints": Fate("ok", (), "the rest of its output was cut"),
    "fork_bomb": refused(),
    "forges_its_result": Fate("ok"),
    "hangs_up": ENDED,
    "kills_everyone": refused("ProcessLookupError"),
    "kills_its_parent": refused("ProcessLookupError"),
    "kills_its_process_group": Fate("ok"),  # it is alone in its group, and process 1 is immune to itself
    "leaves_by_os_exit": ENDED,
    "leaves_by_sys_exit": refused("SystemExit"),
    "loop_inside_c": Fate("not run", (), "1 s of processor time"),
    "loop_that_catches_everything": Fate("not run", (), "did not let itself be stopped"),
    "makes_a_user_namespace": refused(),
    "mounts_proc": refused(),
    "network": refused(),
    "one_huge_print": Fate("ok", (), "the rest of its output was cut"),
    "other_program": refused(),
    "reads_a_neighbours_work": NOT_THERE,
    "reads_the_gradebook": NOT_THERE,
    "reads_the_graders_memory": NOT_THERE,
    "reads_the_passwords": NOT_THERE,
    "reads_the_source": NOT_THERE,
    "recursion": Fate("not run", (), ""),
    "sends_a_bomb_of_brackets": Fate("not run", (), "no result"),
    "shell_escape": refused("OSError", "PermissionError"),
    "sleeps_with_the_clock_off": Fate("not run", (), "had used its 4 s"),
    "thousands_of_displays": Fate("ok", (), "the rest of its output was cut"),
    "thread_bomb": refused("RuntimeError", "MemoryError"),
    "two_gigabytes": Fate("error", ("MemoryError",), "more memory than a notebook may use"),
    "writes_into_the_library": READ_ONLY,
    "writes_into_the_system": READ_ONLY,
}
AGAINST_THE_CLOCK = ("endless_loop", "loop_that_catches_everything")
AGAINST_THE_LAST_LIMITS = ("loop_inside_c", "recursion", "sleeps_with_the_clock_off")
MODES = ["user"] if os.geteuid() else ["root", "user"]


@pytest.fixture(scope="module", params=MODES)
def walls(request: pytest.FixtureRequest) -> Iterator[Executor]:
    with Executor(workers=2, mode=request.param) as executor:
        yield executor


def attack(executor: Executor, name: str, target: ClassFolder) -> RunOutcome:
    """An honest cell, the attack on the target's files, an honest cell."""
    text = (ATTACKS / f"{name}.cell").read_text().replace("CLASS_FOLDER", str(target.root))
    cells = [CodeCell("before = 41", "q1"), CodeCell(text, "q2"), CodeCell("after = before + 1", "q3")]
    return executor.run(cells, student="mallory", captures={"q1": ("before",), "q3": ("after",)})


def next_student(executor: Executor) -> RunOutcome:
    source = "import hvacr_lab.exercises.form as form, numpy\nx = abs(form.read_number('x', -3.5)) + numpy.abs(-1)"
    return executor.run([CodeCell(source, "q1")], student="honest", captures={"q1": ("x",)})


def test_each_attack_has_its_fate_written_down() -> None:
    assert {path.stem for path in ATTACKS.glob("*.cell")} == set(FATES)


def check(executor: Executor, name: str, target: ClassFolder) -> None:
    fate = FATES[name]
    outcome = attack(executor, name, target)
    cell = outcome.cells[1]
    assert cell.status == fate.cell, (cell, outcome.reasons)
    raised = [output["ename"] for output in cell.outputs if output["output_type"] == "error"]
    assert not fate.error or raised[-1] in fate.error, cell.outputs
    assert fate.reason in " ".join(outcome.reasons)
    assert outcome.status == ("graded" if fate.goes_on else "stopped")
    assert outcome.answers["q1"] == {"before": 41}, "what came before counts"
    assert outcome.answers.get("q3", {}) == ({"after": 42} if fate.goes_on else {})
    assert next_student(executor).answers == {"q1": {"x": 4.5}}, "the next student is served as if nothing had happened"


@pytest.mark.parametrize("name", sorted(set(FATES) - {*AGAINST_THE_CLOCK, *AGAINST_THE_LAST_LIMITS}))
def test_attack_is_contained(walls: Executor, name: str, pristine_class: ClassFolder) -> None:
    check(walls, name, pristine_class)


@pytest.mark.parametrize(
    "name", [*AGAINST_THE_CLOCK, *(pytest.param(name, marks=pytest.mark.slow) for name in AGAINST_THE_LAST_LIMITS)]
)
def test_time_is_limited(name: str, pristine_class: ClassFolder) -> None:
    cpu_seconds = 1 if name == "loop_inside_c" else 9
    with Executor(limits=Limits(cell_seconds=0.7, cpu_seconds=cpu_seconds, wall_seconds=4.0)) as executor:
        check(executor, name, pristine_class)


def test_bounded_output_is_what_reaches_the_grader(executor: Executor, pristine_class: ClassFolder) -> None:
    for name in ("flood_of_prints", "one_huge_print", "thousands_of_displays"):
        outputs = attack(executor, name, pristine_class).cells[1].outputs
        assert sum(len(str(output)) for output in outputs) < 60_000, name


def test_a_forged_result_gives_nothing_that_the_student_could_not_write_down(
    executor: Executor, pristine_class: ClassFolder
) -> None:
    outcome = attack(executor, "forges_its_result", pristine_class)
    assert set(outcome.answers) <= {"q1", "q3"}
    assert set(outcome.answers["q3"]) == {"after"}


def test_reduced_mode_still_refuses_to_reach_out(pristine_class: ClassFolder) -> None:
    with Executor(mode="reduced") as executor:
        for name in ("fork_bomb", "kills_everyone", "kills_its_parent", "network", "writes_into_the_library"):
            outcome = attack(executor, name, pristine_class)
            assert [output.get("ename") for output in outcome.cells[1].outputs] == ["PermissionError"], name
            assert outcome.mode == "reduced"
        assert next_student(executor).status == "graded"


def test_nothing_of_a_run_is_left_alive() -> None:
    with Executor() as executor:
        assert next_student(executor).status == "graded"
        folder = executor._template._folder  # type: ignore[union-attr]
        running = executor.submit([CodeCell("import time; time.sleep(100)")], student="sleepy", captures={})
        time.sleep(1.0)
    with pytest.raises(LabError, match="The grading run was ended"):
        running.result(timeout=10)
    assert not folder.exists()
    assert not [line for line in _command_lines() if str(folder) in line]


def _command_lines() -> list[str]:
    lines = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            lines.append(path.read_bytes().replace(b"\0", b" ").decode(errors="replace"))
        except OSError:
            continue
    return lines
