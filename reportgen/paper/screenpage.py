"""The season on a screen: one self-contained HTML file that sorts and filters without a server.

Knows assessments and where their sheets lie. Refuses to fetch anything: style, script and drawings are inside.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, overload
from urllib.parse import quote

from reportgen.paper import wording
from reportgen.paper.composing import maker_block
from reportgen.paper.frontfigures import kit_figures
from reportgen.paper.overviews import range_row, shared_axis, tally_of
from reportgen.paper.pages import Fact, ScreenPage, ScreenRow
from reportgen.paper.plans import front_picture
from reportgen.paper.printing import Stamp
from reportgen.paper.rangepicture import axis_strip
from reportgen.paper.scales import Scale
from reportgen.paper.templates import Templates, filled_in_pieces
from reportgen.paper.wording import MARKS
from reportgen.suitability.verdict import BEST_FIRST

if TYPE_CHECKING:
    from reportgen.assessment import Overview
    from reportgen.catalogue.records import Maker

WIDTH = 150.0


@dataclass(frozen=True)
class _Rows(Sequence[ScreenRow]):
    """A row a pairing, each made when it is asked for: those of a long season never stand in memory together."""

    found: Sequence[Overview]
    axis: Scale
    sheets: Mapping[str, str]

    def __len__(self) -> int:
        return len(self.found)

    @overload
    def __getitem__(self, at: int) -> ScreenRow: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[ScreenRow]: ...

    def __getitem__(self, at: int | slice) -> ScreenRow | Sequence[ScreenRow]:
        return replace(self, found=self.found[at]) if isinstance(at, slice) else self._row(self.found[at])

    def _row(self, a: Overview) -> ScreenRow:
        row = range_row(a, self.axis, link=quote(self.sheets[a.id]) if a.id in self.sheets else "")
        return ScreenRow(
            row=row,
            crossover_hz=f"{a.crossover_hz:.1f}" if a.crossover_hz is not None else "",
            octaves=f"{a.found_range.octaves:.4f}" if a.found_range.octaves is not None else "",
            price=f"{a.price:.2f}" if a.price is not None else "",
            order=BEST_FIRST.index(a.verdict.word),
            words=" ".join((row.id, row.kit, row.drivers, row.mark.word, row.reason)).lower(),
            figures=tuple(kit_figures(a)),
            front=front_picture(a.layout),
        )


def screen_page(
    found: Sequence[Overview],
    maker: Maker,
    stamp: Stamp,
    sheets: Mapping[str, str],
    title: str,
    problems: Sequence[str] = (),
    booklets: Sequence[str] = (),
) -> ScreenPage:
    """The page of a season. `sheets` maps a pairing's ID to the path of its PDF from the page's own folder; `booklets` are the catalogue's."""
    axis = shared_axis(found, WIDTH)
    counts: Counter[str] = Counter(a.verdict.word for a in found)
    return ScreenPage(
        lang="en",
        title=title,
        maker=maker_block(maker, stamp.logo),
        foot=f"run {stamp.run:03d} · {stamp.date.isoformat()} · inputs {stamp.fingerprint[:12]} · reportgen {stamp.version}",
        tally=f"{wording.counted(len(found), 'pairing')}: {tally_of(a.verdict.word for a in found)}",
        axis=axis_strip(axis, WIDTH),
        rows=_Rows(found, axis, sheets),
        choices=tuple(Fact(word, str(counts[word]), MARKS[word].sign) for word in BEST_FIRST if counts[word]),
        problems=tuple(problems),
        booklets=tuple(
            Fact("The catalogue as PDF" if len(booklets) == 1 else f"Catalogue, volume {n}", quote(file))
            for n, file in enumerate(booklets, 1)
        ),
    )


def render_screen_page(page: ScreenPage, templates: Templates = None) -> Iterator[str]:
    """The page as HTML text, piece by piece; `templates` is an operator's own folder."""
    return filled_in_pieces(page, templates)
