"""Templates filled: from a page to HTML.

Knows where templates live and how an operator's own stand before ours. Refuses to know what a page says and how it is
laid out: what needs no paper can do without the page engine, which takes long to import.
"""

from __future__ import annotations

import base64
import difflib
import re
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from functools import lru_cache
from pathlib import Path
from typing import Protocol

from jinja2 import (
    BaseLoader,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
)

from reportgen.paper.lettering import direction
from reportgen.paper.own import Own, own_templates, unused
from reportgen.paper.sandbox import PAGE_S, Sandbox, TimeUp, time_limit
from reportgen.problems import PageFailed, ReportgenError


class Page(Protocol):
    """Any page dataclass: it names its template."""

    @property
    def template(self) -> str:
        """File in the templates folder."""


def templates_folder() -> Path:
    """The shipped templates: those the installed package carries, else the repository's own folder."""
    package = Path(__file__).resolve().parent.parent
    carried = package / "templates"
    return carried if carried.is_dir() else package.parent / "templates"


SHEET = ("sheet.html", "front.html", "build.html", "annex.html", "parts.html", "drawing.html", "style.css")
"""The templates of a sheet, but for the size of its paper."""
DRAWING = "data:image/svg+xml;charset=utf-8;base64,"
"""How the address of each of our drawings begins; a logo's begins otherwise."""


def data_url(svg: str) -> str:
    """A drawing as a data: URL."""
    return DRAWING + base64.b64encode(svg.encode()).decode("ascii")


def drawing_behind(url: str) -> bytes:
    """The drawing of a data: URL.

    >>> drawing_behind(data_url("<svg/>"))
    b'<svg/>'
    """
    return base64.b64decode(url[len(DRAWING) :])


MOST_SIGNS = 32 << 20
"""Longest page of the operator's own look; ours have some 300 000 signs (measured)."""

Templates = Path | Own | None
"""An operator's own templates: a folder, or what was read of it, or none."""


class _Loader(BaseLoader):
    """The operator's files before ours."""

    def __init__(self, own: Own | None) -> None:
        self._own, self._ours = own, FileSystemLoader(templates_folder(), encoding="utf-8")

    def get_source(self, environment: Environment, template: str) -> tuple[str, str | None, Callable[[], bool] | None]:
        """The text of a template, and what messages call it."""
        content = self._own.source(template) if self._own else None
        if self._own is None or content is None:
            return self._ours.get_source(environment, template)
        try:
            return content.decode("utf-8-sig"), self._own.place(template), lambda: True
        except UnicodeDecodeError as error:
            place = self._own.place(template, content.count(b"\n", 0, error.start) + 1)
            raise PageFailed(f"{place}: this line is not written in UTF-8. Save the file in UTF-8.") from None

    def list_templates(self) -> list[str]:
        """Names of all templates, the operator's and ours."""
        own = (name for name, _ in self._own.files) if self._own else ()
        return sorted({*own, *self._ours.list_templates()})


def environment(own: Templates = None) -> Environment:
    """The templates of this process; a file of the operator's stands in for ours of the same name.

    Errors: ReportgenError when there is no such folder.
    """
    return _environment(own_templates(own))


@lru_cache(maxsize=4)
def _environment(own: Own | None) -> Environment:
    made = (Sandbox if own else Environment)(  # ours are as good as the program, and cost a third more in there
        loader=_Loader(own),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["data_url"] = data_url
    made.filters["direction"] = direction
    return made


PIECE = 1 << 16
"""So much text (signs) of a long page comes at a time."""


def filled(page: Page, own: Templates = None) -> str:
    """The page's template, filled with the page and nothing else.

    Errors: PageFailed for a fault in the operator's templates, with file, line and field. A fault in ours comes as it is.
    """
    return "".join(filled_in_pieces(page, own))


def filled_in_pieces(page: Page, own: Templates = None) -> Iterator[str]:
    """The same piece by piece: a long page never stands in memory whole."""
    files = own_templates(own)
    pieces, size, last = list[str](), 0, 0
    with faults_named(files, page.template), time_limit(PAGE_S) if files else nullcontext():
        for piece in environment(files).get_template(page.template).generate(page=page):
            pieces.append(piece)
            size += len(piece)
            if files and size > MOST_SIGNS:
                raise PageFailed(
                    f"{files.place(page.template)}: the page has more than {MOST_SIGNS >> 20} million signs."
                )
            if size - last > PIECE:
                yield "".join(pieces)
                pieces, last = [], size
    yield "".join(pieces)


@contextmanager
def faults_named(own: Own | None, template: str) -> Iterator[None]:
    """Turn what goes wrong inside, while own templates are used, into a PageFailed that says where."""
    try:
        yield
    except TimeUp as error:
        place = _place(error, own) or template
        raise PageFailed(
            f"{place}: the page takes longer than {PAGE_S:.0f} s here. Look for a loop without end."
        ) from None
    except ReportgenError:
        raise
    except TemplateSyntaxError as error:
        if own is None:
            raise
        place = own.place(error.name or template, error.lineno)
        raise PageFailed(f"{place}: {str(error.message).rstrip('.')}. Mend this line.") from error
    except TemplateNotFound as error:
        if own is None:
            raise
        raise PageFailed(f"{_place(error, own) or template}: {_not_found(error, own)}") from error
    except Exception as error:
        place = _place(error, own)
        if not place:
            raise
        raise PageFailed(f"{place}: {_in_words(error)}. Mend this line, or take the file out to print ours.") from error


def _place(error: BaseException, own: Own | None) -> str:
    """The line of the operator's template that was at work last; empty when none was."""
    if own is None:
        return ""
    begin = f"{own.folder}/"
    found = [one for one in traceback.extract_tb(error.__traceback__) if one.filename.startswith(begin)]
    if not found:
        return ""
    name = found[-1].filename.removeprefix(begin)
    line = found[-1].lineno
    if isinstance(error, TimeUp):  # the engine counts lines in its own code where it is not told of an error
        line = _environment(own).get_template(name).get_corresponding_lineno(line or 0)
    return own.place(name, line)


def _in_words(error: Exception) -> str:
    text = re.sub(r"'reportgen\.[\w.]*?(\w+) object'", r"the page's \1", str(error))
    kind = "" if isinstance(error, TemplateError) else f"{type(error).__name__}: "
    return f"{kind}{text}".rstrip(".")


def _not_found(error: TemplateNotFound, own: Own) -> str:
    near = difflib.get_close_matches(str(error.name), _environment(own).list_templates(), n=1)
    mend = f"Did you mean {near[0]}?" if near else "Put it into the folder, or take the line out."
    return f"there is no template {error.name}. {mend}"


def template_notes(folder: Path) -> tuple[str, ...]:
    """What to say of a folder of templates before the work. Errors: ReportgenError when there is no such folder."""
    own = own_templates(folder)
    return unused(own, FileSystemLoader(templates_folder()).list_templates()) if own else ()
