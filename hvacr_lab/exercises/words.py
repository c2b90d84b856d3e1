"""Questions that are answered with words: a choice for each of some things, and a prediction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hvacr_lab.exercises.form import Unread, given, read_word, shown
from hvacr_lab.exercises.marks import Mark, Slip, finish, most_telling, unread_mark


@dataclass(frozen=True, slots=True)
class Choice:
    """One word for each of one or several things.

    Parameters
    ----------
    answer : str or tuple of str, names of the variables
    title : str, the question in a few words
    points : float, for all of them together
    options : words that can be chosen
    expected : gives the right word, or a tuple of them in the order of the names
    slips : sequence of Slip; their formulas give words as well
    if_right, look_again, worked : as in Number
    """

    answer: str | tuple[str, ...]
    title: str
    points: float
    options: tuple[str, ...]
    expected: Callable[[Any], str | tuple[str, ...]]
    slips: Sequence[Slip] = ()
    if_right: str = ""
    look_again: str = "Which reading decides it?"
    worked: Callable[[Any], Iterable[str]] | None = None

    @property
    def answers(self) -> tuple[str, ...]:
        """The names."""
        return (self.answer,) if isinstance(self.answer, str) else self.answer

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Right, a known slip, partly right, or not."""
        written = [given(namespace, name) for name in self.answers]
        words = [read_word(name, value, self.options) for name, value in zip(self.answers, written, strict=True)]
        text = ", ".join(shown(value) or "..." for value in written)
        if all(isinstance(word, Unread) for word in words):
            return unread_mark(self, readings, most_telling(words), text)
        right = self.right_words(readings)
        hits = sum(word == wanted for word, wanted in zip(words, right, strict=True))
        share = self._share(hits, len(words) - hits - sum(isinstance(word, Unread) for word in words))
        slip = next((slip for slip, wrong in self.slip_words(readings) if wrong == tuple(words)), None)
        if hits == len(right):
            return finish(self, readings, "right", 1.0, f"Right. {self.if_right}".rstrip(), text)
        if slip is not None:
            return finish(self, readings, "slip", max(slip.credit, share), slip.words, text, slip.id)
        if hits and len(right) > 1:
            unread = next((word.sentence for word in words if isinstance(word, Unread)), "")
            sentence = f"{hits} of {len(right)} are right. {self.look_again} {unread}".rstrip()
            return finish(self, readings, "partly", share, sentence, text)
        return finish(self, readings, "unknown", 0.0, f"Not that one. {self.look_again}", text)

    def _share(self, hits: int, misses: int) -> float:
        """What hits are worth: guessing all of them is worth nothing on average."""
        if len(self.answers) == 1:
            return float(hits)
        return max(0.0, (hits - misses / (len(self.options) - 1)) / len(self.answers))

    def right_words(self, readings: Any) -> tuple[str, ...]:
        """The right word for each name."""
        return _as_tuple(self.expected(readings))

    def slip_words(self, readings: Any) -> list[tuple[Slip, tuple[str, ...]]]:
        """Each slip that leads to other words than the right ones on these readings."""
        right = self.right_words(readings)
        values = [(slip, slip.value(readings)) for slip in self.slips]
        return [(slip, _as_tuple(words)) for slip, words in values if words is not None and _as_tuple(words) != right]

    def right_answers(self, readings: Any) -> dict[str, object]:
        """The right word for each name."""
        return dict(zip(self.answers, self.right_words(readings), strict=True))

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """For each slip the words that whoever makes it would write."""
        return {slip.id: dict(zip(self.answers, words, strict=True)) for slip, words in self.slip_words(readings)}


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a student expects of a change, and what the student says after having measured it; no points.

    Parameters
    ----------
    quantities : name -> name of the row in the comparison; the answers are ``before_name`` and ``after_name``
    title : str, the change in a few words
    """

    quantities: Mapping[str, str]
    title: str
    points: float = 0.0

    @property
    def answers(self) -> tuple[str, ...]:
        """The names, before and after."""
        return tuple(f"{time}_{name}" for time in ("before", "after") for name in self.quantities)

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Record the words of before and after beside what happened."""
        before, after = (self._words(namespace, time, readings) for time in ("before", "after"))
        text = ", ".join(shown(given(namespace, name)) or "..." for name in self.answers)
        unread = [word for word in (*before.values(), *after.values()) if isinstance(word, Unread)]
        if len(unread) == len(self.answers):
            return unread_mark(self, readings, most_telling(unread), text)
        truth = self._truth(readings)
        sentence = " ".join([_agreement(after, truth), *(word.sentence for word in unread if word.outcome == "form")])
        detail = {"before": _in_words(before), "after": _in_words(after), "truth": _in_words(truth)}
        return finish(self, readings, "recorded", 0.0, sentence, text, detail=detail)

    def _truth(self, readings: Any) -> dict[str, str]:
        return {name: readings.change(row) for name, row in self.quantities.items()}

    def _words(self, namespace: Mapping[str, object], time: str, readings: Any) -> dict[str, str | Unread]:
        names = {name: f"{time}_{name}" for name in self.quantities}
        return {
            name: read_word(variable, given(namespace, variable), readings.words(self.quantities[name]))
            for name, variable in names.items()
        }

    def right_answers(self, readings: Any) -> dict[str, object]:
        """What happened, before and after."""
        return {f"{time}_{name}": word for time in ("before", "after") for name, word in self._truth(readings).items()}

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """A prediction has no slips."""
        return {}


def _as_tuple(words: str | tuple[str, ...]) -> tuple[str, ...]:
    return (words,) if isinstance(words, str) else tuple(words)


def _agreement(after: Mapping[str, str | Unread], truth: Mapping[str, str]) -> str:
    if all(isinstance(word, Unread) for word in after.values()):
        return "Recorded. What you saw after measuring is missing."
    hits = sum(after[name] == truth[name] for name in truth)
    return f"Recorded. After measuring, {hits} of your {len(truth)} words agree with the table."


def _in_words(words: Mapping[str, str | Unread]) -> dict[str, str]:
    """Names as they are said, and "" for what cannot be read."""
    return {name.replace("_", " "): "" if isinstance(word, Unread) else word for name, word in words.items()}
