"""Can an answer be read? A number, a word, or letters; nothing here knows what is right.

The visible line of a test cell calls `check_form`; the grader reads answers by the same functions.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

_LONGEST_SHOWN = 40
_DOTS = "Write your answer in place of the three dots."
_SPELLINGS = {"vapor": "vapour", "gas": "vapour", "same": "about the same", "rise": "rises", "fall": "falls"}
_DECIMAL_COMMA = re.compile(r"\s*([+-]?\d+),(\d+)\s*")
_PLAIN_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d*)?|[+-]?\.\d+)\s*\D*")
_BETWEEN_LETTERS = re.compile(r"[\s,;.>-]+")


@dataclass(frozen=True, slots=True)
class NotPlain:
    """An answer that is no plain number, text or list, as the grader hears of it.

    Parameters
    ----------
    kind : str, what it is ("function", "array")
    text : str, how it shows itself, shortened
    """

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Unread:
    """Why an answer cannot be marked.

    Parameters
    ----------
    outcome : str, "not answered" or "form"
    sentence : str, for the student
    """

    outcome: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Form:
    """What `check_form` found, one sentence for each answer; it shows itself as text.

    Parameters
    ----------
    sentences : tuple of str
    """

    sentences: tuple[str, ...]

    def __str__(self) -> str:
        """All sentences, one a line."""
        return "\n".join(self.sentences)

    def _repr_pretty_(self, printer: object, cycle: bool) -> None:
        printer.text(str(self))  # type: ignore[attr-defined]


def given(namespace: Mapping[str, object], name: str) -> object:
    """Fetch an answer from the student's names.

    Parameters
    ----------
    namespace : names and values, as ``globals()``
    name : str

    Returns
    -------
    object, Ellipsis where nothing was written
    """
    value = namespace.get(name, ...)
    return ... if value is None or (isinstance(value, str) and not value.strip()) else value


def read_number(name: str, value: object) -> float | Unread:
    """Read an answer as a finite number.

    Parameters
    ----------
    name : str, the answer's name
    value : object, what was given

    Returns
    -------
    float, or Unread

    Examples
    --------
    >>> read_number("superheat_k", 8)
    8.0
    >>> print(read_number("superheat_k", "8,3").sentence)
    `superheat_k` should be a number, but it is the text "8,3". Write 8.3 with a point.
    """
    if value is ...:
        return _not_answered(name)
    if isinstance(value, str):
        return _text_for_number(name, value)
    if isinstance(value, (list, tuple)):
        return _several_for_number(name, value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return Unread("form", f"`{name}` should be a number, but it is {_what(value)}. Give a plain number.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        return Unread("form", f"`{name}` is no finite number. Give a plain number.")
    return number


def read_word(name: str, value: object, words: Sequence[str]) -> str | Unread:
    """Read an answer as one of some words; capitals and blanks do not matter.

    Parameters
    ----------
    name : str, the answer's name
    value : object, what was given
    words : sequence of str, those that can be chosen

    Returns
    -------
    str, one of words, or Unread

    Examples
    --------
    >>> read_word("glass_3", " Bubbles", ("vapour", "bubbles", "liquid"))
    'bubbles'
    """
    if value is ...:
        return _not_answered(name)
    wanted = " or ".join(f'"{word}"' for word in words)
    if not isinstance(value, str):
        return Unread(
            "form", f"`{name}` should be {wanted}, but it is {_what(value)}. Write the word between quote marks."
        )
    tidy = " ".join(value.strip(" \t\n.\"'").casefold().split())
    for word in words:
        if word.casefold() in (tidy, _SPELLINGS.get(tidy)):
            return word
    return Unread("form", f"`{name}` should be {wanted}, but it is {_what(value)}.")


def read_letters(name: str, value: object, letters: str, *, each_once: bool = False) -> str | Unread:
    """Read an answer as letters of a list, in the order in which they were given.

    Parameters
    ----------
    name : str, the answer's name
    value : object, what was given: "c a d", "cad" or ["c", "a", "d"]
    letters : str, those that can be chosen
    each_once : bool, whether all of them are needed

    Returns
    -------
    str of letters without blanks, or Unread

    Examples
    --------
    >>> read_letters("order", "b, a, C", "abc", each_once=True)
    'bac'
    """
    if value is ...:
        return _not_answered(name)
    if isinstance(value, (list, tuple)) and all(isinstance(item, str) for item in value):
        value = " ".join(value)
    example = " ".join(letters[:3])
    if not isinstance(value, str):
        return Unread(
            "form", f'`{name}` should be letters between quote marks, like "{example}", but it is {_what(value)}.'
        )
    found = _BETWEEN_LETTERS.sub("", value).casefold()
    strange = [letter for letter in found if letter not in letters]
    if strange:
        return Unread("form", f'`{name}` holds "{strange[0]}". The letters go from {letters[0]} to {letters[-1]}.')
    twice = [letter for letter in letters if found.count(letter) > 1]
    if twice:
        return Unread("form", f'`{name}` holds the letter "{twice[0]}" more than once.')
    if each_once and len(found) < len(letters):
        missing = next(letter for letter in letters if letter not in found)
        return Unread(
            "form", f'`{name}` needs all the letters from {letters[0]} to {letters[-1]}; "{missing}" is missing.'
        )
    return found


def check_form(
    namespace: Mapping[str, object],
    *answers: str,
    unit: str = "",
    words: Sequence[str] = (),
    letters: str = "",
    each_once: bool = False,
) -> Form:
    """Say whether answers can be read; says nothing about right or wrong.

    Parameters
    ----------
    namespace : names and values, as ``globals()``
    answers : names of the answers
    unit : str, the unit of a number
    words : those that can be chosen, where the answer is a word
    letters : those that can be chosen, where the answer is letters
    each_once : bool, whether all of the letters are needed

    Returns
    -------
    Form, which shows itself as text

    Examples
    --------
    >>> print(check_form({"superheat_k": 8.3}, "superheat_k", unit="K"))
    superheat_k = 8.3 K can be read. Whether it is right, your feedback page will say.
    >>> print(check_form({"superheat_k": ...}, "superheat_k", unit="K"))
    superheat_k: not answered yet. Write your answer in place of the three dots.
    """
    read: Callable[[str, object], object] = read_number
    if words or letters:
        letters_read = partial(read_letters, letters=letters, each_once=each_once)
        read = partial(read_word, words=words) if words else letters_read
    return Form(tuple(_form_sentences({name: read(name, given(namespace, name)) for name in answers}, unit)))


def shown(value: object) -> str:
    """An answer as the student wrote it, shortened.

    Parameters
    ----------
    value : object

    Returns
    -------
    str, at most 40 characters, "" where nothing was written

    Examples
    --------
    >>> shown("8,3")
    '"8,3"'
    """
    if value is ...:
        return ""
    if isinstance(value, NotPlain):
        text = value.text or value.kind
    elif isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 200:
        text = "a very long number"
    else:
        text = repr(value)
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 3] + "..."


def _form_sentences(read: Mapping[str, object], unit: str) -> Iterator[str]:
    """What cannot be read, what can be, and what is still missing."""
    unread = {name: value for name, value in read.items() if isinstance(value, Unread)}
    fine = [f"{name} = {_form_value(value, unit)}" for name, value in read.items() if name not in unread]
    missing = [name for name, value in unread.items() if value.outcome == "not answered"]
    yield from (value.sentence for value in unread.values() if value.outcome == "form")
    if fine:
        yield f"{', '.join(fine)} can be read. Whether it is right, your feedback page will say."
    if len(missing) == len(read) > 1:
        yield f"Not answered yet. {_DOTS}"
    elif missing:
        yield f"{', '.join(missing)}: not answered yet. {_DOTS}"


def _form_value(value: object, unit: str) -> str:
    return f"{value:g} {unit}".rstrip() if isinstance(value, float) else f'"{value}"'


def _not_answered(name: str) -> Unread:
    return Unread("not answered", "Not answered.")


def _text_for_number(name: str, text: str) -> Unread:
    comma, plain = _DECIMAL_COMMA.match(text), _PLAIN_NUMBER.fullmatch(text)
    if comma:
        remedy = f"Write {comma[1]}.{comma[2]} with a point."
    elif plain:
        remedy = f"Write {plain[1]} without quote marks and without the unit."
    else:
        remedy = "Write a number without quote marks."
    return Unread("form", f"`{name}` should be a number, but it is the text {shown(text)}. {remedy}")


def _several_for_number(name: str, values: Sequence[object]) -> Unread:
    """Python reads ``8,3`` as two numbers; whoever writes a decimal comma should hear just that."""
    if len(values) == 2 and all(type(value) is int for value in values):
        whole, part = values
        return Unread(
            "form", f"`{name}` holds two numbers, {whole} and {part}. Write {whole}.{part} with a point, not a comma."
        )
    return Unread("form", f"`{name}` should be one number, but it holds {len(values)} values.")


def _what(value: object) -> str:
    if isinstance(value, str):
        return f"the text {shown(value)}"
    if isinstance(value, NotPlain):
        return f"{value.kind} {value.text}".strip()[:_LONGEST_SHOWN]
    return shown(value)
