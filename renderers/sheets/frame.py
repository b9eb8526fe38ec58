"""The frame of a sheet: border with zone letters and numbers, and the title block."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from renderers.sheets.ink import Rect, Shape, Words, line
from renderers.sheets.labels import SMALL, TITLE, shorten, width

EDGE = 10.0  # strip for zone letters and numbers
BLOCK = 24.0  # height of the title block
AIR = 6.0  # between frame and drawing
_NUMBER = 11.0  # size of the sheet's number

# What fits both A4 and Letter with room for the page's own margins, in points.
LONG, SHORT = 736.0, 539.0


class Page(NamedTuple):
    """A sheet's paper in points; landscape has the longer side across."""

    width: float
    height: float

    @property
    def inside(self) -> tuple[float, float]:
        """Room for the drawing."""
        return (self.width - 2 * (EDGE + AIR), self.height - 2 * (EDGE + AIR) - BLOCK)


LANDSCAPE, PORTRAIT = Page(LONG, SHORT), Page(SHORT, LONG)


class Titles(NamedTuple):
    """Words of the title block. `state` is that of a sheet that shows one, with the `settings` that make it."""

    variant: str
    series: str
    sheet: str
    title: str
    issue: str
    page: str = ""
    system: str = ""
    state: str = ""
    settings: str = ""


NO_TITLES = Titles("", "", "", "", "")


def zones(width: float, height: float) -> tuple[int, int]:
    """How many zones across (numbers) and down (letters): eight along the longer side, six along the shorter."""
    return (8, 6) if width >= height else (6, 8)


def zone_of(x: float, y: float, width: float, height: float) -> str:
    """The zone of a point, such as `C4`: letter from the top, number from the left."""
    across, down = zones(width, height)
    column = int((x - EDGE) / ((width - 2 * EDGE) / across))
    row = int((y - EDGE) / ((height - 2 * EDGE) / down))
    return f"{'ABCDEFGH'[min(max(row, 0), down - 1)]}{min(max(column, 0), across - 1) + 1}"


def frame_ink(wide: float, high: float, titles: Titles) -> list[Shape]:
    """Border, zones and title block of a sheet `wide` by `high` points."""
    ink: list[Shape] = [
        Rect(0.5, 0.5, wide - 1, high - 1, 0.5),
        Rect(EDGE, EDGE, wide - 2 * EDGE, high - 2 * EDGE, 1.2),
    ]
    across, down = zones(wide, high)
    step = (wide - 2 * EDGE) / across
    for index in range(across):
        x = EDGE + step * index
        for y0 in (0.5, high - EDGE):
            if index:
                ink.append(line((x, y0), (x, y0 + EDGE - 0.5), width=0.5))
            ink.append(Words(x + step / 2, y0 + 7.2, str(index + 1), SMALL, False, "middle"))
    step = (high - 2 * EDGE) / down
    for index in range(down):
        y = EDGE + step * index
        for x0 in (0.5, wide - EDGE):
            if index:
                ink.append(line((x0, y), (x0 + EDGE - 0.5, y), width=0.5))
            ink.append(Words(x0 + 4.8, y + step / 2 + 2.4, "ABCDEFGH"[index], SMALL, False, "middle"))
    top = high - EDGE - BLOCK
    ink.append(line((EDGE, top), (wide - EDGE, top), width=1.2))
    x = EDGE
    room = wide - 2 * EDGE
    cells = _cells(titles)
    for index, (cell, wide_cell) in enumerate(zip(cells, _widths(cells, room), strict=True)):
        if index:
            ink.append(line((x, top), (x, high - EDGE), width=0.6))
        ink.append(Words(x + 4, top + 8.4, cell.name, SMALL, colour="#444444"))
        size = _NUMBER if cell.name == "Sheet" and width(cell.text, _NUMBER, True) < wide_cell - 8 else TITLE
        more = shorten(cell.more, wide_cell - width(cell.name, SMALL) - 12, SMALL)
        if more:
            ink.append(Words(x + wide_cell - 4, top + 8.4, more, SMALL, False, "end", colour="#444444"))
        ink.append(Words(x + 4, top + 19.5, shorten(cell.text, wide_cell - 8, size, cell.bold), size, cell.bold))
        x += wide_cell
    return ink


class _Cell(NamedTuple):
    """A cell of the title block: its name, what it says, in large and small, and its share of the width."""

    name: str
    text: str
    more: str
    share: float

    @property
    def bold(self) -> bool:
        return self.name in ("Sheet", "Title", "State")

    def need(self, whole: bool) -> float:
        """The width at which nothing of the large words is cut; `whole`: nor of the small ones."""
        size = _NUMBER if self.name == "Sheet" else TITLE
        small = width(self.name, SMALL) + (width(self.more, SMALL) + 12.1 if whole else 8.1)
        return max(width(self.text, size, self.bold) + 8.1, small)


def _cells(titles: Titles) -> tuple[_Cell, ...]:
    sheet = _Cell("Sheet", titles.sheet, titles.page, 0.13)
    if titles.state:
        return (
            _Cell("Vehicle", titles.variant, "", 0.24),
            _Cell("Title", titles.title, titles.system, 0.3),
            _Cell("State", titles.state, titles.settings, 0.24),
            _Cell("Issue", titles.issue, "", 0.09),
            sheet,
        )
    return (
        _Cell("Vehicle", titles.variant, "", 0.33),
        _Cell("Series", titles.series, "", 0.16),
        _Cell("Title", titles.title, titles.system, 0.27),
        _Cell("Issue", titles.issue, "", 0.11),
        sheet,
    )


def _widths(cells: Sequence[_Cell], room: float) -> list[float]:
    """The widths of cells: their shares, unless words would be cut; then what they need, as far as there is room."""
    shares = [room * cell.share for cell in cells]
    for whole in (True, False):
        needs = [cell.need(whole) for cell in cells]
        if all(need <= share for need, share in zip(needs, shares, strict=True)):
            return shares
        spare = room - sum(needs)
        if spare >= 0:
            return [need + spare * cell.share for need, cell in zip(needs, cells, strict=True)]
    return shares
