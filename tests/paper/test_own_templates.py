"""An operator's own look: its faults are named with file, line and field, and it can reach nothing and never hang."""

from __future__ import annotations

import ast
import pickle
import re
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from jinja2 import UndefinedError

import reportgen.paper
import reportgen.paper.own
from reportgen.paper import render, templates
from reportgen.paper.composing import sheet_page
from reportgen.paper.own import own_templates
from reportgen.paper.render import press, render_sheet
from reportgen.paper.sandbox import TimeUp, time_limit
from reportgen.paper.templates import environment, filled, template_notes, templates_folder
from reportgen.problems import PageFailed, ReportgenError
from tests.every import every
from tests.paper.pdfs import opened
from tests.paper.samples import STAMP, suitable

Own = Callable[..., Path]


@pytest.fixture
def own(tmp_path: Path) -> Own:
    def made(**files: str | bytes) -> Path:
        folder = tmp_path / "mine"
        folder.mkdir()
        for name, content in files.items():
            file = folder / name.replace("__", "/").replace("_", ".")
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(content if isinstance(content, bytes) else content.encode())
        return folder

    return made


PAGE = sheet_page(suitable("P-06"), STAMP)


def failed(folder: Path) -> str:
    with pytest.raises(PageFailed) as caught:
        press(folder).layout(PAGE)
    return str(caught.value)


def ours(name: str) -> str:
    return (templates_folder() / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("content", "line", "says"),
    (
        ("<p>\n{{ page.no_such_thing }}", 2, "has no attribute 'no_such_thing'"),
        ("<p>\n\n{{ page.title.of.nothing }}", 3, "has no attribute 'of'"),
        ("{% if page.title %}\n<p>", 2, "Unexpected end of template"),
        ("\n{% if %}", 2, "Expected an expression"),
        ("\n{{ page.title|upside_down }}", 2, "No filter named 'upside_down'"),
        ("\n{% include 'frontt.html' %}", 2, "there is no template frontt.html. Did you mean front.html?"),
        ("\n{% include '../../../etc/passwd' %}", 2, "there is no template ../../../etc/passwd"),
        ("\n\n{{ 1 / 0 }}", 3, "ZeroDivisionError"),
        (b"<p>\n\n\xe4\n", 3, "not written in UTF-8"),
        ("<p>\n<img src='logo.png' alt='Ours'>", 2, "“logo.png” cannot be loaded"),
        ("<p>\n<img src='file:///etc/hostname' alt='Theirs'>", 2, "“file:///etc/hostname” cannot be loaded"),
        ("<p>\n<link rel='stylesheet' href='http://127.0.0.1:9/a.css'>", 2, "“http://127.0.0.1:9/a.css” cannot be loaded"),
        ("<p>\n<p style='background: url(grain.png)'>x", 2, "“grain.png” cannot be loaded"),
    ),
)  # fmt: skip
def test_a_fault_names_file_line_and_field(own: Own, content: str | bytes, line: int, says: str) -> None:
    folder = own(front_html=content)
    said = failed(folder)
    assert said.startswith(f"{folder}/front.html, line {line}: "), said
    assert says in said and "\n" not in said


def test_a_file_saved_with_a_byte_order_mark_prints_none(own: Own) -> None:
    """Spreadsheet editors save one before the first letter (UTF-8, EF BB BF)."""
    folder = own(front_html=b"\xef\xbb\xbf<p>Ours</p>")
    assert "<p>Ours</p>" in filled(PAGE, folder) and "\ufeff" not in filled(PAGE, folder)


def test_a_style_sheet_that_wants_a_file_fails_every_page(own: Own) -> None:
    folder = own(style_css=f"{ours('style.css')}\nbody {{ background: url(grain.png) }}\n")
    line = ours("style.css").count("\n") + 2
    for _ in range(2):
        assert failed(folder).startswith(f"{folder}/style.css, line {line}: “grain.png” cannot be loaded")


def test_a_fault_in_what_another_file_takes_in_names_that_file(own: Own) -> None:
    folder = own(front_html="{% include 'more.html' %}", more_html="\n\n{{ page.nothing }}")
    assert failed(folder).startswith(f"{folder}/more.html, line 3: ")


class Bare:
    """A page that lacks what our template asks for."""

    template = "sheet.html"


def test_a_fault_in_our_own_templates_comes_as_it_is(own: Own) -> None:
    """It is the program's, and is reported as such; nobody is sent to look for it in his own files."""
    with pytest.raises(UndefinedError):
        filled(Bare())
    with pytest.raises(UndefinedError):
        filled(Bare(), own(style_css=ours("style.css")))


@pytest.mark.parametrize(
    "expression",
    (
        "page.__class__",
        "''.__class__.__mro__[1].__subclasses__()",
        "page|attr('__class__')",
        "cycler.__init__.__globals__",
        "self.__init__",
        "'{:99999999}'.format(1)",
        "'{0.__class__}'.format(page)",
        "'x' * 10000000",
        "'%99999999d' % 3",
        "'x'.center(99999999)",
        "9 ** 9 ** 9",
        "lipsum(n=99999999)",
        "'x'.ljust(99999999)",
        "'x'.rjust(99999999)",
        "'7'.zfill(99999999)",
        "'\\t'.expandtabs(99999999)",
        "'{a}'.format_map({'a': 1})",
        "1000001 ** 2",
        "2 ** 65",
        "'x' * 1000001",
        "1000001 * [1]",
    ),
)
def test_the_sandbox_holds(own: Own, expression: str) -> None:
    folder = own(front_html=f"\n{{{{ {expression} }}}}")
    said = failed(folder)
    assert said.startswith(f"{folder}/front.html"), said


def test_the_sandbox_lets_through_what_does_no_harm(own: Own) -> None:
    """As much as a double holds, as long as a page is, and what is filled in by no format."""
    folder = own(front_html="{{ 2 ** 64 }} {{ ('x' * 1000000)|length }} {{ 7 % 4 }} {{ 3 * 4 }} {{ 'a'.upper() }}")
    assert "18446744073709551616 1000000 3 12 A" in filled(PAGE, folder)


def test_a_page_may_not_take_for_ever(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (templates, render):
        monkeypatch.setattr(module, "PAGE_S", 0.5)
    loop = "\n{% for i in range(99999) %}{% for j in range(99999) %}\n{% if i > j %}{% endif %}{% endfor %}{% endfor %}"
    begun = time.monotonic()
    said = failed(own(front_html=loop))
    assert "front.html, line" in said and "takes longer than" in said
    assert time.monotonic() - begun < 30
    assert filled(PAGE), "the next page is not struck"


@every("seconds", (60.0, 0.01))
def test_a_limit_that_was_kept_or_not_is_looked_for_no_more(seconds: float) -> None:
    """Where every step is traced, as in a debugger, the interpreter would look for it without end at its next call."""
    ended = threading.Event()

    def work() -> None:
        while seconds < 1.0:
            pass

    def traced() -> None:
        sys.settrace(lambda *_: None)
        with suppress(TimeUp), time_limit(seconds):
            work()
        ended.set()

    threading.Thread(target=traced, daemon=True).start()
    assert ended.wait(20.0)


def test_a_page_may_not_fill_the_memory(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(templates, "MOST_SIGNS", 1 << 20)
    text = "{% for i in range(99999) %}{{ 'x' * 100000 }}{% endfor %}"
    assert "million signs" in failed(own(sheet_html=text))


def test_a_picture_given_as_data_is_printed(own: Own) -> None:
    dot = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/%3E"
    folder = own(front_html=f'<img src="{dot}" alt="Our mark">\n{ours("front.html")}')
    with opened(render_sheet(suitable("P-06"), STAMP, folder, pages="sheet")) as pdf:
        assert pdf.pages


def test_own_templates_travel_with_the_work(own: Own) -> None:
    """What was read of a folder prints the same pages where there is no such folder."""
    folder = own(front_html=f"<p>By hand at our bench</p>{ours('front.html')}")
    packed = pickle.dumps(own_templates(folder))
    here = render_sheet(suitable("P-06"), STAMP, folder, pages="sheet")
    folder.rename(folder.with_name("gone"))
    assert render_sheet(suitable("P-06"), STAMP, pickle.loads(packed), pages="sheet") == here


def test_a_folder_of_more_than_templates_can_be_is_refused(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    """All files together count, whatever no template is does not."""
    folder = own(a_html="x" * 60, b_css="x" * 40, c_png="x" * 1000)
    for most in (99, 100):
        monkeypatch.setattr(reportgen.paper.own, "MOST_BYTES", most)
        if most == 100:
            assert own_templates(folder) is not None
        else:
            with pytest.raises(ReportgenError, match=r"b\.css: with it the templates are longer than"):
                own_templates(folder)
    folder.joinpath("d.svg").write_bytes(b"x" * ((8 << 20) + 1))
    monkeypatch.undo()
    with pytest.raises(ReportgenError, match=r"d\.svg: with it the templates are longer than 8 MB\. Take out"):
        own_templates(folder)


def test_files_of_each_kind_are_read_and_others_and_hidden_ones_left_alone(own: Own) -> None:
    folder = own(a_html="", b_css="", c_js="", d_svg="", e_txt="", f_png="", g_md="", deep__h_HTML="")
    hidden = folder / ".git"
    hidden.mkdir()
    (hidden / "i.html").write_text("")
    read = own_templates(folder)
    assert read is not None and [name for name, _ in read.files] == ["a.html", "b.css", "c.js", "d.svg", "deep/h.HTML", "e.txt"]  # fmt: skip
    assert own_templates(None) is None and own_templates(read) is read


def test_where_a_text_stands_is_told_by_file_and_line(own: Own) -> None:
    """The first file that has it, counted from line 1; nowhere where there is none."""
    read = own_templates(own(a_html="first\nsecond", b_html="one\ntwo\nsecond"))
    assert read is not None
    places = [read.place_of(text).removeprefix(f"{read.folder}/") for text in ("first", "second", "two", "third", "")]
    assert places == ["a.html, line 1", "a.html, line 2", "b.html, line 2", "", ""]
    assert read.place("a.html") == f"{read.folder}/a.html" and read.source("b.html") == b"one\ntwo\nsecond"
    assert read.source("c.html") is None


def test_a_misspelt_file_name_is_noted_and_helpers_are_not(own: Own) -> None:
    folder = own(
        fromt_html="<p>",
        front_html="{% include 'parts/mine.html' %}",
        parts__mine_html="",
        style_css="",
        notes_md="mine",
    )
    assert template_notes(folder) == (
        f"{folder}/fromt.html: no page uses a template of this name. Did you mean front.html?",
    )


def test_a_folder_that_is_not_there_ends_it(tmp_path: Path) -> None:
    with pytest.raises(ReportgenError, match="no such folder of templates"):
        template_notes(tmp_path / "none")


def test_who_restyles_the_inks_changes_what_captions_call_them(own: Own) -> None:
    """Words and look stand in one file: a cut-out drawn through is called so under the drawing, and nothing says "dashed"."""
    look = ours("drawing.html")
    assert '"cut": "dashed"' in look
    folder = own(drawing_html=look.replace('"cut": "dashed"', '"cut": "thin lines"'))
    assert "Thin lines: cut-outs." in filled(PAGE, folder) and "Dashed: cut-outs." not in filled(PAGE, folder)
    assert "Dashed: cut-outs." in filled(PAGE)


LOOKING = re.compile(
    r"\b(heavy|solid|dashed|dotted|dark|light|grey|gray|black|blue|red|fine line|hatched|bold)\b", re.I
)


def texts(file: Path) -> Iterator[ast.Constant]:
    """Every string of a module that is no docstring and no name of an ink."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    told = [node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)]
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in told and " " in node.value:
            yield node


def test_no_caption_of_ours_says_what_only_the_templates_know() -> None:
    folder = Path(reportgen.paper.__file__).parent
    found = [
        f"{file.name}:{one.lineno} {one.value}"
        for file in sorted(folder.glob("*.py"))
        for one in texts(file)
        if LOOKING.search(one.value)
    ]
    assert not found


def test_every_ink_of_a_key_has_its_look_in_words() -> None:
    looks = environment().get_template("drawing.html").module.LOOKS  # type: ignore[attr-defined] # what the template sets
    folder = Path(reportgen.paper.__file__).parent
    inks = {ink for file in folder.glob("*.py") for ink in re.findall(r'KeyLine\("([\w-]+)"', file.read_text())}
    assert inks and inks == set(looks)
