"""The page for the screen: self-contained, and in a real browser it sorts, filters and takes the keyboard."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from lxml import html as lxml_html

from reportgen.paper.screenpage import render_screen_page, screen_page
from tests.paper.samples import STAMP, bare, plain, suitable, undecided, with_remedies

BROWSER = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), None)
needs_browser = pytest.mark.skipif(BROWSER is None, reason="Chromium is not installed")


def page() -> str:
    found = [suitable("P-06"), plain(), with_remedies(), undecided()]
    sheets = {one.id: f"sheets/{one.id} a&b.pdf" for one in found[:3]}
    made = screen_page(
        found, found[0].case.maker, STAMP, sheets, "Spring 2027", ["High drivers!F12: <b>-3</b> stands here."]
    )
    return render_screen_page(made)


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
    assert "no limit known" in render_screen_page(screen_page([found], found.case.maker, STAMP, {}, "Nothing")).lower()


def dumped(tmp_path: Path, action: str) -> lxml_html.HtmlElement:
    """The page after `action` (script), as a browser sees it."""
    file = tmp_path / "index.html"
    file.write_text(page().replace("</body>", f"<script>{action}</script></body>"), encoding="utf-8")
    assert BROWSER is not None
    command = [
        BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run",
        "--disable-component-update", "--disable-sync", f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", file.as_uri(),
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    return lxml_html.fromstring(done.stdout)


def shown(tree: lxml_html.HtmlElement) -> list[str]:
    return [row.get("data-id") for row in tree.xpath("//tbody/tr[not(@hidden)]")]


CLICK = "document.querySelector('button[data-key=%s]').click();"


@needs_browser
def test_sorting_and_filtering_in_a_browser(tmp_path: Path) -> None:
    by_id = dumped(tmp_path / "a" if (tmp_path / "a").mkdir() is None else tmp_path, CLICK % "id")
    assert shown(by_id) == ["P-01", "P-03", "P-06", "P-21"]
    assert by_id.xpath("//th[@aria-sort='ascending']/button/@data-key") == ["id"]
    (tmp_path / "b").mkdir()
    backwards = dumped(tmp_path / "b", CLICK % "crossover" + CLICK % "crossover")
    rates = [float(row.get("data-crossover")) for row in backwards.xpath("//tbody/tr")]
    assert rates == sorted(rates, reverse=True)
    (tmp_path / "c").mkdir()
    filtered = dumped(
        tmp_path / "c",
        "var f = document.getElementById('find'); f.value = 'REED'; f.dispatchEvent(new Event('input'));"
        "document.querySelector('input[value=\"not suitable\"]').click();",
    )
    assert shown(filtered) == ["P-01"]
    assert filtered.xpath("string(//output)") == "1 of 4 pairings"


@needs_browser
def test_what_was_looked_for_is_there_again_after_back(tmp_path: Path) -> None:
    found = dumped(tmp_path, "location.hash = 'find=reed&not=not+suitable&sort=crossover+descending';")
    assert shown(found) == ["P-01"]
    assert found.xpath("//th[@aria-sort='descending']/button/@data-key") == ["crossover"]


def test_it_leads_to_the_catalogue() -> None:
    found = plain()
    one = screen_page([found], found.case.maker, STAMP, {}, "Spring", (), ["catalogue.pdf"])
    two = screen_page([found], found.case.maker, STAMP, {}, "Spring", (), ["catalogue-1.pdf", "catalogue-2.pdf"])
    assert [(fact.label, fact.value) for fact in one.booklets] == [("The catalogue as PDF", "catalogue.pdf")]
    assert [fact.label for fact in two.booklets] == ["Catalogue, volume 1", "Catalogue, volume 2"]
    assert lxml_html.fromstring(render_screen_page(two)).xpath("//a[@href='catalogue-2.pdf']")


def test_dark_forced_colours_and_print_are_provided_for() -> None:
    text = page()
    for wanted in ("prefers-color-scheme: dark", "forced-colors: active", "@media print"):
        assert wanted in text


@needs_browser
def test_printed_it_is_a_table(tmp_path: Path) -> None:
    file, pdf = tmp_path / "index.html", tmp_path / "printed.pdf"
    file.write_text(page(), encoding="utf-8")
    command = [
        str(BROWSER), "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", f"--user-data-dir={tmp_path / 'profile'}",
        f"--print-to-pdf={pdf}", file.as_uri(),
    ]  # fmt: skip
    subprocess.run(command, capture_output=True, timeout=120, check=True)
    laid = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    heads = next(line for line in laid.splitlines() if "Verdict" in line)
    assert [word for word in ("Pairing", "Verdict", "Range", "Crossover", "Price") if word in heads] == [
        "Pairing", "Verdict", "Range", "Crossover", "Price",
    ]  # fmt: skip
    assert "Find" not in laid
