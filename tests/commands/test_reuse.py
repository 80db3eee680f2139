"""What is taken over from earlier runs, what is not, and what a kept file can never do."""

from __future__ import annotations

import json
import os
import pickle
import random
import shutil
import signal
import tempfile
import tracemalloc
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from reportgen.assessment import Assessment, Ware
from reportgen.catalogue.records import Catalogue, Origin, Record, Rule
from reportgen.commands import digests, reuse
from reportgen.commands.filenames import safe_name, sheet_name
from reportgen.commands.orders import Order
from reportgen.commands.piecework import assess_with_remedies
from reportgen.ledger import ownfiles
from reportgen.ledger.kept import sealed, unsealed
from tests.advice.demo_answers import demo_remedies
from tests.demo_catalogue import demo, demo_assessed
from tests.endtoend.seasons import write_files
from tests.every import every
from tests.shared import shared

PDF = b"%PDF-1.7 invented"


def store(folder: Path, catalogue: Catalogue | None = None, printing: str = "paper") -> reuse.Store:
    return reuse.Store(folder, catalogue or demo(), printing)


@pytest.fixture(scope="module")
def whole() -> Assessment:
    return demo_assessed("P-06")


@shared
def kept_files() -> dict[str, bytes]:
    """What is left in a folder by keeping a result, by name."""
    with tempfile.TemporaryDirectory() as name:
        assert store(Path(name)).keep(demo_assessed("P-06"), PDF) == "P-06 Sedge.pdf"
        return {str(file.relative_to(name)): file.read_bytes() for file in Path(name).rglob("*") if file.is_file()}


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    write_files(tmp_path, kept_files())
    return tmp_path


def test_an_unchanged_pairing_is_taken_over_with_all_it_holds(kept: Path, whole: Assessment) -> None:
    found = store(kept).find(whole.case)
    assert found is not None and found.sheet == "P-06 Sedge.pdf"
    assert found.digest == digests.Digest.of(whole)
    again = store(kept).whole(whole.case)
    assert again is not None and again.curves is not None and whole.curves is not None
    for name in vars(whole.curves):
        np.testing.assert_equal(getattr(again.curves, name), getattr(whole.curves, name))
    assert (kept / "P-06 Sedge.pdf").read_bytes() == PDF


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
    (changed(pairings={"notes": "remember"}), changed(waveguides={"price": 1.0}),),
    ids=("notes", "a guide it does not use"),
)  # fmt: skip
def test_what_it_does_not_rest_on_does_not_count(kept: Path, catalogue: Catalogue) -> None:
    found = store(kept, catalogue).find(catalogue.case(catalogue.pairings["P-06"]))
    assert found is not None
    assert found.outline.case.pairing is catalogue.pairings["P-06"]


def test_a_row_that_moved_counts_only_where_a_text_names_its_cell(tmp_path: Path, whole: Assessment) -> None:
    moved = changed(low_drivers={"origin": Origin("Low drivers", 99)})
    for sheets, taken_over in (((), True), (("Pairings",), True), (("Low drivers", "Pairings"), False)):
        store(tmp_path).keep(replace(whole, named_sheets=sheets), None)
        found = store(tmp_path, moved).find(moved.case(moved.pairings["P-06"]))
        assert (found is not None) == taken_over


def test_a_search_for_remedies_rests_on_the_whole_catalogue(tmp_path: Path) -> None:
    before = demo_assessed("P-07")
    remedies, note = demo_remedies("P-07")
    other = changed(waveguides={"price": 1.0})
    for found in (remedies, ()):  # what was looked for in vain may be there now
        store(tmp_path).keep(replace(before, remedies=found, remedies_note=note), None)
        assert store(tmp_path).find(before.case) is not None
        assert store(tmp_path, other).find(other.case(other.pairings["P-07"])) is None


def test_texts_that_name_cells_are_not_taken_over_once_rows_moved(tmp_path: Path) -> None:
    lacking = demo_assessed("P-15")
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
    (kept / "P-06 Sedge.pdf").write_bytes(b"scribbled over")
    spoiled = store(kept).find(whole.case)
    assert spoiled is not None and spoiled.sheet == ""
    (kept / "P-06 Sedge.pdf").unlink()
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


REST = [b"null"] * 8


def forged(**changes: Any) -> bytes:
    """A kept file with a right seal around a wrong content."""
    return sealed(json.dumps({"key": "", "places": "", "printing": "", "sheet": "", **changes}).encode(), *REST, form=3)


@pytest.mark.parametrize(
    "content",
    (
        pickle.dumps(Path("/")),
        forged(),
        forged(outline="this case"),
        forged(outline={"case": "another"}),
        forged(outline={"case": "this case", "verdict": {"__class__": "os.system"}}),
        sealed(b"[" * 100_000 + b"]" * 100_000, *REST, form=3),
        sealed(b"1" * 100_000, *REST, form=3),
        sealed(b'{"key": 1e999}', *REST, form=3),
        b"reportgen kept 3\nanything",
        b"reportgen kept 2\n" + b"0" * 64 + b" 99999999\n",
        b"reportgen kept 2\n" + b"0" * 64 + b" 99999999999999999999\n",
    ),
    ids=("pickle", "empty", "a case", "another case", "other fields", "deep", "long number", "endless", "other version", "long", "too long"),
)  # fmt: skip
def test_a_forged_file_is_as_good_as_none_and_costs_no_room(kept: Path, whole: Assessment, content: bytes) -> None:
    (kept / reuse.FOLDER / "P-06.bin").write_bytes(content)
    tracemalloc.start()
    try:
        assert store(kept).find(whole.case) is None
        assert tracemalloc.get_traced_memory()[1] < 64 << 20
    finally:
        tracemalloc.stop()


@every(
    "content",
    (
        b"[]", zlib.compress(b"1"), zlib.compress(b"{}"), zlib.compress(b'[["P-06"]]'), zlib.compress(b"[" * 100_000),
        zlib.compress(b"[[" + b",".join([b"{}"] * 14) + b"]]"), zlib.compress(b"[]")[:-1], zlib.compress(bytes(1 << 22)),
    ),
    ids=lambda value: repr(value)[:40],
)  # fmt: skip
@every("part", range(1, 9))
def test_forged_parts_are_not_used_unseen(
    tmp_path: Path, whole: Assessment, part: int, content: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows, line, assessment and curves, each under a right seal beside an entry that is right; the last one is longer than what is unpacked."""
    monkeypatch.setattr("reportgen.ledger.kept.MOST_BYTES", 1 << 20)
    kept = tmp_path
    write_files(kept, kept_files())
    file = kept / reuse.FOLDER / "P-06.bin"
    parts = unsealed(file, 9, 3)
    assert parts is not None
    parts[part] = content
    file.write_bytes(sealed(*parts, form=3))
    found = store(kept).find(whole.case)
    if part < 6:
        assert found is None
        return
    assert found is not None
    assert (store(kept).ware(whole.case, found) is None) == (part == 6)
    assert (store(kept).whole(whole.case) is None) == (part > 6)


def test_what_a_shop_asks_is_that_of_the_assessment(kept: Path, whole: Assessment) -> None:
    found = store(kept).find(whole.case, rows=False)
    assert found is not None and found.digest is None
    assert store(kept).ware(whole.case, found) == Ware.of(whole)
    assert whole.parts and whole.cautions


def test_what_an_earlier_version_kept_is_no_damage(kept: Path, whole: Assessment) -> None:
    (kept / reuse.FOLDER / "P-06.bin").write_bytes(sealed(*REST))
    found = store(kept)
    assert found.find(whole.case) is None and found.damaged == []


def test_a_file_of_gigabytes_is_not_read(kept: Path, whole: Assessment) -> None:
    with (kept / reuse.FOLDER / "P-06.bin").open("r+b") as file:
        file.truncate(8 << 30)  # a sparse one
    tracemalloc.start()
    try:
        found = store(kept)
        assert found.find(whole.case) is None and found.damaged == ["P-06.bin"]
        assert tracemalloc.get_traced_memory()[1] < 64 << 20
    finally:
        tracemalloc.stop()


def damaged(content: bytes, chance: random.Random) -> bytes:
    """One byte changed, the end cut away, a piece taken out, doubled or exchanged."""
    at, length = chance.randrange(len(content)), chance.randrange(1, 5000)
    return chance.choice(
        (
            content[:at] + bytes([content[at] ^ 1 << chance.randrange(8)]) + content[at + 1 :],
            content[:at],
            content[:at] + content[at + length :],
            content[: at + length] + content[at:],
            content + content[at : at + length],
            content[:at] + chance.randbytes(length) + content[at + length :],
        )
    )


def test_any_damage_is_seen_and_said(kept: Path, whole: Assessment) -> None:
    """Each costs no more room than the file has, a few times over; what a whole file costs is looked at first."""
    chance, file, seen = random.Random(20251125), kept / reuse.FOLDER / "P-06.bin", store(kept)
    content, most = file.read_bytes(), 0
    for _ in range(5000 if os.environ.get("REPORTGEN_LONG") else 300):
        spoiled = damaged(content, chance)
        file.write_bytes(spoiled)
        seen.damaged.clear()
        tracemalloc.start()
        found = seen.find(whole.case)
        most = max(most, tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        if spoiled != content:
            assert found is None
            assert seen.damaged == ["P-06.bin"]
    assert most < 4 * len(content) + (1 << 20)


def test_a_whole_assessment_comes_back_from_the_file_as_it_was(kept: Path, whole: Assessment) -> None:
    """Every field, floats to the last bit; what the record holds of the workbook is the present one's."""
    again, without = store(kept).whole(whole.case), store(kept).whole(whole.case, curves=False)
    assert again is not None and repr(again) == repr(whole) and again.case is whole.case
    assert without is not None and repr(without) == repr(whole.with_curves(None))


def test_the_sheets_that_texts_name_are_noted_as_data() -> None:
    """Against the texts themselves: every sheet whose cells they name is noted."""
    for pairing in demo().pairings.values():
        found = assess_with_remedies(demo(), pairing) if pairing.id in ("P-03", "P-15") else demo_assessed(pairing.id)
        texts = repr(replace(found, case=None, named_sheets=()))  # type: ignore[arg-type]
        sheets = {record.origin.sheet for record in vars(found.case).values() if isinstance(record, Record)}
        named = {
            sheet for sheet in sheets if f"{sheet}!" in texts or f"{sheet} row" in texts or f"{sheet} no such" in texts
        }
        assert named <= set(found.named_sheets), pairing.id


def test_another_pairing_s_file_is_not_taken(kept: Path) -> None:
    (kept / reuse.FOLDER / "P-06.bin").rename(kept / reuse.FOLDER / "P-18.bin")
    assert store(kept).find(demo().case(demo().pairings["P-18"])) is None


# --- files --------------------------------------------------------------------------------------------------------


def test_names_of_files_stay_apart_and_inside() -> None:
    ids = ["P-01", "P/01", "P 01", "../P-01", "catalogue", "Catalogue-2", "con", "..", "", "ü-1", "x" * 300, "x" * 301]
    names = [safe_name(id_) for id_ in ids]
    assert len({name.casefold() for name in names}) == len(ids)
    assert all("/" not in name and not name.startswith(".") and 0 < len(name.encode()) < 128 for name in names)
    assert not {"catalogue", "catalogue-2", "con"} & {name.casefold() for name in names}


@every("id_", ["con.x", "COM¹", "lpt9.a.b", "Nul"])
def test_names_that_a_system_keeps_for_itself_are_not_taken(id_: str) -> None:
    """Microsoft, "Naming Files, Paths, and Namespaces": reserved also with an extension."""
    assert safe_name(id_) != id_


@every(
    ("kit", "name"),
    [
        ("Reedmace light", "P-06 Reedmace light.pdf"),
        ("What: a/b? <c>", "P-06 What a b c.pdf"),
        ("ends in dots ...", "P-06 ends in dots.pdf"),
        ("line\nfeed\ttab", "P-06 line feed tab.pdf"),
        (None, "P-06.pdf"),
    ],
)
def test_a_sheet_is_named_as_a_person_would_send_it(kit: str | None, name: str) -> None:
    assert sheet_name(replace(demo().pairings["P-06"], kit=kit)) == name


def test_a_long_name_of_a_kit_fits_the_file_system() -> None:
    long = sheet_name(replace(demo().pairings["P-06"], id="葦" * 60, kit="蘆葦の箱" * 60))
    assert len(f".part-12345678{long}".encode()) <= 255  # NAME_MAX of the common file systems


def test_the_sheet_of_a_kit_that_was_renamed_goes_and_a_strange_file_stays(kept: Path) -> None:
    whole = demo_assessed("P-06")
    renamed = replace(whole, case=replace(whole.case, pairing=replace(whole.case.pairing, kit="Bittern")))
    before = next(kept.glob("P-06*.pdf"))
    store(kept).keep(renamed, PDF)
    assert not before.exists() and (kept / "P-06 Bittern.pdf").exists()
    (kept / "P-06 Bittern.pdf").write_bytes(b"signed by the customer")
    store(kept).keep(whole, PDF)
    assert (kept / "P-06 Bittern.pdf").read_bytes() == b"signed by the customer"


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


def test_what_killed_runs_left_goes_with_the_first_result_and_what_is_in_use_stays(
    tmp_path: Path, whole: Assessment
) -> None:
    folders = tmp_path, tmp_path / reuse.FOLDER
    for folder in folders:
        folder.mkdir(exist_ok=True)
        child = os.fork()
        if child == 0:
            with ownfiles.temporary(folder, "a pairing that is no more", b"half"):
                os.kill(os.getpid(), signal.SIGKILL)
        os.waitpid(child, 0)
    left = [file for folder in folders for file in folder.glob(f"{ownfiles.TEMPORARY}*")]
    with ownfiles.temporary(tmp_path, "of another run", b"in use") as used:
        store(tmp_path).keep(whole, PDF)
        assert len(left) == 2 and not any(file.exists() for file in left)
        assert used.read_bytes() == b"in use"


# --- numbers ------------------------------------------------------------------------------------------------------


def test_a_number_is_never_given_twice(tmp_path: Path) -> None:
    assert [reuse.take_number(tmp_path, "run", least) for least in (1, 1, 7, 1)] == [1, 2, 7, 8]
    assert reuse.take_number(tmp_path, "Screening", 1) == 1
    (tmp_path / reuse.FOLDER / "last-run").write_bytes(b"99999999")
    assert reuse.take_number(tmp_path, "run", 3) == 3, (
        "a damaged file counts as none: then the workbook's own count holds"
    )


def test_many_commands_at_once_get_as_many_numbers(tmp_path: Path) -> None:
    children = []
    for number in range(12):
        if (child := os.fork()) == 0:
            (tmp_path / f"told-{number}").write_text(str(reuse.take_number(tmp_path, "run", 1)))
            os._exit(0)
        children.append(child)
    for child in children:
        os.waitpid(child, 0)
    assert sorted(int(file.read_text()) for file in tmp_path.glob("told-*")) == list(range(1, 13))


def test_a_folder_that_takes_no_file_costs_only_that(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file stands here")
    assert reuse.take_number(tmp_path / "out", "run", 4) == 4


def test_a_folder_of_results_is_of_one_workbook_while_that_stands(tmp_path: Path) -> None:
    """Two seasons of one name: the second would take away sheets and catalogue of the first."""
    first, second = (tmp_path / "ours" / year / "season.xlsx" for year in ("2026", "2027"))
    for workbook in (first, second):
        workbook.parent.mkdir(parents=True)
        workbook.write_bytes(b"")
    out = tmp_path / "ours" / "out"
    folder = out / "season"
    assert Order(second, out).folder == folder and not Order(second, out).elsewhere
    reuse.claim(folder, first)
    order = Order(second, out)
    assert Order(first, out).folder == folder and order.folder == out / "season 2"
    assert (
        order.elsewhere
        == f"{folder} holds what was made of {first}; what is made of this workbook is in {out / 'season 2'}."
    )
    reuse.claim(order.folder, second)
    assert Order(second, out).folder == order.folder
    copied = shutil.copytree(tmp_path / "ours", tmp_path / "copied")
    for year, name in (("2026", "season"), ("2027", "season 2")):
        assert Order(copied / year / "season.xlsx", copied / "out").folder == copied / "out" / name
    (folder / ".kept" / "workbook").write_bytes(b"damaged")
    assert Order(second, out).folder == folder
    reuse.claim(folder, first)
    first.unlink()
    assert Order(second, out).folder == folder and not Order(second, out).elsewhere
