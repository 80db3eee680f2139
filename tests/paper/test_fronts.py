"""The front in words, to the letter: verdict, drivers, names, key; each part with and without what may be missing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from reportgen.assessment import Assessment
from reportgen.paper.composing import Wish, drivers_words, sheet_page
from reportgen.paper.lettering import text_width
from reportgen.paper.pages import SheetPage, VerdictBlock
from reportgen.suitability.verdict import UsableRange, Verdict
from tests.demo_catalogue import demo
from tests.every import every
from tests.paper.samples import STAMP, assessed, bare, with_remedies


def front(found: Assessment, wish: Wish | None = None) -> SheetPage:
    return sheet_page(found, STAMP, wish or Wish(annex=False), "sides")


def changed(found: Assessment, part: str = "pairing", **values: Any) -> Assessment:
    return replace(found, case=replace(found.case, **{part: replace(getattr(found.case, part), **values)}))


def plain(texts: tuple[str, ...]) -> list[str]:
    return [text.replace("\u00a0", " ") for text in texts]


# --- verdict ------------------------------------------------------------------------------------------------------


def judged(verdict: Verdict, **other: Any) -> VerdictBlock:
    return front(replace(undecided(), verdict=verdict, checks=(), **other)).verdict


def undecided() -> Assessment:
    """P-01 before anybody accepted or rejected it."""
    return changed(assessed("P-01"), decision=None)


def test_every_fail_condition_and_near_miss_is_told_that_the_reason_does_not_tell() -> None:
    verdict = Verdict(
        "not suitable", "It is too loud. It is too wide.",
        (("Width", "It is too wide."), ("Heat", "it takes 3.2 ohm"), ("Null", "it does not null"), ("Size", "254 mm are too much")),
        ("Keep the screen on.", "It is too loud.", "stay 254 mm off", "Keep the screen on."),
        (("Level", "It is 2 dB low."), ("Noise", "It is too loud."), ("Lobe", "It points up."), ("Level", "It is 2 dB low.")),
    )  # fmt: skip
    block = judged(verdict)
    assert plain(block.fails) == ["Heat. It takes 3.2 Ω.", "Null. It does not null.", "Size. 254 mm are too much."]
    assert plain(block.conditions) == ["Keep the screen on.", "Stay 254 mm off."]
    assert plain(block.near) == ["It is 2 dB low.", "It points up."]
    assert (block.mark.sign, block.reason) == ("✗", "It is too loud. It is too wide.")
    found = replace(undecided(), verdict=verdict, checks=())
    inches = front(found, Wish(inches=True, annex=False)).verdict
    assert plain(inches.fails)[2] == "Size. 254 mm (10.00 in) are too much."
    assert plain(inches.conditions)[1] == "Stay 254 mm (10.00 in) off."


def test_a_verdict_that_the_operator_overrode_says_so_first() -> None:
    """Whoever builds it reads first that it was accepted although it fails, and by whom."""
    found = replace(assessed("P-01"), verdict=Verdict("not suitable", "It is too wide."))
    told = front(changed(found, decision="accepted", decided_by="the bench"))
    assert told.verdict.reason == "Accepted by the bench against this verdict. It is too wide."
    assert told.subject == "not suitable: Accepted by the bench against this verdict. It is too wide."
    assert front(changed(found, decision="rejected")).verdict.reason == "It is too wide."


@every(
    ("value", "limit", "margin", "unit", "words"),
    [
        (8.26, 3.0, -5.26, "dB", " Limit: 3 dB at most."),  # above the limit and past it
        (90.0, 96.0, -6.0, "dB", " Limit: 96 dB at least."),  # under the limit and past it
        (98.0, 96.0, 2.0, "dB", " Limit: 96 dB at least."),  # above the limit and good
        (1.5, 2.0, 0.5, "dB", " Limit: 2 dB at most."),  # under the limit and good
        (5.0, 4.0, None, "mm", " Limit: 4 mm at least."),
        (2000.0, 1800.0, 0.15, "Hz", ""),
        (3.0, 0.0, -3.0, "dB", ""),
        (3.0, None, -3.0, "dB", ""),
    ],
)
def test_which_side_of_its_limit_is_good(
    value: float, limit: float | None, margin: float | None, unit: str, words: str
) -> None:
    check = replace(assessed("P-01").checks[0], value=value, limit=limit, margin=margin, unit=unit, text="So it is.")
    found = replace(undecided(), checks=(check,), verdict=Verdict("not suitable", "So it is."))
    assert front(found).verdict.reason.replace("\u00a0", " ") == f"So it is.{words}"


# --- the two drivers ----------------------------------------------------------------------------------------------


def lines(found: Assessment) -> dict[str, list[str]]:
    return {fact.label: fact.value.replace("\u00a0", " ").split("; ") for fact in front(found).drivers}


LOW: dict[str, Any] = {
    "description": "cone", "sensitivity_db": 88.64, "nominal_impedance_ohm": 8.0, "re_ohm": 5.62, "fs_hz": 42.0,
    "diaphragm_area_m2": 0.0213, "peak_travel_m": 0.0055, "rated_power_w": 60.0, "breakup_hz": 5200.0,
}  # fmt: skip
LOW_WORDS = ["cone", "88.6 dB", "8 Ω (Re 5.62 Ω)", "Fs 42 Hz", "213 cm²", "travel 5.5 mm", "60 W", "breaks up at 5200 Hz"]  # fmt: skip
HIGH: dict[str, Any] = {
    "description": "dome", "sensitivity_db": 91.0, "nominal_impedance_ohm": 4.0, "re_ohm": 3.3, "fs_hz": 1180.0, "shape": "rectangular",
    "radiating_width_m": 0.027, "radiating_height_m": 0.054, "peak_travel_m": 0.0003, "rated_power_w": 80.0, "lowest_use_hz": 2800.0,
}  # fmt: skip
HIGH_WORDS = ["soft dome", "dome", "91.0 dB", "4 Ω (Re 3.3 Ω)", "Fs 1180 Hz", "27 × 54 mm", "travel 0.3 mm", "80 W", "lowest use 2800 Hz"]  # fmt: skip


@every(
    ("part", "gone", "place"),
    [
        ("low", {}, None), ("low", {"description": None}, 0), ("low", {"sensitivity_db": None}, 1), ("low", {"peak_travel_m": None}, 5),
        ("low", {"rated_power_w": None}, 6), ("high", {"description": None}, 1), ("high", {"sensitivity_db": None}, 2),
        ("high", {"fs_hz": None}, 4), ("high", {"peak_travel_m": None}, 6), ("high", {"rated_power_w": None}, 7),
        ("high", {"lowest_use_hz": None}, 8),
    ],
)  # fmt: skip
def test_the_drivers_in_a_line_each_without_what_is_not_known(part: str, gone: dict[str, Any], place: int | None) -> None:  # fmt: skip
    found = changed(changed(assessed("P-01"), "low", **LOW), "high", **HIGH)
    expected = {"LD-01": [*LOW_WORDS], "HD-01": [*HIGH_WORDS]}
    if place is not None:
        del expected["LD-01" if part == "low" else "HD-01"][place]
    assert lines(changed(found, part, **gone)) == expected


def test_a_cone_whose_break_up_is_not_known_says_so() -> None:
    assert lines(changed(assessed("P-01"), "low", breakup_hz=None))["LD-01"][-1] == "break-up not known"


@every(
    ("count", "how", "words"),
    [(1, "series", None), (2, "series", "2 in series"), (3, "parallel", "3 in parallel"), (4, "series-parallel", "4 in series and parallel")],
)  # fmt: skip
def test_how_several_drivers_are_joined_is_told_of_each_side(count: int, how: str, words: str | None) -> None:
    for side, id_, other in (("low", "LD-01", "HD-01"), ("high", "HD-01", "LD-01")):
        found = changed(assessed("P-01"), **{f"{side}_count": count, f"{side}_wiring": how})
        name = id_ if count == 1 else f"{count} × {id_}"
        told = lines(found)
        assert (told[name][-1] == words) is (words is not None) and words not in told[other]
        ids = {"low": "LD-01", "high": "HD-01", side: name}
        assert drivers_words(found.case) == f"{ids['low']} with {ids['high']}"


@every(("count", "before"), [(1, ""), (2, "2 × ")])
def test_an_id_whose_letters_run_to_the_left_turns_nothing_beside_it(count: int, before: str) -> None:
    """Between first strong isolate and pop directional isolate, U+2068 and U+2069 (Unicode UAX 9)."""
    pairing = replace(assessed("P-01").case.pairing, low_id="\u05e8\u05de", low_count=count)
    case = replace(assessed("P-01").case, pairing=pairing)
    assert drivers_words(case) == f"{before}\u2068\u05e8\u05de\u2069 with HD-01"


def test_the_waveguide_is_named_with_the_pairing_and_with_the_driver() -> None:
    found = assessed(next(id_ for id_, one in demo().pairings.items() if one.guide_id))
    pairing, guide = found.case.pairing, found.case.guide
    assert guide is not None
    assert front(found).pairing.startswith(f"{drivers_words(found.case)} in waveguide {guide.id}")
    assert f"in waveguide {guide.id}" in lines(found)[pairing.high_id if pairing.high_count == 1 else f"{pairing.high_count} × {pairing.high_id}"]  # fmt: skip


# --- names --------------------------------------------------------------------------------------------------------


def test_a_sheet_names_its_pairing_cabinet_and_kit() -> None:
    page = front(assessed("P-01"))
    pairing = assessed("P-01").case.pairing
    assert page.pairing == "LD-01 with HD-01, cabinet CB-01, high over low"
    assert (page.title, page.kit, page.anchor) == ("P-01: LD-01 with HD-01", pairing.kit, "sheet-P-01")
    assert front(changed(assessed("P-01"), kit=None)).kit == "P-01"
    assert page.changed == "" and page.maker.name == assessed("P-01").case.maker.name
    stamped = sheet_page(assessed("P-01"), replace(STAMP, changed="the crossover went to 2500 Hz", logo="data:x"))
    assert stamped.changed == "The crossover went to 2500\u00a0Hz." and stamped.maker.logo == "data:x"
    assert stamped.foot.split(" · ")[1:] == ["rev 3", "2026-11-25", "run 007", "inputs 9f3c1a77b2d4", "reportgen 0.1.0"]  # fmt: skip


def test_the_firm_is_on_every_sheet_with_all_its_lines() -> None:
    found = changed(assessed("P-01"), "maker", name="Reed & Sedge", contact_1="One street", contact_2=None, contact_3="three@example.org", footer="n" * 300)  # fmt: skip
    maker = front(found).maker
    assert (maker.name, maker.contact) == ("Reed & Sedge", ("One street", "three@example.org"))
    assert maker.footer.endswith("n…") and text_width(maker.footer, 7.0) <= 430.0 < text_width(f"{maker.footer}n", 7.0)


def test_the_corner_of_an_open_baffle_is_on_no_box() -> None:
    for kind, words in (("closed", "Corner in box"), ("vented", "Corner in box"), ("open baffle", "Corner on baffle")):
        found = changed(assessed("P-01"), "cabinet", kind=kind)
        assert words in [fact.label for column in front(found).figures for fact in column]


def test_the_key_of_the_range_names_only_what_is_drawn() -> None:
    found = assessed("P-01")
    sure = replace(found.limits[0], hz=1000.0, spread_hz=None)
    cases = {
        (sure,): ["bar-binding"], (sure, replace(sure, spread_hz=(900.0, 1100.0))): ["bar-binding", "hairline"],
        (sure, replace(sure, hz=None)): ["bar-binding", "bar-unknown"],
    }  # fmt: skip
    shows = {"bar-binding": "these bind", "hairline": "tolerance of the data", "bar-unknown": "not worked out"}
    for limits, inks in cases.items():
        page = front(replace(found, limits=limits))
        assert [(line.ink, line.shows) for line in page.range_key] == [(ink, shows[ink]) for ink in inks]
    assert [line.shows for line in front(bare()).range_key] == ["these bind", "not worked out"]


# --- what is not built --------------------------------------------------------------------------------------------


def test_a_front_without_a_build_side_says_why_and_what_follows() -> None:
    found = with_remedies()
    page = front(found)
    assert page.build is None and page.remedies is not None
    assert page.no_build == "No build side: the pairing as it stands is not to be built. The nearest yes follows."
    alone = front(replace(found, remedies=(), remedies_note="Nothing was found."))
    assert alone.no_build == "No build side: the pairing as it stands is not to be built."
    none = replace(found, network=None, not_designed="the response is missing")
    assert front(none).no_build == "No build side: no network was designed. The response is missing."
    built = front(replace(found, verdict=Verdict("suitable with conditions", "Near.")))
    assert built.no_build == "" and built.build is not None and built.remedies is None


def test_the_baffle_stands_on_a_front_in_the_place_of_the_figures_where_a_frame_does_not_fit() -> None:
    found = assessed("P-01")
    failed = replace(found.checks[0], id="frames fit", outcome="fail")
    verdict = Verdict("not suitable", "It does not fit.")
    misfit = front(replace(found, checks=(failed,), verdict=verdict))
    assert misfit.baffle is not None and misfit.figures == ()
    other = front(replace(found, checks=(replace(failed, outcome="pass"),), verdict=verdict))
    assert other.baffle is None and len(other.figures) == 3
    low = front(replace(found, checks=(failed,), verdict=verdict), Wish(annex=False, front="short"))
    assert low.baffle is not None and low.baffle.picture is not None and misfit.baffle.picture is not None
    assert low.baffle.picture.height < misfit.baffle.picture.height


def test_an_empty_range_is_called_none_on_the_front() -> None:
    found = replace(assessed("P-01"), found_range=UsableRange(3000.0, 2000.0, None, None))
    facts = [fact for column in front(found).figures for fact in column if fact.label == "Usable range"]
    assert [(fact.value, fact.note) for fact in facts] == [("none", "")]
    open_ = replace(assessed("P-01"), found_range=UsableRange(3000.0, None, None, None), crossover_hz=None)
    facts = [fact for column in front(open_).figures for fact in column][:3]
    assert [(fact.label, fact.value.replace("\u00a0", " "), fact.note) for fact in facts] == [
        ("Crossover", "–", ""), ("Acoustic slopes", "Linkwitz-Riley, order 4", ""), ("Usable range", "from 3000 Hz", ""),
    ]  # fmt: skip
