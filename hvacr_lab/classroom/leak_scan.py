"""Proof that a student edition holds no keys: everything in it is read, unpacked and compared with the source.

nbgrader leaves keys in without a word when a marker is misspelt, when they stand in metadata or attachments, or in a
file beside the notebook. This scan refuses all of these.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
import difflib
import io
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SUFFIXES = (".ipynb", ".csv", ".png")
_REGION = re.compile(
    r"BEGIN (HIDDEN TESTS|SOLUTION|MARK SCHEME)[^\n]*\n(.*?)^[^\n]*END \1", flags=re.DOTALL | re.MULTILINE
)
_TOKEN = re.compile(r"[A-Za-z_]\w*|\d+(?:\.\d+)?|[^\s\w]")
_SHINGLE, _SHORTEST = 8, 4  # tokens; a shorter key than that cannot be told from ordinary text
_MARKER_WORDS = ("hidden", "solution", "solutions", "mark")
_KEY_WORDS = re.compile(r"key-canary|\bSlip\(|\bexpected\s*=\s*lambda|\.mark\(\s*globals\(\)")
_BASE64 = re.compile(r"[A-Za-z0-9+/]{24,}={0,2}")
_DEPTH, _UNPACKED_BYTES = 4, 20_000_000
_NO_ARCHIVE = (zipfile.BadZipFile, RuntimeError, NotImplementedError, OSError, zlib.error, EOFError)

_NOTEBOOK_METADATA = {"kernelspec", "language_info"}
_CELL_KEYS = {"cell_type", "id", "metadata", "source", "outputs", "execution_count"}
_CELL_METADATA = {"nbgrader", "deletable", "editable", "tags", "trusted", "collapsed", "jupyter"}
_NBGRADER_METADATA = {
    "schema_version",
    "grade_id",
    "grade",
    "solution",
    "locked",
    "task",
    "points",
    "cell_type",
    "checksum",
}


@dataclass(frozen=True, slots=True)
class Leak:
    """Something in a student edition that must not be there.

    Parameters
    ----------
    place : str, file and cell
    what : str, one sentence
    """

    place: str
    what: str

    def __str__(self) -> str:
        """Place and sentence in one line."""
        return f"{self.place}: {self.what}"


@dataclass(frozen=True, slots=True)
class Secrets:
    """What the source holds between markers and nowhere else.

    Parameters
    ----------
    canaries : words that stand only in hidden blocks, "key-canary: ..."
    shingles : runs of tokens of hidden text that occur in no visible text
    """

    canaries: frozenset[str]
    shingles: frozenset[tuple[str, ...]]


def scan(source: Path, release: Path) -> tuple[Leak, ...]:
    """Compare a student edition with its source.

    Parameters
    ----------
    source : Path of the folder with the source notebooks
    release : Path of the folder with the student edition

    Returns
    -------
    tuple of Leak, empty when the edition may be handed out
    """
    secrets = secrets_of(source)
    leaks: dict[Leak, None] = {}
    for path in sorted(release.rglob("*")):
        facts = path.lstat()
        if stat.S_ISDIR(facts.st_mode):
            continue
        name = str(path.relative_to(release))
        if not stat.S_ISREG(facts.st_mode):
            leaks[Leak(name, "this is a link, not a plain file. Remove it.")] = None
            continue
        for leak in _leaks_of_file(name, path, secrets):
            leaks[leak] = None
    return tuple(leaks)


def secrets_of(source: Path) -> Secrets:
    """Collect what must not get out.

    Parameters
    ----------
    source : Path of the folder with the source notebooks

    Returns
    -------
    Secrets
    """
    hidden, visible = [], []
    for path in sorted(source.rglob("*.ipynb")):
        for cell in _load(path).get("cells", ()):
            text = _joined(cell.get("source", ""))
            regions = [region[1] for region in _REGION.findall(text)]
            if not regions and cell.get("metadata", {}).get("nbgrader", {}).get("solution"):
                regions, text = [text], ""  # nbgrader replaces a solution cell without markers as a whole
            hidden += regions
            visible.append(_REGION.sub(" ", text))
    seen = set().union(*map(_shingles, visible), *map(_short_runs(hidden), visible))
    runs = set().union(*map(_shingles, hidden)) - seen
    canaries = frozenset(re.findall(r"key-canary:\s*(\w+)", "\n".join(hidden)))
    return Secrets(canaries, frozenset(runs))


def _shingles(text: str) -> set[tuple[str, ...]]:
    """All runs of eight tokens; a shorter text is one run."""
    tokens = _TOKEN.findall(text)
    if len(tokens) < _SHINGLE:
        return {tuple(tokens)} if len(tokens) >= _SHORTEST else set()
    return {tuple(tokens[start : start + _SHINGLE]) for start in range(len(tokens) - _SHINGLE + 1)}


def _runs(text: str, length: int) -> set[tuple[str, ...]]:
    tokens = _TOKEN.findall(text)
    return {tuple(tokens[start : start + length]) for start in range(len(tokens) - length + 1)}


def _short_runs(hidden: Iterable[str]) -> Callable[[str], set[tuple[str, ...]]]:
    """Runs of a visible text in the lengths of the short hidden ones, so that those can be looked up in it."""
    lengths = {len(run) for text in hidden for run in _shingles(text) if len(run) < _SHINGLE}
    return lambda text: set().union(*(_runs(text, length) for length in lengths))


def _leaks_of_file(name: str, path: Path, secrets: Secrets) -> Iterator[Leak]:
    """Everything wrong with one file of the edition."""
    if path.suffix.lower() not in SUFFIXES:
        allowed = ", ".join(SUFFIXES)
        yield Leak(name, f"files of this kind are not handed out (allowed: {allowed}). Move it out of the lesson.")
    content = path.read_bytes()
    for place, text in _texts(name, content, _DEPTH):
        yield from _leaks_of_text(place, text, secrets)
    if path.suffix == ".ipynb":
        try:
            yield from _leaks_of_form(name, json.loads(content))
        except ValueError:
            yield Leak(name, "this is no notebook: it cannot be read as JSON.")


def _texts(place: str, content: bytes, depth: int) -> Iterator[tuple[str, str]]:
    """Every text in some bytes: as they stand, and unpacked from JSON, base64, zip and zlib."""
    if depth == 0:
        return
    yield from _members(place, content, depth)
    text = content.decode("utf-8", "ignore")
    try:
        strings = list(_strings(json.loads(text), ""))
    except (ValueError, RecursionError):
        strings = []
    for inner, string in strings:
        spot = _spot(place, inner)
        yield spot, string
        yield from _decoded(spot, string, depth)
    if not strings:
        yield place, text
        yield from _decoded(place, text, depth)


def _decoded(place: str, text: str, depth: int) -> Iterator[tuple[str, str]]:
    """What long words in base64 say."""
    for word in {*_BASE64.findall(text), *_BASE64.findall(text.replace("\n", ""))}:
        try:
            content = base64.b64decode(word + "=" * (-len(word) % 4))
        except (ValueError, binascii.Error):
            continue
        yield from _texts(f"{place} (base64)", content, depth - 1)


def _members(place: str, content: bytes, depth: int) -> Iterator[tuple[str, str]]:
    """What zip archives and compressed streams hold; a bomb is cut, not unpacked."""
    with contextlib.suppress(*_NO_ARCHIVE), zipfile.ZipFile(io.BytesIO(content)) as archive:
        for member in archive.infolist():
            with archive.open(member) as stream:
                yield from _texts(f"{place} ({member.filename})", stream.read(_UNPACKED_BYTES), depth - 1)
    for window in (zlib.MAX_WBITS, zlib.MAX_WBITS | 16):
        try:
            unpacked = zlib.decompressobj(window).decompress(content, _UNPACKED_BYTES)
        except zlib.error:
            continue
        yield from _texts(f"{place} (compressed)", unpacked, depth - 1)


def _strings(value: Any, path: str) -> Iterator[tuple[str, str]]:
    """Each string of a JSON value with its path; a list of strings (a cell's lines) is read as one text."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, list):
        if value and all(isinstance(item, str) for item in value):
            yield path, "".join(value)
        else:
            for index, item in enumerate(value):
                yield from _strings(item, f"{path}/{index}")
    elif isinstance(value, dict):
        for key, item in value.items():
            yield path, key
            yield from _strings(item, f"{path}/{key}")


def _spot(place: str, path: str) -> str:
    """A place that a person finds: "02.ipynb, cell 12", not "/cells/11/source"."""
    found = re.match(r"/cells/(\d+)(?:/(\w+))?", path)
    if not found:
        return f"{place}, {path[1:].replace('/', ' > ')}" if path else place
    part = "" if found[2] in (None, "source") else f", {found[2]}"
    return f"{place}, cell {int(found[1]) + 1}{part}"


def _leaks_of_text(place: str, text: str, secrets: Secrets) -> Iterator[Leak]:
    """Canaries, markers, words of keys, and runs of hidden text."""
    if any(canary in text for canary in secrets.canaries):
        yield Leak(place, "a key is in it (its canary word was found).")
    for line in text.splitlines():
        if _is_marker(line):
            yield Leak(place, f"a marker is left: {line.strip()[:60]!r}. Check its spelling, capitals and its partner.")
    if _KEY_WORDS.search(text):
        yield Leak(place, "a question's key is in it. Put it between ### BEGIN HIDDEN TESTS and ### END HIDDEN TESTS.")
    if any(run in secrets.shingles for length in _lengths(secrets) for run in _runs(text, length)):
        yield Leak(place, "text of a hidden block or a solution is in it.")


def _lengths(secrets: Secrets) -> set[int]:
    return {len(run) for run in secrets.shingles}


def _is_marker(line: str) -> bool:
    """Looks like one of nbgrader's markers, whatever the capitals and spelling."""
    words = re.findall(r"[a-z]+", line.lower())
    if len(words) < 2 or (len(words) > 5 and not line.lstrip().startswith("#")):
        return False
    begins = difflib.get_close_matches(words[0], ("begin", "end"), n=1, cutoff=0.75)
    return bool(begins and difflib.get_close_matches(words[1], _MARKER_WORDS, n=1, cutoff=0.75))


def _leaks_of_form(name: str, notebook: Mapping[str, Any]) -> Iterator[Leak]:
    """Metadata, attachments, outputs: only what a student edition needs."""
    for key in sorted(set(notebook.get("metadata", {})) - _NOTEBOOK_METADATA):
        yield Leak(name, f"the notebook's metadata holds {key!r}, which may carry keys. Remove it from the source.")
    for number, cell in enumerate(notebook.get("cells", ()), start=1):
        place = f"{name}, cell {number}"
        metadata = cell.get("metadata", {})
        for key in sorted(set(cell) - _CELL_KEYS):
            yield Leak(place, f"it has {key}, which may carry keys. Remove them from the source.")
        foreign = set(metadata) - _CELL_METADATA | set(metadata.get("nbgrader", {})) - _NBGRADER_METADATA
        for key in sorted(foreign):
            yield Leak(place, f"its metadata holds {key!r}, which may carry keys. Remove it from the source.")
        if cell.get("outputs"):
            yield Leak(place, "it has outputs. Clear them in the source.")


def _load(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))


def _joined(source: str | list[str]) -> str:
    return source if isinstance(source, str) else "".join(source)
