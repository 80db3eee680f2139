"""Cautions: each kind of driver brings its own, grave ones first, and the work's are never left out."""

from __future__ import annotations

from reportgen.pairing.as_used import Setting
from reportgen.suitability.cautions import WORK, Caution, all_cautions, of_the_place
from tests.demo_catalogue import demo
from tests.every import every
from tests.suitability.workbench import changed, of_kind


def cautions(kind: str, **pairing: object) -> dict[str, Caution]:
    return {one.id: one for one in all_cautions(Setting(changed(of_kind(kind), pairing=pairing)))}


WORDS = {
    # what the trade warns of in each kind; common practice, no source; beryllium: 29 CFR 1910.1024
    "soft dome": ("dent", "magnet"),
    "metal dome": ("dent", "screen"),
    "beryllium dome": ("toxic", "0.2 µg/m³", "nobody vacuums", "disposer", "screen", "keep others out"),
    "true ribbon": (
        "breath",
        "vacuum cleaner",
        "flutters",
        "measure level and response again",
        "battery",
        "open window",
        "middle of the gap",
        "sags or is creased",
    ),
    "planar magnetic": ("swarf", "film", "too hot", "Rugged"),
    "coated dome": ("ask the maker", "toxic", "flakes"),
    "folded diaphragm": ("Never blow", "folds", "rear cup"),
    "compression driver": ("horn", "hearing"),
}


@every("kind", sorted(WORDS))
def test_each_kind_warns_of_its_own_hazards(kind: str) -> None:
    text = " ".join(one.text for one in cautions(kind).values() if one.applies_to == "HD-01")
    for words in WORDS[kind]:
        assert words in text, words


def test_every_kind_of_the_workbook_is_covered() -> None:
    assert set(WORDS) == set(demo().technologies)


@every("kind", sorted(WORDS))
def test_the_work_always_warns(kind: str) -> None:
    found = cautions(kind)
    assert [one[0] for one in WORK] == list(found)[-len(WORK) :]
    assert "implant" in found["magnets"].text and "licensed" in found["electricity"].text
    assert "law or a licensed practitioner" in found["local codes"].text


@every("kind", sorted(WORDS))
def test_grave_cautions_stand_first(kind: str) -> None:
    own = [one.grave for one in cautions(kind, peak_level_db=90.0).values() if one.id not in {row[0] for row in WORK}]
    assert own == sorted(own, reverse=True)


def test_beryllium_is_grave_and_only_where_it_is() -> None:
    first = next(iter(cautions("beryllium dome", peak_level_db=80.0).values()))
    assert first.id == "beryllium" and first.grave and first.source == "29 CFR 1910.1024"
    assert all("beryllium" not in cautions(kind) for kind in WORDS if kind != "beryllium dome")


@every(
    ("peak_db", "time", "grave"),
    [(95.0, "8 h", True), (98.0, "4 h", True), (104.0, "1 h", True), (107.0, "30 min", True), (130.0, " 9 s a day", True), (94.9, "8.2 h", False), (92.0, "16 h", False), (90.5, "23 h", False), (90.0, "all day", False), (80.0, "all day", False)],
)  # fmt: skip
def test_hearing_follows_the_recommended_limit(peak_db: float, time: str, grave: bool) -> None:
    # NIOSH 98-126: 85 dBA for 8 h, halved every 3 dB; the programme lies 10 dB under its loudest tone (practice)
    found = cautions("soft dome", peak_level_db=peak_db)["hearing"]
    assert time in found.text and found.grave is grave and "NIOSH 98-126" in found.source


def test_what_stands_high_may_tip_and_what_is_closed_must_be_tight() -> None:
    kinds = {"stand": {"stand_height_m": 0.7}, "floor": {"stand_height_m": 0.0, "baffle_height_m": 0.36}}
    found = {name: {one.id for one in all_cautions(Setting(changed(cabinet=fields)))} for name, fields in kinds.items()}
    assert "tipping" in found["stand"] and "tipping" not in found["floor"] and "leaks" in found["floor"]
    tall = changed(cabinet={"stand_height_m": 0.0, "baffle_height_m": 1.1, "baffle_width_m": 0.2})
    assert "tipping" in {one.id for one in all_cautions(Setting(tall))}
    panel = changed(cabinet=demo().cabinets["CB-05"])
    assert "leaks" not in {one.id for one in all_cautions(Setting(panel))}


@every(
    ("stand_m", "height_m", "width_m", "depth_m", "tips"),
    [
        (0.0, 0.81, 0.4, 0.2, True),  # four times the narrower of both sides of its base
        (0.0, 0.81, 0.2, 0.4, True),
        (0.0, 0.79, 0.4, 0.2, False),
        (0.0, 0.81, 0.2, None, True),
        (0.29, 0.4, 0.2, 0.2, False),
        (0.3, 0.4, 0.4, 0.4, True),
    ],
)  # common practice, no source
def test_what_tips_over(stand_m: float, height_m: float, width_m: float, depth_m: float | None, tips: bool) -> None:
    cabinet = {"stand_height_m": stand_m, "baffle_height_m": height_m, "baffle_width_m": width_m, "depth_m": depth_m}
    assert ("tipping" in {one.id for one in all_cautions(Setting(changed(cabinet=cabinet)))}) is tips


@every(
    ("use", "word", "tips"),
    [
        ({"surroundings": "vehicle"}, "airbags", False),
        ({"surroundings": "outdoors"}, "residual-current device", True),
        ({"surroundings": "public"}, "falls on them", True),
        ({"placement": "in a wall"}, "", False),
        ({"placement": "in a wall", "surroundings": "public"}, "falls on them", False),
        ({"placement": "in a wall", "surroundings": "outdoors"}, "residual-current device", False),
        ({"surroundings": "home"}, "", True),
    ],
)  # common practice, no source
def test_the_place_has_its_own_dangers_and_nothing_tips_that_is_built_in(
    use: dict[str, str], word: str, tips: bool
) -> None:
    found = {one.id: one.text for one in all_cautions(Setting(changed(pairing=use, cabinet={"stand_height_m": 0.7})))}
    assert word in found.get("place", "") and ("place" in found) is bool(word)
    assert ("cables, pipes" in found.get("wall", "")) is (
        "placement" in use
    )  # the wall takes no word from what is around
    assert "licensed" in found.get("place", "licensed") and ("tipping" in found) is tips


def test_a_mail_is_told_of_the_wall_and_of_what_is_around() -> None:
    wall, water = of_the_place("in a wall", "outdoors")
    assert "cables, pipes" in wall and "residual-current device" in water
    assert of_the_place("near a wall", "home") == of_the_place(None, "studio") == ()


def test_a_screen_that_is_missing_does_not_stay_on() -> None:
    """The words of the beryllium caution; the same order of keep out, keep others out, ask first."""
    with_, without = (
        next(one.text for one in all_cautions(Setting(changed(of_kind("beryllium dome"), high={"screen": has}))) if one.id == "beryllium")
        for has in (True, False)
    )  # fmt: skip
    assert "; the screen stays on." in with_ and "it needs a screen that stays on." in without
    assert without.index("keep out") < without.index("keep others out") < without.index("ask the maker")


def test_servicing_says_what_to_measure_afterwards() -> None:
    for kind in WORDS:
        technology = demo().technologies[kind]
        assert technology.servicing in cautions(kind)["servicing"].text
        assert technology.after_service in cautions(kind)["servicing"].text
