"""`loomwright new`."""

from __future__ import annotations

from pathlib import Path
from shlex import quote

import click

from loomwright.commands.output import say


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
def command(folder: Path) -> None:
    """Start a project: settings, one variant and one fragment that check clean.

    FOLDER must not exist yet, or be empty.
    """
    from loomwright import format_text
    from loomwright.errors import CannotRun
    from loomwright.starter import FILES

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise CannotRun(f"{folder}: is there already, and not an empty folder")
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        laid_out = format_text(text) if path.suffix == ".loom" else text
        path.write_text(laid_out, encoding="utf-8", newline="\n")
        say(f"wrote {path}")
    say(f"now try: loomwright check {quote(str(folder))}")
