"""Series identification: every variant of the line, and which of them this pack is of."""

from __future__ import annotations

from renderers.around import Sibling
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Paragraph
from renderers.tables import Column, Row, Run, Table, cell
from renderers.text import natural_key

_VARIANTS = (
    Column("series", "Series", "text", 24),
    Column("variant", "Variant", "id", 20),
    Column("vehicle", "Vehicle", "text", 44),
    Column("year", "Model year", "text", 16),
    Column("issue", "Issue", "text", 16),
    Column("options", "Options", "text", 44),
    Column("this", "This pack", "text", 16),
)
_OPTIONS = (
    Column("option", "Option", "id", 40),
    Column("name", "Name", "text", 80),
    Column("variants", "Variants that have it", "text", 60),
)


def _build(context: PackContext) -> Blocks:
    header = context.variant.header
    own = Sibling(
        header.id,
        header.title,
        header.series,
        header.model_year,
        header.issue,
        tuple(name for name, _ in header.options),
    )
    known = {sibling.id: sibling for sibling in context.around.siblings} | {own.id: own}
    line = sorted(known.values(), key=lambda s: (natural_key(s.series), natural_key(s.id)))
    name = f" the {context.line}" if context.line else " the line"
    lead = (
        f"The variants of{name}, and the series code of each. Compare model year, options and issue with the vehicle"
        f" before using this pack: it holds for variant {own.id} only."
    )
    rows = tuple(_row(sibling, own.id) for sibling in line)
    blocks: list[Block] = [Paragraph((Run(lead),)), Table("variants", "Variants of the line", _VARIANTS, rows)]
    options = sorted({option for sibling in line for option in sibling.options}, key=natural_key)
    if options:
        blocks.append(
            Table("options", "Options", _OPTIONS, tuple(_option_row(context, option, line) for option in options))
        )
    return tuple(blocks)


def _row(sibling: Sibling, own: str) -> Row:
    facts = (sibling.series, sibling.id, sibling.title, sibling.model_year, sibling.issue)
    options = ", ".join(sibling.options) or "none"
    return Row((*map(cell, facts), cell(options), cell("this pack" if sibling.id == own else "")))


def _option_row(context: PackContext, option: str, line: list[Sibling]) -> Row:
    declared = context.variant.options.get(option)
    having = ", ".join(sibling.id for sibling in line if option in sibling.options)
    return Row((cell(option), cell(declared.title if declared else ""), cell(having)))


CHART = Chart(5, "series", "Series identification", _build)
