"""No two equally visible faults look alike on all instruments, unless the product says that they do."""

from __future__ import annotations

import itertools

import pytest
from look_alikes import VISIBLE, curves, look_alikes
from machines import MACHINES, Machine

from hvacr_lab.bench.faults import FAULTS
from hvacr_lab.bench.symptoms import LOOK_ALIKES

LISTED = {frozenset(pair) for group in LOOK_ALIKES.values() for pair in itertools.combinations(sorted(group), 2)}
QUICK = MACHINES[-1]


def check(machine: Machine) -> None:
    unlisted = [sorted(pair) for pair in look_alikes(curves(machine)) if pair not in LISTED]
    assert not unlisted, machine


def test_faults_that_look_alike_are_listed_as_such() -> None:
    check(QUICK)


@pytest.mark.slow
@pytest.mark.parametrize("machine", [m for m in MACHINES if m is not QUICK], ids=str)
def test_faults_that_look_alike_are_listed_on_every_machine(machine: Machine) -> None:
    check(machine)


def test_every_group_says_how_to_tell_them_apart() -> None:
    for how, group in LOOK_ALIKES.items():
        assert how.endswith(".") and len(group) >= 2
        assert group <= set(FAULTS)


def test_a_fault_is_like_itself_and_unlike_a_machine_in_order() -> None:
    """The measure can tell: the same fault at the same strength is at distance 0, none at all is beyond the margin."""
    curve = curves(QUICK)["dirty-condenser"]
    place = curve.at_strength(VISIBLE)
    assert place is not None
    assert curve.nearest(place) < 0.2
    assert curve.strength(place) == pytest.approx(VISIBLE, abs=0.05)
