"""Questions that are answered with letters of a list: all that are true, or all in order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hvacr_lab.exercises.form import Unread, given, read_letters, shown
from hvacr_lab.exercises.marks import Mark, Slip, finish, unread_mark


@dataclass(frozen=True, slots=True)
class Several:
    """All that are true, out of the sheet's lettered sentences.

    Parameters
    ----------
    answer : str, name of the variable
    title : str, the question in a few words
    points : float
    expected : gives the keys of the sentences that are true
    slips : sequence of Slip; their formulas give keys as well
    if_right, look_again, worked : as in Number
    """

    answer: str
    title: str
    points: float
    expected: Callable[[Any], Collection[str]]
    slips: Sequence[Slip] = ()
    if_right: str = ""
    look_again: str = "Check each sentence on its own readings."
    worked: Callable[[Any], Iterable[str]] | None = None

    @property
    def answers(self) -> tuple[str, ...]:
        """The one name."""
        return (self.answer,)

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Right, a known slip, partly right, or not; a wrong letter takes back what a right one gave."""
        written = given(namespace, self.answer)
        read = read_letters(self.answer, written, readings.letters(*readings.items))
        if isinstance(read, Unread):
            return unread_mark(self, readings, read, shown(written))
        right, chosen = self._letters(self.expected(readings), readings), set(read)
        if chosen == right:
            return finish(self, readings, "right", 1.0, f"Right. {self.if_right}".rstrip(), shown(written))
        slip = next((slip for slip, letters in self._slip_letters(readings) if letters == chosen), None)
        hits, strays = len(chosen & right), len(chosen - right)
        share = max(0.0, (hits - strays) / max(len(right), 1))
        if slip is not None:
            return finish(self, readings, "slip", max(slip.credit, share), slip.words, shown(written), slip.id)
        sentence = f"Letters of yours that belong there: {hits}; that do not: {strays}. {self.look_again}"
        return finish(self, readings, "partly" if share else "unknown", share, sentence, shown(written))

    def _letters(self, keys: Collection[str], readings: Any) -> set[str]:
        return set(readings.letters(*keys))

    def _slip_letters(self, readings: Any) -> list[tuple[Slip, set[str]]]:
        right = self._letters(self.expected(readings), readings)
        keys = [(slip, slip.value(readings)) for slip in self.slips]
        letters = [(slip, self._letters(chosen, readings)) for slip, chosen in keys if chosen is not None]
        return [(slip, chosen) for slip, chosen in letters if chosen and chosen != right]

    def right_answers(self, readings: Any) -> dict[str, object]:
        """The letters in alphabetical order."""
        return {self.answer: " ".join(sorted(self._letters(self.expected(readings), readings)))}

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """For each slip the letters that whoever makes it would write."""
        return {slip.id: {self.answer: " ".join(sorted(letters))} for slip, letters in self._slip_letters(readings)}


@dataclass(frozen=True, slots=True)
class Order:
    """The sheet's lettered sentences in the right order.

    Parameters
    ----------
    answer : str, name of the variable
    title : str, the question in a few words
    points : float
    expected : keys of the sentences in the right order
    slips : sequence of Slip; their formulas give keys in order as well
    if_right, look_again, worked : as in Number
    """

    answer: str
    title: str
    points: float
    expected: tuple[str, ...]
    slips: Sequence[Slip] = ()
    if_right: str = ""
    look_again: str = "Take the first step again, then ask each time what must be done before the next one."
    worked: Callable[[Any], Iterable[str]] | None = None

    @property
    def answers(self) -> tuple[str, ...]:
        """The one name."""
        return (self.answer,)

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Right, a known slip, or as many points as pairs stand in the right order beyond a guess."""
        written = given(namespace, self.answer)
        right = readings.letters(*self.expected)
        read = read_letters(self.answer, written, "".join(sorted(right)), each_once=True)
        if isinstance(read, Unread):
            return unread_mark(self, readings, read, shown(written))
        if read == right:
            return finish(self, readings, "right", 1.0, f"Right. {self.if_right}".rstrip(), shown(written))
        share = max(0.0, 2.0 * _pairs_in_order(read, right) - 1.0)
        slips = [(slip, slip.value(readings)) for slip in self.slips]
        slip = next((slip for slip, keys in slips if keys is not None and readings.letters(*keys) == read), None)
        if slip is not None:
            return finish(self, readings, "slip", max(slip.credit, share), slip.words, shown(written), slip.id)
        outcome = "partly" if share else "unknown"
        return finish(self, readings, outcome, share, f"Not quite in order. {self.look_again}", shown(written))

    def right_answers(self, readings: Any) -> dict[str, object]:
        """The letters in order."""
        return {self.answer: " ".join(readings.letters(*self.expected))}

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """For each slip the order that whoever makes it would write."""
        keys = {slip.id: slip.value(readings) for slip in self.slips}
        return {
            slip: {self.answer: " ".join(readings.letters(*order))} for slip, order in keys.items() if order is not None
        }


def _pairs_in_order(given_order: str, right_order: str) -> float:
    """Share of all pairs that stand in the right order."""
    place = {letter: index for index, letter in enumerate(right_order)}
    ranks = [place[letter] for letter in given_order]
    pairs = [(first, second) for index, first in enumerate(ranks) for second in ranks[index + 1 :]]
    return sum(first < second for first, second in pairs) / len(pairs)
