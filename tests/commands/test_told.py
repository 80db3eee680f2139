"""What a command tells of its result, in words."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

from reportgen.advice.listings import Field, Listing, Report
from reportgen.commands.answer import Answered
from reportgen.commands.check import Checked
from reportgen.commands.listing import Listed
from reportgen.commands.terminal import Table
from reportgen.commands.told import _missing, _outcome, of_check, of_listing, of_screen
from reportgen.problems import Problem
from tests.every import every

BAD = Problem("Low drivers", "C3", "Re (ohm)", "empty", "a value is required", record_id="LD-01")
REMARK = Problem("Low drivers", "Z1", "Mine", "no such column is known", "it is kept and not read", notice=True)


def test_a_note_is_told_and_is_no_problem() -> None:
    for found, last in (
        ((BAD, REMARK), "1 problem; 3 pairings can be assessed, 2 cannot."),
        ((REMARK,), "0 problems; 3 pairings can be assessed, 2 cannot."),
    ):
        assert of_check(Checked(found, 3, 2)).lines == [*(f"{'note: ' * one.notice}{one}" for one in found), last]


def test_what_an_answer_lacks_is_told_by_whom_it_can_be_filled_in() -> None:
    """An enquirer knows the woofer, the maker the catalogue; a row that is only shipped has no cell to fill."""
    gaps = (
        "Known Fs of E-01 (Enquiries!N3)", "Xmax of LD-01 (Low drivers!N3)",
        "Bare floor of true ribbon (Technologies no such row, column “Bare floor (Hz)”)", "Known Sd of E-01 (Enquiries!M3)",
    )  # fmt: skip
    assert _missing(gaps) == [
        "  the enquirer could tell: Known Fs of E-01 (Enquiries!N3), Known Sd of E-01 (Enquiries!M3)",
        "  empty in the catalogue: Xmax of LD-01 (Low drivers!N3)",
    ]
    assert _missing(gaps[2:3]) == []


@every(("page", "code"), [(Path("screening.pdf"), 0), (None, 1)])
def test_a_screening_without_its_page_is_no_success(page: Path | None, code: int) -> None:
    found = SimpleNamespace(candidates=(), pairs=0, judged=0, words=(), obstacles=())
    done: Any = SimpleNamespace(
        found=found,
        page=page,
        written=Path("season.xlsx"),
        where="the use of P-01",
        shelf=(),
        notices=(),
        problems=(),
        currency="EUR",
    )
    told = of_screen(done)
    assert told.code == code and told.lines[-1] == f"Sheets: season.xlsx; page: {page or 'none'}"


def test_what_is_new_and_what_is_gone_are_named_and_other_tables_left_to_the_sheet() -> None:
    fields = (Field("Pairing", "id"), Field("Kit"), Field("Verdict", "verdict"))
    tables = tuple(
        Listing(title, fields, ((id_, kit, "suitable"),), tab)
        for title, id_, kit, tab in (
            ("moved", "P-01", "Reedmace", ""), ("new", "P-02", "Teal", "new"), ("gone", "P-03", "Smew", "gone"), ("as before", "P-04", "Coot", "rest"),
        )
    )  # fmt: skip
    told = of_listing(Listed(Report("Changes", "1 moved, 1 new, 1 gone", tables), Path("c.pdf"), None, (), ())).lines
    assert [str(line) for line in told if not isinstance(line, Table)] == [
        "1 moved, 1 new, 1 gone.", "new: P-02 Teal.", "gone: P-03 Smew.", "Page: c.pdf",
    ]  # fmt: skip


@every(
    ("proposals", "answered", "told"),
    [
        ((), True, "E-01: 115 dB is out of reach. out/E-01.txt"),
        ((), False, "E-01: not answered. 115 dB is out of reach. out/E-01.txt"),
        (
            (SimpleNamespace(high_id="HD-02"), SimpleNamespace(high_id="HD-07")),
            True,
            "E-01: HD-02, HD-07. out/E-01.txt",
        ),
    ],
)
def test_an_answer_is_its_drivers_or_why_there_is_none_and_where_its_text_is(
    proposals: Any, answered: bool, told: str
) -> None:
    said: Any = SimpleNamespace(proposals=proposals, answered=answered, missing=(), unread="")
    one = Answered("E-01", said, None, Path("out/E-01.txt"), "115 dB is out of reach.")
    assert _outcome(one) == [told]
