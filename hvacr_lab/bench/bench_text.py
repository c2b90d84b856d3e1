"""A bench file as text and as values: what a key may hold, and the line in which a wrong one stands."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from hvacr_lab.errors import FileProblem, OutOfRange

_LARGEST_FILE = 1_000_000
_ID = r"[A-Za-z][A-Za-z0-9_-]{0,39}"
_ID_RULE = "A name has 1 to 40 letters, digits, - and _, and begins with a letter."
_PLACE = rf"{_ID}(\.[a-z]+)?"
REQUIRED: Final = object()


class _Unfit(Exception):
    """A value does not fit its key; the message is the end of the sentence."""


@dataclass(frozen=True, slots=True)
class Key:
    """What a key of the bench file may hold.

    Parameters
    ----------
    read : function from the value in the file to the value in SI; raises what `BenchText.block` turns into a sentence
    default : in SI, where the key may be left out; REQUIRED where it may not
    need : str, what belongs here, for the sentence about a missing key
    """

    read: Callable[[str, Any], Any]
    default: Any = REQUIRED
    need: str = ""


def number(
    low: float,
    high: float,
    unit: str,
    *,
    factor: float = 1.0,
    offset: float = 0.0,
    default: Any = REQUIRED,
    hint: str = "",
) -> Key:
    """A number within limits, converted to SI.

    Parameters
    ----------
    low, high : float, limits in the unit of the file
    unit : str
    factor, offset : float, SI = factor * value + offset
    default : float or None, in SI
    hint : str, how to find the number

    Returns
    -------
    Key
    """

    def read(key: str, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise _Unfit(f"`{key}` is a number without quotes, in {unit or 'plain numbers'}. {hint}".rstrip())
        if not low <= value <= high:
            shown = "a number of many digits" if isinstance(value, int) and abs(value) > 10**15 else value
            raise _Unfit(str(OutOfRange(f"{key} =", shown, unit, low=low, high=high, hint=hint)))
        return factor * float(value) + offset

    return Key(read, default, f"It is a number from {low:g} to {high:g} {unit}. {hint}".replace(" . ", ". ").rstrip())


def text(longest: int = 80, *, default: Any = REQUIRED) -> Key:
    """A label or title.

    Parameters
    ----------
    longest : int, characters
    default : str or None

    Returns
    -------
    Key
    """
    need = f'It is text of 1 to {longest} characters in "quotes".'

    def read(key: str, value: Any) -> str:
        if not isinstance(value, str) or not 1 <= len(value.strip()) <= longest or not value.isprintable():
            raise _Unfit(f"`{key} = {shown(value)}`. {need}")
        return value.strip()

    return Key(read, default, need)


def one_of(choices: Iterable[str], *, default: Any = REQUIRED) -> Key:
    """One word of a short list.

    Parameters
    ----------
    choices : the words
    default : str or None

    Returns
    -------
    Key
    """
    words = tuple(choices)
    need = f"It is {_or_list(words)}."

    def read(key: str, value: Any) -> str:
        if value not in words:
            raise _Unfit(f"`{key} = {shown(value)}`. {need}{guess(value, words)}")
        return str(value)

    return Key(read, default, need)


def name(what: str, *, default: Any = REQUIRED) -> Key:
    """Name of a part, valve, pipe or place; whether it exists is checked later.

    Parameters
    ----------
    what : str, "a valve"
    default : str or None

    Returns
    -------
    Key
    """
    need = f'It is the name of {what} in "quotes".'

    def read(key: str, value: Any) -> str:
        if not isinstance(value, str) or not re.fullmatch(_PLACE, value):
            raise _Unfit(f"`{key} = {shown(value)}`. {need}")
        return value

    return Key(read, default, need)


def names(what: str, *, default: Any = REQUIRED) -> Key:
    """A list of names.

    Parameters
    ----------
    what : str, "valves"
    default : tuple of str

    Returns
    -------
    Key
    """
    need = f'It is a list of {what}: ["A", "B"].'

    def read(key: str, value: Any) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(isinstance(item, str) and re.fullmatch(_ID, item) for item in value):
            raise _Unfit(f"`{key} = {shown(value)}`. {need}")
        return tuple(value)

    return Key(read, default, need)


def flag(*, default: Any = REQUIRED) -> Key:
    """Yes or no.

    Parameters
    ----------
    default : bool

    Returns
    -------
    Key
    """

    def read(key: str, value: Any) -> bool:
        if not isinstance(value, bool):
            raise _Unfit(f"`{key} = {shown(value)}`. It is true or false, without quotes.")
        return value

    return Key(read, default, "It is true or false.")


def table(inner: Key) -> Key:
    """Small table in one line, each value of the same kind; may be left out.

    Parameters
    ----------
    inner : Key, what each value is

    Returns
    -------
    Key
    """

    def read(key: str, value: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise _Unfit(f"`{key} = {shown(value)}`. It is a table in one line: {{ name = value }}.")
        return {inner_key: inner.read(f"{key}.{inner_key}", found) for inner_key, found in value.items()}

    return Key(read, {}, "It is a table in one line: { name = value }.")


class BenchText:
    """A bench file that can be asked for checked values and for lines."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            if path.stat().st_size > _LARGEST_FILE:
                raise FileProblem(path, "is larger than 1 MB. A bench file has a few hundred lines.")
            self.text = path.read_text(encoding="utf-8-sig")
            self.values: Mapping[str, Any] = tomllib.loads(self.text)
        except OSError as problem:
            raise FileProblem(path, f"cannot be read ({problem.strerror})") from None
        except UnicodeDecodeError:
            raise FileProblem(path, "is not UTF-8 text. Save it as UTF-8.") from None
        except RecursionError:
            raise FileProblem(path, "has brackets inside brackets without end.") from None
        except FileProblem:
            raise
        except ValueError as problem:  # tomllib: syntax, or a number with thousands of digits
            place = re.search(r"\(at line (\d+)", str(problem))
            what = re.sub(r" \(at .*\)$", "", str(problem))
            hint = 'Text stands in "quotes", a number without; every line is: key = value.'
            at_end = len(self.text.splitlines()) if "end of document" in str(problem) else None
            raise FileProblem(path, f"{what}. {hint}", line=int(place[1]) if place else at_end) from None
        self._lines = _line_index(self.text)

    def problem(self, place: tuple[str, ...], what: str) -> FileProblem:
        """The error for a place in the file, with the line of the nearest thing that has one."""
        line = next((self._lines[place[:n]] for n in range(len(place), 0, -1) if place[:n] in self._lines), None)
        return FileProblem(self.path, what, line=line)

    def block(self, place: tuple[str, ...], found: Any, keys: Mapping[str, Key]) -> dict[str, Any]:
        """Checked values of one block, defaults filled in; the first that does not fit is refused with its line."""
        heading = ".".join(place)
        if not isinstance(found, dict):
            raise self.problem(place, f"`{heading}` is a block of its own: [{heading}], then lines key = value.")
        for key in found:
            if key not in keys:
                raise self.problem((*place, key), f"`{key}` is not a key of [{heading}].{offer(key, keys)}")
        return {key: self._value(place, heading, key, found, kind) for key, kind in keys.items()}

    def _value(self, place: tuple[str, ...], heading: str, key: str, found: Mapping[str, Any], kind: Key) -> Any:
        if key not in found:
            if kind.default is REQUIRED:
                raise self.problem(place, f"`{key}` is missing in [{heading}]. {kind.need}")
            return kind.default
        try:
            return kind.read(key, found[key])
        except _Unfit as unfit:
            raise self.problem((*place, key), f"[{heading}] {unfit}") from None

    def blocks(self, section: str, keys: Mapping[str, Key], values: Any = None) -> dict[str, dict[str, Any]]:
        """Checked values of every [section.name], by name, from the file unless given; none if it is not there."""
        section_values = self.values.get(section, {}) if values is None else values
        if not isinstance(section_values, dict):
            raise self.problem((section,), f"`{section}` is a section: [{section}.name], then lines key = value.")
        for inner in section_values:
            if not re.fullmatch(_ID, inner):
                raise self.problem((section, inner), f"`{inner}` cannot be a name. {_ID_RULE}")
        return {inner: self.block((section, inner), value, keys) for inner, value in section_values.items()}

    def known(self, place: tuple[str, ...], what: str, typed: str, names: Iterable[str]) -> None:
        """Refuse a name that nobody on the bench has; ``what`` it should be, "valve"."""
        every = list(names)
        if typed not in every:
            key, heading = place[-1], ".".join(place[:-1])
            reason = f'there is no {what} "{typed}" on this bench.{offer(typed, every)}'
            raise self.problem(place, f"[{heading}] `{key}`: {reason}")


def shown(value: Any) -> str:
    """A value as it may stand in a sentence.

    Parameters
    ----------
    value : anything out of the file

    Returns
    -------
    str, at most 40 characters
    """
    try:
        written = f'"{value}"' if isinstance(value, str) else str(value)
    except ValueError:  # Python writes no number of more than 4300 digits
        return "a number of many digits"
    written = "".join(letter if letter.isprintable() else "?" for letter in written)
    return written if len(written) <= 40 else written[:37] + "..."


def guess(typed: object, known: Iterable[str]) -> str:
    """The closest known name as a question.

    Parameters
    ----------
    typed : what stands in the file
    known : names that would do

    Returns
    -------
    str, " Did you mean ...?", or "" where nothing is close
    """
    closest = difflib.get_close_matches(typed[:80] if isinstance(typed, str) else "", list(known), n=1, cutoff=0.5)
    return f" Did you mean {closest[0]}?" if closest else ""


def offer(typed: object, known: Iterable[str]) -> str:
    """The closest known name as a question, or all of them.

    Parameters
    ----------
    typed : what stands in the file
    known : names that would do

    Returns
    -------
    str that begins with a space
    """
    every = list(known)
    return guess(typed, every) or f" Known: {', '.join(every) or 'none'}."


def _or_list(words: tuple[str, ...]) -> str:
    quoted = [f'"{word}"' for word in words]
    return ", ".join(quoted[:-1]) + (" or " if quoted[:-1] else "") + quoted[-1]


def _line_index(content: str) -> dict[tuple[str, ...], int]:
    """Line of each heading and each key. Rough: text that spans lines is not followed, so a line may be missing."""
    lines: dict[tuple[str, ...], int] = {}
    heading: tuple[str, ...] = ()
    for line_number, line in enumerate(content.splitlines(), start=1):
        title = re.match(r"\s*\[{1,2}\s*([^\]#]+?)\s*\]", line)
        key = re.match(r"""\s*([\w."' -]+?)\s*=""", line)
        if title:
            heading = _split(title[1])
        elif not key:
            continue
        place = heading if title else (*heading, *_split(key[1])) if key else heading
        for n in range(1, len(place) + 1):
            lines.setdefault(place[:n], line_number)
    return lines


def _split(dotted: str) -> tuple[str, ...]:
    return tuple(piece.strip().strip("\"'") for piece in dotted.split("."))
