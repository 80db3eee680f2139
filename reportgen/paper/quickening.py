"""What the page engine does slowly and need not: labels letter by letter, the hardest compression, the cyclic collector.

Knows the engine's inside in two places, each with its measured share of a sheet's time, and does without where another
version of the engine looks otherwise inside. Refuses to touch what comes out: every word, line and tag of the page stays.
"""

from __future__ import annotations

import gc
import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from types import SimpleNamespace
from typing import Any, cast
from xml.etree import ElementTree

import pydyf  # type: ignore[import-untyped]
from cssselect2 import ElementWrapper  # type: ignore[import-untyped]
from weasyprint import HTML  # type: ignore[import-untyped]
from weasyprint.text.fonts import FontConfiguration  # type: ignore[import-untyped]
from weasyprint.urls import URLFetcher  # type: ignore[import-untyped]

from reportgen.paper.quicklayout import reads_like
from reportgen.paper.templates import DRAWING, data_url, drawing_behind

try:
    from weasyprint.css.properties import INITIAL_VALUES  # type: ignore[import-untyped]
    from weasyprint.draw.text import draw_first_line  # type: ignore[import-untyped]
    from weasyprint.matrix import Matrix  # type: ignore[import-untyped]
    from weasyprint.svg import SVG  # type: ignore[import-untyped]
    from weasyprint.svg.text import Style, TextBox  # type: ignore[import-untyped]
    from weasyprint.svg.utils import color  # type: ignore[import-untyped]
    from weasyprint.text import line_break  # type: ignore[import-untyped]
except ImportError:  # another version: `pictures` finds that out and leaves drawings to the engine
    SVG = object

HTML_INIT = 0x649440B8
"""Checksum of how the engine makes a document of a text: `_Page` does as much."""

LEVEL = 6
"""Level of compression: the engine's 9 takes five times as long and saves one byte in a hundred."""


class _Page(HTML):  # type: ignore[misc]
    """A page of ours as the engine's document, read as XML: a twentieth of the time (5 % of a sheet)."""

    def __init__(self, text: str, fetcher: URLFetcher) -> None:
        self.base_url, self.url_fetcher, self.media_type = None, fetcher, "print"
        self.wrapper_element = ElementWrapper.from_html_root(ElementTree.fromstring(text))
        self.etree_element = self.wrapper_element.etree_element


BROKEN_VALUE = re.compile(r' [\w-]+="[^"]*[\n\r\t]')
"""An attribute in which XML would make a blank of another white space."""


def document_of(text: str, fetcher: URLFetcher) -> HTML:
    """A page of ours for the engine; read as HTML where it is no XML or another version does otherwise."""
    try:
        if reads_like(HTML.__init__, HTML_INIT) and not BROKEN_VALUE.search(text):
            return _Page(text, fetcher)
    except ElementTree.ParseError:  # a letter that XML does not know
        pass
    return HTML(string=text, url_fetcher=fetcher)


@contextmanager
def paused_collection() -> Iterator[None]:
    """Without the cyclic collector: it searches the whole heap several times a page (20 % of the time)."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


@contextmanager
def quick_compression() -> Iterator[None]:
    """Streams compressed at `LEVEL` (8 % of the time): the engine has no setting for it."""
    if getattr(pydyf, "zlib", None) is not zlib:  # another version: it compresses in its own way
        yield
        return
    pydyf.zlib = SimpleNamespace(compress=zlib.compress, compressobj=lambda level: zlib.compressobj(LEVEL))
    try:
        yield
    finally:
        pydyf.zlib = zlib


PLAIN = {"x", "y", "font-family", "font-size", "font-weight", "text-anchor", "fill"}
"""What a label may be given to be set as one line; with anything more it is left to the engine."""

LINE = {"d", "fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "stroke-linecap"}
"""What a path may be given to be drawn step by step."""


COLOUR, NUMBERS = re.compile("#[0-9a-fA-F]{6}"), re.compile(r"[\d. ]*")
"""How a label or path is painted that is drawn the short way, and the width and dashes of its line: in points."""

ENDS = {"round": 1, "square": 2, "bevel": 2}
"""Ends and corners of lines by their numbers in the PDF, where they are no usual ones."""

STRAIGHT = re.compile(r"(?:[ML]-?[\d.]+ -?[\d.]+|Z)+")
OPERATORS = {"M": b" m", "L": b" l"}


class _Drawing(SVG):  # type: ignore[misc]
    """One of our drawings as the engine's picture: plain labels and straight paths take the short way.

    The engine sets a label letter by letter and wraps it in a group of its own (15 % of the time of a sheet), and
    reads a path number by number, for units and markers that ours have not (4 %).
    """

    def draw_node(self, node: Any, font_size: float, fill_stroke: bool = True, context: Any = None) -> None:
        """Plain labels and straight paths our way, all else the engine's."""
        given = set(node.attrib)
        if (
            node.tag == "text"
            and given <= PLAIN
            and node.text
            and COLOUR.fullmatch(node.get("fill", ""))
            and not list(node)
        ):
            self._draw_label(node)
        elif node.tag == "path" and given <= LINE and _plainly_painted(node) and STRAIGHT.fullmatch(node.get("d")):
            self._draw_path(node)
        else:
            super().draw_node(node, font_size, fill_stroke, context)

    def _draw_path(self, node: Any) -> None:
        self.stream.push_state()
        fill, stroke = (node.get(kind, "none") != "none" for kind in ("fill", "stroke"))
        if fill:
            self.stream.set_color(_colour(node.get("fill")))
        if stroke:
            self.stream.set_color(_colour(node.get("stroke")), stroke=True)
            self.stream.set_line_width(float(node.get("stroke-width", 1)))
            self.stream.set_dash([float(one) for one in node.get("stroke-dasharray", "").split()], 0)
            self.stream.set_line_cap(ENDS.get(node.get("stroke-linecap"), 0))
            self.stream.set_line_join(ENDS.get(node.get("stroke-linejoin"), 0))
        for step in re.finditer(r"([ML])([^MLZ]+)|Z", node.get("d")):
            self.stream.stream.append(step[2].encode() + OPERATORS[step[1]] if step[1] else b"h")
        self.fill_stroke(fill, stroke)
        self.stream.pop_state()

    def _draw_label(self, node: Any) -> None:
        size = float(node.get("font-size"))
        style = _type(self.font_config, node.get("font-family"), int(node.get("font-weight", 400)), size)
        line = line_break.create_layout(node.text, style, None, None, 0)
        width, _ = line_break.line_size(line.get_first_line()[0], style)
        x = float(node.get("x")) - {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor", "start")] * width
        self.stream.push_state()
        self.stream.set_color(_colour(node.get("fill")))
        self.stream.set_text_rendering(0)  # filled, and no line around the letters
        self.stream.begin_text()
        draw_first_line(self.stream, TextBox(line, style), "none", "none", Matrix(d=-1, e=x, f=float(node.get("y"))))
        self.stream.end_text()
        self.stream.pop_state()


def _plainly_painted(node: Any) -> bool:
    """True for a path with a colour or none in it and along it, and a line that numbers describe."""
    paints = (paint for paint in (node.get("fill", "black"), node.get("stroke", "none")) if paint != "none")
    return all(map(COLOUR.fullmatch, paints)) and bool(
        NUMBERS.fullmatch(node.get("stroke-width", "") + node.get("stroke-dasharray", ""))
    )


@lru_cache(maxsize=64)
def _colour(text: str) -> Any:
    return color(text)


@lru_cache(maxsize=64)
def _type(fonts: FontConfiguration, families: str, weight: int, size: float) -> Any:
    """The style of a label."""
    style = Style(INITIAL_VALUES)
    style.font_config = fonts
    style["font_family"] = [name.strip(" '") for name in families.split(",")]
    style["font_weight"], style["font_size"] = weight, size
    return style


class _Picture:
    """A drawing in the shape in which the engine keeps pictures."""

    def __init__(self, drawing: _Drawing) -> None:
        self._drawing = drawing

    def get_intrinsic_size(self, image_resolution: float, font_size: float) -> tuple[float, float, float]:
        """Width and height (CSS pixels), and their ratio."""
        width, height = self._drawing.get_intrinsic_size(font_size)
        return width, height, width / height

    def draw(self, stream: Any, width: float, height: float, style: Any) -> None:
        """Paint into the page."""
        self._drawing.draw(stream, width, height, None, None)


class Pictures(dict[str, Any]):
    """The engine's store of pictures by address, where it finds our drawings ready; all others it opens itself."""

    def __init__(self, fonts: FontConfiguration) -> None:
        super().__init__()
        self._fonts = fonts

    def __contains__(self, url: object) -> bool:
        return (isinstance(url, str) and url.startswith(DRAWING)) or super().__contains__(url)

    def __missing__(self, url: str) -> _Picture:
        self[url] = _Picture(_Drawing(ElementTree.fromstring(drawing_behind(url)), url, self._fonts))
        return cast(_Picture, self[url])


PROBE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="30" height="30" viewBox="0 0 30 30">'
    '<path fill="none" stroke="#000000" d="M0 0L20 20"/><g font-family="sans-serif"><text x="1" y="9" font-size="7">a</text></g></svg>'
)
"""A drawing with all that is drawn the short way."""


@lru_cache(maxsize=1)
def understood() -> bool:
    """True when this version of the engine is inside as it must be for the short way: a drawing is tried once."""
    try:
        html = HTML(string=f'<img alt="a" src="{data_url(PROBE)}">')
        html.render(cache=Pictures(FontConfiguration())).write_pdf()
    except Exception:  # whatever another version makes of it, the engine's own way remains
        return False
    return True


def pictures(fonts: FontConfiguration) -> dict[str, Any]:
    """The store of pictures for one layout: ours where the engine is understood, else an empty one."""
    return Pictures(fonts) if understood() else {}
