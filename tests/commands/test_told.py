"""What a command tells of its result, in words."""

from __future__ import annotations

from reportgen.commands.check import Checked
from reportgen.commands.told import _missing, of_check
from reportgen.problems import Problem

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
