"""Wiring sheets in a state: what is live lit, with the voltages at the test points."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.network.network import Network
from renderers.cautions import POWERED
from renderers.changed import News
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Figure, Group, Paragraph
from renderers.lit_states import Lit, lit_anchor
from renderers.sheets.figure import SheetFigure
from renderers.tables import Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor

_COLUMNS = (
    Column("state", "State", "text", 40),
    Column("set", "Set", "text", 60),
    Column("sheets", "Sheets in this state", "ref", 40),
    Column("notes", "Notes", "text", 36),
)
_LEAD = (
    "These sheets are drawn as the vehicle stands in a named state; what the state does not set is at rest. What has"
    " voltage is drawn strong, what carries current at ground has ticks along it, what does neither is pale; contacts"
    " stand as they do then. The voltages are what a meter reads at the test points against the negative post of the"
    " battery, worked out from wire sizes, lengths and ratings: a vehicle"
    " in good order reads near them, and a reading far from them is worth following."
)
_MOST_ASSUMED = 6
_HEAD = 78  # characters that fit beside the title at the head of a printed page


def _build(context: PackContext) -> Blocks:
    lit = context.lit
    if not lit:
        return ()
    news = context.marks.lit
    return (
        Paragraph((Run(_LEAD),)),
        *_assumed(context.loads.flows.network),
        Table("states", "List of states", _COLUMNS, tuple(_row(one) for one in lit)),
        *(_group(one, figure, news.get((one.state.id, figure.sheet))) for one in lit for figure in one.figures),
    )


def _assumed(network: Network) -> Iterator[Paragraph]:
    assumed = network.world.assumed
    if assumed:
        shown = [f"{row.what} {row.value}" for row in assumed[:_MOST_ASSUMED]]
        more = f" and {len(assumed) - _MOST_ASSUMED} more" if len(assumed) > _MOST_ASSUMED else ""
        yield Paragraph((Run(f"Assumed where the source gives no value: {', '.join(shown)}{more}."),))


def _row(one: Lit) -> Row:
    state = one.state
    settings = ", ".join(" ".join((fact.subject, *fact.words)) for fact in state.set)
    return Row((cell(state.id), cell(settings), _links(one), cell("; ".join(filter(None, (*state.notes, one.why))))))


def _links(one: Lit) -> Cell:
    sheets = (figure.sheet for figure in one.figures)
    return runs_cell(listed((Run(sheet, lit_anchor(one.state, sheet), page=True),) for sheet in sheets))


def _group(one: Lit, figure: SheetFigure, news: News | None) -> Block:
    name = lit_anchor(one.state, figure.sheet)
    size = figure.width_pt, figure.height_pt
    drawing = Figure(f"figure-{name}", figure.title, figure.svg, *size, figure.alt, figure.sheet)
    rest = Run("The same sheet at rest: "), Run(figure.sheet, anchor("sheet", figure.sheet), page=True)
    room = _HEAD - sum(len(run.text) for run in rest)
    changed = (Run(news.mark, anchor("section", "changes")), Run(f"{news.words(room)}. ")) if news else ()
    same = Paragraph((*changed, *rest))
    return Group(name, f"Sheet {figure.sheet}  {figure.title}", (drawing, same))


CHART = Chart(205, "states", "Wiring sheets in a state", _build, POWERED)
