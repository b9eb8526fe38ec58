"""The pack of a variant: every chart built, sheets put in, and all of it settled for the writers."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.model.variant import Variant
from renderers.around import Around
from renderers.cautions import EVERY_PAGE
from renderers.charts import charts
from renderers.context import PackContext
from renderers.document import Pack, Section
from renderers.entries import entries
from renderers.settle import settled
from renderers.sheets.figure import SheetFigure
from renderers.store import Store
from renderers.text import number


def build_pack(
    variant: Variant,
    figures: Mapping[str, SheetFigure],
    *,
    line: str = "",
    around: Around | None = None,
    store: Store | None = None,
    jobs: int = 1,
) -> Pack:
    """The pack of a variant. `figures` are its wiring sheets by number, `line` the name of the vehicle line, `around`
    what stands around the variant in its project, `store` where results of earlier runs are found, `jobs` how many
    processes there may be for what takes long (0: one a core).

    Charts with nothing to show are left out. Every text is clean and every link leads somewhere.
    """
    context = PackContext(variant, figures, line, around or Around(), store or Store(None), jobs)
    built = ((chart, chart.build(context)) for chart in charts())
    sections = tuple(
        Section(chart.id, chart.heading(context) if chart.heading else chart.title, blocks, chart.caution)
        for chart, blocks in built
        if blocks
    )
    header = variant.header
    return settled(
        Pack(
            variant.id,
            header.title or header.series or variant.id,
            "Wiring",
            _identification(context),
            EVERY_PAGE,
            sections,
            dict(figures),
            entries(context),
            context.inventory,
        )
    )


def _identification(context: PackContext) -> tuple[tuple[str, str], ...]:
    variant, header = context.variant, context.variant.header
    options = []
    for name, _ in header.options:
        declared = variant.options.get(name)
        options.append(f"{declared.title} ({name})" if declared and declared.title else name)
    pairs = (
        ("Vehicle line", context.line),
        ("Series", header.series),
        ("Variant", variant.id),
        ("Model year", header.model_year),
        ("Issue", header.issue),
        ("Supply", f"{number(header.supply_v)} V"),
        ("Options", ", ".join(options) or "none"),
        ("Colour codes", variant.colours.title),
        ("Contents", f"{_drawn(context)}, {len(variant.circuits)} circuits, {len(variant.wires)} wires"),
    )
    return tuple((label, value) for label, value in pairs if value)


def _drawn(context: PackContext) -> str:
    """How many sheets there are, and on how many pages where that is not the same."""
    pages = len(context.sheets)
    sheets = len({figure.own_sheet for figure in context.sheets.values()})
    counted = f"{sheets} {'sheet' if sheets == 1 else 'sheets'}"
    return counted if sheets == pages else f"{counted} on {pages} pages"
