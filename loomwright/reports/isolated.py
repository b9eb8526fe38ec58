"""A search on a terminal: the complaint, the test at hand with its answers, what is left, what is cleared and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TextIO

from compiler.model.items import Point
from loomwright.commands.output import Look
from loomwright.reports.clean import visible
from loomwright.reports.styled import Line, Piece, write_hanging

if TYPE_CHECKING:
    from compiler.isolation.search import Search
    from compiler.isolation.types import Choice, Complaint, Confirmation, Group
    from compiler.model.variant import Variant
    from loomwright.searches.desk import Desk

_WIDEST = 110
_FEW = 8
_LETTERS = 40  # of a title in a list


def write_lines(lines: Iterator[Line], out: TextIO, how: Look) -> None:
    """Write lines; on a terminal long ones go on below their own text."""
    room = None if how.width is None else min(max(how.width, 40), _WIDEST)
    write_hanging(lines, out, colour=how.colour, room=room, hanging=_hanging)


def _hanging(line: Line) -> int:
    """Where a long line goes on: below its text, past its indent and its number."""
    head = line[0].text if line else ""
    return len(head) if head.startswith(" ") else 4


def _text(text: str, style: str = "") -> Piece:
    return Piece(visible(text), style) if style else Piece(visible(text))


# -- the beginning ---------------------------------------------------------------------------------------------------
def begun(search: Search) -> Iterator[Line]:
    """The complaint: its title, what is set, what is seen, and the cautions."""
    complaint = search.case.complaint
    yield [_text(complaint.title, "bold")]
    yield [Piece("  set   "), _text(_set(complaint) or "nothing; everything is at rest")]
    if complaint.observations:
        yield [Piece("  seen  "), _text(", ".join(map(str, complaint.observations)))]
    yield [
        Piece("  "),
        Piece(
            "Disconnect the battery unless a test needs power; never fit a larger fuse; keep clear of moving parts. "
        ),
        Piece("Local rules and the maker's instructions come first."),
    ]


def _set(complaint: Complaint) -> str:
    return ", ".join(f"{name} {position}" for name, position in complaint.settings)


def related(search: Search) -> Iterator[Line]:
    """Symptoms to look at first: each with what it shares, and what each answer tells."""
    rows = search.related[:_FEW]
    if not rows:
        return
    yield []
    yield [Piece("Look first; it takes no tool:", "bold")]
    for row in rows:
        yield [Piece("  - "), _text(f"{row.test.words} It shares {', '.join(row.shares)}.")]
        for answer, tells in row.tells:
            yield [Piece("      "), _text(f"{answer}: ", "cyan"), _text(tells)]


# -- where it stands -------------------------------------------------------------------------------------------------
def standing(desk: Desk) -> Iterator[Line]:
    """The test at hand, or how the search ends."""
    search, choice = desk.search, desk.choice
    yield []
    if not search.suspects:
        yield from _contradicted(search)
    elif choice is None:
        yield from _found(search)
    else:
        yield from _at_hand(desk, choice)


def _at_hand(desk: Desk, choice: Choice) -> Iterator[Line]:
    search, test = desk.search, choice.test
    left = len(search.groups)
    yield [
        Piece(f"Test {sum(e.kind == 'answer' for e in search.events) + 1}", "bold"),
        _text(f"  {test.id}", "dim"),
        Piece(f"  {_minutes(choice.minutes)}, {left} possible causes left", "dim"),
    ]
    yield [Piece("  "), _text(test.words)]
    where = place_words(search, test.item, test.place)
    if where:
        yield [Piece("  "), _text(where, "dim")]
    if test.settings != search.case.complaint.settings and test.power:
        yield [Piece("  "), _text("set " + (", ".join(f"{a} {b}" for a, b in test.settings) or "everything at rest"))]
    for number, outcome in enumerate(choice.outcomes, 1):
        count = _groups_in(search, outcome.suspects)
        as_it_should = "as it should be; " if outcome.good else ""
        words = f"{as_it_should}{count} of {left} possible causes stay ({outcome.share:.0%})"
        yield [Piece(f"  {number}  ", "cyan"), _text(f"{outcome.reading.words:<20}"), _text(f"  {words}", "dim")]


def _groups_in(search: Search, suspects: Sequence[int]) -> int:
    inside = set(suspects)
    return sum(any(s.number in inside for s in group.suspects) for group in search.groups)


def _found(search: Search) -> Iterator[Line]:
    from compiler.isolation.repairs import repairs
    from compiler.isolation.tree import verify

    groups = search.groups
    if len(groups) == 1:
        yield [Piece("Found: ", "green"), _text(_or(groups[0]), "bold")]
        if len(groups[0].suspects) > 1:
            overlap = ": what one reads overlaps with what the next does" if groups[0].chained else ""
            yield [Piece("  "), Piece(f"No test within reach tells these apart{overlap}; the likeliest comes first.")]
    else:
        yield [
            Piece(f"{len(groups)} possible causes are left, and no test that is allowed tells them apart:", "yellow")
        ]
    if search.confirmation:
        yield from _confirming(search.confirmation)
    for group in groups:
        if len(groups) > 1:
            yield [Piece(f"  {group.share:4.0%}  "), _text(_or(group))]
        for repair in repairs(group.suspects):
            yield [Piece("  - "), _text(repair)]
        where = place_words(search, group.suspects[0].item, group.suspects[0].part)
        if where:
            yield [Piece("    "), _text(where, "dim")]
    yield [Piece("Then verify: ", "bold"), _text(verify(search.case.complaint) + " It must be so no more.")]


def _confirming(confirm: Confirmation) -> Iterator[Line]:
    yield [Piece("  "), Piece("Nothing was to be told apart. Confirm it before the repair:")]
    yield [Piece("  "), _text(confirm.test.words)]
    yield [Piece("      "), _text(f"{confirm.faulty.words}: ", "cyan"), Piece("this is it")]
    yield [Piece("      "), _text(f"{confirm.test.sound.words}: ", "cyan"), _text(confirm.otherwise)]


def _or(group: Group) -> str:
    return " or ".join(suspect.says for suspect in group.suspects)


def _contradicted(search: Search) -> Iterator[Line]:
    yield [Piece("No single fault explains all of it.", "yellow")]
    if search.conflict:
        yield [Piece("  "), Piece("These contradict one another; look at them again (undo takes back the last):")]
        for said in search.conflict.seen:
            yield [Piece("  - "), _text(said)]
    if search.pairs:
        yield [Piece("  "), Piece("Two faults together that would explain it:")]
        for pair in search.pairs[:_FEW]:
            yield [Piece(f"  {pair.share:4.0%}  "), _text(f"{pair.first.says}, and {pair.second.says}")]
    else:
        yield [Piece("  "), Piece("No pair of faults that was tried explains it either.")]


# -- on demand -------------------------------------------------------------------------------------------------------
def left(search: Search) -> Iterator[Line]:
    """What is left, with probabilities."""
    for group in search.groups:
        yield [Piece(f"  {group.share:4.0%}  "), _text(_or(group))]


def cleared(search: Search) -> Iterator[Line]:
    """What is out of suspicion: what was seen, and the parts that this clears."""
    if not search.cleared:
        yield [Piece("  nothing is cleared yet")]
    by: dict[str, list[str]] = {}
    for row in search.cleared:
        by.setdefault(row.by, []).append(row.part)
    for said, parts in by.items():
        yield [Piece("  - "), _text(said, "bold"), _text(f"; with a fault of theirs it would not: {', '.join(parts)}")]


def others(desk: Desk, most: int | None = None) -> Iterator[Line]:
    """Other tests, numbered; no more than `most`."""
    rows = desk.others
    if not rows:
        yield [Piece("  no other test would tell more")]
    for number, choice in enumerate(rows[:most], 1):
        told = f"{_minutes(choice.minutes)}, {choice.bits:.2f} bit"
        yield [Piece(f"  {number:>3}  "), _text(choice.test.id), _text(f"  {told}", "dim")]
    if most is not None and len(rows) > most:
        yield [Piece(f"       and {len(rows) - most} more; `tests all` lists them")]


def complaints(rows: Sequence[Complaint]) -> Iterator[Line]:
    """Complaints to begin from: id and title."""
    width = max((min(len(row.id), _LETTERS) for row in rows), default=0)
    for row in rows:
        yield [Piece("  "), _text(f"{row.id:<{width}}", "cyan"), _text(f"  {row.title}")]


def place_words(search: Search, item: str, at_point: str) -> str:
    """Where an item is: title, zone and words, sheets.

    at_point  the point or part in words (`terminal C40.7 body side`): only sheets with a wire there are of use
    """
    variant, access = search.case.network.variant, search.case.bench.access
    known = variant.items.get(item)
    sheets = _sheets(variant, item, f"{at_point.partition(f'{item}.')[2]} ".split(" ", 1)[0])
    at = variant.items.get(access.place(item)) if known is not None else None
    told = [f"{item} {known.title}" if known.title else item] if known is not None else []
    if at is not None and at is not known:
        told.append(f"in {at.title or at.id}")
    if at is not None and at.place is not None:
        zone = variant.zones.get(at.place.zone)
        told += [word for word in (zone.title if zone and zone.title else at.place.zone, at.place.words) if word]
    if sheets:
        told.append(f"sheet{'s' if len(sheets) > 1 else ''} {', '.join(sheets)}")
    return ", ".join(told)


def _sheets(variant: Variant, item: str, terminal: str) -> tuple[str, ...]:
    """Sheets of the circuits at a terminal of an item; of the whole item where no wire ends there; of a wire's."""
    if item in variant.wire_by_id and item not in variant.items:
        return variant.sheets_of_circuit(variant.wire_by_id[item].circuit)
    wires = [wire for half in (0, 1) for wire in variant.wires_at(Point(item, terminal, half))]
    found = dict.fromkeys(sheet for wire in wires for sheet in variant.sheets_of_circuit(wire.circuit))
    return tuple(found) or variant.sheets_of_item(item)


def _minutes(minutes: float) -> str:
    return f"{minutes:.1f} min" if minutes < 10 else f"{minutes:.0f} min"
