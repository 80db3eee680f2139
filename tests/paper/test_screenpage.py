"""The page for the screen: self-contained, and in a real browser it sorts, filters and takes the keyboard."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import html as lxml_html

from reportgen.assessment import outline
from reportgen.paper.frontfigures import figure_columns
from reportgen.paper.screenpage import render_screen_page, screen_page
from tests.paper.browser import PROGRAM, Browser
from tests.paper.samples import STAMP, bare, plain, suitable, undecided, with_remedies

needs_browser = pytest.mark.skipif(PROGRAM is None, reason="Chromium is not installed")


def page() -> str:
    found = [suitable("P-06"), plain(), with_remedies(), replace(undecided(), crossover_hz=None)]
    sheets = {one.id: f"sheets/{one.id} a&b.pdf" for one in found[:3]}
    made = screen_page(
        found, found[0].case.maker, STAMP, sheets, "Spring 2027", ["High drivers!F12: <b>-3</b> stands here."]
    )
    return "".join(render_screen_page(made))


def test_nothing_is_fetched() -> None:
    # every address in the page is a data: URL, a sheet beside it, or the name of the SVG language
    text = page()
    for address in re.findall(r"(?:src|href|url\()=?[\"']?([^\"'\s>)]+)", text):
        assert address.startswith(("data:image/svg+xml;charset=utf-8;base64,", "sheets/"))
    assert "<link" not in text
    assert "@import" not in text
    assert not re.search(r"<script[^>]+src", text)


def test_every_row_has_its_range_its_reason_and_its_sheet() -> None:
    tree = lxml_html.fromstring(page())
    rows = tree.xpath("//table[@id='pairings']/tbody/tr")
    assert [row.get("data-id") for row in rows] == ["P-06", "P-01", "P-03", "P-21"]
    for row in rows:
        (picture,) = row.xpath(".//img")
        assert "sable" in picture.get("alt")
        assert row.xpath("string(td[last()])").strip()
    assert rows[0].xpath(".//a/@href") == ["sheets/P-06%20a%26b.pdf"]
    assert not rows[3].xpath(".//a")
    assert tree.xpath("//ul/li[contains(., '<b>-3</b>')]")


def test_it_can_be_used_without_a_mouse_and_without_eyes() -> None:
    # WAI-ARIA authoring practices: sortable columns are buttons in heads that carry aria-sort; changes are announced
    tree = lxml_html.fromstring(page())
    assert tree.get("lang") == "en"
    assert tree.xpath("//main")
    assert tree.xpath("//table/caption")
    assert all(head.get("scope") for head in tree.xpath("//th"))
    assert len(tree.xpath("//th[@aria-sort='none']/button")) == 5
    assert tree.xpath("//output[@role='status']")
    for box in tree.xpath("//input"):
        assert box.xpath("ancestor::label")
    assert all(picture.get("alt") for picture in tree.xpath("//img"))


def test_a_season_of_one_without_anything_known() -> None:
    found = bare()
    assert (
        "no limit known"
        in "".join(render_screen_page(screen_page([found], found.case.maker, STAMP, {}, "Nothing"))).lower()
    )


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with Browser() as one:
        yield one


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("screen") / "index.html"
    file.write_text(page(), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def long_season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of 230 rows: K-0 to K-229, every tenth of a kit of its own name, of the others the first hundred."""
    found = outline(plain())
    many = []
    for number in range(230):
        kit = "Tenth" if number % 10 == 0 else "Early" if number < 112 else "Late"
        pairing = replace(found.case.pairing, id=f"K-{number}", kit=kit)
        many.append(replace(found, case=replace(found.case, pairing=pairing)))
    file = tmp_path_factory.mktemp("screen") / "index.html"
    made = screen_page(many, found.case.maker, STAMP, {}, "A long season")
    file.write_text("".join(render_screen_page(made)), encoding="utf-8")
    return file


def shown(browser: Browser) -> list[str]:
    return browser.run(
        "[...document.querySelectorAll('tbody tr')].filter(row => row.checkVisibility()).map(row => row.dataset.id)"
    )  # type: ignore[no-any-return]


def sorted_by(browser: Browser) -> list[str]:
    heads = "[...document.querySelectorAll('th[aria-sort]:not([aria-sort=none])')]"
    return browser.run(
        f"{heads}.map(head => head.querySelector('button').dataset.key + ' ' + head.getAttribute('aria-sort'))"
    )  # type: ignore[no-any-return]


NONE = "document.getElementById('none').checkVisibility()"
CLICK = "document.querySelector('button[data-key=%s]').click()"
TYPE = "(text => { const f = document.getElementById('find'); f.value = text; f.dispatchEvent(new Event('input')); })('%s')"


@needs_browser
def test_sorting_and_filtering_in_a_browser(browser: Browser, season: Path) -> None:
    browser.open(season)
    browser.run(CLICK % "id")
    assert shown(browser) == ["P-01", "P-03", "P-06", "P-21"]
    assert sorted_by(browser) == ["id ascending"]
    browser.run(CLICK % "crossover")
    browser.run(CLICK % "crossover")
    assert sorted_by(browser) == ["crossover descending"]
    rates = browser.run("[...document.querySelectorAll('tbody tr')].map(row => row.dataset.crossover)")
    assert rates[-1] == "" and [float(hz) for hz in rates[:-1]] == sorted(map(float, rates[:-1]), reverse=True)
    browser.run(CLICK % "crossover")
    assert browser.run("[...document.querySelectorAll('tbody tr')].map(row => row.dataset.crossover)") == [*reversed(rates[:-1]), ""]  # fmt: skip
    browser.run(TYPE % "REED")
    browser.run("document.querySelector('input[value=\"not suitable\"]').click()")
    assert shown(browser) == ["P-01"]
    assert browser.run("document.querySelector('output').textContent") == "1 of 4 pairings"
    assert not browser.run(NONE)
    browser.run(TYPE % "reed nowhere")
    assert shown(browser) == [] and browser.run(NONE)
    assert not browser.run("document.getElementById('filters').dispatchEvent(new Event('submit', {cancelable: true}))")


@needs_browser
@pytest.mark.parametrize("order", ["ascending", "descending"])
def test_what_was_looked_for_is_there_again(browser: Browser, season: Path, order: str) -> None:
    browser.open(season, f"#find=reed&not=not+suitable&sort=crossover+{order}")
    assert shown(browser) == ["P-01"]
    assert sorted_by(browser) == [f"crossover {order}"]


@needs_browser
def test_going_back_leads_to_what_was_looked_for(browser: Browser, season: Path, long_season: Path) -> None:
    browser.open(season)
    browser.run(CLICK % "price")
    browser.run("document.querySelector('input[value=\"not suitable\"]').click()")
    browser.run(TYPE % "reedmace")
    browser.run("new Promise(done => setTimeout(done, 300))")  # it is remembered when typing pauses
    browser.open(long_season)
    browser.run("document.getElementById('more').click()")
    assert len(shown(browser)) == 200
    browser.back()
    assert shown(browser) == ["P-01"] and sorted_by(browser) == ["price ascending"]
    browser.back(-1)
    assert len(shown(browser)) == 200


@needs_browser
def test_a_row_opens_its_figures_and_its_front(browser: Browser, season: Path) -> None:
    browser.open(season)
    visible = "document.querySelector('tbody .%s').checkVisibility()"
    assert not browser.run(visible % "front")
    assert not browser.run(visible % "figures")
    browser.run("document.querySelector('tbody summary').focus()")
    for kind in ("keyDown", "keyUp"):
        browser.ask("Input.dispatchKeyEvent", type=kind, key="Enter", code="Enter", text="\r", windowsVirtualKeyCode=13)
    assert browser.run(visible % "front")
    assert browser.run(visible % "figures")


@needs_browser
def test_of_a_long_season_the_first_rows_stand_there_and_more_near_their_end(
    browser: Browser, long_season: Path
) -> None:
    browser.open(long_season)
    assert shown(browser) == [f"K-{number}" for number in range(100)]
    assert browser.run("document.getElementById('more').textContent") == "Show more: 100 of 230 stand here"
    assert browser.run("document.querySelector('output').textContent") == "230 of 230 pairings"
    browser.run(TYPE % "tenth")
    assert shown(browser) == [f"K-{number}" for number in range(0, 230, 10)]
    browser.run(TYPE % "early")
    assert len(shown(browser)) == 100 and not browser.run("document.getElementById('more').checkVisibility()")
    browser.run(TYPE % "")
    browser.run("document.getElementById('more').click()")
    assert len(shown(browser)) == 200
    browser.run("new Promise(done => { scrollTo(0, document.body.scrollHeight); setTimeout(done, 300); })")
    assert len(shown(browser)) == 230
    assert not browser.run("document.getElementById('more').checkVisibility()")
    browser.run(CLICK % "id")
    assert shown(browser) == [f"K-{number}" for number in range(230)]
    browser.run(CLICK % "id")
    assert shown(browser)[0] == "K-229"
    browser.run("scrollTo(0, 0)")
    browser.run(TYPE % "")
    assert len(shown(browser)) == 100  # of another question the first ones again


@needs_browser
def test_a_large_price_stays_on_the_page(browser: Browser, season: Path, tmp_path: Path) -> None:
    """Seven digits of a network that has none: as wide as a large screen, a small one and a phone are."""
    price = "1\u00a0152\u00a0856\u00a0JPY + network"
    page = re.sub(
        'data-label="Price of one">[^<]*<', f'data-label="Price of one">{price}<', season.read_text(encoding="utf-8")
    )
    assert price in page
    (tmp_path / "index.html").write_text(page, encoding="utf-8")
    try:
        for width in (1600, 1300, 1000, 400):
            browser.ask(
                "Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=False
            )
            browser.open(tmp_path / "index.html")
            over = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            cell = "[...document.querySelectorAll('td[data-label=Price]')].every(one => one.scrollWidth <= one.clientWidth)"
            assert (browser.run(over), browser.run(cell)) == (0, True), width
    finally:
        browser.ask("Emulation.clearDeviceMetricsOverride")


@needs_browser
def test_printed_it_is_a_table_of_all_rows(browser: Browser, long_season: Path, tmp_path: Path) -> None:
    browser.open(long_season)
    browser.run("document.querySelector('details').open = true")
    (tmp_path / "printed.pdf").write_bytes(browser.printed())
    laid = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "printed.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = laid.strip("\f").split("\f")
    assert len(pages) > 3
    for one in pages:
        line = next(line for line in one.splitlines() if "Verdict" in line)
        heads = [word for word in line.split() if word.isalpha() and word != "Hz"]  # beside the figures of the axis
        assert heads == ["Pairing", "Verdict", "Range", "Crossover", "Price", "of", "one", "First", "reason"]
    assert set(re.findall(r"K-\d+", laid)) == {f"K-{number}" for number in range(230)}
    assert "Find" not in laid
    assert laid.count("Sensitivity") == 1  # of the row that is open


def test_a_row_has_the_figures_of_its_sheet() -> None:
    found = suitable("P-06")
    assert found.figures is not None
    page = screen_page([outline(found)], found.case.maker, STAMP, {}, "One")
    (lines,) = lxml_html.fromstring("".join(render_screen_page(page))).xpath("//p[@class='figures']/text()")
    told = dict(line.split("\t")[:2] for line in lines.splitlines())
    assert told["Sensitivity"] == f"{found.figures.sensitivity_db:.1f}\u00a0dB"
    assert told["Network"] == f"{found.figures.pieces} pieces"
    on_the_sheet = {fact.label: fact.value for column in figure_columns(found) for fact in column}
    assert {
        "Sensitivity",
        "Effective range",
        "Corner in box",
        "Rated impedance",
        "Amplifier",
        "Highest level",
        "Network",
        "Net volume",
    } <= set(told)
    assert told == {label: on_the_sheet[label] for label in told}


def test_it_leads_to_the_catalogue() -> None:
    found = plain()
    one = screen_page([found], found.case.maker, STAMP, {}, "Spring", (), ["catalogue.pdf"])
    two = screen_page([found], found.case.maker, STAMP, {}, "Spring", (), ["catalogue-1.pdf", "catalogue-2.pdf"])
    assert [(fact.label, fact.value) for fact in one.booklets] == [("The catalogue as PDF", "catalogue.pdf")]
    assert [fact.label for fact in two.booklets] == ["Catalogue, volume 1", "Catalogue, volume 2"]
    assert lxml_html.fromstring("".join(render_screen_page(two))).xpath("//a[@href='catalogue-2.pdf']")


def test_dark_forced_colours_and_print_are_provided_for() -> None:
    text = page()
    for wanted in ("prefers-color-scheme: dark", "forced-colors: active", "@media print"):
        assert wanted in text
