"""The fault charts of a pack: which complaints are asked for, what became of each, and the chart that it has."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from renderers.isolation.drawn import Drawn, drawn
from renderers.isolation.trees import Made, made

if TYPE_CHECKING:
    from compiler.isolation.bench import Bench
    from compiler.isolation.types import Complaint
    from renderers.context import PackContext


@dataclass(frozen=True)
class Charted:
    """Complaints of the source and trouble codes (`found`), those of every load (`loads`), and the charts of both."""

    found: tuple[Made, ...] = ()
    loads: tuple[Made, ...] = ()
    charts: tuple[Drawn, ...] = ()

    @cached_property
    def at(self) -> dict[Complaint, Drawn]:
        """Complaint -> its chart; one that no single fault explains has none."""
        return {complaint: chart for chart in self.charts for complaint in chart.complaints}


def charted(context: PackContext) -> Charted:
    """The charts that a pack is to have; none without a battery, or where none are wanted."""
    wish = context.around.faults
    if wish == "none" or not context.electrical.has_battery:
        return Charted()
    bench = context.bench
    found = made(bench, (*bench.source_complaints, *_codes(bench)), context.store, context.jobs)
    loads = made(bench, bench.load_complaints, context.store, context.jobs) if wish == "loads" else ()
    return Charted(found, loads, tuple(drawn((*found, *loads))))


def _codes(bench: Bench) -> tuple[Complaint, ...]:
    """The trouble codes; none where one is about something that is not there, which only a forced pack can have."""
    from compiler.network.network import CannotSolve

    try:
        return bench.codes
    except CannotSolve:
        return ()
