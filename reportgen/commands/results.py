"""The results of a run for other programs: `results.json`, a public interface.

Knows the names and the order of its keys, which stay as they are. Refuses to know how a figure was found.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from reportgen.assessment import Assessment
from reportgen.crossover.synthesis import Step
from reportgen.problems import Unassessed

FORMAT = 2
"""Grows by one when a key changes its meaning; new keys do not change it."""


def results_json(pairings: Iterable[str], unassessed: Sequence[Unassessed], run: Mapping[str, Any]) -> Iterator[str]:
    """All results as JSON text in pieces: SI units, floats unrounded, keys as documented in `workbooks/RESULTS.md`.

    `pairings` has the `result_line` of each. One item a line is good to compare.
    """
    yield f'{{\n"format": {FORMAT},\n"run": {_line(dict(run))},\n"pairings": '
    yield from _lines(pairings)
    yield ',\n"not_assessed": '
    yield from _lines(_line({"id": one.id, "reason": one.text}) for one in unassessed)
    yield "\n}\n"


def result_line(a: Assessment) -> str:
    """What `results.json` says of one pairing."""
    return _line(_pairing(a))


def _lines(items: Iterable[str]) -> Iterator[str]:
    before = "[\n"
    for item in items:
        yield before + item
        before = ",\n"
    yield "\n]" if before == ",\n" else "[\n\n]"


def _line(value: Mapping[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _pairing(a: Assessment) -> dict[str, Any]:
    found = a.found_range
    return {
        "id": a.id,
        "verdict": a.verdict.word,
        "reason": a.verdict.reason,
        "against": a.against,
        "fails": [{"title": title, "text": text} for title, text in a.verdict.fails],
        "conditions": list(a.verdict.conditions),
        "marginals": [{"title": title, "text": text} for title, text in a.verdict.marginals],
        "range_hz": [found.low_hz, found.high_hz],
        "binding": [limit.id if limit else None for limit in (found.low_binding, found.high_binding)],
        "crossover_hz": a.crossover_hz,
        "crossover_fixed": a.crossover_fixed,
        "checks": [
            {
                "id": check.id, "outcome": check.outcome, "value": check.value, "limit": check.limit, "unit": check.unit,
                "margin": check.margin, "margin_unit": check.margin_unit, "source": check.source, "text": check.text,
                "missing": list(check.missing),
            }
            for check in a.checks
        ],
        "limits": [
            {"id": limit.id, "side": limit.side, "hz": limit.hz, "source": limit.source, "text": limit.text}
            for limit in a.limits
        ],
        "parts": [
            {
                "branch": part.branch, "kind": part.kind, "role": part.role, "value": part.value, "unit": part.unit,
                "label": part.label, "id": part.part_id, "price": part.price,
            }
            for part in a.parts
        ],
        "network": _network(a),
        "ladder": [_step(step) for step in a.design.ladder] if a.design else [],
        "figures": dataclasses.asdict(a.figures) if a.figures else None,
        "cautions": [caution.text for caution in a.cautions],
        "remedies": [
            {"changes": list(one.changes), "verdict": one.word, "range_hz": list(one.range_hz), "crossover_hz": one.crossover_hz, "price": one.price}
            for one in a.remedies
        ],
        "price": a.price,
    }  # fmt: skip


def _step(step: Step) -> dict[str, Any]:
    return {
        "pieces": step.pieces, "built": step.chosen, "price": step.price, "sum_rms_db": step.rms_db, "sum_worst_db": step.worst_db,
        "null_db": step.null_db, "least_impedance_ohm": step.least_ohm, "good_builds": step.good_share, "fails": list(step.failed),
        "marginals": list(step.marginal), "conditions": list(step.asking), "not_assessed": list(step.unassessed),
    }  # fmt: skip


def _network(a: Assessment) -> dict[str, Any] | None:
    """The circuit between `in` and `0`, so that whoever doubts a sheet can simulate it."""
    if a.network is None:
        return None
    circuit = a.network.circuit
    return {
        "elements": [
            {
                "label": one.label, "kind": one.kind, "nodes": list(one.nodes), "value": one.value,
                "resistance": one.resistance, "pieces": list(one.pieces),
            }
            for one in circuit.elements
        ],
        "terminals": {name: list(nodes) for name, nodes in circuit.terminals.items()},
        "target_db": a.network.design.target_db,
    }  # fmt: skip
