"""Wiring sheets in a state: what is live lit, with the voltages at the test points."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from compiler.model.items import NamedState
from compiler.network.network import CannotSolve, Network
from compiler.network.state import state_of_facts
from renderers.cautions import POWERED
from renderers.changed import News, sheet_news
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Figure, Group, Paragraph
from renderers.sheets.figure import SheetFigure
from renderers.tables import Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor, natural_key

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


class Lit(NamedTuple):
    """A state with its sheets, lit; `why` it cannot be computed, or empty."""

    state: NamedState
    figures: tuple[SheetFigure, ...]
    why: str = ""


def _build(context: PackContext) -> Blocks:
    lit = context.lit
    if not lit:
        return ()
    network = context.loads.flows.network
    news = sheet_news(context)
    return (
        Paragraph((Run(_LEAD),)),
        *_assumed(network),
        Table("states", "List of states", _COLUMNS, tuple(_row(one) for one in lit)),
        *(_group(one, figure, news.get(figure.sheet)) for one in lit for figure in one.figures),
    )


def lit_states(context: PackContext) -> tuple[Lit, ...]:
    """The states that are published, with their sheets."""
    wanted = [(state, pages) for state in context.variant.states.values() if (pages := _pages(context, state))]
    if not wanted or not any(device.kind == "battery" for device in context.variant.devices.values()):
        return ()
    network = context.loads.flows.network
    return tuple(_lit(network, state, pages) for state, pages in wanted)


def states_of(context: PackContext, sheet: str) -> tuple[Run, ...]:
    """The states in which a page of a sheet is published too, linked."""
    shown = [one for one in context.lit if any(figure.sheet == sheet for figure in one.figures)]
    return tuple(listed((Run(one.state.id, _anchor(one.state, sheet), page=True),) for one in shown))


def _pages(context: PackContext, state: NamedState) -> list[SheetFigure]:
    """The drawn pages to publish in a state: of the sheets it asks for; if only the command asks, of those on which
    something stands that it sets."""
    numbers = {word.text for word, _ in state.sheets}
    if not numbers and state.id in context.around.states:
        items = {fact.subject.partition(".")[0] for fact in state.set}
        numbers = {sheet for item in items for sheet in context.variant.sheets_of_item(item)}
    drawn = (context.sheets[name] for name in sorted(context.sheets, key=natural_key))
    return [figure for figure in drawn if (figure.number or figure.sheet) in numbers]


def _lit(network: Network, state: NamedState, pages: list[SheetFigure]) -> Lit:
    from compiler.network.settle import settle
    from renderers.sheets.lit import lit_sheet
    from renderers.sheets.reading import read_state

    try:
        settled = settle(network, state_of_facts(network, state.set), thorough=True)
    except CannotSolve as error:
        return Lit(state, (), str(error))
    reading = read_state(settled, state.id)
    return Lit(state, tuple(lit_sheet(figure, reading) for figure in pages), "; ".join(reading.notes))


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
    return runs_cell(listed((Run(sheet, _anchor(one.state, sheet), page=True),) for sheet in sheets))


def _anchor(state: NamedState, sheet: str) -> str:
    return anchor("state", f"{state.id} {sheet}")


def _group(one: Lit, figure: SheetFigure, news: News | None) -> Block:
    name = _anchor(one.state, figure.sheet)
    size = figure.width_pt, figure.height_pt
    drawing = Figure(f"figure-{name}", figure.title, figure.svg, *size, figure.alt, figure.sheet)
    changed = (Run(news.mark, anchor("section", "changes")), Run(". ")) if news else ()
    same = Paragraph(
        (*changed, Run("The same sheet at rest: "), Run(figure.sheet, anchor("sheet", figure.sheet), page=True))
    )
    return Group(name, f"Sheet {figure.sheet}  {figure.title}", (drawing, same))


CHART = Chart(205, "states", "Wiring sheets in a state", _build, POWERED)
