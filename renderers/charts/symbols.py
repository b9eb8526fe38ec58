"""Symbols: every graphical symbol of the sheets with its meaning, drawn by the very code that draws the sheets."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Figure, Paragraph
from renderers.drawings import svg
from renderers.sheets.labels import LEADING, TEXT, wrap
from renderers.sheets.symbols.legend import Symbol, legend
from renderers.tables import Run

_COLUMNS, _ROOM, _GLYPH, _AIR = 3, 511.0, 62.0, 5.0
_TALLEST = 210.0  # of one figure: several fill a page, none is scaled down
_SIZE = re.compile(r'xmlns="[^"]*" width="[^"]*" height="[^"]*"')


def _build(context: PackContext) -> Blocks:
    if not context.sheets:
        return ()
    lead = (
        "The symbols of the wiring sheets, in the sense of IEC 60617 and IEEE 315. Everything is drawn at rest:"
        " switches in their first position, relays without current. Current runs down; supply is above, ground below."
    )
    figures = (_figure(place, rows) for place, rows in enumerate(_figures(legend())))
    return (Paragraph((Run(lead),)), *figures)


def _lines(symbol: Symbol) -> tuple[str, ...]:
    words = symbol.words[:1].upper() + symbol.words[1:]
    return wrap(words, _ROOM / _COLUMNS - _GLYPH - 8, TEXT)


def _high(row: Sequence[Symbol]) -> float:
    return max(max(symbol.height_pt, len(_lines(symbol)) * TEXT * LEADING) for symbol in row) + _AIR


def _figures(symbols: Sequence[Symbol]) -> Iterator[list[Sequence[Symbol]]]:
    """The symbols in rows, as many rows at a time as stand on one figure."""
    held: list[Sequence[Symbol]] = []
    for at in range(0, len(symbols), _COLUMNS):
        row = symbols[at : at + _COLUMNS]
        if held and sum(map(_high, held)) + _high(row) > _TALLEST:
            yield held
            held = []
        held.append(row)
    yield held


def _figure(place: int, rows: list[Sequence[Symbol]]) -> Figure:
    y, parts = 0.0, []
    for row in rows:
        high = _high(row)
        for column, symbol in enumerate(row):
            parts.append(_entry(symbol, column * _ROOM / _COLUMNS, y + high / 2))
        y += high
        rule: dict[str, str | float] = {"d": f"M0 {svg.number(y)}H{_ROOM:.0f}", "stroke": "#bbb", "stroke-width": 0.4}
        parts.append(svg.element("path", rule))
    alt = "Symbols: " + "; ".join(symbol.words for row in rows for symbol in row)
    return Figure(f"symbols-{place}", "", svg.drawing(_ROOM, y + 1, parts), _ROOM, y + 1, alt)


def _entry(symbol: Symbol, x: float, middle: float) -> str:
    """A symbol with its words beside it; the symbol is a nested drawing, sized in the units of the figure."""
    scale = min(1.0, (_GLYPH - 4) / symbol.width_pt)
    wide, high = symbol.width_pt * scale, symbol.height_pt * scale
    box = {"x": x + (_GLYPH - wide) / 2, "y": middle - high / 2, "width": wide, "height": high}
    given = " ".join(f'{name}="{svg.number(value)}"' for name, value in box.items())
    lines = _lines(symbol)
    top = middle - (len(lines) - 1) * TEXT * LEADING / 2 + TEXT * 0.35
    words = (svg.text(x + _GLYPH, top + n * TEXT * LEADING, line, TEXT) for n, line in enumerate(lines))
    return _SIZE.sub(given, symbol.svg, count=1) + "".join(words)


CHART = Chart(30, "symbols", "Symbols", _build)
