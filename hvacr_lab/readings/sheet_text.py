"""From the bytes of a file to rows of cells: encodings, separators, comments, blank lines. No physics here."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from hvacr_lab.errors import FileProblem

LARGEST_BYTES = 5_000_000
# [bytes], some 50 000 rows; a larger file is something else (own value)
SEPARATORS = (";", "\t", ",")
_ENCODINGS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"\xef\xbb\xbf": "utf-8-sig"}
"""How a file begins -> how it is written."""


def file_text(path: str | Path) -> str:
    """Text of a file, whatever program saved it.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    str

    Raises
    ------
    FileProblem : missing, unreadable, too large, not a text file

    Source
    ------
    Own rule: byte-order mark, else UTF-8, else the code page of western spreadsheets (cp1252).

    Examples
    --------
    >>> file_text("no-such-file.csv")
    Traceback (most recent call last):
    hvacr_lab.errors.FileProblem: no-such-file.csv: there is no such file. Check the name and the folder.
    """
    try:
        raw = Path(path).read_bytes()
    except FileNotFoundError:
        raise FileProblem(path, "there is no such file. Check the name and the folder.") from None
    except OSError as error:
        raise FileProblem(path, f"it cannot be read ({error.strerror}).") from None
    if len(raw) > LARGEST_BYTES:
        raise FileProblem(path, f"{len(raw)} bytes are above the limit of {LARGEST_BYTES}. Is it a file of readings?")
    return _decoded(raw, path)


def rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Rows of cells that hold something, each with its line number; comments and blank lines are left out.

    Parameters
    ----------
    text : str
    name : str, of the file, for the error

    Yields
    ------
    tuple of int and list of str, line (of its end) and cells, trimmed

    Raises
    ------
    FileProblem : a quotation mark that is never closed

    Source
    ------
    Own rule: a line that begins with # is a comment.

    Examples
    --------
    >>> list(rows("# bench 2\\ntime;power [W]\\n\\n1;560\\n;;\\n", "sheet"))
    [(2, ['time', 'power [W]']), (4, ['1', '560'])]
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator(text), strict=True)
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells) and not cells[0].startswith("#"):
                yield reader.line_num, cells
    except csv.Error as error:
        raise FileProblem(name, f"a row cannot be read ({error}).", line=reader.line_num) from None


def separator(text: str) -> str:
    """Sign between the columns, told by the headings.

    Parameters
    ----------
    text : str, the whole file

    Returns
    -------
    str, ";" or tab or ","

    Source
    ------
    Own rule: the first of the three that stands in the first line that is no comment.

    Examples
    --------
    >>> separator("# a, b\\ntime;power [W]\\n1;560,5\\n")
    ';'
    """
    lines = (line for line in text.splitlines() if line.strip(" ;,\t\"'"))
    heading = next((line for line in lines if not line.lstrip("\"' ").startswith("#")), "")
    return next((sign for sign in SEPARATORS if sign in heading), ",")


def _decoded(raw: bytes, path: str | Path) -> str:
    marked = next((encoding for mark, encoding in _ENCODINGS.items() if raw.startswith(mark)), None)
    if marked is None and b"\0" in raw:
        raise FileProblem(path, "it is not a text file. Save it as CSV.")
    for encoding in (marked,) if marked else ("utf-8", "cp1252"):
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise FileProblem(path, "its letters cannot be read. Save it as CSV (UTF-8).")
