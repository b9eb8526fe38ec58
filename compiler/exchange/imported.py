"""A wire list turned into the text of a source, with its proof and its remarks."""

from __future__ import annotations

from typing import NamedTuple

from compiler.exchange.draft import Draft
from compiler.exchange.drafting import Wanted, draft
from compiler.exchange.loomtext import loom_text
from compiler.exchange.problems import Remark, Sort, WireListError
from compiler.exchange.proof import prove
from compiler.exchange.wirelist import File, WireList, read_wire_list
from compiler.standards.colours import builtin_table, builtin_tables


class Imported(NamedTuple):
    """The text of a source, the draft and the rows it was made of, and what a person should look at."""

    text: str
    draft: Draft
    rows: WireList
    remarks: tuple[Remark, ...]


def import_wire_list(wires: File, items: File | None, fuses: File | None, wanted: Wanted) -> Imported:
    """A source that says what the lists say, row for row.

    wires   one row a wire; see data/columns.toml for the headings
    items   what the wires end in: kinds, titles, numbers of cavities; without it they are taken from the wires
    fuses   fuses with their ratings
    wanted  what no list says

    Raises WireListError for lists that cannot be used, and `proof.NotProved` if the text would not say what the rows
    say (a mistake of ours).
    """
    if wanted.colours not in builtin_tables():
        raise WireListError(f"no colour table is called {wanted.colours}; there are {', '.join(builtin_tables())}")
    rows = read_wire_list(wires, items, fuses, builtin_table(wanted.colours))
    if not rows.wires:
        raise WireListError(f"{wires.name}: holds no wire")
    lists = ", ".join(file.name for file in (wires, items, fuses) if file is not None)
    made, remarks = draft(rows, wanted, wires.name, items is not None, (f"imported from {lists}",))
    text = loom_text(made)
    prove(made, text)
    hint = _other_table(wires, rows, wanted.colours)
    return Imported(text, made, rows, (*hint, *rows.remarks, *remarks))


def _other_table(wires: File, rows: WireList, chosen: str) -> tuple[Remark, ...]:
    """A word on a colour table that reads more of the list, if there is one."""
    unread = _unread_colours(rows)
    if not unread:
        return ()
    counts = {
        name: _unread_colours(read_wire_list(wires, None, None, builtin_table(name)))
        for name in builtin_tables()
        if name != chosen
    }
    best = min(counts, key=lambda name: counts[name])
    if counts[best] >= unread:
        return ()
    says = f"{unread} colours are not codes of {chosen}; the table {best} leaves {counts[best]}"
    return (Remark(Sort.NOT_READ, wires.name, 0, "", "", says),)


def _unread_colours(rows: WireList) -> int:
    return sum(row.colour is None and row.colour_written != "" for row in rows.wires)
