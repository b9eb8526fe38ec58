"""`loomwright explain`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import Look, colour_option, look

if TYPE_CHECKING:
    from loomwright.report import Rule


@click.command("explain")
@click.argument("name", required=False)
@colour_option
def command(name: str | None, colour: str) -> None:
    """Show the page of a check: what it finds, why it matters, wrong and right.

    Without NAME: a list of all checks.
    """
    from compiler.checks import known_names
    from loomwright.rules import refuse_unknown, rule

    how = look(sys.stdout, colour)
    if name is None:
        _list([rule(known) for known in known_names()], how)
        return
    refuse_unknown([name])
    page = rule(name).page
    if how.width is None and not how.colour:
        sys.stdout.write(page if page.endswith("\n") else page + "\n")
        return
    from rich.markdown import Markdown

    from loomwright.commands.pages import console

    console(sys.stdout, how).print(Markdown(page, code_theme="ansi_dark" if how.colour else "bw", hyperlinks=False))


def _list(told: list[Rule], how: Look) -> None:
    """Checks by family: name, severity, one line."""
    from rich.text import Text

    from loomwright.commands.pages import console, print_table, severity_text

    widths = (max(len(rule.name) for rule in told) + 2, len("warning"))
    for family in sorted({rule.family for rule in told}):
        console(sys.stdout, how).print(Text(family, style="bold"))
        rows = [
            (Text(f"  {rule.name}"), severity_text(rule.severity), Text(rule.summary))
            for rule in told
            if rule.family == family
        ]
        print_table(rows, sys.stdout, how, widths)
