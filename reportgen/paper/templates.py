"""Templates filled: from a page to HTML.

Knows where templates live and how an operator's own stand before ours. Refuses to know what a page says and how it is
laid out: what needs no paper can do without the page engine, which takes long to import.
"""

from __future__ import annotations

import base64
from functools import lru_cache
from pathlib import Path
from typing import Protocol

from jinja2 import ChoiceLoader, Environment, FileSystemLoader, StrictUndefined

from reportgen.problems import ReportgenError


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


@lru_cache(maxsize=4)
def environment(own: Path | None = None) -> Environment:
    """The templates of this process; a file in the operator's folder `own` stands in for ours of the same name."""
    if own is not None and not own.is_dir():
        raise ReportgenError(f"{own}: there is no such folder of templates. Give an existing folder, or none.")
    folders = [folder for folder in (own, templates_folder()) if folder is not None]
    made = Environment(
        loader=ChoiceLoader([FileSystemLoader(folder, encoding="utf-8") for folder in folders]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters["data_url"] = data_url
    return made


def filled(page: Page, own: Path | None = None) -> str:
    """The page's template, filled with the page and nothing else."""
    return environment(own).get_template(page.template).render(page=page)
