"""Wire sizes in use, their area and resistance."""

from __future__ import annotations

from collections import Counter

from compiler.standards.grades import grade_words
from compiler.standards.repairs import RepairNote, repair_notes
from compiler.standards.sizes import Size, resistance_ohm_per_m, resistance_source
from renderers.cells import absent, size_text
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Group, Paragraph
from renderers.repairs import REPAIR
from renderers.tables import Column, Row, Run, Table, cell
from renderers.text import number

_COLUMNS = (
    Column("size", "Size", "size", 30),
    Column("system", "System", "text", 34),
    Column("area", "Conductor area, mm²", "number", 36),
    Column("resistance", "Resistance, mΩ for 1 m at 20 °C", "number", 46),
    Column("wires", "Wires", "number", 28),
)
_NOTES = (
    Column("about", "About", "text", 22),
    Column("text", "What to do", "text", 88),
    Column("source", "Source, and its grade", "text", 70),
)
_REPAIR = (
    "The instructions of the vehicle’s and the connector’s maker come first, and so do local rules; these notes are for"
    " where they say nothing. Leave wires of restraint and high-voltage systems to trained and authorised people. A"
    " fusible link is repaired by its own rules, never with plain wire. The published rules are those of aviation,"
    " spacecraft and the navy, in our words; the rest is common practice, from memory."
)
_SYSTEMS = {"mm2": "square millimetres", "AWG": "American wire gauge", "SAE": "SAE number"}


def _build(context: PackContext) -> Blocks:
    count = Counter(wire.size for wire in context.variant.wires)
    unknown = count.pop(None, 0)
    sizes = sorted((size for size in count if size), key=lambda size: (size.system, size.area_mm2))
    rows = [_row(size, count[size]) for size in sizes]
    if unknown:
        rows.append(Row((absent(), cell("size not given"), absent(), absent(), cell(str(unknown)))))
    lead = (
        "The sizes that this variant uses. mm², AWG and SAE numbers are three systems: the same number is not the same"
        " wire. Replace a wire by one of the same system and size."
    )
    notes = (
        "AWG areas by the formula of ASTM B258; SAE areas are the least areas of the SAE table, 4 to 10 % below AWG.",
        f"Resistance of a copper conductor: {resistance_source('iec60228-class5')}.",
    )
    return (Paragraph((Run(lead),)), Table("wire-sizes", "Sizes used", _COLUMNS, tuple(rows), notes), _repair())


def _repair() -> Group:
    """How wires, joints and terminals are repaired: published rules with their sources, and common practice."""
    notes = repair_notes()
    rows = tuple(Row((cell(note.about), cell(note.text), cell(_source(note)))) for note in notes)
    used = sorted({note.grade for note in notes if note.grade != note.source})
    grades = tuple(f"Grade {grade}: {grade_words(grade)}." for grade in used)
    return Group(REPAIR, "Repair notes", (Paragraph((Run(_REPAIR),)), Table("repair-notes", "", _NOTES, rows, grades)))


def _source(note: RepairNote) -> str:
    """Common practice is source and grade at once."""
    return note.source if note.source == note.grade else f"{note.source} (grade {note.grade})"


def _row(size: Size, wires: int) -> Row:
    return Row(
        (
            cell(size_text(size)),
            cell(_SYSTEMS[size.system]),
            cell(number(size.area_mm2)),
            cell(f"{resistance_ohm_per_m(size) * 1000:.3g}"),
            cell(str(wires)),
        )
    )


CHART = Chart(50, "sizes", "Wire sizes", _build)
