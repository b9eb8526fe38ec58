"""`loomwright import`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import say

if TYPE_CHECKING:
    from compiler.exchange.imported import Imported
    from compiler.exchange.problems import Remark
    from compiler.exchange.wirelist import File

_FILE = click.Path(path_type=Path, dir_okay=False)
_SHOWN = 20  # remarks of one sort; more of the same tell nothing new


@click.command("import")
@click.argument("wires", metavar="WIRES.csv", type=_FILE)
@click.option("--items", type=_FILE, metavar="FILE", help="List of what the wires end in: id, kind, title, cavities.")
@click.option("--fuses", type=_FILE, metavar="FILE", help="List of fuses: id, title, rating.")
@click.option("--out", type=_FILE, required=True, metavar="FILE.loom", help="The source to write.")
@click.option("--colours", default="iec-60757", show_default=True, metavar="TABLE", help="Colour codes of the list.")
@click.option("--variant", metavar="ID", help="Id of the variant; without it, from the name of FILE.loom.")
@click.option("--title", default="", metavar="TEXT", help="Title of the variant.")
@click.option("--harness", default="main", show_default=True, metavar="NAME", help="The harness of all wires.")
@click.option("--header", type=_FILE, metavar="FILE", help="Text to stand as comment on top (origin, licence).")
@click.option("--force", is_flag=True, help="Write over a source that is there.")
@click.option("--all", "show_all", is_flag=True, help=f"Show every remark, not the first {_SHOWN} of each sort.")
@click.option("--strict", is_flag=True, help="Exit with 1 if a cell could not be read.")
def command(
    wires: Path,
    items: Path | None,
    fuses: Path | None,
    out: Path,
    colours: str,
    variant: str | None,
    title: str,
    harness: str,
    header: Path | None,
    force: bool,
    show_all: bool,
    strict: bool,
) -> int:
    """Write a source from a wire list.

    Columns are found by their headings, English or German. What the list does not give is written as not known (?);
    what cannot be read is kept in a note and told here. Circuits are put on sheets by the beginnings of their names, so
    that the source can be published at once.
    """
    from compiler.exchange.drafting import Wanted
    from compiler.exchange.imported import import_wire_list
    from compiler.exchange.naming import is_circuit, is_item
    from compiler.exchange.problems import Sort
    from loomwright.errors import CannotRun
    from loomwright.files import read_plain, write_whole

    if out.exists() and not force:
        raise CannotRun(f"{out}: is there already; --force writes over it")
    name = variant or out.stem
    if not is_circuit(name):
        raise CannotRun(f"`{name}` is no legal id for a variant; give one with --variant")
    if not is_item(harness):
        raise CannotRun(f"`{harness}` is no legal name for a harness")
    comment = tuple(read_plain(header).decode("utf-8").splitlines()) if header else ()
    wanted = Wanted(name, title or f"Imported from {wires.name}", harness, colours, comment)
    done = import_wire_list(_read(wires), _read(items) if items else None, _read(fuses) if fuses else None, wanted)
    write_whole(out, done.text.encode())
    _tell(done.remarks, show_all)
    say(f"{out}: {_counts(done)}")
    return 1 if strict and any(remark.sort is Sort.NOT_READ for remark in done.remarks) else 0


def _read(path: Path) -> File:
    from compiler.exchange.tables import MAX_BYTES
    from compiler.exchange.wirelist import File
    from loomwright.files import read_plain

    return File(path.name, read_plain(path, MAX_BYTES + 1))


def _tell(remarks: tuple[Remark, ...], show_all: bool) -> None:
    """Remarks by sort, each with its place; of those that say the same of several lines, the first with a count."""
    by_sort: dict[str, dict[tuple[str, str, str, int], list[Remark]]] = {}
    for remark in remarks:
        alike = (remark.file, remark.column, remark.says, remark.line if show_all else 0)
        by_sort.setdefault(remark.sort.value, {}).setdefault(alike, []).append(remark)
    for sort, groups in by_sort.items():
        say(f"{sort}:")
        shown = list(groups.values())[: None if show_all else _SHOWN]
        for group in shown:
            say(f"  {_told(group)}")
        if len(shown) < len(groups):
            say(f"  and {len(groups) - len(shown)} more; --all shows them")


def _told(group: list[Remark]) -> str:
    first = group[0]
    place = f"{first.file}:{first.line}" if first.line else first.file
    if len(group) > 1:
        place += f" and {len(group) - 1} more {'line' if len(group) == 2 else 'lines'}"
    where = f"{place} {first.column}: " if first.column else f"{place}: "
    value = f" ({first.value})" if len(group) == 1 and first.value and first.value not in first.says else ""
    return f"{where}{first.says}{value}"


def _counts(done: Imported) -> str:
    draft = done.draft
    wires = sum(len(circuit.wires) for circuit in draft.circuits)
    connectors = sum(len(device.connectors) for device in draft.devices)
    counts = (
        (wires, "wire"),
        (len(draft.circuits), "circuit"),
        (len(draft.joints), "splice or ground", "splices and grounds"),
        (len(draft.devices), "component"),
        (connectors, "connector"),
        (len(draft.fuses), "fuse"),
        (len(draft.cables), "cable"),
        (len(draft.sheets), "sheet"),
    )
    return ", ".join(
        f"{count} {words[0] if count == 1 else words[-1] if len(words) > 1 else words[0] + 's'}"
        for count, *words in counts
        if count
    )
