"""Usable ranges as floating columns over a logarithmic axis, with the crossover marked: a chart of the spreadsheet program.

Knows how such a chart is made of stacked columns. Refuses to know what a range rests on.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, cast

from openpyxl.chart import BarChart, LineChart, Reference, Series
from openpyxl.chart.data_source import AxDataSource, StrRef
from openpyxl.chart.legend import LegendEntry
from openpyxl.chart.marker import Marker
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.worksheet.worksheet import Worksheet

SERIES: Final = ("Lower edge", "Usable range", "No range: limits cross", "Crossover")
"""Headings of the columns that the chart is drawn from, which make its legend: lower edge, width of the range, width of
the gap where the limits leave none, crossover (all Hz)."""

_INK, _FILL, _GRID = "1F2933", "7C9AB5", "C9D0D6"
_OCTAVE_EDGES: Final = tuple(62.5 * 2**n for n in range(9))  # 62.5 Hz to 16 kHz


def range_chart(page: Worksheet, head_row: int, last_row: int, first_column: int) -> BarChart:
    """The chart of the rows below `head_row`, from the four columns of SERIES; names stand in column A."""
    chart: Any = BarChart()  # the stubs of the library know few of its attributes' types
    marks = LineChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "col", "stacked", 100, 45
    names = AxDataSource(strRef=StrRef(f=str(Reference(page, min_col=1, min_row=head_row + 1, max_row=last_row))))
    for column, properties in enumerate((_unseen(), _solid(), _hatched()), first_column):
        chart.series.append(_series(page, column, head_row, last_row, names, properties))
    crossover = _series(page, first_column + 3, head_row, last_row, names, GraphicalProperties())
    crossover.graphicalProperties.line = LineProperties(noFill=True)
    crossover.marker = Marker("diamond", 9, GraphicalProperties(solidFill=_INK))
    crossover.smooth = False
    marks.series.append(crossover)
    _set_axes(chart, list(_figures(page, head_row, last_row, first_column)))
    chart += marks
    chart.title = "Usable range and crossover of each pairing"
    chart.legend.position = "b"
    chart.legend.legendEntry = [LegendEntry(idx=0, delete=True)]
    chart.visible_cells_only = False  # the columns it is drawn from are hidden
    chart.width, chart.height = max(26.0, min(44.0, 8.0 + 1.6 * (last_row - head_row))), 13.0
    return cast(BarChart, chart)


def _figures(page: Worksheet, head_row: int, last_row: int, first_column: int) -> Iterator[float]:
    """Every frequency that must be seen: both edges and the crossover."""
    for row in range(head_row + 1, last_row + 1):
        edge, usable, gap, crossover = (page.cell(row, first_column + at).value for at in range(4))
        if isinstance(crossover, int | float):
            yield float(crossover)
        if isinstance(edge, int | float) and isinstance(usable, int | float) and isinstance(gap, int | float):
            yield from (float(edge), float(edge + usable + gap))


def _series(page: Worksheet, column: int, head_row: int, last_row: int, names: AxDataSource, look: Any) -> Any:
    series: Any = Series(Reference(page, min_col=column, min_row=head_row, max_row=last_row), title_from_data=True)
    series.cat, series.graphicalProperties = names, look
    return series


def _unseen() -> GraphicalProperties:
    return GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))


def _solid() -> GraphicalProperties:
    return GraphicalProperties(solidFill=_FILL, ln=LineProperties(solidFill=_INK, w=9525))


def _hatched() -> GraphicalProperties:
    """Fit for a black-and-white print: stripes."""
    ink, paper = (ColorChoice(srgbClr=cast(Any, colour)) for colour in ("8A1C1C", "FFFFFF"))
    stripes = PatternFillProperties("wdUpDiag", ink, paper)
    return GraphicalProperties(pattFill=stripes, ln=LineProperties(solidFill="8A1C1C", w=9525))


def _set_axes(chart: Any, figures: list[float]) -> None:
    """One octave a grid line, from the octave below the lowest figure to the octave above the highest."""
    lowest, highest = min(figures, default=1000.0), max(figures, default=4000.0)
    axis = chart.y_axis
    axis.scaling.logBase, axis.majorUnit = 2, 2
    axis.scaling.min = max((edge for edge in _OCTAVE_EDGES if edge < lowest), default=_OCTAVE_EDGES[0])
    axis.scaling.max = min((edge for edge in _OCTAVE_EDGES if edge > highest), default=2.0 * _OCTAVE_EDGES[-1])
    axis.number_format, axis.title, axis.crosses = "0", "Hz", "min"
    axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill=_GRID, w=6350))
    axis.delete = chart.x_axis.delete = False
    chart.x_axis.tickLblPos = "low"
