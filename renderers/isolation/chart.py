"""One fault chart as blocks: verify, related symptoms, probable causes, the tests, the repairs, verify again."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from compiler.isolation.repairs import repairs
from renderers.cautions import FUSES, HOT_AND_MOVING, POWERED
from renderers.cells import place_cell
from renderers.context import PackContext
from renderers.document import Caution, Group, Leaf, Paragraph
from renderers.isolation.drawn import Drawn, Place, cause_place
from renderers.isolation.verifying import again_words, named, verify_runs
from renderers.repairs import KINDS, REPAIR
from renderers.steps import Answer, Runs, Step, Steps
from renderers.tables import NEXT_LINE, Cell, Column, Row, Run, Table, cell, listed, runs_cell
from renderers.text import anchor

if TYPE_CHECKING:
    from compiler.isolation.types import Confirmation, Node, Related, Suspect, Test, Tree
    from compiler.isolation.types import Group as Same

_RELATED = (
    Column("look", "Look", "text", 50),
    Column("shares", "Shares with the complaint", "text", 40),
    Column("sound", "On a sound vehicle", "text", 24),
    Column("tells", "What the answer tells", "text", 66),
)
_CAUSES = (
    Column("cause", "Cause", "id", 12),
    Column("fault", "What is at fault", "text", 48),
    Column("where", "Where", "place", 46),
    Column("share", "Share, %", "number", 14),
    Column("repair", "Repair", "text", 64),
)
_SHEETS = 2  # of those that a part stands on
_NAMED = 6  # causes told before the tests
_NAMES = frozenset({"look", "click", "fuse", "swap"})  # tests of a whole part: its name helps to find it
_CLEARED = 10  # parts told as cleared by one thing that was seen


def chart_group(context: PackContext, chart: Drawn) -> Group:
    """The blocks of a chart."""
    return Group(chart.id, chart.title, tuple(_leaves(context, chart)), chart.complaints[0].subject)


def _leaves(context: PackContext, chart: Drawn) -> Iterator[Leaf]:
    tree = chart.tree
    yield Caution("Caution", (Run(f"{POWERED} {FUSES} {HOT_AND_MOVING}"),))
    if len(chart.complaints) > 1:
        yield Paragraph((Run(f"Also for: {'; '.join(c.title for c in chart.complaints[1:])}."),))
    verify = listed(dict.fromkeys(verify_runs(context, complaint) for complaint in chart.complaints), " ")
    again = again_words(context, chart.complaints[0])
    yield Paragraph((Run("Verify: "), *verify, Run(" If not, look for a loose contact: wiggle and look again.")))
    if tree.related:
        rows = tuple(_look(context, one) for one in tree.related)
        yield Table(
            f"related-{chart.id}", "Related symptoms", _RELATED, rows, (), "isolation-related", chart.title, "Chart"
        )
    yield Paragraph(tuple(_probable(chart)))
    yield from (Paragraph((Run(words),)) for words in _cleared(chart))
    if tree.confirm is not None:
        yield Paragraph(tuple(_confirming(context, tree, tree.confirm)))
    if chart.steps or chart.to[0].anchor != cause_place(chart.id, chart.title, 0).anchor:
        yield Paragraph(tuple(_beginning(chart)))
    if chart.steps:
        steps = tuple(_step(context, chart, n, node) for n, node in enumerate(chart.steps, 1))
        start = place_run(chart, chart.to[0])
        yield Steps(f"steps-{chart.id}", "Tests", chart.title, "".join(run.text for run in verify), again, start, steps)
        yield from _elsewhere(chart)
    if chart.causes:
        rows = tuple(_cause(context, chart, n, groups) for n, groups in enumerate(chart.causes))
        yield Table(
            f"causes-{chart.id}", "Causes and repair", _CAUSES, rows, (), "isolation-causes", chart.title, "Chart"
        )
        if _by_notes(suspect for groups in chart.causes for group in groups for suspect in group.suspects):
            yield _notes()
    yield Paragraph((Run(f"Verify again: {again}"),))


def place_run(chart: Drawn, place: Place) -> Run:
    """A reference to a step or a cause, as it reads in a chart."""
    if place.chart == chart.id:
        return Run(place.name, place.anchor)
    return Run(f"{place.name} of “{place.title}”", place.anchor)


def _elsewhere(chart: Drawn) -> Iterator[Paragraph]:
    """The charts that steps lead to, with their pages. These do not stand in the table: the print engine may lose what
    is named in a table that waits for page numbers."""
    found = {place.chart: place.title for place in chart.to.values() if place.chart != chart.id}
    if found:
        charts = ((Run(f"“{title}”", name, page=True),) for name, title in found.items())
        yield Paragraph((Run("Charts that these steps lead to: "), *listed(charts), Run(".")))


# -- before the tests --------------------------------------------------------------------------------------------------
def _look(context: PackContext, one: Related) -> Row:
    tells = NEXT_LINE.join(f"{answer}: {told}" for answer, told in one.tells)
    what = runs_cell(linked(context, one.test))
    return Row((what, cell(", ".join(one.shares)), cell(one.should), runs_cell(_lines(tells))))


def _lines(text: str) -> Iterator[Run]:
    for place, line in enumerate(text.split(NEXT_LINE)):
        if place:
            yield Run(NEXT_LINE)
        yield Run(line)


def _probable(chart: Drawn) -> Iterator[Run]:
    groups = chart.tree.groups
    yield Run("Probable causes, the likeliest first: ")
    yield from listed(_named(chart, n, group) for n, group in enumerate(groups[:_NAMED]))
    more = len(groups) - _NAMED
    yield Run(f" and {more} more." if more > 0 else ".")


def _named(chart: Drawn, number: int, group: Same) -> Iterator[Run]:
    place = chart.home.get(number)
    link = place.anchor if place else ""
    yield Run(" or ".join(group.parts), link)
    yield Run(f" {_per_cent(group.share)} %", muted=True)


def _per_cent(share: float) -> str:
    return "under 1" if share < 0.005 else f"{100 * share:.0f}"


def _cleared(chart: Drawn) -> Iterator[str]:
    """What is seen clears some parts: a sentence for each thing seen."""
    for by, rows in groupby(sorted(chart.tree.cleared, key=lambda row: row.by), key=lambda row: row.by):
        parts = list(dict.fromkeys(row.part for row in rows))
        more = f" and {len(parts) - _CLEARED} more" if len(parts) > _CLEARED else ""
        yield f"Not at fault, for {by}: {', '.join(parts[:_CLEARED])}{more}."


def _confirming(context: PackContext, tree: Tree, confirm: Confirmation) -> Iterator[Run]:
    """Where no test is needed to tell causes apart, one that shows the fault itself."""
    test = confirm.test
    yield Run("There is nothing to tell apart. Confirm the cause before you repair it: ")
    yield from linked(context, test)
    wires = (context.variant.wire_by_id.get(suspect.item) for suspect in tree.suspects)
    drawn = {page for wire in wires if wire for page in context.sheets_of_wire(wire)}
    for item in test.opens:
        yield from (Run(" "), *named(context, item), Run(": "), *_where(context, item, "", drawn), Run("."))
    sound = test.sound.words
    yield Run(f" With the fault: {confirm.faulty.words}. Without it: {sound}; then {confirm.otherwise}.")


def _beginning(chart: Drawn) -> Iterator[Run]:
    mean, most = chart.tree.tests
    minutes, longest = chart.tree.minutes
    yield Run("Begin with ")
    yield place_run(chart, chart.to[0])
    tests = f"{most} {'test' if most == 1 else 'tests'}"
    yield Run(f". On average {mean:.1f} tests and {minutes:.0f} minutes, at most {tests} and {longest:.0f} minutes.")


# -- tests -------------------------------------------------------------------------------------------------------------
def _step(context: PackContext, chart: Drawn, number: int, node: Node) -> Step:
    test = node.test
    assert test is not None  # steps are the nodes that have one
    answers = tuple(
        Answer(
            a.reading.words,
            -math.inf if a.reading.unit == "V" and a.reading.low < 0 else a.reading.low,
            a.reading.high,
            a.good,
            a.share,
            place_run(chart, chart.to[a.node]),
        )
        for a in node.answers
    )
    return Step(
        chart.to[node.number].anchor,
        number,
        test.id,
        test.kind.value,
        test.place,
        test.item,
        test.settings,
        test.power,
        test.unit,
        node.count,
        tuple(linked(context, test)),
        _where(context, test.item, test.place),
        answers,
    )


def linked(context: PackContext, test: Test) -> Iterator[Run]:
    """The instruction of a test, the point that it names linked to where it is described."""
    words = test.words.replace("Measure the voltage", "Volts").replace(" against the battery's negative post", "")
    name, link = _link(context, test)
    before, found, after = words.partition(name)
    if not found:
        name, link = test.item, context.home(test.item)
        before, found, after = words.partition(name)
    if not found or not name:
        yield Run(words)
        return
    place = named(context, name, test.item) if test.kind.value in _NAMES else (Run(name, link),)
    yield from (run for run in (Run(before), *place, Run(after)) if run.text)


def _link(context: PackContext, test: Test) -> tuple[str, str]:
    """The name of the point tested and its anchor: the row of a cavity, else where the item is described."""
    if test.item in context.variant.connectors:
        return test.place, anchor("cavity", test.place.split(" ", 1)[0])
    return test.place, context.home(test.item)


def _where(context: PackContext, name: str, at: str, drawn: Container[str] = ()) -> Runs:
    """Where the hand goes: words that lead to the figure of the zone, and the sheets.

    at     the point or part in words (`terminal C40.7 body side`): only sheets that draw a wire there are of use
    drawn  sheets that are of more use than others
    """
    runs: list[Run] = []
    item = context.variant.items.get(name)
    if item is not None:
        runs += place_cell(context, item).runs
        sheets = context.sheets_of_point(name, f"{at.partition(f'{name}.')[2]} ".split(" ", 1)[0])
    else:
        wire = context.variant.wire_by_id.get(name)
        sheets = context.sheets_of_wire(wire) if wire else ()
    sheets = tuple(page for page in sheets if page in drawn) or sheets
    if sheets:
        runs.append(Run(f"{'; ' if runs else ''}{'sheet' if len(sheets) == 1 else 'sheets'} "))
        zoned = ((s, f"{s} {context.zone_on(s, name)}".rstrip()) for s in sheets[:_SHEETS])
        runs += listed((Run(words, anchor("sheet", s)),) for s, words in zoned)
    return tuple(run for run in runs if run.text)


# -- causes ------------------------------------------------------------------------------------------------------------
def _cause(context: PackContext, chart: Drawn, number: int, groups: tuple[Same, ...]) -> Row:
    place = cause_place(chart.id, chart.title, number)
    suspects = [suspect for group in groups for suspect in group.suspects]
    told = list(repairs(suspects))
    if len(groups) > 1:
        told.append("No test tells these apart: what one reads overlaps with what the next does.")
    cells = (
        cell(place.name.removeprefix("cause ")),
        runs_cell(listed(_fault(context, suspects), NEXT_LINE)),
        _all_where(context, suspects),
        cell(_per_cent(sum(group.share for group in groups))),
        cell(" ".join(told)),
    )
    return Row(cells, place.anchor)


def _by_notes(suspects: Iterable[Suspect]) -> bool:
    return any(suspect.kind.startswith(KINDS) for suspect in suspects)


def _notes() -> Paragraph:
    """Where the repair notes stand."""
    place = Run("repair notes", REPAIR, page=True)
    return Paragraph((Run("Wires, joints and terminals are repaired by the "), place, Run(".")))


def _fault(context: PackContext, suspects: list[Suspect]) -> Iterator[Runs]:
    """Faults in words, those of one part together: `terminal C40.7 body side corroded or loose, or backed out`."""
    for part, same in groupby(suspects, key=lambda suspect: suspect.part):
        own = list(same)
        says = [suspect.says.removeprefix(part).strip() for suspect in own]
        yield (*_part(context, part, own[0].item), Run(f" {', or '.join(dict.fromkeys(says))}"))


def _part(context: PackContext, part: str, item: str) -> Iterator[Run]:
    link = anchor("wire", item) if item in context.variant.wire_by_id else context.home(item)
    before, found, after = part.partition(item)
    if item in context.variant.connectors and after.startswith("."):
        cavity, _, after = after.partition(" ")
        found, after = found + cavity, f" {after}"
        link = anchor("cavity", found)
    yield from (run for run in (Run(before), Run(found, link), Run(after)) if run.text)


def _all_where(context: PackContext, suspects: Iterable[Suspect]) -> Cell:
    places = list(dict.fromkeys(filter(None, (_where(context, s.item, s.part) for s in suspects))))
    return runs_cell(listed(places[:2], NEXT_LINE))
