"""Pages and tables on a terminal, by rich."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from grammar.finding import Severity
from loomwright.commands.output import Look

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

_READABLE = 100
_STYLES = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}


def console(stream: TextIO, how: Look) -> Console:
    """A console that writes to `stream` as `how` says, without markup. In a pipe, lines are as long as they need."""
    from rich.console import Console

    return Console(
        file=stream,
        force_terminal=how.colour,
        no_color=not how.colour,
        color_system="standard" if how.colour else None,
        width=min(how.width, _READABLE) if how.width is not None else 10_000,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
    )


def print_table(rows: Sequence[Sequence[Text]], stream: TextIO, how: Look, widths: Sequence[int] = ()) -> None:
    """Rows in columns; the last column wraps on a terminal. In a pipe, one line a row without blanks at its end.

    widths  least width of each column but the last; by default as wide as its longest text
    """
    if not rows:
        return
    longest = [max(row[column].cell_len for row in rows) for column in range(len(rows[0]) - 1)]
    longest = [max(pair) for pair in zip(longest, widths or longest, strict=True)]
    if how.width is None and not how.colour:
        for row in rows:
            cells = [f"{text.plain}{' ' * (width - text.cell_len)}" for text, width in zip(row, longest, strict=False)]
            stream.write("  ".join([*cells, row[-1].plain]).rstrip() + "\n")
        return
    from rich.table import Table

    table = Table.grid(padding=(0, 2, 0, 0))
    for width in longest:
        table.add_column(min_width=width, no_wrap=True)
    table.add_column()
    for row in rows:
        table.add_row(*row)
    console(stream, how).print(table)


def severity_text(severity: Severity) -> Text:
    """A severity in its colour."""
    from rich.text import Text

    return Text(severity.value, style=_STYLES[severity])
