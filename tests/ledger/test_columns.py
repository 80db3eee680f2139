"""Every column of every sheet looks as what stands in it asks: what it holds is said here by hand, the look follows from that."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from reportgen.advice.comparison import Comparison
from reportgen.ledger import answersheet, desksheets, history, historysheet, sheets, summary
from reportgen.ledger.layout import Head

LOOKS = {
    "name": Head("", 0, "@", strong=True),
    "code": Head("", 0, "@"),
    "code of a kit": Head("", 0, "@", wrap=True),
    "words": Head("", 0, wrap=True),
    "words by which a row is found": Head("", 0, wrap=True, strong=True),
    "heading of a row": Head("", 0, strong=True),
    "text of the program": Head("", 0),
    "sign": Head("", 0, wrap=True, marked=True),
    "short word": Head("", 0, centred=True),
    "count": Head("", 0, "0", centred=True),
    "moment": Head("", 0, "yyyy-mm-dd hh:mm", centred=True),
    "day": Head("", 0, "yyyy-mm-dd", centred=True),
    "whole": Head("", 0, "0"),
    "tenths": Head("", 0, "0.0"),
    "hundredths": Head("", 0, "0.00"),
    "money": Head("", 0, "#,##0.00"),
    "sum of money": Head("", 0, "#,##0.00", strong=True),
    "share": Head("", 0, "0%"),
    "as long as it is": Head("", 0, "General;-General"),
    "for the chart": Head("", 0, "0", hidden=True),
}
"""What a column holds -> how it looks. Figures stand right with the decimals that their unit deserves, codes are text, what may be
long takes several lines, what is short stands in the middle, and what names a row is bold."""

CHART = {"for the chart": "Lower edge, Usable range, No range: limits cross, Crossover"}
PIVOT = "Season, Low driver, High driver, Kind of high driver"
TABLES: dict[str, tuple[Sequence[Head], dict[str, str]]] = {
    "answers": (answersheet.HEADS, {
        "name": "Enquiry", "words": "Customer, Question, Proposed, What was said, By", "moment": "Answered", "short word": "Program",
        "code": "Workbook (SHA-256)",
    }),
    "gathered": (history._GATHERED, {
        "words by which a row is found": "Workbook", "count": "Rows, Pairings, Runs", "moment": "First, Last", "words": "Remark",
    }),
    "checks": (sheets._CHECK_HEADS, {
        "name": "Pairing", "words": "Kit, Check, What it says, Condition to keep, Missing, Source", "sign": "Outcome",
        "hundredths": "Value, Limit, Margin", "short word": "Unit, Margin unit, Essential", "code": PIVOT,
    }),
    "parts": (sheets._part_heads("EUR"), {
        "name": "Pairing", "words": "Kit, Part, What for, Made of, Stock ID", "short word": "Branch, Mark, Unit, Rating unit",
        "as long as it is": "Value", "hundredths": "Wire ohm, Rms (A), Heat (W)", "tenths": "Buy for at least, Peak (V)", "sign": "Rating",
        "count": "Count", "money": "Each (EUR), Price (EUR)", "code": PIVOT,
    }),
    "totals": (sheets._total_heads("EUR"), {
        "name": "Pairing", "words": "Kit", "count": "Parts, Without price", "money": "Priced parts (EUR), Drivers and guide (EUR)",
        "sum of money": "All (EUR)",
    }),
    "summary": (summary.heads("EUR"), {
        "name": "ID", "words": "Kit, Season, First reason, Bound from below by, Bound from above by, Sheet", "sign": "Verdict",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz), Low count, High count, Tuning (Hz), Corner (Hz), Effective from (Hz), "
        "Effective to (Hz), Lowest ohm at (Hz), Amplifier from (W), Pieces",
        "tenths": "Lowest ohm, Sum off by (dB), Net volume (L), Sensitivity (dB), Bass off by (dB), Treble off by (dB), "
        "Third octaves off by (dB), Highest level (dB)",
        "hundredths": "Width (octave)", "short word": "Crossover is", "share": "Good builds", "code": "Inputs",
        "money": "Price (EUR), Network (EUR), Kit (EUR)", "as long as it is": "Rated ohm, Amplifier to (W)",
        "code of a kit": "Low driver, High driver, Kind of high driver, Waveguide, Cabinet, Kind of cabinet, Arrangement, Slope, "
        "Surroundings, Decision, Highest level ended by",
        **CHART,
    }),
    "History": ([*historysheet.COLUMNS.values()], {
        "count": "Run, Revision", "moment": "Date", "name": "Pairing", "sign": "Verdict", "money": "Price", "day": "Decided on",
        "words": "Kit, Season, Event, What changed, Effect, First reason, Bound from below by, Bound from above by, Decided by, Why, Run by, "
        "Workbook",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "short word": "Currency, Decision, Program", "code": "Inputs, Sheet",
    }),
    "History inputs": (historysheet._INPUT_COLUMNS, {
        "code": "Key", "short word": "Part", "text of the program": "What, Values (JSON; SI units)", "count": "Since run",
        "words by which a row is found": "Whose", "words": "In words",
    }),
    "ranked list": (desksheets._ranked_heads("EUR"), {
        "count": "Rank", "name": "Low driver, High driver", "short word": "Guide, Slope, On the shelf", "sign": "Verdict of the limits",
        "words": "Kind, Rear, Bound from below by, Bound from above by, What it takes; or what stands in the way",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "hundredths": "Width (octave)", "money": "Price (EUR)",
    }),
    "comparison": (desksheets._compared_heads(Comparison((), (), (), (), (), (), "EUR")), {
        "name": "Pairing", "words": "Kit, Bound from below by, Bound from above by, First reason", "sign": "Verdict",
        "whole": "Range from (Hz), Range to (Hz), Crossover (Hz)", "hundredths": "Width (octave)", "money": "Price (EUR)", **CHART,
    }),
    "figures of a comparison": (desksheets._figure_heads(["P-01", "P-02"]), {
        "heading of a row": "Figure", "short word": "Unit, They differ", "code of a kit": "P-01, P-02",
    }),
}  # fmt: skip


@pytest.mark.parametrize("name", TABLES)
def test_every_column_looks_as_what_stands_in_it(name: str) -> None:
    heads, holds = TABLES[name]
    asked = {
        text.replace(";", ","): (look.format, look.wrap, look.centred, look.strong, look.marked, look.hidden)
        for what, texts in holds.items()
        for text in texts.split(", ")
        for look in (LOOKS[what],)
    }
    found = {head.text: (head.format, head.wrap, head.centred, head.strong, head.marked, head.hidden) for head in heads}
    assert found == asked and len(found) == len(heads)


def test_what_is_printed_of_a_table_is_no_wider_than_two_pages_in_letters_that_still_read() -> None:
    """215 letters on a page: History and the answers take two, all others one; what is there to pivot by stays on the screen."""
    widths = {name: sum(head.width for head in heads if not head.hidden) for name, (heads, _) in TABLES.items()}
    printed = summary.heads("EUR")[: [head.text for head in summary.heads("EUR")].index("Sheet") + 1]
    widths["summary"] = sum(head.width for head in printed)
    for name in ("checks", "parts"):
        widths[name] -= sum(head.width for head in TABLES[name][0][-4:])
    widths["History inputs"] -= TABLES["History inputs"][0][-1].width
    assert {name for name, width in widths.items() if width > 215} == {"History", "answers"}, widths
    assert all(width <= 430 for width in widths.values())
