"""`loomwright kinds`."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, look

if TYPE_CHECKING:
    from compiler.kinds.base import Kind


@click.command("kinds")
@click.argument("name", required=False)
@colour_option
def command(name: str | None, colour: str) -> None:
    """Show the device kinds, or what one of them takes.

    Without NAME: a list of all kinds.
    """
    from compiler.kinds import kinds

    if name is None:
        _list(kinds(), colour)
        return
    kind = kinds().get(name)
    if kind is None:
        from compiler.assembly.names import nearest
        from loomwright.errors import CannotRun

        near = nearest(name, kinds())
        hint = f"did you mean {near}?" if near else "`loomwright kinds` lists them"
        raise CannotRun(f"no kind is called {name}; {hint}")
    print(kind.page or f"{kind.title}.")
    print()
    for label, value in _facts(kind):
        print(f"{label:<10} {value}")


def _list(known: Mapping[str, Kind], colour: str) -> None:
    from rich.text import Text

    from loomwright.commands.pages import print_table

    rows = []
    for kind in known.values():
        page = " ".join(kind.page.split("\n\n")[0].split())
        rows.append((Text(kind.name, style="bold"), Text(_stands(kind), style="dim"), Text(page)))
    print_table(rows, sys.stdout, look(sys.stdout, colour))


def _stands(kind: Kind) -> str:
    return "device, part" if kind.as_device and kind.as_part else "device" if kind.as_device else "part"


def _facts(kind: Kind) -> list[tuple[str, str]]:
    most = "any number" if kind.most is None else str(kind.most)
    count = str(kind.least) if kind.most == kind.least else f"{kind.least} to {most}" if kind.least else most
    if kind.terminals:
        count += f": {' '.join(kind.terminals)}"
    facts = [("stands as", _stands(kind)), ("terminals", count)]
    if kind.ratings:
        facts.append(("ratings", ", ".join(kind.ratings)))
    facts += [("word", f"{word} VALUE") for word in kind.words]
    facts += [("word", f"{word}: {', '.join(choices)}") for word, choices in kind.choices.items()]
    if kind.body:
        facts.append(("lines", ", ".join(kind.body)))
    return facts
