"""`loomwright diff`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from loomwright.commands.output import colour_option, format_option, look


@click.command("diff")
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path))
@format_option("the changes are")
@colour_option
def command(old: Path, new: Path, form: str, colour: str) -> int:
    """Say what changed from OLD to NEW, in trade terms.

    Wires recoloured, cavities moved, splices added. OLD and NEW are each a variant file, the folder of a published
    pack, or the inventory.json in it. Two variants of a line are compared in the same way. Exit code 0 when nothing
    differs, 1 when something does, 2 when they cannot be compared.
    """
    from compiler.changes.compare import compare
    from loomwright.commands.issues import inventory_at

    changes = compare(inventory_at(old), inventory_at(new))
    if form == "json":
        from loomwright.reports.changed_json import changed_json

        sys.stdout.write(changed_json(changes))
    else:
        from loomwright.reports.changed import write_changes

        write_changes(changes, sys.stdout, look(sys.stdout, colour))
    return 1 if changes.differ else 0
