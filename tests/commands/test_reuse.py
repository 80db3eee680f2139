"""What is taken over from earlier runs, what is not, and what a kept file can never do."""

from __future__ import annotations

import os
import pickle
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from reportgen.advice.remedies import find_remedies
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Catalogue, Origin, Rule
from reportgen.commands import reuse
from tests.demo_catalogue import demo

PDF = b"%PDF-1.7 invented"


def store(folder: Path, catalogue: Catalogue | None = None, printing: str = "paper") -> reuse.Store:
    return reuse.Store(folder, catalogue or demo(), printing)


@pytest.fixture(scope="module")
def whole() -> Assessment:
    return assess(demo().case(demo().pairings["P-06"]))


@pytest.fixture
def kept(tmp_path: Path, whole: Assessment) -> Path:
    assert store(tmp_path).keep(whole, PDF) == "P-06.pdf"
    return tmp_path


def test_an_unchanged_pairing_is_taken_over_with_all_it_holds(kept: Path, whole: Assessment) -> None:
    found = store(kept).find(whole.case)
    assert found is not None and found.sheet == "P-06.pdf"
    assert found.assessment == reuse.without_curves(whole)
    again = store(kept).whole(found.assessment)
    assert again.curves is not None and whole.curves is not None
    for name in vars(whole.curves):
        np.testing.assert_equal(getattr(again.curves, name), getattr(whole.curves, name))
    assert (kept / "P-06.pdf").read_bytes() == PDF


def changed(**fields: Any) -> Catalogue:
    """The demo with other fields of one record: `changed(pairings={"peak_level_db": 80.0})`."""
    ids = {
        "pairings": "P-06",
        "low_drivers": "LD-02",
        "high_drivers": "HD-09",
        "cabinets": "CB-10",
        "waveguides": "WG-01",
    }
    found = demo()
    for table, values in fields.items():
        records = dict(getattr(found, table))
        records[ids[table]] = replace(records[ids[table]], **values)
        found = replace(found, **{table: records})
    return found


def other_rule(name: str, value: float) -> Catalogue:
    rules = dict(demo().practice.rules)
    rules[name] = Rule(id=name, origin=Origin("Practice", 2), value=value, unit=rules[name].unit)
    return replace(demo(), practice=replace(demo().practice, rules=rules))


@pytest.mark.parametrize(
    "catalogue",
    (
        changed(pairings={"peak_level_db": 91.0}),
        changed(low_drivers={"breakup_hz": 8000.0}),
        changed(high_drivers={"price": 1.0}),
        changed(cabinets={"baffle_width_m": 0.3}),
        other_rule("limit margin", 0.3),
    ),
    ids=("pairing", "low driver", "high driver", "cabinet", "rule"),
)  # fmt: skip
def test_any_input_that_changes_counts(kept: Path, catalogue: Catalogue) -> None:
    assert store(kept, catalogue).find(catalogue.case(catalogue.pairings["P-06"])) is None


@pytest.mark.parametrize(
    "catalogue",
    (changed(pairings={"notes": "remember"}), changed(waveguides={"price": 1.0}), changed(pairings={"origin": Origin("Pairings", 99)})),
    ids=("notes", "a guide it does not use", "another row"),
)  # fmt: skip
def test_what_it_does_not_rest_on_does_not_count(kept: Path, catalogue: Catalogue) -> None:
    found = store(kept, catalogue).find(catalogue.case(catalogue.pairings["P-06"]))
    assert found is not None
    assert found.assessment.case.pairing is catalogue.pairings["P-06"]


def test_a_search_for_remedies_rests_on_the_whole_catalogue(tmp_path: Path) -> None:
    before = assess(demo().case(demo().pairings["P-07"]))
    remedies, note = find_remedies(before, demo())
    store(tmp_path).keep(replace(before, remedies=remedies, remedies_note=note), None)
    assert store(tmp_path).find(before.case) is not None
    other = changed(waveguides={"price": 1.0})
    assert store(tmp_path, other).find(other.case(other.pairings["P-07"])) is None


def test_texts_that_name_cells_are_not_taken_over_once_rows_moved(tmp_path: Path) -> None:
    lacking = assess(demo().case(demo().pairings["P-15"]))
    assert any("High drivers!" in text for check in lacking.checks for text in check.missing)
    store(tmp_path).keep(lacking, None)
    assert store(tmp_path).find(lacking.case) is not None
    high = lacking.case.high
    moved = replace(
        high, origin=Origin("High drivers", 40, {name: f"{cell[0]}40" for name, cell in high.origin.cells.items()})
    )
    assert store(tmp_path).find(replace(lacking.case, high=moved)) is None


def test_another_program_counts(kept: Path, whole: Assessment, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reuse, "key_of_program", lambda: "another")
    assert store(kept).find(whole.case) is None


def test_the_key_of_the_program_is_its_text_not_its_clock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "reportgen"
    shutil.copytree(reuse.PACKAGE, package, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(reuse, "PACKAGE", package)
    before = reuse.key_of_program()
    for file in package.rglob("*.py"):
        os.utime(file, (1, 1))
    assert reuse.key_of_program() == before
    with (package / "acoustics" / "air.py").open("a") as file:
        file.write("#")
    assert reuse.key_of_program() != before


def test_another_paper_or_a_missing_sheet_costs_the_printing_alone(kept: Path, whole: Assessment) -> None:
    other = store(kept, printing="other paper").find(whole.case)
    assert other is not None and other.sheet == ""
    (kept / "P-06.pdf").write_bytes(b"scribbled over")
    spoiled = store(kept).find(whole.case)
    assert spoiled is not None and spoiled.sheet == ""
    (kept / "P-06.pdf").unlink()
    gone = store(kept).find(whole.case)
    assert gone is not None and gone.sheet == ""


def test_the_key_of_the_printing_reads_templates(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    keys = [reuse.key_of_printing("A4", "", None), reuse.key_of_printing("Letter", "", None)]
    keys += [reuse.key_of_printing("A4", "data:logo", None), reuse.key_of_printing("A4", "", own)]
    (own / "style.css").write_text("body { color: black }")
    keys.append(reuse.key_of_printing("A4", "", own))
    assert len(set(keys[:3] + keys[4:])) == 4
    assert keys[3] == keys[0], "an empty folder changes nothing"


# --- files that were spoiled or forged ----------------------------------------------------------------------------


class Evil:
    """Runs something when it is unpickled."""

    def __init__(self, call: Callable[..., Any], *arguments: Any) -> None:
        self.call, self.arguments = call, arguments

    def __reduce__(self) -> tuple[Callable[..., Any], tuple[Any, ...]]:
        return self.call, self.arguments


@pytest.mark.parametrize(
    "call",
    (
        lambda mark: Evil(os.system, f"touch {mark}"),
        lambda mark: Evil(Path.touch, mark),
        lambda mark: Evil(eval, f"open({str(mark)!r}, 'w')"),
        lambda mark: Evil(reuse.write_atomically, mark, b""),
        lambda mark: Evil(np.save, mark, [1]),
    ),
    ids=("os", "pathlib", "builtins", "our own function", "numpy's function"),
)
def test_a_kept_file_runs_nothing(kept: Path, whole: Assessment, call: Callable[[Path], Evil]) -> None:
    mark = kept / "evil"
    (kept / reuse.FOLDER / "P-06.bin").write_bytes(pickle.dumps(call(mark)))
    assert store(kept).find(whole.case) is None
    assert not list(kept.glob("evil*"))


def test_a_kept_file_imports_nothing(kept: Path, whole: Assessment) -> None:
    for module in ("reportgen.__main__", "this", "numpy.f2py"):
        (kept / reuse.FOLDER / "P-06.bin").write_bytes(f"c{module}\ndtype\n.".encode())
        assert store(kept).find(whole.case) is None


@pytest.mark.parametrize("damage", (b"", b"\x80", b"no pickle", None))
def test_a_spoiled_file_is_as_good_as_none(kept: Path, whole: Assessment, damage: bytes | None) -> None:
    file = kept / reuse.FOLDER / "P-06.bin"
    file.write_bytes(file.read_bytes()[:-1000] if damage is None else damage)
    found = store(kept).find(whole.case)
    if damage is None:  # the part with the curves is cut
        assert found is not None and store(kept).whole(found.assessment).curves is None
    else:
        assert found is None


def test_another_pairing_s_file_is_not_taken(kept: Path) -> None:
    (kept / reuse.FOLDER / "P-06.bin").rename(kept / reuse.FOLDER / "P-18.bin")
    assert store(kept).find(demo().case(demo().pairings["P-18"])) is None


# --- files --------------------------------------------------------------------------------------------------------


def test_names_of_files_stay_apart_and_inside() -> None:
    ids = ["P-01", "P/01", "P 01", "../P-01", "catalogue", "Catalogue-2", "con", "..", "", "ü-1", "x" * 300, "x" * 301]
    names = [reuse.safe_name(id_) for id_ in ids]
    assert len({name.casefold() for name in names}) == len(ids)
    assert all("/" not in name and not name.startswith(".") and 0 < len(name) < 100 for name in names)
    assert not {"catalogue", "catalogue-2", "con"} & {name.casefold() for name in names}


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "deep" / "file"
    reuse.write_atomically(target, b"old")

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OSError, match="No space left"):
        reuse.write_atomically(target, b"new")
    assert target.read_bytes() == b"old"
    assert [path.name for path in target.parent.iterdir()] == ["file"]
