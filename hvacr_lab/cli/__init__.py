"""The command line: one file for each group of commands, loaded only when its command is called."""

from __future__ import annotations

import importlib
import os
import sys
from pathlib import Path
from typing import NoReturn

import click

from hvacr_lab import __version__
from hvacr_lab.errors import LabError

# command -> (module, attribute, one line for --help), so that --help need not import any of them
_COMMANDS = {
    "demo": ("classroom", "demo", "Build a class of 24 invented students: release, hand in, grade, report."),
    "start": ("classroom", "start", "Open JupyterLab on a class folder."),
    "release": ("classroom", "release", "Make the student edition of a lesson and hand it out."),
    "grade": ("classroom", "grade", "Collect and grade what was handed in; write feedback pages."),
    "report": ("classroom", "report", "Write the class report of a lesson."),
    "export": ("classroom", "export", "Write the marks as a table for other programs."),
    "editions": ("classroom", "editions", "Make the student editions in release/ anew, SI and US."),
    "properties": ("look_up", "properties", "Look up a refrigerant: pressures, temperatures, states."),
    "cycle": ("look_up", "cycle", "Work out a refrigeration cycle from design values."),
    "bench": ("bench", "bench", "The virtual bench: show, solve, compare, sweep, line-up, faults."),
}


class _LazyCommands(click.Group):
    """Lists every command, imports only the one that is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        module, attribute, _ = _COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(f"hvacr_lab.cli.{module}"), attribute)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in _COMMANDS.items()])


@click.group(cls=_LazyCommands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="hvacr-lab")
def hvacr_lab() -> None:
    """Teach refrigeration, air conditioning and heat pumps on one bench.

    \b
    Examples:
      hvacr-lab demo
      hvacr-lab properties R-134a --dew-pressure "2 bar"
    """


def main() -> NoReturn:
    """Run the command line; a user's mistake ends in one sentence and exit code 1, never in a traceback."""
    # nbgrader calls its own helper programs by name: they are beside this interpreter
    os.environ["PATH"] = str(Path(sys.executable).parent) + os.pathsep + os.environ.get("PATH", os.defpath)
    try:
        outcome = hvacr_lab(prog_name="hvacr-lab", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped", err=True)
        sys.exit(1)
    except click.ClickException as problem:
        problem.show()
        sys.exit(problem.exit_code)
    except LabError as problem:
        click.echo(f"hvacr-lab: {problem}", err=True)
        sys.exit(1)
    sys.exit(outcome if isinstance(outcome, int) else 0)
