"""How a lesson reads: words, sentences, reading grade, size of its cells. For authors, with limits of our own."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

_HIDDEN = re.compile(r"### BEGIN (HIDDEN TESTS|SOLUTION).*?### END \1", flags=re.DOTALL)
_CODE = re.compile(r"`[^`]*`")
_TAGS = re.compile(r"<!--.*?-->|<[^>]+>", flags=re.DOTALL)
_MARKS = re.compile(r"^\s*(?:[-*#]+|\d+\.)\s+|\*+", flags=re.MULTILINE)
_WORD = re.compile(r"[A-Za-z][A-Za-z'-]*")
_SENTENCE_END = re.compile(r"(?<=[.?!])\s+|\n\s*\n|\n(?=\s*(?:[-*]|\d+\.)\s)")
_SHOWN_ARGUMENTS = ("ask", "items")


@dataclass(frozen=True, slots=True)
class ReadingReport:
    """What a student of a lesson has to read.

    Parameters
    ----------
    words : int
    grade : float, US school grade
    long_sentences : tuple of str, those over the limit
    cells, code_cells : int
    longest_code_cell : int, lines, of the student edition
    """

    words: int
    grade: float
    long_sentences: tuple[str, ...]
    cells: int
    code_cells: int
    longest_code_cell: int


def reading_report(notebook: Mapping[str, Any], *, longest_sentence: int = 25) -> ReadingReport:
    """Count words, sentences and cells of a lesson as students see it.

    Parameters
    ----------
    notebook : dict, as in the .ipynb file; keys and solutions are left out
    longest_sentence : int, words

    Returns
    -------
    ReadingReport
    """
    cells = [(cell["cell_type"], _HIDDEN.sub("", "".join(cell["source"]))) for cell in notebook["cells"]]
    sentences = list(sentences_of(notebook))
    code = [source for kind, source in cells if kind == "code"]
    return ReadingReport(
        sum(len(_WORD.findall(sentence)) for sentence in sentences),
        reading_grade(sentences),
        tuple(sentence for sentence in sentences if len(_WORD.findall(sentence)) > longest_sentence),
        len(cells),
        len(code),
        max((len(source.strip().splitlines()) for source in code), default=0),
    )


def sentences_of(notebook: Mapping[str, Any]) -> Iterator[str]:
    """Everything that a student reads in a lesson, sentence by sentence.

    Parameters
    ----------
    notebook : dict, as in the .ipynb file

    Yields
    ------
    str
    """
    for cell in notebook["cells"]:
        source = _HIDDEN.sub("", "".join(cell["source"]))
        if cell["cell_type"] == "markdown" and not cell["metadata"].get("nbgrader", {}).get("solution"):
            texts = [_CODE.sub("code", _TAGS.sub("", source))]
        else:
            texts = list(_shown_in_code(source)) if cell["cell_type"] == "code" else []
        for text in texts:
            parts = (_MARKS.sub("", part).strip() for part in _SENTENCE_END.split(text))
            yield from (part for part in parts if _WORD.search(part))


def reading_grade(sentences: list[str]) -> float:
    """School grade in which sentences can be read.

    Parameters
    ----------
    sentences : list of str

    Returns
    -------
    float, US school grade

    Source
    ------
    J. P. Kincaid and others, "Derivation of New Readability Formulas", 1975 (formula from memory); syllables are
    counted roughly.

    Examples
    --------
    >>> reading_grade(["The pipe is cold.", "Read the gauge."]) < 3
    True
    """
    words = [word for sentence in sentences for word in _WORD.findall(sentence)]
    if not words:
        return 0.0
    return 0.39 * len(words) / len(sentences) + 11.8 * sum(map(_syllables, words)) / len(words) - 15.59


def _syllables(word: str) -> int:
    """Groups of vowels, less a silent e at the end."""
    return max(1, len(re.findall(r"[aeiouy]+", re.sub(r"(?<=[^aeiouyl])e$", "", word.lower()))))


def _shown_in_code(source: str) -> Iterator[str]:
    """Comments, and the texts that readings show."""
    yield from (line.partition("# ")[2] for line in source.splitlines() if line.startswith("# "))
    try:
        tree = ast.parse(source)
    except SyntaxError:
        return
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg in _SHOWN_ARGUMENTS:
            values = node.value.values if isinstance(node.value, ast.Dict) else [node.value]
            yield from (
                value.value for value in values if isinstance(value, ast.Constant) and isinstance(value.value, str)
            )
