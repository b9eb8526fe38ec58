"""Pages and tables on a terminal, by rich."""

from __future__ import annotations

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


def severity_text(severity: Severity) -> Text:
    """A severity in its colour."""
    from rich.text import Text

    return Text(severity.value, style=_STYLES[severity])
