"""Publishing: a variant's pack drawn, written in every form asked for, and put in place whole."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.project import Project
from compiler.changes.inventory import Inventory
from compiler.isolation.policy import rules_of
from compiler.model.variant import Variant
from compiler.network.state import StateError, find_state
from renderers.around import Around, look_around
from renderers.dates import source_date
from renderers.document import Pack
from renderers.forms import EXTRA, FORMATS, FormError, Wishes, write_form
from renderers.isolation.trees import WISHES
from renderers.made import keep_files, kept_files, key_of
from renderers.pack import build_pack
from renderers.part import WHOLE, Part, PartError, part_of
from renderers.sheets import DotError, draw_sheets
from renderers.store import Store
from renderers.swap import SwapError, check_replaceable, holds, replacing, write_files

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
    states: Iterable[str] = (),
    faults: str = "source",
    jobs: int = 1,
) -> Published:
    """Write the pack of a variant into the folder `out`, replacing an older pack there in one step.

    formats     `html` (index.html), `pdf` (VARIANT.pdf), `csv` (csv/*.csv), `json` (pack.json, inventory.json), and if
                asked for `png` (png/SHEET.png) and `dot` (dot/SHEET.dot)
    paper       `a4` or `us-letter`
    dot         a Graphviz program to place the sheets with, instead of the one installed with this package
    progress    called with what is being done, in words
    store       where results of earlier runs are found and those of this one are kept
    part        which sheets and sections; links to others become plain text
    resolution  of PNG files, dots per inch
    since       an earlier issue; what changed since then gets a section, and the changed sheets are marked
    states      names of states to publish sheets in, besides those for which the source asks it
    faults      which fault charts: `none`, `source` (of complaints and trouble codes), `loads` (of every load too)
    jobs        processes at most for what takes long; 0 for all cores
    date        of the pack, seconds since 1970; where it is not given, SOURCE_DATE_EPOCH; else the pack names none

    The same variant gives the same bytes on every run, with a store or without. A pack that stands there already, byte
    for byte, is not touched. Raises PublishError: an unknown form, paper or state, a folder that is not one of our
    packs, a disk that is full, a dot program or a print engine that fails. The old pack then stands.
    """
    wishes = wishes_of(formats, paper, resolution, date)
    known("set of fault charts", (faults,), WISHES)
    store, say = store or Store(None), progress or silent

    def key() -> str:
        return key_of(variant, project.settings, around(), dot, part, wishes)

    @cache
    def around() -> Around:
        named = tuple(find_state(variant, name).id for name in states)
        return look_around(project, variant)._replace(since=since, states=named, faults=faults)

    def make() -> dict[str, bytes]:
        pack = pack_of(variant, project, around(), dot, part, wishes.date, store, say, jobs)
        return _written(pack, wishes, store, say, jobs)

    return put_in_place(Path(out), store, f"variant {variant.id}", key, make)


def put_in_place(
    out: Path, store: Store, title: str, key: Callable[[], str], make: Callable[[], dict[str, bytes]]
) -> Published:
    """Put a pack in place: what is kept under its key, or else what is made. Raises PublishError, for makers too."""
    started = time.monotonic()
    try:
        check_replaceable(out)  # before the long work, not after it
        name = key()
        files = kept_files(store, name)
        if files is None:
            files = make()
            keep_files(store, name, files)
        changed = not holds(out, files)
        if changed:
            with replacing(out) as folder:
                write_files(folder, files, title)
        store.trim()
    except (SwapError, DotError, PartError, FormError, StateError) as error:
        raise PublishError(str(error)) from error
    target = out.resolve()
    return Published(tuple(target / name for name in sorted(files)), time.monotonic() - started, changed)


def wishes_of(formats: Iterable[str], paper: str, resolution: int, date: int | None) -> Wishes:
    """How a pack is to be written, as `publish` is told it. Raises PublishError."""
    wanted = known("format", dict.fromkeys(formats), (*FORMATS, *EXTRA))
    known("paper", (paper,), PAPERS)
    if not wanted:
        raise PublishError(f"no format asked for; there are {', '.join((*FORMATS, *EXTRA))}")
    return Wishes(wanted, paper, resolution, source_date() if date is None else date)


def pack_of(
    variant: Variant,
    project: Project,
    around: Around,
    dot: str | None,
    part: Part,
    date: int | None,
    store: Store,
    say: Progress,
    jobs: int = 1,
) -> Pack:
    """The pack as data, or the part of it that is wanted. Raises DotError, PartError and PublishError."""
    try:
        rules_of(around.policy if around.faults != "none" else {})
    except ValueError as error:
        raise PublishError(f"loomwright.toml: {error}") from error
    say("drawing the sheets")
    figures = draw_sheets(variant, dot, store)
    say("building the charts")
    whole = build_pack(variant, figures, line=project.settings.name, around=around, store=store, jobs=jobs)
    pack = part_of(whole, part)
    if date is None:
        return pack
    day = datetime.fromtimestamp(date, UTC).date().isoformat()
    return replace(pack, identification=(*pack.identification, ("Date", day)))


def _written(pack: Pack, wishes: Wishes, store: Store, say: Progress, jobs: int) -> dict[str, bytes]:
    """The files of every form. The print engine works beside the others: it takes longest."""
    done: dict[str, Mapping[str, bytes] | Future[Mapping[str, bytes]]] = {}
    with ThreadPoolExecutor(1) as beside:
        for name in wishes.formats:
            say(f"writing {name}")
            if name == "pdf":
                done[name] = beside.submit(write_form, name, pack, wishes, store, jobs)
            else:
                done[name] = write_form(name, pack, wishes, store)
    files: dict[str, bytes] = {}
    for made in done.values():
        files.update(made.result() if isinstance(made, Future) else made)
    return files


def known(what: str, given: Iterable[str], there: tuple[str, ...]) -> tuple[str, ...]:
    """The names given. Raises PublishError for one that is not there."""
    names = tuple(given)
    for name in names:
        if name not in there:
            raise PublishError(f"no {what} {name!r}; there are {', '.join(there)}")
    return names


def silent(_: str) -> None:
    """Progress that nobody hears of."""
