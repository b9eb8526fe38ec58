"""Publishing: a variant's pack drawn, written in every form asked for, and put in place whole."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.project import Project
from compiler.changes.inventory import Inventory
from compiler.model.variant import Variant
from renderers.around import Around, look_around
from renderers.document import Pack
from renderers.forms import EXTRA, FORMATS, FormError, Wishes, write_form
from renderers.made import keep_files, kept_files, key_of
from renderers.pack import build_pack
from renderers.part import WHOLE, Part, PartError, part_of
from renderers.sheets import DotError, draw_sheets
from renderers.sheets.remembered import remembering
from renderers.store import Store
from renderers.swap import SwapError, check_replaceable, holds, replacing, write_files
from renderers.writers.print_engine import source_date

PAPERS: tuple[str, ...] = ("a4", "us-letter")
Progress = Callable[[str], None]

__all__ = ["EXTRA", "FORMATS", "PAPERS", "Part", "PublishError", "Published", "publish"]


class PublishError(Exception):
    """The pack cannot be published; the message is one line for a person."""


class Published(NamedTuple):
    """The files of the pack, absolute, in order of name, the seconds it took, and whether anything was replaced."""

    files: tuple[Path, ...]
    seconds: float
    changed: bool = True


def publish(
    variant: Variant,
    project: Project,
    out: Path,
    *,
    formats: Iterable[str] = FORMATS,
    paper: str = "a4",
    dot: str | None = None,
    progress: Progress | None = None,
    store: Store | None = None,
    part: Part = WHOLE,
    resolution: int = 200,
    date: int | None = None,
    since: Inventory | None = None,
) -> Published:
    """Write the pack of a variant into the folder `out`, replacing an older pack there in one step.

    formats     `html` (index.html), `pdf` (VARIANT.pdf), `csv` (csv/*.csv), `json` (pack.json,
                inventory.json), and if asked for `png`
                (png/SHEET.png) and `dot` (dot/SHEET.dot)
    paper       `a4` or `us-letter`
    dot         a Graphviz program to place the sheets with, instead of the one installed with this package
    progress    called with what is being done, in words
    store       where results of earlier runs are found and those of this one are kept
    part        which sheets and sections; links to others become plain text
    resolution  of PNG files, dots per inch
    since       an earlier issue; what changed since then gets a section, and the changed sheets are marked
    date        of the pack, seconds since 1970; where it is not given, SOURCE_DATE_EPOCH; else the pack names none

    The same variant gives the same bytes on every run, with a store or without. A pack that stands there already, byte
    for byte, is not touched. Raises PublishError: an unknown form or paper, a folder that is not one of our packs, a
    disk that is full, a dot program or a print engine that fails. The old pack then stands.
    """
    started = time.monotonic()
    wanted = _known("format", dict.fromkeys(formats), (*FORMATS, *EXTRA))
    _known("paper", (paper,), PAPERS)
    if not wanted:
        raise PublishError(f"no format asked for; there are {', '.join((*FORMATS, *EXTRA))}")
    out, store = Path(out), store or Store(None)
    wishes = Wishes(wanted, paper, resolution, source_date() if date is None else date)
    try:
        check_replaceable(out)  # before the long work, not after it
        around = look_around(project, variant)._replace(since=since)
        key = key_of(variant, project.settings, around, dot, part, wishes)
        files = kept_files(store, key)
        if files is None:
            pack = _pack(variant, project, around, dot, part, wishes, store, progress or _silent)
            files = _written(pack, wishes, store, progress or _silent)
            keep_files(store, key, files)
        changed = not holds(out, files)
        if changed:
            with replacing(out) as folder:
                write_files(folder, files, f"variant {variant.id}")
        store.trim()
    except (SwapError, DotError, PartError, FormError) as error:
        raise PublishError(str(error)) from error
    target = out.resolve()
    return Published(tuple(target / name for name in sorted(files)), time.monotonic() - started, changed)


def _pack(
    variant: Variant,
    project: Project,
    around: Around,
    dot: str | None,
    part: Part,
    wishes: Wishes,
    store: Store,
    say: Progress,
) -> Pack:
    """The pack as data, or the part of it that is wanted."""
    say("drawing the sheets")
    figures = draw_sheets(variant, dot, remembering(store))
    say("building the charts")
    pack = part_of(build_pack(variant, figures, line=project.settings.name, around=around), part)
    if wishes.date is None:
        return pack
    day = datetime.fromtimestamp(wishes.date, UTC).date().isoformat()
    return replace(pack, identification=(*pack.identification, ("Date", day)))


def _written(pack: Pack, wishes: Wishes, store: Store, say: Progress) -> dict[str, bytes]:
    """The files of every form. The print engine works beside the others: it takes longest and needs one core."""
    done: dict[str, Mapping[str, bytes] | Future[Mapping[str, bytes]]] = {}
    with ThreadPoolExecutor(1) as beside:
        for name in wishes.formats:
            say(f"writing {name}")
            if name == "pdf":
                done[name] = beside.submit(write_form, name, pack, wishes, store)
            else:
                done[name] = write_form(name, pack, wishes, store)
    files: dict[str, bytes] = {}
    for made in done.values():
        files.update(made.result() if isinstance(made, Future) else made)
    return files


def _known(what: str, given: Iterable[str], known: tuple[str, ...]) -> tuple[str, ...]:
    names = tuple(given)
    for name in names:
        if name not in known:
            raise PublishError(f"no {what} {name!r}; there are {', '.join(known)}")
    return names


def _silent(_: str) -> None:
    pass
