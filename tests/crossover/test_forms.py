"""Forms of one branch: what may join a filter, where there is cause, how parts are left out, and that it fits."""

from __future__ import annotations

from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from reportgen.acoustics.slopes import SLOPES, high_pass, low_pass
from reportgen.crossover.bundle import Losses
from reportgen.crossover.fitting import BranchTask, Heard, target_weight
from reportgen.crossover.forms import Forms, fit_forms, form_of, keeps_its_filter, lighter
from reportgen.crossover.loads import DriverLoad
from reportgen.crossover.networks import Branch, Component, across, in_path, transfer
from reportgen.crossover.sides import Side, figures_of
from reportgen.crossover.topologies import (
    BRIDGE,
    COMPENSATION,
    DAMPING,
    FRONT,
    LIFT,
    NOTCH,
    PAD,
    SHELF,
    TRAP,
    bass_shelf,
    before_driver,
    before_filter,
    butterworth_start,
    handbook_high,
    hardly_there,
    level_pad,
    notch,
    resonance_trap,
    windows_of,
)
from tests.every import every

FC = 2450.0
F = np.geomspace(FC / 4, FC * 4, 49)
DOME = DriverLoad(5.4, 0.02e-3, 1100.0, 2.5, 1.0)
CONE = DriverLoad(5.8, 0.6e-3, 45.0, 3.5, 0.45)


def forms(slope, high=True, load=None, response=None, pad_db=8.0):
    load = load or (DOME if high else CONE)
    shape = (high_pass if high else low_pass)(SLOPES[slope], F, FC)
    pressure = np.full(49, 0.5 + 0j) if response is None else response
    level_db = 20 * np.log10(0.5 / 2e-5) - pad_db
    task = BranchTask(
        F, load.impedance(F), slice(0, 49), pressure, shape, level_db, target_weight(shape), 3.2,
        Losses(0.35, 0.55, 0.02), windows_of(load),
    )  # fmt: skip
    return Forms(task, load, FC, high, pad_db)


def roles(found):
    return [{c.role for c in one.branch.components} for one in found]


def test_leaving_out_takes_each_stage_once():
    branch = before_driver(handbook_high(SLOPES["BW3"], 6.0, FC), *level_pad(3.0, 6.0))
    shorter = lighter(branch)
    assert len(shorter) == 5
    assert all(len(one.stages) == 4 for one in shorter)
    assert len({one.stages for one in shorter}) == 5


def test_a_high_branch_keeps_a_capacitor_and_a_low_one_a_coil_in_the_path():
    high, low = butterworth_start(2, 6.0, FC, True), butterworth_start(2, 6.0, FC, False)
    assert [keeps_its_filter(branch, True) for branch in lighter(high)] == [False, True]
    assert [keeps_its_filter(branch, False) for branch in lighter(low)] == [False, True]
    assert not keeps_its_filter(Branch((in_path(Component("R", 1.0)),)), True)


@every("high", [True, False])
def test_an_added_stage_hardly_acts_at_first(high):
    """A stage of the ladder, made small, changes the level an octave inside the passband by less than half a decibel."""
    inside = FC * (2.0 if high else 0.5)
    for stage in butterworth_start(4, 6.0, FC, high).stages:
        assert abs(20 * np.log10(abs(transfer(Branch((hardly_there(stage),)), 6.0, inside)))) < 0.5


def test_every_form_the_trade_uses_is_tried():
    """Common practice, no source: resistor before the high-pass, pads, trap; a bridged coil, first order with compensation."""
    high = roles(fit_forms([forms("LR4")])[0])
    assert any(FRONT in one for one in high) and any(PAD in one for one in high) and any(TRAP in one for one in high)
    low = fit_forms([forms("LR4", high=False, pad_db=0.0)])[0]
    assert any(BRIDGE in one for one in roles(low))
    assert "1 filter part + impedance compensation" in {form_of(one.branch) for one in low}
    for one in low:
        assert keeps_its_filter(one.branch, high=False)


def test_the_trap_is_found_where_a_resonance_spoils_the_slope():
    """A first-order branch cannot follow its target over a resonance; with the trap it can."""
    tried = {form_of(one.branch): one.rms_db for one in fit_forms([forms("BW1")])[0]}
    assert tried["1 filter part + level pad + resonance trap"] < 0.5 * tried["1 filter part + level pad"]


def test_without_a_cause_nothing_joins():
    """A plain resistance has no resonance, no coil, no peak and a level top end."""
    flat = DriverLoad(6.0, 0.0, 20.0, 1e-3, 1.0)
    found = set().union(*roles(fit_forms([forms("LR2", load=flat, pad_db=0.0)])[0]))
    assert not found & {TRAP, COMPENSATION, NOTCH, LIFT}


def test_a_falling_top_end_is_lifted_across_the_pad():
    """3 dB down at the top of the band, first order: the capacitor across the pad brings the branch nearer."""
    fall = 0.5 / (1 + 1j * F / (1.0 * F[-1]))
    tried = {form_of(one.branch): one.rms_db for one in fit_forms([forms("LR2", response=fall)])[0]}
    lifted = [rms for form, rms in tried.items() if LIFT in form]
    assert lifted and min(lifted) < tried["2 filter parts + level pad"]
    assert not any(LIFT in form_of(one.branch) for one in fit_forms([forms("LR2")])[0])


def test_a_peak_gets_a_notch_at_its_place():
    peak = 0.5 * (1 + 2.0 / (1 + (9.0 * (F / 1600 - 1600 / F)) ** 2))
    one = forms("LR2", high=False, response=peak + 0j, pad_db=0.0)
    base = next(fit for fit in fit_forms([one])[0] if form_of(fit.branch) == "2 filter parts")
    wider = one.notched(base)
    assert wider is not None
    coil, capacitor = (next(c.value for c in wider.components if c.role == NOTCH and c.kind == k) for k in "LC")
    assert 1 / (2 * pi * (coil * capacitor) ** 0.5) == pytest.approx(1600.0, rel=0.15)
    assert any(NOTCH in form_of(fit.branch) for fit in fit_forms([one])[0])


def test_the_form_is_told_in_words():
    branch = before_driver(handbook_high(SLOPES["BW1"], 6.0, FC), *level_pad(3.0, 6.0), resonance_trap(DOME))
    assert form_of(branch) == "1 filter part + level pad + resonance trap"


def test_a_wider_filter_goes_on_where_the_last_part_left_off():
    """Behind a coil across comes a part in the path, behind one in the path a part across; at first it changes little."""
    two = butterworth_start(2, 5.4, FC, True)
    made = forms("LR4").wider(SimpleNamespace(branch=two))
    assert [stage.place for stage in made.stages] == ["series", "shunt", "series"]
    load = DOME.impedance(F)
    near = F > FC / 2
    change = 20 * np.log10(np.abs(transfer(made, load, F) / transfer(two, load, F)))
    assert np.max(np.abs(change[near])) < 3.0  # the dome resonates against a series capacitor by 2 dB
    one = Branch(two.stages[:1])
    assert [stage.place for stage in forms("LR4").wider(SimpleNamespace(branch=one)).stages] == ["series", "shunt"]
    four = Branch((*two.stages, *two.stages))
    assert forms("LR4").wider(SimpleNamespace(branch=four)) is None


@every(("count", "peak_ohm", "known"), [(200, 30.0, True), (200, 6.0, False), (7, 30.0, False), (8, 30.0, True)])
def test_figures_of_a_driver_are_read_from_an_impedance_that_holds_a_resonance(count, peak_ohm, known):
    """A flat curve, or one of seven points, tells nothing of a driver; one of eight does."""
    f = np.geomspace(200.0, 20000.0, count)
    qms, fs = 2.5, 1100.0
    qes = 6.0 * qms / max(peak_ohm - 6.0, 1e-9) if peak_ohm > 6.0 else 1e9
    impedance = DriverLoad(6.0, 0.02e-3, fs, qms, qes).impedance(f)
    found = figures_of(Side(f, np.ones_like(f, dtype=complex), impedance))
    assert (found is not None) is known
    if known and count > 8:
        assert (found.re_ohm, found.fs_hz) == (pytest.approx(6.0, rel=0.02), pytest.approx(fs, rel=0.02))


def test_a_pad_stands_before_the_driver_from_its_handbook_value_on():
    """6.02 dB in the path into 8 ohm are 8 ohm; 12.04 dB are 24; without a level to lose none stands there."""
    for pad_db, ohm in ((20.0 * np.log10(2.0), 8.0), (20.0 * np.log10(4.0), 24.0)):
        flat = DriverLoad(8.0, 0.0, 20.0, 1e-3, 1.0)
        *_, pad = forms("LR2", load=flat, pad_db=pad_db)._handbook(2).components
        assert (pad.kind, pad.role, pad.value) == ("R", PAD, pytest.approx(ohm, rel=1e-3))
    assert {c.role for c in forms("LR2", pad_db=0.0)._handbook(3).components} == {"series capacitor", "shunt coil"}


@every(("high", "first", "again"), [
    (True, {"damped", "fronted", "shunted", "lifted", "trapped", "notched"}, {"shunted", "trapped"}),
    (False, {"compensated", "bridged", "shelved", "damped", "notched"}, {"compensated"}),
])  # fmt: skip
def test_what_may_join_a_filter_and_what_may_join_it_again(high, first, again):
    """What joins a low branch again is the compensation: a bridged coil with it is among the forms."""
    one = forms("LR4", high=high, pad_db=8.0 if high else 0.0)
    assert {each.__name__ for each in one.joining()} == first
    assert {each.__name__ for each in one._joining_again()} == again
    if not high:
        tried = {form_of(fit.branch) for fit in fit_forms([one])[0]}
        assert "2 filter parts + capacitor across the coil + impedance compensation" in tried


@every(("rise_db", "shelved"), [(6.0, True), (3.5, True), (2.5, False), (0.0, False), (-6.0, False)])
def test_a_driver_that_rises_from_the_bass_gets_a_shelf_of_that_depth(rise_db, shelved):
    """Level at the lowest octave, from 612 Hz on, and so much higher from f_c/4 to f_c: there the bass shelf is to take it down."""
    f = np.geomspace(80.0, 8 * FC, 121)
    response = 0.5 * 10 ** (np.where(f > 300.0, rise_db, 0.0) / 20) + 0j
    shape = low_pass(SLOPES["LR4"], f, FC)
    level_db = 20 * np.log10(0.5 / 2e-5)
    flat = shape / np.abs(shape)
    task = BranchTask(
        f,
        np.full(121, 8.0 + 0j),
        slice(0, 121),
        response,
        flat,
        level_db,
        target_weight(flat),
        3.2,
        Losses(0.0, 0.5, 0.0),
        {},
    )
    base = SimpleNamespace(branch=butterworth_start(2, 8.0, FC, False))
    made = Forms(task, None, FC, False).shelved(base)
    assert (made is not None) is shelved
    if made is not None:
        coil, resistor = made.stages[0].components
        assert (made.stages[0].place, made.stages[0].join, coil.role, resistor.role) == (
            "series",
            "parallel",
            SHELF,
            SHELF,
        )
        assert resistor.value == pytest.approx(8.0 * (10 ** (rise_db / 20) - 1))
        assert coil.value == pytest.approx(resistor.value / (2 * pi * 2.5 * 80.0))
        assert made.stages[1:] == base.branch.stages
        assert Forms(task, None, FC, False).shelved(SimpleNamespace(branch=made)) is None


def test_what_is_added_starts_from_its_handbook_value():
    """A lift whose corner with the pad of 4 ohm is 10 kHz: 3.98 uF; a bridge that resonates 2.5 times above the crossover."""
    fall = np.where(F > 0.9 * F[-1], 0.25, 0.5) + 0j
    one = forms("LR2", response=fall)
    padded = before_driver(butterworth_start(2, 6.0, FC, True), in_path(Component("R", 4.0, role=PAD)))
    lifted = one.lifted(SimpleNamespace(branch=padded))
    resistor, capacitor = lifted.stages[-1].components
    assert (lifted.stages[-1].join, resistor.value, capacitor.role) == ("parallel", 4.0, LIFT)
    assert capacitor.value == pytest.approx(3.979e-6, rel=1e-3)
    low = forms("LR2", high=False, pad_db=0.0)
    bridged = low.bridged(SimpleNamespace(branch=butterworth_start(2, 6.0, FC, False)))
    coil, across_it = bridged.stages[0].components
    assert 1 / (2 * pi * (coil.value * across_it.value) ** 0.5) == pytest.approx(2.5 * FC)
    assert low.bridged(SimpleNamespace(branch=bridged)) is None
    damped = one.damped(SimpleNamespace(branch=padded))
    assert [(c.kind, c.value) for c in damped.stages[1].components[1:]] == [("R", 0.5)]
    front = one.fronted(SimpleNamespace(branch=padded))
    assert [(c.role, c.value) for c in front.stages[0].components] == [(FRONT, 4.0)]
    assert not any(c.role == PAD for c in front.components) and one.fronted(SimpleNamespace(branch=front)) is None
    shunted = one.shunted(SimpleNamespace(branch=padded))
    assert shunted.stages[-1].components[0].value == pytest.approx(
        3.0 * abs(DOME.impedance(np.array([FC]))[0]), rel=0.02
    )
    assert one.padded(SimpleNamespace(branch=padded)) is None and low.padded(SimpleNamespace(branch=padded)) is None


@every(("fs_hz", "res_share", "trapped"), [
    (FC / 5.9, 1.0, True), (FC / 6.1, 1.0, False), (FC * 1.49, 1.0, True), (FC * 1.51, 1.0, False), (FC / 2, 0.21, True),
    (FC / 2, 0.19, False),
])  # fmt: skip
def test_a_resonance_is_trapped_where_it_is_high_and_near(fs_hz, res_share, trapped):
    """Two and a half octaves below the crossover to half an octave above, a fifth of Re or more (common practice, no source)."""
    load = DriverLoad(5.0, 0.0, fs_hz, 2.0 * res_share, 2.0)
    made = forms("LR4", load=load).trapped(SimpleNamespace(branch=butterworth_start(2, 5.0, FC, True)))
    assert (made is not None) is trapped
    assert made is None or made.stages[-1] == resonance_trap(load)


@every(("le_h", "asks"), [(0.0, False), (0.9, False), (1.1, True)])
def test_a_coil_is_compensated_where_its_reactance_counts_two_octaves_up(le_h, asks):
    """At 4 f_c a fifth of Re: 5 ohm and 2450 Hz need 16.24 uH; here in units of that."""
    load = DriverLoad(5.0, le_h * 0.2 * 5.0 / (2 * pi * 4 * FC), 45.0, 3.0, 0.5)
    made = forms("LR4", high=False, load=load, pad_db=0.0).compensated(
        SimpleNamespace(branch=butterworth_start(2, 5.0, FC, False))
    )
    assert (made is not None) is asks


def test_a_damped_part_is_not_damped_twice():
    """Of a ladder with two parts across the first takes the resistor, then the second, then none."""
    one, branch = forms("LR4", high=False, pad_db=0.0), butterworth_start(4, 6.0, FC, False)
    counts = []
    for _ in range(2):
        branch = one.damped(SimpleNamespace(branch=branch))
        counts.append([len(stage.components) for stage in branch.stages])
    assert counts == [[1, 2, 1, 1], [1, 2, 1, 2]] and one.damped(SimpleNamespace(branch=branch)) is None


def test_what_only_joins_another_part_can_be_left_out_alone():
    """Stage by stage: a bridged coil, a damped part across, a pad with its lift, a trap of three that stands or falls."""
    stages = (
        in_path(Component("L", 1e-3, role="series coil"), Component("C", 1e-6, role=BRIDGE), join="parallel"),
        across(Component("C", 1e-5, role="shunt capacitor"), Component("R", 0.5, role=DAMPING)),
        in_path(Component("R", 4.0, role=PAD), Component("C", 4e-6, role=LIFT), join="parallel"),
        resonance_trap(DOME),
    )
    made = lighter(Branch(stages))
    assert [one.stages for one in made[:4]] == [stages[:k] + stages[k + 1 :] for k in range(4)]
    assert [[c.role for c in one.stages[k].components] for k, one in enumerate(made[4:])] == [
        ["series coil"],
        ["shunt capacitor"],
        [PAD],
    ]
    for k, one in enumerate(made[4:]):
        assert (one.stages[k].place, one.stages[k].join) == (stages[k].place, "series")
        assert one.stages[:k] + one.stages[k + 1 :] == stages[:k] + stages[k + 1 :]


def test_a_notch_before_a_low_driver_may_be_left_as_a_bass_shelf():
    """Coil and resistor side by side stay, in that place; before a high driver, or beside a shelf, the whole notch stands or falls."""
    coil, low, high = (
        in_path(Component("L", 1e-3, role="series coil")),
        *(butterworth_start(2, 6.0, FC, one) for one in (False, True)),
    )
    dip = notch(600.0, 4.0, 6.0)
    ways = [one.stages for one in lighter(Branch((dip, coil)))]
    assert ways[:2] == [(coil,), (dip,)] and len(ways) == 3
    shelf, rest = ways[2]
    assert rest == coil and (shelf.place, shelf.join) == ("series", "parallel")
    assert [(c.kind, c.value, c.role) for c in shelf.components] == [
        (c.kind, c.value, SHELF) for c in dip.components if c.kind != "C"
    ]
    shelved = before_filter(low, dip, bass_shelf(3.0, 6.0, 200.0))
    for branch in (before_filter(high, dip), shelved):
        assert len(lighter(branch)) == len(branch.stages)


@every(("high", "stages", "keeps"), [
    (True, (in_path(Component("C", 1e-5, role="series capacitor")),), True), (True, (across(Component("C", 1e-5, role="series capacitor")),), False),
    (True, (in_path(Component("C", 4e-6, role=LIFT)),), False), (True, (in_path(Component("L", 1e-3, role="series coil")),), False),
    (False, (in_path(Component("L", 1e-3, role="series coil")),), True), (False, (in_path(Component("L", 1e-3, role=NOTCH)),), False),
    (False, (in_path(Component("R", 4.0, role=FRONT)), in_path(Component("L", 1e-3, role="series coil"))), True), (False, (), False),
])  # fmt: skip
def test_only_a_part_of_the_filter_itself_in_the_path_keeps_it(high, stages, keeps):
    assert keeps_its_filter(Branch(stages), high) is keeps


@every(("level_db", "peak_db", "width", "target_db", "shift_db", "asks"), [
    (0.0, 2.0, 0.2, 0.0, 0.0, True), (0.0, 1.0, 0.2, 0.0, 0.0, False), (-3.0, 4.0, 0.2, 0.0, 0.0, False), (-3.0, 4.0, 0.2, 0.0, -3.0, True),
    (4.0, 0.0, 0.2, 0.0, 0.0, False), (0.0, 4.0, 2.0, 0.0, 0.0, False), (0.0, 4.0, 0.2, -30.0, 0.0, False), (0.0, 4.0, 0.2, -15.0, 0.0, True),
])  # fmt: skip
def test_a_notch_is_for_a_peak_that_stands_out_of_its_octaves_and_of_its_target(
    level_db, peak_db, width, target_db, shift_db, asks
):
    """A bump at f_c, so many dB and octaves; against the levels an octave to either side, the target at its shifted level and 20 dB under its passband."""
    shape = np.full(49, 10 ** (target_db / 20) + 0j)
    octaves = np.log2(F / FC)
    error = level_db + peak_db * np.exp(-((octaves / width) ** 2))
    task = BranchTask(
        F,
        np.full(49, 8.0 + 0j),
        slice(0, 49),
        np.ones(49) + 0j,
        shape,
        80.0,
        target_weight(np.ones(49)),
        3.2,
        Losses(0.0, 0.5, 0.0),
        {},
    )
    pressure = 2e-5 * 10 ** ((80.0 + target_db + error) / 20) + 0j
    base = SimpleNamespace(
        branch=butterworth_start(2, 8.0, FC, False), heard=Heard(pressure, pressure), level_shift_db=shift_db
    )
    made = Forms(task, None, FC, False).notched(base)
    assert (made is not None) is asks
    if made is not None:
        coil, capacitor, resistor = made.stages[0].components
        assert 1 / (2 * pi * (coil.value * capacitor.value) ** 0.5) == pytest.approx(FC, rel=1e-6)
        assert resistor.value == pytest.approx(8.0 * (10 ** ((level_db + peak_db - shift_db) / 20) - 1.0))


def test_a_plain_filter_that_comes_no_nearer_than_a_simpler_one_starts_again_from_that():
    """Errors of 2, 3, 1 and 0.99 dB by hand: the second and the fourth are asked for again, from the one before with a part more."""
    one = forms("LR4", high=False, pad_db=0.0)

    def fitted(branch, rms_db):
        return SimpleNamespace(branch=branch, rms_db=rms_db)

    search = one._plain()
    starts, evaluations = next(search)
    assert [len(branch.components) for branch in starts] == [1, 2, 3, 4]
    asked, fewer = search.send([fitted(b, rms) for b, rms in zip(starts, (2.0, 3.0, 1.0, 0.99), strict=True)])
    assert fewer < evaluations
    (wider,) = asked
    assert wider.stages[:1] == starts[0].stages and wider.stages[1:] == (hardly_there(starts[1].stages[1]),)
    better = fitted(wider, 1.5)
    (wider,), _ = search.send([better])
    assert wider.stages[:3] == starts[2].stages and len(wider.stages) == 4
    with pytest.raises(StopIteration) as ended:
        search.send([fitted(wider, 1.2)])
    assert [fit.rms_db for fit in ended.value.value] == [2.0, 1.5, 1.0, 0.99] and ended.value.value[1] is better
