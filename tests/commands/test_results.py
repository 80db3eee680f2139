"""`results.json`: keys as documented, numbers unrounded, nothing that is no number."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from reportgen.assessment import Assessment, Remedy
from reportgen.commands.results import result_line, results_json
from reportgen.problems import Problem, Unassessed
from tests.demo_catalogue import demo_assessed

DOCUMENTED = (Path(__file__).parents[2] / "workbooks" / "RESULTS.md").read_text(encoding="utf-8")
RUN = {
    "number": 7,
    "started": "2026-11-25T10:00:00",
    "program_version": "1",
    "workbook": "a.xlsx",
    "workbook_sha256": "0",
}


def written(found: list[Assessment], bad: Sequence[Unassessed] = ()) -> str:
    return "".join(results_json(map(result_line, found), bad, RUN))


@pytest.fixture(scope="module")
def found() -> list[Assessment]:
    remedy = Remedy(("a steeper slope",), "suitable", (1000.0, None), 1500.0, None, "text")
    some = [demo_assessed(id_) for id_ in ("P-01", "P-06", "P-15")]
    return [replace(some[0], remedies=(remedy,)), *some[1:]]


@pytest.fixture(scope="module")
def told(found: list[Assessment]) -> dict[str, Any]:
    bad = Unassessed(
        "P-99",
        (Problem("Pairings", "E3", "Low driver", "“LD-77” stands here", "it is unknown", "Mend it."),),
        "So it is.",
    )
    read = json.loads(written(found, [bad]), parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))
    assert isinstance(read, dict)
    return read


def test_every_documented_key_is_there_and_no_other(told: dict[str, Any]) -> None:
    table = re.findall(r"^\| `(pairings\[\]|not_assessed\[\])(?:\.(\w+))?([^`]*)` \|(.*)\|$", DOCUMENTED, re.MULTILINE)
    documented = {"pairings[]": set[str](), "not_assessed[]": set[str]()}
    inner: dict[str, set[str]] = {}
    for owner, first, others, holds in table:
        names = {first, *re.findall(r"\w+", others)} - {""}
        documented[owner] |= names or set(re.findall(r"\w+", holds.split("`")[1]))
        if "`" in holds and names and others.startswith("[]"):
            inner[first] = set(re.findall(r"\w+", re.sub(r"\([^)]*\)", "", holds.split("`")[1])))
    assert all(set(one) == documented["pairings[]"] for one in told["pairings"])
    assert set(inner) == {"fails", "marginals", "checks", "limits", "parts", "ladder", "remedies"}
    for one in told["pairings"]:
        assert all(set(item) == names for list_, names in inner.items() for item in one[list_])
    assert all(set(one) == documented["not_assessed[]"] for one in told["not_assessed"])
    assert set(told) == {"format", "run", "pairings", "not_assessed"}
    assert told["format"] == 2 and told["run"] == RUN


def test_figures_are_those_of_the_assessment_unrounded(told: dict[str, Any], found: list[Assessment]) -> None:
    for read, one in zip(told["pairings"], found, strict=True):
        assert read["id"] == one.id and read["verdict"] == one.verdict.word
        assert read["range_hz"] == [one.found_range.low_hz, one.found_range.high_hz]
        bounds = {limit["id"]: (limit["side"], limit["hz"]) for limit in read["limits"]}
        assert [bounds[id_] for id_ in read["binding"]] == list(zip(("low", "high"), read["range_hz"], strict=True))
        assert read["crossover_hz"] == one.crossover_hz and read["price"] == one.price
        assert [check["value"] for check in read["checks"]] == [check.value for check in one.checks]
        assert [part["value"] for part in read["parts"]] == [part.value for part in one.parts]
        ladder = one.design.ladder if one.design else ()
        keys = ("pieces", "built", "price", "sum_rms_db", "good_builds", "conditions")
        assert [[step[key] for key in keys] for step in read["ladder"]] == [
            [step.pieces, step.chosen, step.price, step.rms_db, step.good_share, list(step.asking)] for step in ladder
        ]
    assert told["pairings"][0]["remedies"] == [
        {"changes": ["a steeper slope"], "verdict": "suitable", "range_hz": [1000.0, None], "crossover_hz": 1500.0, "price": None}
    ]  # fmt: skip


def test_a_pairing_that_could_not_be_assessed_says_where_and_why(told: dict[str, Any]) -> None:
    assert told["not_assessed"] == [
        {"id": "P-99", "reason": 'Pairings!E3 "Low driver": “LD-77” stands here; it is unknown. Mend it. So it is.'}
    ]


def test_one_pairing_stands_on_one_line(found: list[Assessment]) -> None:
    text = written(found)
    assert [line[:12] for line in text.splitlines() if line.startswith('{"id"')] == [
        f'{{"id": "{one.id}'[:12] for one in found
    ]
    assert written([]).splitlines()[-1] == "}"
    assert json.loads(written([]))["pairings"] == []


def test_what_is_no_number_is_refused_not_written(found: list[Assessment]) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        result_line(replace(found[0], crossover_hz=math.nan))
