"""From an assessment to its printed sheet: the front in words, and what the two other parts of a sheet add to it.

Knows what an assessment holds and what a page wants. Refuses to judge, and to know how a page is laid out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from reportgen.pairing.as_used import rear_words
from reportgen.paper import wording
from reportgen.paper.annexes import annex_block, remedies_block
from reportgen.paper.building import baffle_block, build_block
from reportgen.paper.cautionbox import THE_WORK as THE_WORK
from reportgen.paper.cautionbox import caution_item as caution_item
from reportgen.paper.cautionbox import cautions_block
from reportgen.paper.drawings import KeyLine
from reportgen.paper.frontfigures import figure_columns
from reportgen.paper.frontfigures import slope_words as slope_words
from reportgen.paper.lettering import apart, shortened
from reportgen.paper.pages import AnnexBlock, Fact, MakerBlock, Part, RemediesBlock, SheetPage, VerdictBlock
from reportgen.paper.printing import Stamp
from reportgen.paper.rangepicture import range_picture
from reportgen.paper.wording import MARKS, NONE, hertz, number, printed, sentence, with_unit

if TYPE_CHECKING:
    from reportgen.assessment import Assessment
    from reportgen.catalogue.records import Case, Maker

MOST = 10
"""Up to so many pieces a build side is first tried with all of its parts list."""

FOOT_SIZE, FOOT_NAME, FOOT_LINE = 7.0, 165.0, 430.0
"""Size of letters at the foot, and room (points) there for the name of a kit or season and for the maker's own line, on one line each."""

NEAREST = 3
"""Of more ways out than these the others stand in the annex where the front is full."""

Front = Literal["roomy", "", "dense", "short", "two"]


@dataclass(frozen=True, slots=True)
class Wish:
    """How a sheet is wanted: with inches beside millimetres, with its annex, and how tightly it is set.

    `front` is "roomy" for larger type where little stands there, "dense" for the smallest that may be printed, or "short"
    for that with the nearest changes only (the others in the annex) and a low drawing of the baffle, or "two" for the usual
    type on two sides where even that is too much: verdict, ways out and cautions, then what they rest on;
    `close` asks for the smallest type in the annex; `build` is 0, 1 (the smallest type), 2 (also the wiring of equal drivers in the annex) or 3 (also what to mind on the board there).
    """

    inches: bool = False
    annex: bool = True
    front: Front = ""
    build: int = 0
    close: bool = False

    @property
    def style(self) -> str:
        """The classes by which the style sheet knows it."""
        front = "dense-front" if self.front == "short" else self.front and f"{self.front}-front"
        build = "dense-build" if self.build else ""
        return " ".join(filter(None, (front, build, "dense-annex" if self.close else "")))


PLAIN = Wish()


def anchor_of(id_: str) -> str:
    """The link target of a sheet: letters, digits and hyphens, different for different IDs.

    >>> anchor_of("P-01"), anchor_of("P 1/ä")
    ('sheet-P-01', 'sheet-P_20_1_2f__e4_')
    """
    return "sheet-" + re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", id_)


def maker_block(maker: Maker, logo: str) -> MakerBlock:
    """The firm as every page shows it."""
    return MakerBlock(maker.name, maker.contact_lines, logo, shortened(maker.footer or "", FOOT_SIZE, FOOT_LINE))


def stamp_facts(stamp: Stamp, id_: str = "") -> tuple[Fact, ...]:
    """What identifies the paper, so that it can be found again in History."""
    named = (Fact("Pairing", id_),) if id_ else ()
    return (
        *named,
        Fact("Revision", stamp.revision),
        Fact("Date", stamp.date.isoformat()),
        Fact("Run", f"{stamp.run:03d}"),
        Fact("Inputs", stamp.fingerprint[:12]),
    )


def foot_words(stamp: Stamp, name: str) -> str:
    """The line at the foot by which a loose page is found again."""
    run = f"run {stamp.run:03d} · inputs {stamp.fingerprint[:12]}"
    return f"{name} · rev {stamp.revision} · {stamp.date.isoformat()} · {run} · reportgen {stamp.version}"


def desk_facts(stamp: Stamp, *named: Fact) -> tuple[Fact, ...]:
    """What identifies a page of the desk: its own number, date, the workbook."""
    return (*named, Fact("Date", stamp.date.isoformat()), Fact("Workbook", stamp.fingerprint[:12]))


def desk_foot(stamp: Stamp, name: str) -> str:
    """The line at the foot of a page of the desk."""
    return f"{name} · {stamp.date.isoformat()} · workbook {stamp.fingerprint[:12]} · reportgen {stamp.version}"


def buildable(found: Assessment) -> bool:
    """True for a pairing that gets a build side."""
    return found.design is not None and found.verdict.word != "not suitable"


def first_wish(found: Assessment, inches: bool, annex: bool) -> Wish:
    """How a sheet is set before anything is known of its room: what many pieces leave no room for stands in the annex."""
    pieces = sum(max(len(line.made_of), 1) for line in found.parts)
    several = max(found.case.pairing.low_count, found.case.pairing.high_count) > 1
    return Wish(inches, annex, "", 2 if several or pieces > MOST else 0)


def tighter(wish: Wish, page: SheetPage, front_pages: int, build_pages: int) -> Wish:
    """The same with what runs over set tighter; the same again where nothing more can be done."""
    closer: dict[Front, Front] = {
        "roomy": "",
        "": "dense",
        "dense": "dense" if page.build else "short",
        "short": "two",
        "two": "two",
    }
    if front_pages > 1:
        wish = replace(wish, front=closer[wish.front])
    if build_pages < 2 or page.build is None:
        return wish
    return replace(wish, build=3 if wish.build and not page.build.wirings else min(wish.build + 1, 3))


def sheet_page(found: Assessment, stamp: Stamp, wish: Wish = PLAIN, part: Part = "") -> SheetPage:
    """Everything that is printed of one pairing, or only its two sides, or its annex."""
    case, inches = found.case, wish.inches
    build = build_block(found, inches, wish.build, wish.annex) if buildable(found) else None
    unbuilt = build is None
    baffle = baffle_block(found, inches, wish.front == "short") if unbuilt and _misfit(found) else None
    nearest, _ = _ways(found, wish)
    return SheetPage(
        lang="en",
        title=f"{found.id}: {drivers_words(case)}",
        subject=f"{found.verdict.word}: {printed(found.headline, inches)}",
        anchor=anchor_of(found.id),
        maker=maker_block(case.maker, stamp.logo),
        stamp=stamp_facts(stamp, found.id),
        foot=foot_words(stamp, _kit_words(case)),
        kit=case.pairing.kit or found.id,
        pairing=_pairing_words(case),
        changed=sentence(printed(stamp.changed, inches)),
        verdict=_verdict(found, inches),
        figures=figure_columns(found, inches) if baffle is None else (),
        range_picture=range_picture(found.limits, found.found_range, found.crossover_hz),
        range_key=tuple(_range_key(found)),
        drivers=tuple(_drivers(case, inches)),
        cautions=cautions_block(
            "Read this before you open the box",
            [c for c in found.cautions if c.applies_to != THE_WORK or (unbuilt and c.grave)],
            inches,
        ),
        remedies=nearest,
        baffle=baffle,
        build=build,
        no_build=_no_build(found, nearest, inches) if unbuilt else "",
        annex=_annex(found, wish) if wish.annex and part != "sides" else None,
        part=part,
        style=wish.style,
    )


def set_again(page: SheetPage, found: Assessment, stamp: Stamp, old: Wish, new: Wish) -> SheetPage:
    """The sides of a sheet set another way; composed again only where that changes what stands there."""
    if new.front in ("short", "two") or max(old.build, 1) != max(new.build, 1):
        return sheet_page(found, stamp, new, "sides")
    return replace(page, style=new.style)


def annex_page(sides: SheetPage, found: Assessment, wish: Wish) -> SheetPage:
    """The annex that goes with the sides of a sheet."""
    return replace(sides, annex=_annex(found, wish), part="annex", style=wish.style)


def _annex(found: Assessment, wish: Wish) -> AnnexBlock:
    return annex_block(found, wish.inches, _ways(found, wish)[1], wish.build if buildable(found) else 0)


def _ways(found: Assessment, wish: Wish) -> tuple[RemediesBlock | None, RemediesBlock | None]:
    """The ways out that stand on the front, and those in the annex."""
    block = remedies_block(found, wish.inches)
    if buildable(found):
        return None, block
    return _cut(block, NEAREST if wish.front == "short" and wish.annex else None)


def _several(count: int, name: str) -> str:
    return apart(name) if count == 1 else f"{count} × {apart(name)}"


def drivers_words(case: Case) -> str:
    """The two drivers of a pairing by their IDs, with how many of each."""
    pairing = case.pairing
    return f"{_several(pairing.low_count, pairing.low_id)} with {_several(pairing.high_count, pairing.high_id)}"


def _pairing_words(case: Case) -> str:
    guide = f" in waveguide {case.pairing.guide_id}" if case.pairing.guide_id else ""
    rear = rear_words(case.high, case.pairing.rear_use, case.pairing.chamber_m3)
    used = f"{drivers_words(case)}{guide}{', ' if rear else ''}{rear}"
    return f"{used}, cabinet {case.pairing.cabinet_id}, {case.pairing.arrangement}"


def _kit_words(case: Case) -> str:
    """The pairing as the foot names it, its ID whole."""
    kit = case.pairing.kit
    return f"{apart(shortened(kit, FOOT_SIZE, FOOT_NAME))}, {case.pairing.id}" if kit else case.pairing.id


def _cut(block: RemediesBlock | None, most: int | None) -> tuple[RemediesBlock | None, RemediesBlock | None]:
    """The first ways out, and a block of the others: none where there are no more than `most`, or no bound."""
    if block is None or most is None or len(block.rows) <= most:
        return block, None
    note = f"{block.note} {wording.counted(len(block.rows) - most, 'more way')} in the annex.".lstrip()
    return replace(block, rows=block.rows[:most], note=note), RemediesBlock("Other ways", block.rows[most:], "")


def _verdict(found: Assessment, inches: bool) -> VerdictBlock:
    verdict = found.verdict
    fails = [f"{title}. {_with_limit(found, text, inches)}" for title, text in verdict.fails if not _said(found, text)]
    told = [text for _, text in verdict.marginals]
    if verdict.word == "not suitable":  # else what is unknown is the reason
        told = [*(one.text for one in found.checks if one.outcome == "not assessed" and one.essential), *told]
    kept, near = (
        tuple(dict.fromkeys(_with_limit(found, text, inches) for text in texts if text not in verdict.reason))
        for texts in (verdict.conditions, wording.gaps_together(told))
    )
    reason = _with_limit(found, verdict.reason, inches)
    if found.against:
        reason = f"{sentence(printed(found.against, inches))} {reason}"
    unknown = any(check.outcome == "not assessed" and check.text in told for check in found.checks)
    head = "Near a limit, a little past it, or not known" if unknown else "Near a limit, or a little past it"
    return VerdictBlock(MARKS[verdict.word], reason, tuple(fails), kept, near, head)


def _with_limit(found: Assessment, text: str, inches: bool) -> str:
    """What a check says, and its limit behind it where the words do not name it."""
    told = sentence(printed(text, inches))
    for check in found.checks:
        if check.text == text and check.limit and check.unit not in ("", "Hz"):
            unit = wording.PRINTED_UNITS.get(check.unit, check.unit)
            digits = wording.digits_of(check.unit, check.value, check.limit)
            limit = f"{number(check.limit, digits)}{wording.NO_BREAK}{unit}"
            above = check.value is not None and check.value > check.limit
            kept = check.margin is None or check.margin >= 0.0
            return (
                told
                if re.search(rf"(?<![\d.]){re.escape(limit)}", told)
                else f"{told} Limit: {limit} at {'least' if above == kept else 'most'}."
            )
    return told


def _said(found: Assessment, text: str) -> bool:
    """True when the reason of the verdict tells this fail already, whole or as one of the two bounds of an empty range."""
    reason, ranged = found.verdict.reason, found.found_range
    bounds = [limit.text for limit in (ranged.low_binding, ranged.high_binding) if limit is not None]
    return text in reason or any(bound and text.startswith(bound) and bound in reason for bound in bounds)


def _range_key(found: Assessment) -> Iterator[KeyLine]:
    """What the inks of the range show that no word in it names."""
    yield KeyLine("bar-binding", "these bind")
    ranged = found.found_range
    inside = any(
        limit.hz and (ranged.low_hz or 0.0) < limit.hz < (ranged.high_hz or math.inf)
        for limit in found.limits
        if not limit.wall
    )
    if inside and not ranged.empty:
        yield KeyLine("bar", "in the range they are no wall: the checks of the network decide")
    if any(limit.spread_hz for limit in found.limits):
        yield KeyLine("hairline", "tolerance of the data")
    if any(limit.hz is None for limit in found.limits):
        yield KeyLine("bar-unknown", "not worked out")


def _drivers(case: Case, inches: bool) -> Iterator[Fact]:
    """Each of the two drivers in one line."""
    low, high, pairing = case.low, case.high, case.pairing
    load = f"{with_unit(low.nominal_impedance_ohm, 'ohm')} (Re {with_unit(low.re_ohm, 'ohm')})"
    yield Fact(_several(pairing.low_count, low.id), _listed(
        apart(low.description or ""), with_unit(low.sensitivity_db, "dB"), load, f"Fs {hertz(low.fs_hz)}",
        _once(f"{number(low.diaphragm_area_m2 * 1e4)}{wording.NO_BREAK}cm²", low.description),
        f"travel {wording.small_millimetres(low.peak_travel_m)}" if low.peak_travel_m is not None else None,
        with_unit(low.rated_power_w, "W"),
        f"breaks up at {hertz(low.breakup_hz)}" if low.breakup_hz else "break-up not known",
        _joined(pairing.low_count, pairing.low_wiring),
    ))  # fmt: skip
    load = f"{with_unit(high.nominal_impedance_ohm, 'ohm')} (Re {with_unit(high.re_ohm, 'ohm')})"
    size = wording.size(high.radiating_width_m, high.radiating_height_m, high.shape == "round", inches)
    yield Fact(_several(pairing.high_count, high.id), _listed(
        _once(case.technology.id, high.description), apart(high.description or ""), f"in waveguide {case.guide.id}" if case.guide else None,
        rear_words(high, pairing.rear_use, pairing.chamber_m3), with_unit(high.sensitivity_db, "dB"), load, f"Fs {hertz(high.fs_hz)}" if high.fs_hz else None, _once(size, high.description),
        f"travel {wording.small_millimetres(high.peak_travel_m)}" if high.peak_travel_m is not None else None,
        with_unit(high.rated_power_w, "W"),
        f"lowest use {hertz(high.lowest_use_hz)}" if high.lowest_use_hz else None,
        _joined(pairing.high_count, pairing.high_wiring),
    ))  # fmt: skip


def _once(text: str, description: str | None) -> str | None:
    """The text; None where it stands in the description word for word.

    >>> _once("soft dome", "27 mm Soft Dome"), _once("4 cm²", "14 cm² cone")
    (None, '4 cm²')
    """
    said, plain = (printed(one).replace(wording.NO_BREAK, " ").casefold() for one in (description or "", text))
    return None if re.search(rf"(?<!\w){re.escape(plain)}(?!\w)", said) else text


def _joined(count: int, how: str) -> str | None:
    return (
        None if count == 1 else f"{count} in {how}" if how != "series-parallel" else f"{count} in series and parallel"
    )


def _listed(*parts: str | None) -> str:
    return "; ".join(part for part in parts if part and part != NONE)


def _misfit(found: Assessment) -> bool:
    """True when a frame on the baffle is among what fails."""
    return bool(found.layout.frames) and any(
        check.outcome == "fail" and check.id == "frames fit" for check in found.checks
    )


def _no_build(found: Assessment, remedies: RemediesBlock | None, inches: bool) -> str:
    if found.design is None:
        return f"No build side: no network was designed. {sentence(printed(found.not_designed, inches))}"
    nearest = f" {remedies.heading} follows." if remedies is not None and remedies.rows else ""
    return f"No build side: the pairing as it stands is not to be built.{nearest}"
