"""What is left out before a whole assessment fails it as well, and what is shared between changes is what each would find anew."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from reportgen.advice.changes import Change, all_changes
from reportgen.advice.foresight import FAILING, STILL, Foresight, Shared, stands_in_the_way
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Case
from reportgen.pairing.as_built import AsBuilt
from reportgen.pairing.as_used import Setting
from reportgen.pairing.ideal import Ideal
from reportgen.pairing.response import Model
from reportgen.suitability import checks
from reportgen.suitability.limits import all_limits
from reportgen.suitability.verdict import UsableRange, judge
from tests.demo_catalogue import demo, demo_case


def changed(before: Assessment, *changes: Change) -> Case:
    pairing = before.case.pairing
    for change in changes:
        pairing = change.applied(pairing)
    return demo().case(pairing)


@pytest.mark.parametrize(
    "pairing", ["P-01", "P-11", "P-18", "P-24"]
)  # P-24 has measured files, P-18 and P-11 several drivers
def test_shared_limits_are_those_that_each_change_would_find(pairing: str) -> None:
    before = replace(assess(demo_case("P-06"), drawn=False), case=demo_case(pairing), crossover_fixed=True)
    shared, changes = Shared(), all_changes(before, demo())
    for case in [changed(before, one) for one in changes] + [changed(before, changes[0], one) for one in changes[::3]]:
        assert shared.limits(Setting(case)) == all_limits(Setting(case))
    asked = len(shared.known)
    assert asked < 0.8 * (len(changes) + len(changes[::3])) * 14


@pytest.mark.parametrize("pairing", ["P-02", "P-18"])
def test_shared_checks_are_those_that_each_change_would_find(pairing: str) -> None:
    before = replace(assess(demo_case("P-06"), drawn=False), case=demo_case(pairing), crossover_fixed=True)
    foresight, changes = Foresight(before, plainly=True), all_changes(before, demo())
    wished = [one for one in changes if one.kind in ("level", "amplifier")]
    assert wished
    for one in changes:
        for case in (changed(before, one), changed(before, one, wished[0]), changed(before, one, wished[-1])):
            fresh = Foresight(before, plainly=True)
            assert foresight.in_the_way(case) == fresh.in_the_way(case)
            assert foresight.open_(case) == fresh.open_(case)
    assert len(foresight.shared.checked) < len(changes) * 11


def test_what_is_left_out_where_conditions_are_allowed_never_fails() -> None:
    """Every high driver of the demo in every pairing's place."""
    left_out = {rule.__name__ for rule in STILL} - {rule.__name__ for rule in FAILING}
    cases = [
        demo().case(replace(one, high_id=high)) for one in demo().pairings.values() for high in demo().high_drivers
    ]
    for case in cases:
        built = AsBuilt(Model(Setting(case)), 2500.0)
        for rule in (*(rule for rule in STILL if rule.__name__ in left_out), checks.directivity_step):
            check = rule(built)
            assert check is None or not stands_in_the_way(check, plainly=False), f"{case.pairing.id}: {check}"


def test_a_check_stands_in_the_way_as_the_verdict_has_it() -> None:
    """Of one check alone: it is in the way where the verdict on it alone is not the wanted one."""
    for check in assess(demo_case("P-20"), drawn=False).checks:
        word = judge((check,), assess_range()).word
        assert stands_in_the_way(check, plainly=True) == (word != "suitable")
        assert stands_in_the_way(check, plainly=False) == (word in ("not suitable", "undecided"))


def assess_range() -> UsableRange:
    return assess(demo_case("P-06"), drawn=False).found_range


def promises(foresight: Foresight, case: Case) -> bool:
    """What the search asks before it assesses a case as a whole."""
    return foresight.fits_promise(foresight.left_open(case))


HOT = demo_case("P-06", low={"rated_power_w": 6.0}, pairing={"crossover_hz": 3000.0})
"""The low driver bears a sixth of what it gets, so that nothing but a smaller amplifier helps."""
LOUD = demo_case("P-06", pairing={"peak_level_db": 125.0, "crossover_hz": 3000.0})
"""A level that no driver of the demo reaches."""


@pytest.mark.parametrize(
    ("case", "fields"),
    [
        (HOT, {"peak_level_db": 80.0}),
        (HOT, {"slope": "LR2"}),
        (LOUD, {"amplifier_power_w": 10.0}),
        (LOUD, {"slope": "LR8"}),
    ],
)
def test_what_promises_nothing_fails_as_a_whole(case: Case, fields: dict[str, Any]) -> None:
    before = assess(case, drawn=False)
    assert before.verdict.word == "not suitable"
    after = replace(case, pairing=replace(case.pairing, **fields))
    assert not promises(Foresight(before, plainly=False), after)
    assert assess(after, drawn=False).verdict.word == "not suitable"


def test_what_helps_is_not_left_out() -> None:
    before = assess(HOT, drawn=False)
    after = replace(HOT, pairing=replace(HOT.pairing, amplifier_power_w=4.0, peak_level_db=75.0))
    foresight = Foresight(before, plainly=False)
    assert foresight.open_(after) and promises(foresight, after)
    assert assess(after, drawn=False).verdict.word in ("suitable", "suitable with conditions")


def test_what_every_fitted_network_misses_fails_as_a_whole() -> None:
    """Another waveguide on P-02: an ideal network would keep the low driver cool enough for a plain yes, the fitted ones do not."""
    before = assess(demo_case("P-02"), drawn=False)
    foresight, found = Foresight(before, plainly=True), []
    for change in all_changes(before, demo()):
        case = changed(before, change)
        if change.kind == "guide" and foresight.open_(case) and not promises(foresight, case):
            model = Model(Setting(case))
            at_hz = foresight._frequencies_hz(model)
            ideal = [Ideal(model, hz, ohm) for hz in at_hz for ohm in foresight._rated_ohm(model)]
            assert assess(case, drawn=False).verdict.word != "suitable"
            found.append(any(foresight._met_ideally(one) for one in ideal))
    assert any(found), "nothing was left to the fitted networks"
