"""What is stored of a case: under which key, as what, whose and in which words, and when it is the same."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace

import numpy as np
import pytest

from reportgen.catalogue.records import Case, MeasuredCurve
from reportgen.ledger.archive import Packer, fingerprint, unpack
from reportgen.ledger.encoding import NotDecodable
from tests.demo_catalogue import demo, demo_case
from tests.every import every

CURVES = {
    (driver, quantity): MeasuredCurve(np.array([100.0, 2e3, 19e3]), np.array([80.0, level, 70.0]), None, f"{driver}.txt")
    for driver, quantity, level in (("LD-01", "response", 85.0), ("HD-01", "response", 90.0), ("HD-01", "impedance", 6.0))
}  # fmt: skip


def measured() -> Case:
    """A pairing with parts and three curves."""
    stock = tuple(demo().parts.values())[:3]
    return replace(demo_case("P-01"), curves=CURVES, stock=stock)


def test_the_order_of_curves_rules_and_parts_is_no_input() -> None:
    """Turned round one by one: a sheet that was sorted another way, or files read in another order, are the same inputs."""
    case = measured()
    practice = replace(case.practice, rules=dict(reversed(case.practice.rules.items())))
    curves = dict(reversed(case.curves.items()))
    for same in ({"curves": curves}, {"practice": practice}, {"stock": case.stock[::-1]}):
        assert fingerprint(replace(case, **same)) == fingerprint(case)  # type: ignore[arg-type]
    swapped = {**CURVES, ("HD-01", "response"): CURVES["LD-01", "response"]}
    for other in ({"curves": swapped}, {"stock": case.stock[1:]}, {"measured_in": {"CB-02": demo().cabinets["CB-02"]}}):
        assert fingerprint(replace(case, **other)) != fingerprint(case)  # type: ignore[arg-type]


def test_every_record_is_stored_once_with_what_it_is_and_whose() -> None:
    packer, case = Packer(), measured()
    key = packer.add(case)
    assert packer.add(replace(case)) == key and unpack(key, packer.stored) is not None
    assert {len(name) for name in packer.stored} == {20}  # hexadecimal digits: 80 bits
    found = [(one.kind, one.owner) for one in packer.stored.values() if one.kind != "Practice"]
    assert sorted(found) == sorted([
        ("Case", "P-01"), ("Pairings", "P-01"), ("Low drivers", "LD-01"), ("High drivers", "HD-01"), ("Cabinets", "CB-01"),
        ("Technologies", case.technology.id), ("All rules", ""), ("Maker", "maker"), ("Parts list", ""),
        *(("Parts", one.id) for one in case.stock),
        ("Measured curve", "LD-01.txt"), ("Measured curve", "HD-01.txt"), ("Measured curve", "HD-01.txt"),
    ])  # fmt: skip
    rules = [one for one in packer.stored.values() if one.kind == "Practice"]
    assert len(rules) == len(case.practice.rules) == len({one.owner for one in rules})
    for (
        name,
        one,
    ) in packer.stored.items():  # as earlier runs named it: SHA-256 of kind and values, keys sorted (RFC 8259)
        plain = json.loads(one.text)
        said = sorted(plain) if isinstance(plain, list) else {k: v for k, v in plain.items() if k != "origin"}
        canonical = json.dumps([one.kind, said], sort_keys=True, separators=(",", ":"))
        assert name == hashlib.sha256(canonical.encode()).hexdigest()[:20]
    words = {one.kind: one.words for one in packer.stored.values()}
    assert words["Case"] == "LD-01 with HD-01, CB-01: the keys of all that takes part"
    assert words["All rules"] == f"the keys of {len(rules)} rules" and words["Parts list"] == "the keys of 3 parts"
    assert words["Measured curve"] == "LD-01.txt: 3 points from 100 to 19000 Hz"  # the last in the order of their names
    guided = packer.add(replace(case, guide=demo().waveguides["WG-01"]))
    assert packer.stored[guided].words == "LD-01 with HD-01 in WG-01, CB-01: the keys of all that takes part"


def test_what_is_known_is_not_stored_again() -> None:
    once = Packer()
    once.add(measured())
    again = Packer(once.stored)
    moved = replace(measured(), low=replace(measured().low, re_ohm=5.0))
    key = again.add(moved)
    assert {(one.kind, one.owner) for one in again.stored.values()} == {("Low drivers", "LD-01"), ("Case", "P-01")}
    assert unpack(key, {**once.stored, **again.stored}).low.re_ohm == 5.0


@every("place", range(20))
def test_a_record_under_a_key_with_any_other_digit_is_refused(place: int) -> None:
    packer = Packer()
    key = packer.add(measured())
    wrong = key[:place] + ("0" if key[place] != "0" else "1") + key[place + 1 :]
    with pytest.raises(NotDecodable, match="its values no longer fit its key"):
        unpack(wrong, {**packer.stored, wrong: packer.stored[key]})
