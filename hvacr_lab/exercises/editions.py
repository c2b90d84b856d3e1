"""The US edition of a lesson: the same notebook with the replacements that its us.toml lists."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from hvacr_lab.errors import FileProblem


def us_edition(notebook: Mapping[str, Any], replacements: Path) -> dict[str, Any]:
    """Rewrite a notebook from SI to US units.

    All replacements are made in one pass, the longest first, so that none works on what another has written.

    Parameters
    ----------
    notebook : dict, as in the .ipynb file
    replacements : Path of us.toml; its table [replace] holds "what stands in SI" = "what stands in US"

    Returns
    -------
    dict, a copy

    Raises
    ------
    FileProblem : the list cannot be read, or something in it occurs nowhere

    Source
    ------
    Own rule.
    """
    table = _table(replacements)
    pattern = re.compile("|".join(re.escape(old) for old in sorted(table, key=len, reverse=True)))
    used: set[str] = set()

    def new(found: re.Match[str]) -> str:
        used.add(found[0])
        return table[found[0]]

    copy: dict[str, Any] = json.loads(json.dumps(notebook))
    for cell in copy["cells"]:
        text = "".join(cell["source"])
        changed = pattern.sub(new, text)
        cell["source"] = changed.splitlines(keepends=True) if isinstance(cell["source"], list) else changed
    unused = [old for old in table if old not in used]
    if unused:
        listed = ", ".join(repr(old) for old in unused)
        raise FileProblem(replacements, f"not found in the notebook: {listed}. Was the notebook changed?")
    return copy


def _table(path: Path) -> dict[str, str]:
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))["replace"]
    except (OSError, tomllib.TOMLDecodeError) as problem:
        raise FileProblem(path, f"the replacements cannot be read ({problem})") from None
    except KeyError:
        raise FileProblem(path, "there is no table [replace] in it") from None
    wrong = [old for old, new in table.items() if not isinstance(new, str) or not old]
    if wrong:
        raise FileProblem(path, f"{wrong[0]!r} needs a text to be replaced by")
    return dict(table)
