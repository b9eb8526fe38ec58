"""The states in which sheets are published, and these sheets, lit."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import NamedState
from compiler.network.network import CannotSolve, Network
from compiler.network.state import state_of_facts
from renderers.sheets.figure import SheetFigure
from renderers.tables import Run, listed
from renderers.text import anchor, natural_key

if TYPE_CHECKING:
    from renderers.context import PackContext


class Lit(NamedTuple):
    """A state with its sheets, lit; `why` it cannot be computed, or empty."""

    state: NamedState
    figures: tuple[SheetFigure, ...]
    why: str = ""


def lit_states(context: PackContext) -> tuple[Lit, ...]:
    """Every state of which there are sheets to publish; none without a battery."""
    wanted = [(state, pages) for state in context.variant.states.values() if (pages := _pages(context, state))]
    if not wanted or not context.electrical.has_battery:
        return ()
    network = context.loads.flows.network
    return tuple(_lit(network, state, pages) for state, pages in wanted)


def states_of(context: PackContext, sheet: str) -> tuple[Run, ...]:
    """The states in which a page of a sheet is published too, linked. Without page numbers: for those a part of the
    print with sheets would be set again whenever pages move."""
    shown = [one for one in context.lit if any(figure.sheet == sheet for figure in one.figures)]
    return tuple(listed((Run(one.state.id, lit_anchor(one.state, sheet)),) for one in shown))


def lit_anchor(state: NamedState, sheet: str) -> str:
    """The anchor of a page of a sheet in a state."""
    return anchor("state", f"{state.id} {sheet}")


def _pages(context: PackContext, state: NamedState) -> list[SheetFigure]:
    """The drawn pages to publish in a state: of the sheets it asks for; if only the command asks, of those on which
    something stands that it sets."""
    numbers = {word.text for word, _ in state.sheets}
    if not numbers and state.id in context.around.states:
        items = {fact.subject.partition(".")[0] for fact in state.set}
        numbers = {sheet for item in items for sheet in context.variant.sheets_of_item(item)}
    drawn = (context.sheets[name] for name in sorted(context.sheets, key=natural_key))
    return [figure for figure in drawn if figure.own_sheet in numbers]


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
