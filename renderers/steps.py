"""The tests of a fault chart as data: what to do, what may be read, and where each reading leads."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from renderers.tables import NEXT_LINE, Cell, Column, Row, Run, Table, cell, listed, runs_cell

Runs = tuple[Run, ...]

COLUMNS = (
    Column("step", "Step", "id", 10),
    Column("test", "Test", "text", 52),
    Column("where", "Where", "place", 54),
    Column("reading", "Reading, and where it leads", "text", 64),
)


class Answer(NamedTuple):
    """What may be read at a step.

    words  the reading in words
    low, high  the reading from and to, in the unit of the step; infinite where there is no end
    good   whether a sound vehicle reads so
    share  how likely it is there, 0 to 1
    to     where it leads: a step or a cause, of this chart or of another
    """

    words: str
    low: float
    high: float
    good: bool
    share: float
    to: Run


class Step(NamedTuple):
    """One test.

    test      id of the test
    kind      what it is: `look`, `click`, `fuse`, `volts`, `ohms`, `across`, `terminal`, `swap`
    place     point or part tested, by name
    item      id of the item to go to
    settings  what is set for it: things and positions
    power     False: battery disconnected
    unit      `V`, `ohm`, `share` (of the rated voltage) or `seen` (a number for each thing that can be found)
    left      how many causes are left before it
    """

    anchor: str
    number: int
    test: str
    kind: str
    place: str
    item: str
    settings: tuple[tuple[str, str], ...]
    power: bool
    unit: str
    left: int
    what: Runs
    where: Runs
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of one chart.

    chart   name of the chart
    verify  how to see the complaint
    again   the same after the repair
    start   where it begins: a step or a cause, of this chart or of another
    """

    id: str
    title: str
    chart: str
    verify: str
    again: str
    start: Run
    steps: tuple[Step, ...]

    @staticmethod
    def reading(step: Step, answer: Answer) -> str:
        """An answer's reading as shown: a number that a sound vehicle gives is said to be good, words tell it."""
        return f"{answer.words} (good)" if answer.good and step.unit in ("V", "ohm") else answer.words

    @property
    def table(self) -> Table:
        """The same as a plain table, for paper and spreadsheets."""
        rows = tuple(
            Row(
                (cell(str(step.number)), runs_cell(step.what), runs_cell(step.where), self._readings(step)),
                step.anchor,
            )
            for step in self.steps
        )
        return Table(self.id, self.title, COLUMNS, rows, (), "isolation-steps", self.chart, "Chart")

    def settled(self, runs: Callable[[Runs], Runs], clean: Callable[[str], str]) -> Steps:
        """The same with its texts and links made fit for pages."""
        steps = tuple(
            step._replace(
                what=runs(step.what),
                where=runs(step.where),
                answers=tuple(a._replace(words=clean(a.words), to=runs((a.to,))[0]) for a in step.answers),
            )
            for step in self.steps
        )
        start = runs((self.start,))[0]
        chart, verify, again = clean(self.chart), clean(self.verify), clean(self.again)
        return replace(self, chart=chart, verify=verify, again=again, start=start, steps=steps)

    def _readings(self, step: Step) -> Cell:
        lines = ((Run(f"{self.reading(step, answer)}: "), answer.to) for answer in step.answers)
        return runs_cell(listed(lines, NEXT_LINE))
