"""Wiring sheets: planned, placed by dot, routed and drawn here."""

from renderers.sheets.dot import DotError, dot_program
from renderers.sheets.figure import SheetFigure
from renderers.sheets.sheets import draw_sheets

__all__ = ["DotError", "SheetFigure", "dot_program", "draw_sheets"]
