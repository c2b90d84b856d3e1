"""Hand-ins of the demo class: answers written into the student edition, which is then really run."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

ENDLESS_LOOP = "# trying until it fits\nguess = 0.0\nwhile guess != 8.3:\n    guess = guess + 0.1"
EDITED_CHECK = "print('right')\n100"


def with_answers(edition: Mapping[str, Any], values: Mapping[str, object], text: str) -> dict[str, Any]:
    """A copy of the student edition in which the answers stand in place of the three dots.

    Parameters
    ----------
    edition : dict as in the .ipynb file
    values : name of the variable -> value
    text : str, for the questions that a person marks; "" leaves them

    Returns
    -------
    dict
    """
    notebook: dict[str, Any] = json.loads(json.dumps(edition))
    for cell in notebook["cells"]:
        marks = cell["metadata"].get("nbgrader", {})
        if not marks.get("solution"):
            continue
        source = "".join(cell["source"])
        if cell["cell_type"] == "code":
            source = re.sub(
                r"^(\w+)(\s*=\s*)\.\.\.", lambda found: _assignment(found, values), source, flags=re.MULTILINE
            )
        elif text:
            source = text
        cell["source"] = source
    return notebook


def _assignment(found: re.Match[str], values: Mapping[str, object]) -> str:
    """``superheat_k = ...`` with a value; as it was when there is none."""
    return f"{found[1]}{found[2]}{_literal(values[found[1]])}" if found[1] in values else found[0]


def _literal(value: object) -> str:
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)


def with_endless_loop(notebook: Mapping[str, Any]) -> dict[str, Any]:
    """A copy with an own cell in the middle that never ends; it was saved while it was running.

    Parameters
    ----------
    notebook : dict as in the .ipynb file

    Returns
    -------
    dict
    """
    copy: dict[str, Any] = json.loads(json.dumps(notebook))
    loop = {"cell_type": "code", "id": "own-try", "metadata": {}, "source": ENDLESS_LOOP}
    checks = [index for index, cell in enumerate(copy["cells"]) if is_check(cell)]
    place = checks[len(checks) // 2] + 1
    copy["cells"].insert(place, loop | {"outputs": [], "execution_count": None})
    return copy


def with_edited_check(notebook: Mapping[str, Any]) -> dict[str, Any]:
    """A copy in which the first check says what the student would like it to say.

    Parameters
    ----------
    notebook : dict as in the .ipynb file

    Returns
    -------
    dict
    """
    copy: dict[str, Any] = json.loads(json.dumps(notebook))
    check = next(cell for cell in copy["cells"] if is_check(cell))
    check["source"] = EDITED_CHECK
    return copy


def is_check(cell: Mapping[str, Any]) -> bool:
    """True for a locked cell that gives points.

    Parameters
    ----------
    cell : dict

    Returns
    -------
    bool
    """
    marks = cell["metadata"].get("nbgrader", {})
    return bool(cell["cell_type"] == "code" and marks.get("grade") and marks.get("locked") and marks.get("points"))
