"""Changes for a person: under headings, by id, a mark before each line, the sheets that show it behind."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, TextIO

from compiler.changes.change import TITLED
from compiler.changes.matching import text
from compiler.changes.words import call, heading, outcome, subject, values
from loomwright.reports.clean import visible
from loomwright.reports.styled import Line, Piece, cells, rendered, wrapped

if TYPE_CHECKING:
    from compiler.changes.change import Change, Changes
    from compiler.changes.inventory import Record
    from loomwright.commands.output import Look

_WIDEST = 120
_NARROWEST = 40
_LONGEST_ID = 12
_HELD = "\u00a0"  # a blank at which no line is broken: a number stays with its word
_MARKS = {
    "added": Piece("+", "green"),
    "removed": Piece("-", "red"),
    "renamed": Piece("~", "cyan"),
    "changed": Piece("~", "yellow"),
}


def write_changes(changes: Changes, out: TextIO, how: Look) -> None:
    """Write changes. In a pipe, one line a statement."""
    room = None if how.width is None else min(max(how.width, _NARROWEST), _WIDEST)
    out.writelines(rendered(line, how.colour).rstrip() + "\n" for line in _lines(changes, room))


def _lines(changes: Changes, room: int | None) -> Iterator[Line]:
    if not changes.differ:
        differ = "nothing changed" if changes.is_issue else "nothing differs"
        yield [Piece(visible(f"{differ} between {_called(changes)}"))]
        return
    yield [Piece(visible(heading(changes)), "bold")]
    for mark, variant in ((_MARKS["removed"], changes.old), (_MARKS["added"], changes.new)):
        yield from _fitted([Piece("  "), mark, Piece(f" {visible(_described(variant))}")], 4, room)
    for name, group in groupby(changes.changes, key=lambda change: change.group):
        found = list(group)
        yield []
        yield [Piece(name, "bold"), Piece(f"  {len(found)}", "dim")]
        yield from _group(found, changes, room)
    yield []
    yield from _fitted([Piece(visible(_sums(changes)))], 2, room)


def _called(changes: Changes) -> str:
    if changes.is_issue:
        return f"the two issues of {call(changes.new)}"
    return f"{call(changes.old)} and {call(changes.new)}"


def _described(variant: Record) -> str:
    facts = [call(variant), text(variant, "title"), text(variant, "model-year")]
    issue = text(variant, "issue")
    return ", ".join(filter(None, (*facts, f"issue {issue}" if issue else "")))


def _group(group: list[Change], changes: Changes, room: int | None) -> Iterator[Line]:
    ids = [_id(change) for change in group]
    # An id that is a sentence does not push the others aside.
    wide = max(size for size in (0, *(cells([Piece(one)]) for one in ids)) if size <= _LONGEST_ID)
    before = ""
    for change, one in zip(group, ids, strict=True):
        again = bool(one) and one == before and room is not None
        before = one
        lead: Line = [Piece("  "), _MARKS[change.action], Piece(" ")]
        if one:
            lead += [Piece(" " * cells([Piece(one)]) if again else one, "bold"), Piece(" " * _gap(one, wide))]
        yield from _fitted([*lead, *_told(change, changes, again)], 4 + wide + 2 * bool(wide), room)


def _id(change: Change) -> str:
    """What stands in the column of ids; a test or complaint goes by its title."""
    if change.sort == "variant":
        return ""
    if change.sort in TITLED:
        return visible(subject(change))
    return visible(" ".join(change.subjects))


def _gap(one: str, wide: int) -> int:
    return max(wide - cells([Piece(one)]), 0) + 2


def _told(change: Change, changes: Changes, again: bool) -> Line:
    """What a line says behind the id. A title that the line before gave already is not given again."""
    whole = change.action in ("added", "removed")
    line: Line = []
    if change.title and not again and change.group != "Wires":
        line += [Piece(visible(change.title), "" if whole else "dim"), Piece("  ")]
    said, done = values(change), outcome(change, changes)
    if not whole or change.noun:  # of an option on offer: that it is no more than that
        line.append(Piece(visible(done + (": " if said else ""))))
    if said:
        style = "dim" if whole and change.title else ""
        line.append(Piece(visible(said), style))
    if not line:
        line.append(Piece(visible(done)))
    if change.sheets and change.sort != "sheet":
        if line[-1] == Piece("  "):
            line.pop()
        word = "sheet" if len(change.sheets) == 1 else "sheets"
        first, *others = visible(" ".join(change.sheets)).split(" ")
        line.append(Piece("  " + " ".join((f"[{word}{_HELD}{first}", *others)) + "]", "dim"))
    return line


def _fitted(line: Line, hanging: int, room: int | None) -> Iterator[Line]:
    if room is None:
        yield _parted(line)
        return
    first, *others = wrapped(line, room, max(room - hanging, 20))
    yield _parted(first)
    yield from ([Piece(" " * hanging), *_parted(other)] for other in others)


def _parted(line: Line) -> Line:
    return [Piece(piece.text.replace(_HELD, " "), piece.style) for piece in line]


def _sums(changes: Changes) -> str:
    count = len(changes.changes)
    word = "change" if changes.is_issue else "difference"
    told = [f"{count} {word}" if count == 1 else f"{count} {word}s"]
    other = "changed" if changes.is_issue else "different"
    new, gone = (
        ("new", "gone") if changes.is_issue else (f"only in {call(changes.new)}", f"only in {call(changes.old)}")
    )
    for name, sheets in ((other, changes.sheets), (new, changes.new_sheets), (gone, changes.gone_sheets)):
        if sheets:
            told.append(f"{'sheet' if len(sheets) == 1 else 'sheets'} {name}: {' '.join(sheets)}")
    for state, sheets in changes.lit_sheets.items():
        told.append(f"{'sheet' if len(sheets) == 1 else 'sheets'} {other} in state {state}: {' '.join(sheets)}")
    return "; ".join(told)
