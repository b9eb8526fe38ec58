"""Wiring sheets: planned, placed by dot, routed and drawn here.

draw_sheets(variant, dot, store)     all sheets of a variant, each page a SheetFigure with its SVG and the graph for dot;
                                     those that a store has are not made again
lit_sheet(figure, reading)           the same page in a state; `read_state(settled, title)` reads the state
png.png(figure, dots_per_inch=200)   a page as PNG bytes at its printed size (ValueError outside 36 to 1200)
figure.dot                           the graph of a page in the language of Graphviz
"""

from renderers.sheets.dot import DotError, dot_program
from renderers.sheets.figure import SheetFigure
from renderers.sheets.lit import lit_sheet
from renderers.sheets.reading import StateReading, read_state
from renderers.sheets.sheets import draw_sheets

__all__ = [
    "DotError",
    "SheetFigure",
    "StateReading",
    "dot_program",
    "draw_sheets",
    "lit_sheet",
    "read_state",
]
