"""What each command says of an invented result, line by line and as facts; every figure differs from its neighbours."""

from __future__ import annotations

import shlex
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import reportgen
from reportgen.advice.listings import Field, Listing, Report
from reportgen.commands import told
from reportgen.commands.listing import Listed
from reportgen.commands.terminal import Table
from reportgen.problems import Problem
from tests.every import every


def ranged(low: float | None, high: float | None, empty: bool = False) -> Any:
    bounds = [None if hz is None else SimpleNamespace(title=f"bound {hz:g}") for hz in (low, high)]
    return SimpleNamespace(low_hz=low, high_hz=high, empty=empty, low_binding=bounds[0], high_binding=bounds[1])


def outline(id_: str, word: str, hz: float | None, found: Any) -> Any:
    return SimpleNamespace(
        id=id_, verdict=SimpleNamespace(word=word, reason=f"why {id_}"), crossover_hz=hz, found_range=found
    )


def words(said: Any) -> list[str]:
    return [line for line in said.lines if isinstance(line, str)]


def table(said: Any) -> Table:
    (found,) = (line for line in said.lines if isinstance(line, Table))
    return found


OUTLINES = (
    outline("P-01", "suitable", 2450.4, ranged(1800.0, 3000.0)), outline("P-02", "not suitable", None, ranged(3100.0, 2900.0, True)),
    outline("P-03", "suitable", 0.0, ranged(None, 3300.0)),
)  # fmt: skip
RUN: dict[str, Any] = {
    "outlines": OUTLINES, "unassessed": (SimpleNamespace(id="P-04", text="No Fs."), SimpleNamespace(id="P-05", text="No Re.")),
    "exit_code": 1, "problems": (), "notices": ("A notice.",), "written": Path("x.xlsx"), "reused": 0, "sheets": 2, "unprinted": {},
    "folder": Path("out"), "booklets": (Path("a.pdf"), Path("b.pdf")),
}  # fmt: skip


def test_a_run_is_a_row_a_pairing_and_what_became_of_the_rest() -> None:
    said = told.of_run(SimpleNamespace(**RUN), 12.345)  # type: ignore[arg-type]
    assert table(said).rows == [
        ("P-01", "suitable", "1800 to 3000", "2450", "bound 1800 / bound 3000"),
        ("P-02", "not suitable", "none", "open", "bound 3100 / bound 2900"),
        ("P-03", "suitable", "open to 3300", "0", "open / bound 3300"),
    ]
    assert words(said)[:6] == [
        "P-04: not assessed. No Fs.", "P-05: not assessed. No Re.", "A notice.", "Results: x.xlsx; sheets: out", "Catalogue: a.pdf", "Catalogue: b.pdf",
    ]  # fmt: skip
    assert words(said)[6].startswith("5 pairings in ") and "2 not assessed" in words(said)[6]
    assert said.facts["pairings"][0] == {"id": "P-01", "verdict": "suitable", "reason": "why P-01", "crossover_hz": 2450.4, "range_hz": [1800.0, 3000.0]}  # fmt: skip
    assert (said.code, said.facts["seconds"]) == (1, 12.35)
    assert said.facts["not_assessed"] == [{"id": "P-04", "reason": "No Fs."}, {"id": "P-05", "reason": "No Re."}]


@every(
    ("change", "line"),
    [
        ({"reused": 3}, "Results: x.xlsx; sheets (3 unchanged, taken over): out"),
        ({"sheets": 0}, "Results: x.xlsx; index: out"),
        ({"sheets": 0, "unprinted": {"index.html": "full"}}, "Results: x.xlsx"),
        ({"unprinted": {"index.html": "full"}}, "Results: x.xlsx; sheets: out"),
    ],
)
def test_where_the_results_of_a_run_are(change: dict[str, Any], line: str) -> None:
    assert line in told.of_run(SimpleNamespace(**{**RUN, **change}), 1.0).lines  # type: ignore[arg-type]


def test_what_follows_from_a_problem_is_named_by_its_row_or_else_by_its_place() -> None:
    root = Problem("Low drivers", "C3", "Re (ohm)", "empty", "a value is required", record_id="LD-01")
    rows = (replace(root, sheet="Pairings", cell="A2", record_id="P-01"), replace(root, sheet="Pairings", cell="A2", record_id="P-01"), replace(root, sheet="Pairings", cell="B9", record_id=""))  # fmt: skip
    found: Any = SimpleNamespace(
        exit_code=1, by_cause=((root, rows),), fit=1, unfit=3, errors=4, problems=(root, *rows)
    )
    said = told.of_check(found)
    assert words(said) == [
        str(root), f"  because of it these cannot be used either: P-01, {rows[2].place}", "1 problem; 1 pairing can be assessed, 3 cannot.",
    ]  # fmt: skip
    assert (said.code, said.facts["errors"], said.facts["fit"], said.facts["unfit"]) == (1, 4, 1, 3)
    first = {"sheet": "Low drivers", "cell": "C3", "heading": "Re (ohm)", "notice": False, "text": str(root)}
    assert said.facts["found"][0] == first and len(said.facts["found"]) == 4


def test_a_new_workbook_is_named_with_what_to_do_next() -> None:
    said = told.of_new(Path("x.xlsx"))
    assert said.lines == ["x.xlsx is written. Fill it in any spreadsheet program, then: reportgen run x.xlsx"]
    assert (said.code, said.facts) == (0, {"written": Path("x.xlsx")})
    for name in ("my season.xlsx", "M's.xlsx", 'M "$Q".xlsx'):
        (line,) = told.of_new(Path(name)).lines
        assert shlex.split(str(line).rpartition("then: ")[2]) == ["reportgen", "run", name], "as a shell takes it"


def test_a_screening_shows_its_best_dozen_and_tells_a_program_a_hundred() -> None:
    one = {"low_id": "LD-01", "high_id": "HD-02", "used": "2 x HD-02", "guide_id": "WG-1", "slope": "LR4", "word": "fits", "low_hz": 1500.0, "high_hz": 2800.0, "octaves": 0.9, "price": 0.0, "crossover_hz": 2000.0}  # fmt: skip
    candidates = tuple(SimpleNamespace(rank=rank, **one) for rank in range(1, 121))
    obstacles = tuple((f"Obstacle {n}", 100 - n) for n in range(7))
    found = SimpleNamespace(candidates=candidates, pairs=12, judged=34, words=(("suitable", 30),), obstacles=obstacles)
    done: Any = SimpleNamespace(found=found, page=Path("p.pdf"), written=Path("x.xlsx"), where="P-01", shelf=("Two serve all",), notices=("N.",), problems=(), currency="EUR")  # fmt: skip
    said = told.of_screen(done)
    assert len(table(said).rows) == 12 and len(said.facts["best"]) == 100
    assert table(said).rows[0] == ("1", "LD-01", "HD-02", "2 x HD-02", "fits", "1500 to 2800", "0.90", "0.00")
    assert words(said) == [
        "12 pairs at P-01, 34 ways to use them: 30 suitable.",
        *(f"  in the way of {100 - n}: obstacle {n}" for n in range(5)),
        "Two serve all.", "N.", "Sheets: x.xlsx; page: p.pdf",
    ]  # fmt: skip
    assert table(said).head == (
        "rank",
        "low",
        "high",
        "used",
        "verdict of the limits",
        "usable range, Hz",
        "octaves",
        "price of one",
    )
    assert said.facts["best"][0] == {
        "rank": 1, "low": "LD-01", "high": "HD-02", "guide": "WG-1", "slope": "LR4", "verdict": "fits", "range_hz": [1500.0, 2800.0],
        "crossover_hz": 2000.0, "price": 0.0,
    }  # fmt: skip


def test_answers_are_told_with_all_that_is_to_be_said_beside_them() -> None:
    none = SimpleNamespace(id="E-01", answer=None, done=False, page=None, text=None, reason="No woofer.", unread=("“5 pcs” was not read.",))  # fmt: skip
    bare = SimpleNamespace(
        id="E-02", answer=SimpleNamespace(proposals=()), done=True, page=None, text=Path("t.txt"), reason="None fits.", unread=()
    )  # fmt: skip
    done: Any = SimpleNamespace(answers=(none, bare), exit_code=1, problems=(), notices=("N.",), remarks=("R.",), written=Path("x.xlsx"), kept=2)  # fmt: skip
    said = told.of_answer(done)
    assert words(said) == [
        "E-01: not answered. No woofer.", "  “5 pcs” was not read.", "E-02: None fits. t.txt", "N.", "R.", "Sheet of answers: x.xlsx",
    ]  # fmt: skip
    assert said.facts["notices"] == ["N.", "R."] and [one["proposals"] for one in said.facts["answers"]] == [[], []]


def test_a_comparison_is_every_figure_that_differs() -> None:
    rows = tuple(
        SimpleNamespace(name=f"figure {n}", unit=unit, values=values)
        for n, (unit, values) in enumerate(
            [("CHF", (128.87, None)), ("dB", (-12345.6, 0.0)), *[("Hz", (1.0, 2.0))] * 10]
        )
    )
    found = SimpleNamespace(differing=rows, ids=("P-01", "P-02"), currency="CHF")
    done: Any = SimpleNamespace(found=found, page=None, problems=(), notices=(), written=Path("x.xlsx"))
    said = told.of_compare(done)
    assert table(said).head == ("figure", "unit", "P-01", "P-02") and len(table(said).rows) == 12
    assert table(said).rows[:2] == [("figure 0", "CHF", "128.87", "-"), ("figure 1", "dB", "-12345.6", "0.0")]
    assert (said.code, words(said)) == (1, ["Sheet: x.xlsx; page: none"])


def test_an_old_run_is_told_as_it_came_out() -> None:
    def again(id_: str, same: bool, **more: Any) -> Any:
        entry = SimpleNamespace(
            pairing_id=id_, bound_below=f"below {id_}", bound_above="" if id_ == "P-02" else "above"
        )
        usual = {
            "entry": entry,
            "assessment": OUTLINES[0],
            "same": same,
            "differences": (),
            "reason": "",
            "other_program": "",
        }
        return SimpleNamespace(**{**usual, **more})

    pairings = (
        again("P-01", True), again("P-02", False, differences=("price 3 -> 4", "verdict"), other_program="0.0.9"),
        again("P-03", False, differences=("price 3 -> 5",)), again("P-04", False, assessment=None, reason="Its data are gone."),
    )  # fmt: skip
    done: Any = SimpleNamespace(pairings=pairings, exit_code=1, run=7, notices=("N.",), unprinted=("P-01: not printed.",), folder=Path("out/run-007"))  # fmt: skip
    said = told.of_recompute(done)
    assert table(said).head == ("pairing", "verdict", "usable range, Hz", "crossover, Hz", "bound by", "result")
    assert [row[-2:] for row in table(said).rows] == [
        ("below P-01 / above", "as in History"), ("below P-02", "DIFFERS"), ("below P-03 / above", "DIFFERS"),
    ]  # fmt: skip
    assert words(said) == [
        f"P-02: price 3 -> 4; verdict (program 0.0.9 then, {reportgen.__version__} now)", "P-03: price 3 -> 5",
        "P-04: not worked out again. Its data are gone.", "P-01: not printed.",
        "Run 7: 1 of 4 results are what the History says.", "N.", "Sheets: out/run-007",
    ]  # fmt: skip
    assert (said.code, said.facts["same"], said.facts["notices"]) == (1, 1, ["N.", "P-01: not printed."])


def test_a_report_of_the_desk_is_its_first_table_its_names_and_its_remarks() -> None:
    fields = (
        Field("Id", "id"),
        Field("On the shelf", "count"),
        Field("Price", "money"),
        Field("fc", "hz"),
        Field("ID of it"),
    )
    first = Listing("first", fields, (("A", 0, 3.5, 1999.6, None), ("B", 1234567, 4, None, "x")), "t")
    names = tuple(
        Listing(tab, fields[:3], ((f"{tab} 1", n, 1.0), (f"{tab} 2", n, 2.0)), tab) for n, tab in enumerate(("new", "gone", "other"))
    )  # fmt: skip
    off = Listing("paper alone", fields, (), "p", on_sheet=False)
    report = Report("T", "Two", (first, *names, off), notes=("Said", "Asked?", "Done."))
    said = told.of_listing(Listed(report, Path("p.pdf"), Path("x.xlsx"), ("N.",), ()))
    assert table(said).head == ["id", "on the shelf", "price", "fc", "ID of it"]
    assert table(said).rows == [["A", "0", "3.50", "2000", "-"], ["B", "1234567", "4.00", "-", "x"]]
    assert words(said) == [
        "Two.", "new: new 1 0, new 2 0.", "gone: gone 1 1, gone 2 1.", "Said.", "Asked?", "Done.", "N.", "Sheets: x.xlsx; page: p.pdf",
    ]  # fmt: skip
    assert [one["title"] for one in said.facts["listings"]] == ["first", "new", "gone", "other"]
