"""`loomwright format`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, look, say

if TYPE_CHECKING:
    from grammar.finding import Finding


@click.command("format")
@click.argument("paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path, allow_dash=True))
@click.option("--check", "check_only", is_flag=True, help="Change nothing; exit with 1 if a file would change.")
@click.option("--diff", "show_diff", is_flag=True, help="Change nothing; show what would change.")
@colour_option
def command(paths: tuple[Path, ...], check_only: bool, show_diff: bool, colour: str) -> int:
    """Bring sources into canonical layout.

    PATH is a file, a folder (every source below it), or - for standard input to standard output. A file that cannot
    be read as a source is left as it is, and what is wrong with it is shown.
    """
    from grammar.formatter import CannotFormat, format_text
    from grammar.source import Source

    changed = same = 0
    broken: list[Finding] = []
    for path, name, text in _texts(paths):
        try:
            done = format_text(Source(name, text))
        except CannotFormat as error:
            broken += error.findings
            continue
        if path is None and not (check_only or show_diff):
            sys.stdout.write(done)
        if done == text:
            same += 1
            continue
        changed += 1
        if show_diff:
            _print_diff(name, text, done, look(sys.stdout, colour).colour)
        elif check_only:
            say(f"{name}: would be laid out anew")
        elif path is not None:
            from loomwright.files import write_whole

            write_whole(path, done.encode())
    if broken:
        _print_broken(broken, colour)
    if paths != (Path("-"),):
        say(_outcome(changed, same, len({f.at.source.name for f in broken if f.at}), check_only or show_diff))
    return 1 if broken or (changed and (check_only or show_diff)) else 0


def _texts(paths: tuple[Path, ...]) -> Iterator[tuple[Path | None, str, str]]:
    """Path (None for standard input), shown name and text of every file."""
    from loomwright.sources import collect

    files = [path for path in paths if path != Path("-")]
    if len(files) < len(paths):
        yield None, "standard input", sys.stdin.buffer.read().decode("utf-8")
    if files:
        found = collect(files)
        for refused in found.refused:
            say(f"{refused.says}; left alone")
        for file in sorted((*found.variants, *found.fragments), key=lambda file: file.path):
            # As bytes: line ends are the formatter's business.
            yield file.path, _shown(file.path), file.path.read_bytes().decode("utf-8")


def _shown(path: Path) -> str:
    return path.relative_to(Path.cwd()).as_posix() if path.is_relative_to(Path.cwd()) else path.as_posix()


def _print_broken(findings: list[Finding], colour: str) -> None:
    from loomwright.report import Report, merged
    from loomwright.reports.terminal import write_findings

    report = Report(merged((finding, "") for finding in findings), (), 0, 0, 0.0)
    colours, width = look(sys.stderr, colour)
    write_findings(report, sys.stderr, colour=colours, width=width)


def _print_diff(name: str, old: str, new: str, colour: bool) -> None:
    from difflib import unified_diff

    from loomwright.reports.clean import visible

    styles = {"-": "31", "+": "32", "@": "36"} if colour else {}
    for line in unified_diff(old.splitlines(), new.splitlines(), name, f"{name} (laid out)", lineterm=""):
        # A tab is layout here; anything else that steers a terminal is shown.
        text = "\t".join(visible(part) for part in line.split("\t"))
        style = styles.get(line[:1])
        print(f"\x1b[{style}m{text}\x1b[0m" if style else text)


def _outcome(changed: int, same: int, broken: int, dry: bool) -> str:
    def files(count: int) -> str:
        return f"{count} file" if count == 1 else f"{count} files"

    parts = [f"{files(changed)} {'would be ' if dry else ''}laid out anew"] if changed else []
    if same:
        parts.append(f"{files(same)} already in order")
    if broken:
        parts.append(f"{files(broken)} cannot be read")
    return ", ".join(parts)
