"""What a sandbox says is believed only as far as it has the right form: nothing else gets past the door."""

from __future__ import annotations

import json
import math
import socket
import struct
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.exercises.form import NotPlain
from hvacr_lab.grading.claims import CodeCell, Malformed, Story, believed_answer, believed_outputs, frames
from hvacr_lab.grading.runner import Outputs, plain
from hvacr_lab.grading.sandbox import Limits

numbers = st.integers(-(2**1000), 2**1000) | st.floats(allow_nan=False)
answers = st.recursive(
    st.none() | st.booleans() | numbers | st.text() | st.just(...),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


def through_the_door(value: object) -> object:
    """As an answer travels: made plain in the sandbox, sent as JSON, believed by the grader."""
    return believed_answer(json.loads(json.dumps(plain(value), allow_nan=False)))


@settings(max_examples=50, deadline=None)
@given(answers)
def test_plain_answers_arrive_as_they_were(value: object) -> None:
    arrived = through_the_door(value)
    assert arrived == value or "too large" in repr(arrived)


class EqualToAll(float):
    def __eq__(self, other: object) -> bool:
        return True

    def __abs__(self) -> float:
        return 0.0

    __hash__ = float.__hash__


class Loud:
    def __repr__(self) -> str:
        raise RuntimeError("no")


CYCLE: list[object] = []
CYCLE.append(CYCLE)


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        (EqualToAll(3.0), "EqualToAll"),
        (Loud(), "Loud"),
        (1 + 2j, "complex"),
        (10**100_000, "very long integer"),
        (np.zeros(10**6), "too large"),
        (len, "builtin_function_or_method"),
    ],
    ids=["subclass", "loud", "complex", "long integer", "big array", "function"],
)
def test_what_is_no_plain_value_arrives_as_a_note(value: object, kind: str) -> None:
    arrived = through_the_door(value)
    assert isinstance(arrived, NotPlain)
    assert arrived.kind == kind


def test_lists_that_hold_themselves_and_endless_lists_end() -> None:
    assert "too large" in repr(through_the_door(CYCLE))
    assert len(repr(through_the_door(list(range(10**6))))) < 200_000


def test_numbers_of_numpy_are_numbers() -> None:
    assert through_the_door(np.float64(8.3)) == 8.3
    assert through_the_door(np.array([1.5, 2.5])) == [1.5, 2.5]
    assert math.isnan(through_the_door(np.float64("nan")))  # type: ignore[arg-type]
    assert through_the_door({"b", "a"}) == {"a", "b"}


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["kind", "items", "text", "what", "output_type", "data", "name", "x"]), inner, max_size=4
        )
    ),
    max_leaves=15,
)


@settings(max_examples=100, deadline=None)
@given(json_values)
def test_no_claim_gets_past_the_door_unchecked(claim: object) -> None:
    for believe in (believed_answer, lambda value: believed_outputs(value, 1)):
        try:
            believe(claim)
        except Malformed:
            continue


def test_outputs_keep_only_known_fields() -> None:
    data = {"text/plain": "x", "text/evil": "y", "image/png": '"><script>', "image/jpeg": "aGk="}
    claim = [{"output_type": "display_data", "data": data, "metadata": {"width": '"><script>'}, "extra": 1}]
    assert believed_outputs(claim, 3) == (
        {"output_type": "display_data", "data": {"text/plain": "x", "image/jpeg": "aGk="}, "metadata": {}},
    )


def heard(*sent: bytes) -> list[dict[str, object]]:
    """What the grader hears when these bytes come out of a sandbox."""
    ours, theirs = socket.socketpair()
    with ours, theirs:
        theirs.sendall(b"".join(sent))
        theirs.shutdown(socket.SHUT_WR)
        return list(frames(ours, time.monotonic() + 5.0))


def frame(body: bytes) -> bytes:
    return struct.pack("!I", len(body)) + body


def test_frames_arrive_in_order_and_a_torn_one_is_no_frame() -> None:
    assert heard(frame(b'{"cell": 0}'), frame(b'{"end": true}')) == [{"cell": 0}, {"end": True}]
    assert heard(frame(b'{"cell": 0}'), frame(b'{"cell": 1}')[:-3]) == [{"cell": 0}]


@pytest.mark.parametrize(
    "body",
    [
        b"[" * 100_000,
        b'{"x": NaN}',
        b'{"x": 1e999}',
        b'{"x": ' + b"9" * 400 + b"}",
        b'{"x": "\xff"}',
        b"{",
        b"[1]",
        b'{"x":' * 900 + b"1" + b"}" * 900,
    ],
)
def test_what_is_no_frame_ends_the_conversation(body: bytes) -> None:
    with pytest.raises((Malformed, ValueError, RecursionError)):
        Story([CodeCell("x")], {}, Limits()).hears(heard(frame(body))[0])


def test_a_frame_that_claims_to_be_long_is_not_waited_for() -> None:
    with pytest.raises(Malformed):
        heard(b"\xff\xff\xff\xff")


def test_who_says_nothing_is_not_waited_for() -> None:
    ours, theirs = socket.socketpair()
    with ours, theirs, pytest.raises(TimeoutError):
        next(frames(ours, time.monotonic() + 0.05))


def test_outputs_are_cut_and_say_so() -> None:
    outputs = Outputs()
    for _ in range(30):
        outputs.stream("stdout", "x" * 1000)
    assert outputs.cut
    assert len(outputs.items[0]["text"]) == 20_000
    outputs.next_cell()
    assert not outputs.cut
    outputs.display("display_data", {"image/png": b"x" * 1_000_000, "text/plain": "figure"})
    assert outputs.cut
    assert outputs.items[0]["data"] == {"text/plain": "figure"}
