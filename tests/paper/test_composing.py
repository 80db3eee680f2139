"""The front in words: limits behind what they judge, ways out shared with the annex, columns of cautions."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from reportgen.assessment import Assessment
from reportgen.paper.cautionbox import cautions_block
from reportgen.paper.composing import (
    Wish,
    _annex,
    _verdict,
    buildable,
    desk_facts,
    desk_foot,
    first_wish,
    set_again,
    sheet_page,
    stamp_facts,
    tighter,
)
from reportgen.paper.lettering import text_width
from reportgen.paper.pages import Fact
from reportgen.paper.wording import hertz, printed, span
from reportgen.suitability.cautions import Caution
from reportgen.suitability.verdict import Verdict
from tests.every import every
from tests.paper.samples import STAMP, assessed, with_remedies


def reason(check_id: str) -> str:
    """What the front says where this check of P-01 is the reason of the verdict."""
    found = assessed("P-01")
    check = next(check for check in found.checks if check.id == check_id)
    told = replace(found, verdict=Verdict("not suitable", check.text))
    return sheet_page(told, STAMP).verdict.reason.replace("\u00a0", " ")


def test_what_is_near_or_past_its_limit_names_the_limit() -> None:
    """Common practice of the trade sheet: 2 dB of a third of an octave; the pairing asks for 96 dB at the seat."""
    assert reason("thirds").endswith("Limit: 2 dB at most.")
    faint = replace(
        next(c for c in assessed("P-01").checks if c.id == "peak level"), value=90.0, margin=-6.0, text="Too faint"
    )
    found = replace(assessed("P-01"), checks=(faint,), verdict=Verdict("not suitable", "Too faint"))
    assert sheet_page(found, STAMP).verdict.reason.endswith("Too faint. Limit: 96\u00a0dB at least.")


def test_a_limit_that_the_words_tell_is_not_told_again() -> None:
    found = assessed("P-01")
    text = "The driver takes 84 W, rated to take 70 W of it"
    heat = replace(found.checks[0], value=84.0, limit=70.0, unit="W", margin=-0.8, text=text)
    words = sheet_page(replace(found, checks=(heat,), verdict=Verdict("not suitable", text)), STAMP).verdict.reason
    assert words.replace("\u00a0", " ").endswith(f"{text}.")


def test_a_figure_that_ends_like_the_limit_does_not_tell_it() -> None:
    found = assessed("P-01")
    step = replace(found.checks[0], value=8.3, limit=3.0, unit="dB", margin=-5.3, text="They differ by 8.3 dB")
    words = sheet_page(replace(found, checks=(step,), verdict=Verdict("not suitable", step.text)), STAMP).verdict.reason
    assert words.endswith("8.3\u00a0dB. Limit: 3\u00a0dB at most.")


def test_what_is_not_known_is_not_said_to_be_near_a_limit() -> None:
    found = assessed("P-01")
    near = replace(found.checks[0], outcome="marginal", text="A little much.")
    gap = replace(found.checks[1], outcome="not assessed", text="Stock of HD-01 missing.")
    told = Verdict("suitable with conditions", "Keep to it.", (), (), (("a", near.text), ("b", gap.text)))
    block = sheet_page(replace(found, checks=(near, gap), verdict=told), STAMP).verdict
    assert block.near_head == "Near a limit, a little past it, or not known"
    assert (
        sheet_page(replace(found, checks=(near,), verdict=told), STAMP).verdict.near_head
        == "Near a limit, or a little past it"
    )


def test_what_is_unknown_stands_on_the_front_of_a_no_as_well() -> None:
    """Whoever mends what fails must know what else stays open; where nothing fails it is the reason, and stands there alone."""
    first, *others = assessed("P-01").checks
    gap = replace(first, outcome="not assessed", essential=True, text="Cone break-up not assessed: it is missing.")
    for word, listed in (("not suitable", True), ("undecided", False)):
        verdict = Verdict(word, "It is too loud.", fails=(("Level", "It is too loud."),) if listed else ())
        told = sheet_page(replace(assessed("P-01"), checks=(gap, *others), verdict=verdict), STAMP).verdict
        assert (gap.text in told.near) is listed
        assert ("not known" in told.near_head) is listed
    spare, listed = (
        replace(gap, essential=False),
        ("Level", "It is loud."),
    )  # no verdict hangs on it, and what the reason says is said
    verdict = Verdict("not suitable", "Too hot. It is loud.", conditions=("It is loud.", "Keep it."), marginals=(listed, ("Null", "It is flat.")))  # fmt: skip
    told = sheet_page(replace(assessed("P-01"), checks=(spare, *others), verdict=verdict), STAMP).verdict
    assert (told.conditions, told.near) == (("Keep it.",), ("It is flat.",))


def test_what_lacks_the_same_is_said_once_on_front_and_annex() -> None:
    """Three checks without the centres and one without a power: two sentences, and no title twice in the table."""
    unknown, power = "the centres are unknown: give them", "Rated power of HD-01 missing"
    lacking = {"thirds": unknown, "lobe": unknown, "reversed null": unknown, "heat": power}
    checks = []
    for one in assessed("P-01").checks:
        why = lacking.get(one.id)
        gap = replace(one, outcome="not assessed", value=None, margin=None, missing=(), condition="")
        checks.append(replace(gap, text=f"{one.title} not assessed: {why}.") if why else one)
    near = tuple((one.title, one.text) for one in checks if one.outcome == "not assessed")
    found = replace(
        assessed("P-01"), checks=tuple(checks), verdict=Verdict("suitable with conditions", "Near.", marginals=near)
    )
    page = sheet_page(found, STAMP)
    said = [text for text in page.verdict.near if "not assessed" in text]
    assert len(said) == 2 and sum("the centres are unknown" in text for text in said) == 1
    titles = [one.title for one in checks if lacking.get(one.id) == unknown]
    assert all(title in next(text for text in said if "centres" in text) for title in titles)
    assert page.annex is not None
    rows = [row for row in page.annex.checks if "the centres are unknown" in row.text.lower()]
    assert [row.text for row in rows] == ["The centres are unknown: give them."] * 3
    assert len(page.annex.gaps) == 2


def test_figures_of_checks_have_the_digits_of_their_words() -> None:
    found = assessed("P-01")
    load = replace(found.checks[0], value=3.928, limit=3.2, unit="ohm", margin=0.728, margin_unit="ohm")
    (row,) = sheet_page(replace(found, checks=(load,)), STAMP).annex.checks  # type: ignore[union-attr]
    assert [text.replace("\u00a0", " ") for text in (row.value, row.limit, row.margin)] == ["3.9 Ω", "3.2 Ω", "+0.73 Ω"]
    watts = replace(
        found.checks[0], value=9.5, limit=1.99, unit="W", margin=-6.8, text="9.5 W, rated to take 2 W of it"
    )
    told = sheet_page(
        replace(found, checks=(watts,), verdict=Verdict("not suitable", watts.text)), STAMP
    ).verdict.reason
    assert told.endswith("rated to take 2\u00a0W of it.")  # the limit is in the words


def test_a_full_front_leaves_the_farther_ways_out_to_the_annex() -> None:
    found = with_remedies()
    found = replace(found, remedies=found.remedies * 2)
    page = sheet_page(found, STAMP, Wish(front="short"))
    assert page.remedies is not None and page.annex is not None and page.annex.remedies is not None
    assert (len(page.remedies.rows), len(page.annex.remedies.rows)) == (3, 3)
    assert page.remedies.note.endswith("3 more ways in the annex.")
    alone = sheet_page(found, STAMP, Wish(front="short", annex=False))
    assert alone.remedies is not None and len(alone.remedies.rows) == 6


def caution(title: str, lines: int, grave: bool) -> Caution:
    return replace(assessed("P-17").cautions[0], title=title, text="word " * (9 * lines), grave=grave)


def test_what_touches_health_stands_on_the_left_unless_the_box_grows_by_lines() -> None:
    short = cautions_block("x", [caution("a", 4, True), caution("b", 3, True), caution("c", 6, False)])
    assert [item.title for item in short.left] == ["a", "b"]
    long = cautions_block("x", [caution("a", 7, True), caution("b", 7, True), caution("c", 2, False)])
    assert "a" in [item.title for item in long.left] and "b" in [item.title for item in long.right]


@every("hz", [2924.4, 2924.6, 2925.0, 2925.4, 2934.6, 13149.6, 999.6, 9994.6])
def test_a_frequency_is_the_same_in_a_sentence_and_in_a_table(hz: float) -> None:
    """Checks tell whole Hz, and a sheet three digits of them; rounding twice must not differ from rounding once."""
    assert printed(f"Above {hz:.0f} Hz it beams.") == f"Above {hertz(hz)} it beams."
    assert span(hz, 20000.0).startswith(hertz(hz))


# --- how a sheet is set -----------------------------------------------------------------------------------------------


@every(
    ("wish", "style"),
    [
        (Wish(), ""),
        (Wish(front="roomy"), "roomy-front"),
        (Wish(front="dense"), "dense-front"),
        (Wish(front="short", build=1), "dense-front dense-build"),
        (Wish(front="two"), "two-front"),
        (Wish(build=3, close=True), "dense-build dense-annex"),
    ],
)
def test_how_tightly_a_sheet_is_set_is_a_class_of_the_style_sheet(wish: Wish, style: str) -> None:
    assert wish.style == style


def page_of(builds: bool, wirings: bool = True) -> Any:
    return SimpleNamespace(build=SimpleNamespace(wirings=("a",) if wirings else ()) if builds else None)


@every(
    ("before", "builds", "wirings", "pages", "after"),
    [
        (Wish(front="roomy"), True, True, (2, 1), Wish()),
        (Wish(), True, True, (2, 1), Wish(front="dense")),
        (Wish(front="dense"), True, True, (2, 1), Wish(front="dense")),  # what else stood there is on the build side
        (Wish(front="dense"), False, True, (2, 0), Wish(front="short")),
        (Wish(front="short"), False, True, (2, 0), Wish(front="two")),
        (Wish(front="two"), False, True, (2, 0), Wish(front="two")),
        (Wish(), True, True, (1, 1), Wish()),
        (Wish(), True, True, (1, 2), Wish(build=1)),
        (Wish(build=1), True, True, (1, 2), Wish(build=2)),
        (Wish(build=1), True, False, (1, 2), Wish(build=3)),  # no wiring could go into the annex
        (Wish(build=3), True, True, (1, 2), Wish(build=3)),
        (Wish(), False, True, (1, 2), Wish()),
        (Wish(), True, True, (2, 2), Wish(front="dense", build=1)),
    ],
)
def test_what_runs_over_is_set_tighter_step_by_step(
    before: Wish, builds: bool, wirings: bool, pages: tuple[int, int], after: Wish
) -> None:
    assert tighter(before, page_of(builds, wirings), *pages) == after


def test_a_kit_of_many_pieces_or_of_several_drivers_begins_with_less_on_its_build_side() -> None:
    found = assessed("P-01")

    def pieces(count: int, made_of: int = 0) -> Assessment:
        line = replace(found.parts[0], made_of=())
        doubled = [replace(line, made_of=(1.0, 2.0))] * made_of
        assert found.network is not None
        lines = (*doubled, *[line] * (count - 2 * made_of))
        return replace(found, network=replace(found.network, parts=lines))

    assert [first_wish(pieces(count), False, True).build for count in (10, 11)] == [0, 2]
    assert [first_wish(pieces(count, made_of=3), False, True).build for count in (10, 11)] == [0, 2]
    assert first_wish(assessed("P-10"), True, False) == Wish(inches=True, annex=False, build=2)
    two = replace(
        found, case=replace(found.case, pairing=replace(found.case.pairing, high_count=2, high_wiring="series"))
    )
    assert first_wish(two, False, True).build == 2  # high ones as well as low ones


def test_a_sheet_is_composed_again_only_where_other_things_stand_there() -> None:
    found, first = assessed("P-01"), Wish(annex=False)
    page = sheet_page(found, STAMP, first, "sides")
    for new, again in (
        (Wish(annex=False, front="dense"), False),
        (Wish(annex=False, build=1), False),  # smaller type alone
        (Wish(annex=False, build=2), True),
        (Wish(annex=False, front="short"), True),
    ):
        made = set_again(page, found, STAMP, first, new)
        assert made.style == new.style
        assert (made.build is not page.build) is again
        assert made == replace(sheet_page(found, STAMP, new, "sides"))


def test_the_annex_goes_with_the_sides_or_alone_where_it_is_wanted() -> None:
    found = assessed("P-01")
    for wish, part, there in (
        (Wish(), "", True), (Wish(), "sides", False), (Wish(), "annex", True), (Wish(annex=False), "", False), (Wish(annex=False), "annex", False)
    ):  # fmt: skip
        assert (sheet_page(found, STAMP, wish, part).annex is not None) is there  # type: ignore[arg-type]


def test_what_is_not_built_has_nothing_of_its_building_in_the_annex() -> None:
    """P-10 has two low drivers: with its build side full their wiring and the board are told in the annex, where there is one."""
    for word, told in (("undecided", (1, True)), ("not suitable", (0, False))):
        found = replace(assessed("P-10"), verdict=Verdict(word, "So it is."))  # type: ignore[arg-type]
        annex = _annex(found, Wish(build=3))
        assert (len(annex.wirings), bool(annex.board)) == told
    build = sheet_page(assessed("P-10"), STAMP, Wish(annex=False, build=3), "sides").build
    assert build is not None and "annex" not in build.schematic_caption
    for word in ("suitable", "suitable with conditions", "undecided", "not suitable"):
        found = replace(assessed("P-10"), verdict=Verdict(word, "So it is."))  # type: ignore[arg-type]
        assert buildable(found) is (word != "not suitable") and not buildable(replace(found, network=None))


# --- what names a sheet and its drivers -------------------------------------------------------------------------------


def test_a_foot_names_the_kit_cut_to_its_room_and_the_pairing_whole() -> None:
    """165 points at 7 points a letter: a third of an em for the narrowest letters is 70 of them, 60 of the usual ones never fit."""
    found = assessed("P-01")

    def foot(kit: str | None) -> str:
        return sheet_page(changed(found, kit=kit), STAMP).foot.split(" · ")[0].replace("\u00a0", " ")

    assert foot(None) == "P-01"
    assert foot("Reed") == "Reed, P-01"
    cut = foot("n" * 60)
    assert cut.endswith("n…, P-01")
    letters = cut.removesuffix("…, P-01")
    assert text_width(letters + "…", 7.0) <= 165.0 < text_width(letters + "nn…", 7.0)


def changed(found: Assessment, **pairing: Any) -> Assessment:
    return replace(found, case=replace(found.case, pairing=replace(found.case.pairing, **pairing)))


def test_a_page_of_the_desk_has_its_own_facts_and_foot() -> None:
    """Twelve of the sixty-four digits of a fingerprint are enough to find a workbook again."""
    facts = [(fact.label, fact.value) for fact in desk_facts(STAMP, Fact("Enquiry", "E-01"))]
    assert facts == [("Enquiry", "E-01"), ("Date", "2026-11-25"), ("Workbook", "9f3c1a77b2d4")]
    assert desk_foot(STAMP, "E-01") == "E-01 · 2026-11-25 · workbook 9f3c1a77b2d4 · reportgen 0.1.0"


def test_a_limit_has_the_digit_that_tells_it_from_the_figure() -> None:
    """3.18 ohm would look like a limit of 3.24 ohm in two digits."""
    found = assessed("P-01")
    for value, limit in ((3.18, "3.24"), (2.9, "3.2")):
        load = replace(
            found.checks[0], value=value, limit=3.24, unit="ohm", margin=value - 3.24, margin_unit="ohm", text="Too low"
        )
        page = sheet_page(replace(found, checks=(load,), verdict=Verdict("not suitable", "Too low")), STAMP)
        assert page.verdict.reason.replace("\u00a0", " ").endswith(f"Too low. Limit: {limit} Ω at least.")


def test_a_page_of_no_pairing_names_none() -> None:
    assert [fact.label for fact in stamp_facts(STAMP)] == ["Revision", "Date", "Run", "Inputs"]
    assert stamp_facts(STAMP, "P-01")[0].value == "P-01"


def test_the_two_drivers_of_the_worked_example_in_a_line_each() -> None:
    """LD-01 and HD-01 as the demo's workbook has them: 130 cm2, 4 mm, 5200 Hz; 27 mm."""
    low, high = sheet_page(assessed("P-01"), STAMP).drivers
    words = low.value.replace("\u00a0", " ")
    for told in (
        "130 cm²",
        f"Fs {hertz(assessed('P-01').case.low.fs_hz)}".replace("\u00a0", " "),
        "breaks up at 5200 Hz",
    ):
        assert told in words
    assert "soft dome" in high.value and "27 mm" in high.value.replace("\u00a0", " ")


def test_the_picture_of_the_range_has_the_crossover_of_the_pairing() -> None:
    found = replace(assessed("P-01"), crossover_hz=2345.0)
    assert "Crossover 2350 Hz." in sheet_page(found, STAMP, part="sides").range_picture.alt.replace("\u00a0", " ")


def test_a_fail_that_is_a_bound_of_the_empty_range_is_not_told_twice() -> None:
    found = assessed("P-07")
    ranged = found.found_range
    assert found.verdict.word == "not suitable" and ranged.low_binding and ranged.high_binding
    bound = f"{ranged.low_binding.text} The crossover of 3050 Hz is too low."
    told = Verdict("not suitable", f"No usable range. {ranged.low_binding.text}", (("A", bound), ("B", "Another.")))
    assert sheet_page(replace(found, verdict=told), STAMP).verdict.fails == ("B. Another.",)
    above = f"{ranged.high_binding.text} The crossover of 3050 Hz is too high."
    other = Verdict("not suitable", f"No usable range. {ranged.high_binding.text}", (("A", above), ("B", "Another.")))
    assert _verdict(replace(found, verdict=other), False).fails == ("B. Another.",)
    of_another = replace(told, reason="No amplifier bears the load.")  # then nothing has told of the bound yet
    fails = _verdict(replace(found, verdict=of_another), False).fails
    assert len(fails) == 2 and fails[0].startswith("A. ") and fails[1] == "B. Another."


def test_what_is_not_built_has_the_grave_cautions_of_the_work_on_its_front() -> None:
    """Whoever builds reads them on the build side; whoever does not must still read what can hurt."""

    def told(id_: str) -> set[str]:
        found = assessed(id_)
        page = sheet_page(found, STAMP)
        assert (page.build is None) is (page.no_build != "") is (found.verdict.word == "not suitable")
        return {item.title for item in (*page.cautions.left, *page.cautions.right)}

    for id_, unbuilt in (("P-01", False), ("P-07", True)):
        of_work = {one.title for one in assessed(id_).cautions if one.applies_to == "the work"}
        grave = {one.title for one in assessed(id_).cautions if one.applies_to == "the work" and one.grave}
        assert grave and of_work - grave
        assert told(id_) & of_work == (grave if unbuilt else set())


def test_a_figure_without_a_unit_has_no_limit_behind_it() -> None:
    found = assessed("P-01")
    bare = replace(found.checks[0], value=7.0, limit=5.0, unit="", margin=-2.0, text="Seven of them")
    page = sheet_page(replace(found, checks=(bare,), verdict=Verdict("not suitable", bare.text)), STAMP)
    assert page.verdict.reason.endswith(" Seven of them.")


@every(
    ("use", "words"),
    [
        ({"rear_use": "removed"}, "rear cup taken off"),
        ({"chamber_m3": 85e-6}, "in the 85 mL rear chamber"),
        ({}, ""),
    ],
)
def test_how_the_back_of_the_high_driver_is_used_stands_on_front_and_build_side(
    use: dict[str, Any], words: str
) -> None:
    """HD-02 has a cup that comes off, and is offered with another chamber of 85 mL."""
    found = changed(assessed("P-01"), **use)
    case = replace(found.case, high=replace(found.case.high, rear="removable"))
    page = sheet_page(replace(found, case=case), STAMP)
    assert page.build is not None
    line = next(fact.value for fact in page.drivers if fact.label == case.high.id)
    assert page.pairing == f"LD-01 with HD-01, {words}, cabinet CB-01, high over low".replace(", ,", ",")
    for text in (page.pairing, line, page.build.box_note):
        assert (words in text) if words else ("rear" not in text)
