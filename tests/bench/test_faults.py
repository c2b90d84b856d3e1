"""Faults: nothing at severity 0, the textbook's pattern where it may be demanded, and which look alike."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from machines import MACHINES, Machine, set_up, solved, with_faults

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.comparison import SYMPTOMS, symptoms
from hvacr_lab.bench.description import as_configured
from hvacr_lab.bench.faults import FAULTS, apply_faults, is_possible
from hvacr_lab.bench.settings import NOTHING_WRONG, default_settings
from hvacr_lab.bench.symptoms import _SIGNS, TEXTBOOK, textbook
from hvacr_lab.errors import OutOfRange, UnknownName

DEMO = load_bench("demo")
PROPANE = load_bench("propane")
REFRIGERATOR = default_settings(DEMO, "refrigerator")
PUMP = default_settings(DEMO, "heat-pump-heating")


@pytest.mark.parametrize("name", FAULTS)
def test_severity_zero_gives_the_very_same_records(name: str) -> None:
    bench, unchanged, modifiers = apply_faults(DEMO, with_faults(REFRIGERATOR, {name: 0.0}))
    assert bench is DEMO
    assert unchanged.faults == {name: 0.0}
    assert modifiers is NOTHING_WRONG


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_changes_something_and_leaves_the_given_records_alone(name: str) -> None:
    before = with_faults(REFRIGERATOR, {name: 0.4})
    kept = (dataclasses.replace(DEMO), dataclasses.replace(before))
    bench, after, modifiers = apply_faults(DEMO, before)
    assert (DEMO, before) == kept
    assert after.faults == {}
    changed = bench != DEMO or after != dataclasses.replace(before, faults={}) or modifiers != NOTHING_WRONG
    assert changed == is_possible(name, DEMO)


def test_fault_of_a_part_that_a_bench_does_not_have_changes_nothing() -> None:
    assert not is_possible("leaking-reversing-valve", PROPANE)
    start = default_settings(PROPANE, next(iter(PROPANE.configurations)))
    bench, after, modifiers = apply_faults(PROPANE, with_faults(start, {"leaking-reversing-valve": 1.0}))
    assert modifiers == NOTHING_WRONG
    assert after == start
    assert bench.reversing_valve is None


@given(
    severities=st.dictionaries(
        st.sampled_from(sorted(set(FAULTS) - {"wrong-refrigerant"})), st.floats(0, 1), max_size=5
    ),
    seed=st.randoms(use_true_random=False),
)
@settings(max_examples=50, deadline=None)
def test_the_order_in_which_faults_are_named_does_not_matter(severities: dict[str, float], seed) -> None:
    shuffled = list(severities.items())
    seed.shuffle(shuffled)
    one = apply_faults(DEMO, with_faults(REFRIGERATOR, severities))
    other = apply_faults(DEMO, with_faults(REFRIGERATOR, dict(shuffled)))
    assert one == other


def test_dirt_sits_on_the_coil_that_condenses_now() -> None:
    cooling = apply_faults(DEMO, with_faults(REFRIGERATOR, {"dirty-condenser": 0.6}))[2]
    heating = apply_faults(DEMO, with_faults(PUMP, {"dirty-condenser": 0.6}))[2]
    assert cooling.fouling == {"outdoor": 0.6}
    assert heating.fouling == {"indoor": 0.6}


def test_charge_faults_count_from_the_charge_that_is_set() -> None:
    low = apply_faults(DEMO, with_faults(REFRIGERATOR, {"undercharge": 0.5}))[1]
    high = apply_faults(DEMO, with_faults(REFRIGERATOR, {"overcharge": 0.5}))[1]
    assert low.charge_kg == pytest.approx(0.55 * REFRIGERATOR.charge_kg)
    assert high.charge_kg == pytest.approx(1.5 * REFRIGERATOR.charge_kg)


def test_control_faults_move_what_the_configuration_has_set() -> None:
    """The freezer has a low-pressure control of its own setting."""
    freezer = default_settings(DEMO, "freezer")
    bench, _, _ = apply_faults(DEMO, with_faults(freezer, {"low-control-set-high": 1.0}))
    own = DEMO.configurations["freezer"].controls
    assert own is not None
    assert bench.controls.low_cut_out_pa == pytest.approx(2.0 * own.low_cut_out_pa)
    assert bench.controls.high_cut_in_pa is None, "manual reset stays manual"


def test_configuring_again_does_not_undo_a_fault_of_a_setting() -> None:
    machine = default_settings(DEMO, "refrigerator-constant-pressure")
    bench, changed, _ = apply_faults(DEMO, with_faults(machine, {"pressure-set-high": 1.0}))
    assert as_configured(bench, changed.configuration) == bench
    # 2.4 bar in the bench file, 30 % more at severity 1
    assert bench.metering["axv"].setting_pa == pytest.approx(1.3 * 2.4e5)


@pytest.mark.parametrize("severity", [-0.1, 1.1])
def test_severity_runs_from_nothing_to_one(severity: float) -> None:
    with pytest.raises(OutOfRange, match="too much refrigerant"):
        apply_faults(DEMO, with_faults(REFRIGERATOR, {"overcharge": severity}))


def test_unknown_fault_is_named_with_the_closest() -> None:
    with pytest.raises(UnknownName, match="dirty-condenser"):
        apply_faults(DEMO, with_faults(REFRIGERATOR, {"dirty-condensor": 0.5}))


def test_every_fault_has_its_words_and_its_page_in_the_textbook() -> None:
    assert set(TEXTBOOK) == set(FAULTS)
    assert len({fault.label for fault in FAULTS.values()}) == len(FAULTS)
    for name, fault in FAULTS.items():
        assert fault.means.endswith("."), name
        for pattern in TEXTBOOK[name].values():
            assert len(pattern.signs) == len(SYMPTOMS) and set(pattern.signs) <= {*_SIGNS, "."}, name
            assert 0.0 < pattern.severity <= 1.0


# what the solver makes of them


def cases() -> list[tuple[str, Machine]]:
    found = []
    for name in FAULTS:
        for machine in MACHINES:
            pattern = textbook(name, machine.device, receiver=machine.receiver, accumulator=machine.accumulator)
            if pattern is not None and set(pattern.signs) != {"."} and is_possible(name, load_bench(machine.bench)):
                found.append((name, machine))
    return found


@pytest.mark.parametrize(("name", "machine"), cases(), ids=str)
def test_shows_the_pattern_of_the_textbook(name: str, machine: Machine) -> None:
    bench, start = set_up(machine)
    pattern = textbook(name, machine.device, receiver=machine.receiver, accumulator=machine.accumulator)
    assert pattern is not None
    before = solved(bench, start)
    after = solved(bench, with_faults(start, {name: pattern.severity}), start=before)
    assert before.is_solved and after.is_solved
    found = symptoms(before, after)
    demanded = {symptom: _SIGNS[sign] for symptom, sign in zip(SYMPTOMS, pattern.signs, strict=True) if sign != "."}
    assert {symptom: found[symptom] for symptom in demanded} == demanded


# a stuck valve jumps to half stroke at once, and there is no half of a wrong refrigerant
FIRST_SEVERITY = {"valve-stuck-open": 0.05, "valve-stuck-shut": 0.05, "wrong-refrigerant": 1.0}
READINGS = {
    "head": (lambda point: math.log(point.discharge_pressure_pa), 0.004),
    "suction": (lambda point: math.log(point.suction_pressure_pa), 0.004),
    "superheat": (lambda point: point.superheat_k, 0.2),
    "subcooling": (lambda point: point.subcooling_k, 0.2),
}
# reading -> value, and the step below which it stays
BACK_AND_FORTH = {
    # liquid backs up in the condenser first; later so little is condensed that its temperature comes down to the air's,
    # which leaves no room for subcooling
    "subcooling": {
        "liquid-line-restriction",
        "blocked-drier",
        "blocked-metering-inlet",
        "ice-in-metering",
        "kinked-capillary",
        "valve-stuck-shut",
    },
    # while the subcooling goes, a thermostatic valve opens and makes up for it: the coil, fed with warmer liquid, boils
    # a little warmer (2 % in all) until the valve stands wide open
    "suction": {"undercharge"},
}


@pytest.mark.parametrize("machine", [MACHINES[0], MACHINES[2]], ids=str)
@pytest.mark.parametrize("name", FAULTS)
def test_the_worse_the_fault_the_further_each_reading_goes(name: str, machine: Machine) -> None:
    """Head, suction, superheat and subcooling move one way or stay."""
    bench, start = set_up(machine)
    found = [solved(bench, start)] if name not in FIRST_SEVERITY else []
    for severity in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7):
        if severity >= FIRST_SEVERITY.get(name, 0.0):
            point = solved(bench, with_faults(start, {name: severity}), found[-1] if found else None)
            found += [point] * point.is_solved
    for reading, (value, least) in READINGS.items():
        steps = [value(there) - value(here) for here, there in itertools.pairwise(found)]
        one_way = not (any(step > least for step in steps) and any(step < -least for step in steps))
        assert one_way or name in BACK_AND_FORTH.get(reading, set()), (reading, steps)
