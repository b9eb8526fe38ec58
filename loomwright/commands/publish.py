"""`loomwright publish`."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, look, say

if TYPE_CHECKING:
    from compiler.checks.run import Checked
    from compiler.model.variant import Variant


@click.command("publish")
@click.argument("variant", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), required=True, metavar="DIR", help="Folder of the pack.")
@click.option(
    "--formats", default="html,pdf,csv,json", show_default=True, metavar="LIST", help="What to write, with commas."
)
@click.option("--paper", default="a4", show_default=True, metavar="NAME", help="a4 or us-letter.")
@click.option("--dot", metavar="PROGRAM", help="A Graphviz program of your own to place the sheets with.")
@click.option("--force", is_flag=True, help="Publish in spite of errors; the pack will be wrong where they are.")
@colour_option
def command(variant: Path, out: Path, formats: str, paper: str, dot: str | None, force: bool, colour: str) -> int:
    """Publish the pack of a variant.

    VARIANT is checked first, and with errors nothing is published (exit code 1). An older pack in DIR is replaced when
    the new one is complete; a folder that is no pack is left alone.
    """
    from compiler.assembly.library import Library
    from compiler.assembly.project import find_project
    from compiler.checks.run import check_variant
    from renderers.publish import publish

    project = find_project(variant)
    checked = check_variant(Library(project), variant)
    model = _publishable(checked, project.root, force, colour)
    if model is None:
        return 1
    listed = tuple(name.strip() for name in formats.split(",") if name.strip())
    with _progress(2 + len(listed), colour) as progress:
        done = publish(model, project, out, formats=listed, paper=paper, dot=dot, progress=progress)
    count = len(done.files)
    say(f"{model.id}: {count} {'file' if count == 1 else 'files'} in {out} ({done.seconds:.1f} s)")
    return 0


def _publishable(checked: Checked, root: Path, force: bool, colour: str) -> Variant | None:
    """The model, or None when errors forbid it; the errors are shown either way."""
    from grammar.finding import Severity
    from loomwright.report import Renamer, Report, merged
    from loomwright.reports.terminal import write_findings

    renamer = Renamer()
    errors = [f for f in checked.findings if f.severity is Severity.ERROR]
    report = Report(merged((renamer.finding(finding, root), finding.variant) for finding in errors), (), 0, 0, 0.0)
    colours, width = look(sys.stderr, colour)
    write_findings(report, sys.stderr, colour=colours, width=width)
    warnings = sum(finding.severity is Severity.WARNING for finding in checked.findings)
    if warnings:
        say(f"{warnings} {'warning' if warnings == 1 else 'warnings'}; see loomwright check")
    if checked.variant is None:
        return None
    if errors and not force:
        say(f"not published: {len(errors)} {'error' if len(errors) == 1 else 'errors'}; --force publishes all the same")
        return None
    return checked.variant


@contextmanager
def _progress(steps: int, colour: str) -> Iterator[Callable[[str], None] | None]:
    """A bar on a terminal, gone when the work is done; nothing in a pipe."""
    how = look(sys.stderr, colour)
    if how.width is None:
        yield None
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    from loomwright.commands.pages import console

    columns = (TextColumn("{task.description}", markup=False), BarColumn(bar_width=24), TimeElapsedColumn())
    with Progress(*columns, console=console(sys.stderr, how), transient=True) as bar:
        task = bar.add_task("", total=steps)
        said: list[str] = []

        def step(words: str) -> None:
            bar.update(task, description=words, completed=len(said))
            said.append(words)

        yield step
