"""`loomwright publish`."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, look, say

if TYPE_CHECKING:
    from compiler.assembly.library import Library
    from loomwright.packs import Order, Told
    from loomwright.sources import Files


@click.command("publish")
@click.argument("variants", type=click.Path(path_type=Path), nargs=-1, required=True, metavar="VARIANT...")
@click.option("--out", type=click.Path(path_type=Path), required=True, metavar="DIR", help="Folder of the pack.")
@click.option(
    "--formats", default="html,pdf,csv,json", show_default=True, metavar="LIST", help="What to write, with commas."
)
@click.option("--paper", default="a4", show_default=True, metavar="NAME", help="a4 or us-letter.")
@click.option("--sheets", metavar="LIST", help="Only these wiring sheets, by number, with commas.")
@click.option("--sections", metavar="LIST", help="Only these sections, by id (index, wires, fuses ...), with commas.")
@click.option(
    "--png",
    type=click.IntRange(36, 1200),
    is_flag=False,
    flag_value=200,
    metavar="[DPI]",
    help="Each sheet as a PNG file too; 200 dots per inch if not said.",
)
@click.option("--dot-files", is_flag=True, help="The graph of each sheet, as it was given to dot, too.")
@click.option(
    "--since", type=click.Path(path_type=Path), metavar="OLD", help="The last issue, pack or source: tell what changed."
)
@click.option(
    "--fault-charts",
    "faults",
    type=click.Choice(["none", "source", "loads"]),
    default="source",
    show_default=True,
    help="Of complaints and trouble codes; of every load too; none.",
)
@click.option("--state", "states", multiple=True, metavar="NAME", help="Sheets in this state too, lit, with voltages.")
@click.option(
    "--date",
    metavar="YYYY-MM-DD",
    help="Date of the pack; else SOURCE_DATE_EPOCH or none.",
)
@click.option("--dot", metavar="PROGRAM", help="A Graphviz program of your own to place the sheets with.")
@click.option(
    "--cache", type=click.Path(path_type=Path), metavar="DIR", help="Where results are kept for the next run."
)
@click.option("--no-cache", is_flag=True, help="Make everything anew and keep nothing.")
@click.option("--combined", is_flag=True, help="Of several variants, one pack in DIR, with one PDF for them all.")
@click.option("--jobs", type=click.IntRange(min=1), metavar="N", help="Processes at one time; all cores if not said.")
@click.option("--watch", is_flag=True, help="Publish again whenever a file of the project changes, until interrupted.")
@click.option("--force", is_flag=True, help="Publish in spite of errors; the pack will be wrong where they are.")
@colour_option
def command(
    variants: tuple[Path, ...],
    out: Path,
    formats: str,
    paper: str,
    sheets: str | None,
    sections: str | None,
    png: int | None,
    dot_files: bool,
    since: Path | None,
    faults: str,
    states: tuple[str, ...],
    date: str | None,
    dot: str | None,
    cache: Path | None,
    no_cache: bool,
    combined: bool,
    jobs: int | None,
    watch: bool,
    force: bool,
    colour: str,
) -> int:
    """Publish the pack of a variant, or of several.

    One VARIANT file is published in DIR itself; of several, or of a folder, each has a folder of its own in DIR, named
    by its id. A variant is checked first, and with errors it is not published (exit code 1). An older pack is replaced
    when the new one is complete; a folder that is no pack is left alone. A variant that fails does not stop the others;
    the exit code is that of the worst.

    What a run makes is kept for the next one, in `loomwright` in your cache folder, which may be deleted at any time.
    """
    from loomwright.epoch import want_date
    from loomwright.files import want_plain
    from loomwright.packs import Order
    from renderers.part import Part
    from renderers.store import usual_folder

    for path in variants:
        want_plain(path)
    if date is None:
        want_date()
    if cache and no_cache:
        raise click.UsageError("--cache and --no-cache exclude each other.")
    extra = (*(("png",) if png else ()), *(("dot",) if dot_files else ()))
    colours, width = look(sys.stderr, colour)
    single = len(variants) == 1 and not variants[0].is_dir()
    order = Order(
        (*_names(formats), *extra),
        paper,
        dot,
        force,
        Part(_listed(sheets, "--sheets"), _listed(sections, "--sections")),
        png or 200,
        _seconds(date) if date is not None else None,
        since,
        states,
        faults,
        (jobs or 0) if single else 1,
        None if no_cache else _kept_in(cache, out) if cache else usual_folder(),
        colours,
        width,
    )
    if watch:
        if combined or not single:
            raise click.UsageError("--watch goes with one VARIANT file.")
        return _watch(variants[0], out, order, colour)
    if combined:
        if since or states:
            raise click.UsageError("--combined goes without --since and --state.")
        return _together(variants, out, order, colour)
    if single:
        return _one(variants[0], out, order, colour)
    return _many(variants, out, order, jobs, colour)


def _names(words: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in words.split(",") if name.strip())


def _listed(words: str | None, option: str) -> tuple[str, ...]:
    """The names in a list with commas. Raises CannotRun for a list of none."""
    from loomwright.errors import CannotRun

    names = _names(words or "")
    if words is not None and not names:
        raise CannotRun(f"{option}: the list names nothing; leave the option out for all")
    return names


def _seconds(date: str) -> int:
    """A day, at midnight, in seconds since 1970. Raises CannotRun."""
    from loomwright.errors import CannotRun

    try:
        return int(datetime.strptime(date, "%Y-%m-%d").replace(tzinfo=UTC).timestamp())
    except ValueError:
        raise CannotRun(f"--date {date}: write a day as year, month and day, such as 2026-09-30") from None


def _kept_in(cache: Path, out: Path) -> Path:
    """The folder for results. Raises CannotRun where it is none, or would be part of the pack."""
    from loomwright.errors import CannotRun

    if cache.exists() and not cache.is_dir():
        raise CannotRun(f"--cache {cache}: this is a file; name a folder")
    if cache.resolve().is_relative_to(out.resolve()):
        raise CannotRun(f"--cache {cache}: this lies in {out}, which holds the pack and nothing else")
    return cache


def _one(variant: Path, out: Path, order: Order, colour: str) -> int:
    from compiler.assembly.library import Library
    from compiler.assembly.project import find_project
    from loomwright.packs import publish_one

    with _progress(2 + len(order.formats), colour) as progress:
        told = publish_one(Library(find_project(variant)), variant, out, order, progress)
    return _tell(told)


def _watch(variant: Path, out: Path, order: Order, colour: str) -> int:
    """Publish a variant again and again; an interrupt ends it well."""
    from compiler.assembly.project import find_project
    from loomwright.errors import cannot_run
    from loomwright.watching import states

    with suppress(KeyboardInterrupt):
        for _ in states(find_project(variant).root, out.resolve()):
            try:
                _one(variant, out, order, colour)
            except Exception as error:
                # What the author is in the middle of may be anything; the next change may mend it.
                words = cannot_run(error)
                if words is None:
                    raise
                say(words)
    return 0


def _many(paths: tuple[Path, ...], out: Path, order: Order, jobs: int | None, colour: str) -> int:
    """Publish several; what became of them is told in the order of the files, as soon as it is known."""
    from compiler.forked import cores
    from loomwright.packs import publish_many

    files, shared = _collected(paths)
    codes = [int(bool(files.refused))]
    waiting: dict[int, Told] = {}
    with _progress(len(files.variants), colour) as progress:
        for place, told in publish_many(files.variants, shared, out, order, jobs or cores()):
            waiting[place] = told
            if progress:
                progress(f"{len(codes) - 1 + len(waiting)} of {len(files.variants)} variants")
            while len(codes) - 1 in waiting:
                codes.append(_tell(waiting.pop(len(codes) - 1)))
    return max(codes)


def _together(paths: tuple[Path, ...], out: Path, order: Order, colour: str) -> int:
    """Publish several as one pack."""
    from loomwright.packs import publish_together

    files, shared = _collected(paths)
    with _progress(2 * len(files.variants) + 1, colour) as progress:
        told = list(publish_together(files.variants, shared, out, order, progress))
    return max(int(bool(files.refused)), *map(_tell, told))


def _collected(paths: tuple[Path, ...]) -> tuple[Files, dict[Path, Library]]:
    """The files that paths stand for, and a library for each project with every fragment in it. Raises CannotRun."""
    from compiler.assembly.library import Library
    from loomwright.errors import CannotRun
    from loomwright.run import preload
    from loomwright.sources import collect

    files = collect(paths)
    if not files.variants:
        raise CannotRun(f"{', '.join(str(path) for path in paths)}: no variant there")
    shared = {file.project.root: Library(file.project) for file in files.variants}
    preload(files.variants, shared)
    for refused in files.refused:
        say(refused.says)
    return files, shared


def _tell(told: Told) -> int:
    from loomwright.telling import tell

    tell(told.findings)
    for line in told.line.splitlines():
        say(line)
    return told.code


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
