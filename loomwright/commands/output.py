"""What commands share: colour or not, how wide, the options for it."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any, NamedTuple, TextIO

import click


class Look(NamedTuple):
    """How to write to a stream: with colours or not, and its width in cells (None when it is no terminal)."""

    colour: bool
    width: int | None


def look(stream: TextIO, colour: str) -> Look:
    """How to write to `stream`; `colour` is `auto`, `always` or `never`. NO_COLOR and TERM=dumb are heeded."""
    terminal = stream.isatty()
    if colour == "auto":
        wanted = terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    else:
        wanted = colour == "always"
    return Look(wanted, _width(stream) if terminal else None)


def _width(stream: TextIO) -> int:
    given = os.environ.get("COLUMNS", "")
    if given.isdigit() and int(given) > 0:
        return int(given)
    try:
        return os.get_terminal_size(stream.fileno()).columns or 80
    except (OSError, ValueError):
        return 80


def colour_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """`--color auto|always|never`, in both spellings."""
    return click.option(
        "--color",
        "--colour",
        "colour",
        type=click.Choice(["auto", "always", "never"]),
        default="auto",
        show_default=True,
        help="Colour the output: auto means on a terminal, unless NO_COLOR is set.",
    )(function)


def format_option(what: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """`--format terminal|json` as `form`; `what` is written so, for the help."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(["terminal", "json"]),
        default="terminal",
        show_default=True,
        help=f"How {what} written.",
    )


def say(text: str) -> None:
    """A line of progress or outcome on standard error, so that it never mixes with a result."""
    from loomwright.reports.clean import visible
    from loomwright.telling import tell

    tell(f"{visible(text)}\n")
