"""The graded notebook as formgrader, nbgrader and the feedback page show it: outputs, and nothing that could act."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from typing import Any

from hvacr_lab.grading.claims import RunOutcome

# shown as text or as a picture; HTML, SVG, LaTeX and scripts of a student's would act in the reader's session
_SHOWN_TYPES = ("text/plain", "image/png", "image/jpeg")
_JOINER = "\u2060"  # no width; after it neither a tag nor a command begins
_TAG = re.compile(r"<(?=[A-Za-z/!?])")
_LATEX_COMMAND = re.compile(r"\\(?=(?:href|html\w*|style|class|cssId|require|unicode|url|includegraphics)\b)")
_SCHEME = re.compile(r"\b(javascript|vbscript|data|file)(\s*):", flags=re.IGNORECASE)


def with_outputs(notebook: Mapping[str, Any], outcome: RunOutcome | None) -> dict[str, Any]:
    """Put the outputs of a run into its notebook.

    Parameters
    ----------
    notebook : dict, the one whose code cells were run
    outcome : RunOutcome, or None when nothing was run

    Returns
    -------
    dict, a copy
    """
    copied = copy.deepcopy(dict(notebook))
    code = [cell for cell in copied["cells"] if cell["cell_type"] == "code"]
    for cell, run in zip(code, outcome.cells if outcome else (), strict=False):
        cell["outputs"] = [dict(output) for output in run.outputs]
        cell["execution_count"] = run.execution_count
    return copied


def harmless(notebook: Mapping[str, Any]) -> dict[str, Any]:
    """Take out of a notebook whatever could act in the browser of the person who reads it.

    Parameters
    ----------
    notebook : dict with outputs

    Returns
    -------
    dict, a copy
    """
    copied = copy.deepcopy(dict(notebook))
    for cell in copied["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"] = [_harmless_output(output) for output in cell["outputs"]]
        elif not cell["metadata"].get("nbgrader", {}).get("locked"):
            cell["source"] = harmless_text(cell["source"])
    return copied


def _harmless_output(output: Mapping[str, Any]) -> dict[str, Any]:
    if "data" not in output:
        return dict(output)
    return dict(output) | {"data": {mime: output["data"][mime] for mime in _SHOWN_TYPES if mime in output["data"]}}


def harmless_text(text: str) -> str:
    """Markdown that looks the same, but in which no tag, no link with a script and no active LaTeX command begins.

    Parameters
    ----------
    text : str, Markdown of a student's

    Returns
    -------
    str

    Examples
    --------
    >>> harmless_text("<b>cold</b>") == "<\\u2060b>cold<\\u2060/b>"
    True
    """
    text = _TAG.sub("<" + _JOINER, text)
    text = _LATEX_COMMAND.sub("\\\\" + _JOINER, text)
    return _SCHEME.sub(rf"\1{_JOINER}\2:", text)
