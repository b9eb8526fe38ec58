"""Publishing: a variant's pack drawn, written in every form asked for, and put in place whole."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Literal, NamedTuple, get_args

from compiler.assembly.project import Project
from compiler.model.variant import Variant
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.sheets import DotError, draw_sheets
from renderers.swap import SwapError, check_replaceable, replacing, write_files

Format = Literal["html", "pdf", "csv", "json"]
Paper = Literal["a4", "us-letter"]
Progress = Callable[[str], None]

FORMATS: tuple[str, ...] = get_args(Format)
PAPERS: tuple[str, ...] = get_args(Paper)


class PublishError(Exception):
    """The pack cannot be published; the message is one line for a person."""


class Published(NamedTuple):
    """The files written, absolute, in order of name, and the seconds it took."""

    files: tuple[Path, ...]
    seconds: float


def publish(
    variant: Variant,
    project: Project,
    out: Path,
    *,
    formats: Iterable[str] = FORMATS,
    paper: str = "a4",
    dot: str | None = None,
    progress: Progress | None = None,
) -> Published:
    """Write the pack of a variant into the folder `out`, replacing an older pack there in one step.

    formats   `html` (index.html), `pdf` (VARIANT.pdf), `csv` (csv/*.csv), `json` (pack.json)
    paper     `a4` or `us-letter`
    dot       a Graphviz program to place the sheets with, instead of the one installed with this package
    progress  called with what is being done, in words

    The same variant gives the same bytes on every run. Raises PublishError: an unknown form or paper, a folder that is
    not one of our packs, a disk that is full, a dot program or a print engine that fails. The old pack then stands.
    """
    started = time.monotonic()
    wanted = _known("format", dict.fromkeys(formats), FORMATS)
    _known("paper", (paper,), PAPERS)
    if not wanted:
        raise PublishError(f"no format asked for; there are {', '.join(FORMATS)}")
    out = Path(out)
    say = progress or _silent
    try:
        check_replaceable(out)  # before the long work, not after it
        say("drawing the sheets")
        figures = draw_sheets(variant, dot)
        say("building the charts")
        pack = build_pack(variant, figures, line=project.settings.name)
        files: dict[str, bytes] = {}
        for name in wanted:
            say(f"writing {name}")
            files.update(_write(name, pack, paper))
        with replacing(out) as folder:
            write_files(folder, files, f"variant {variant.id}")
    except (SwapError, DotError) as error:
        raise PublishError(str(error)) from error
    target = out.resolve()
    return Published(tuple(target / name for name in sorted(files)), time.monotonic() - started)


def _write(name: str, pack: Pack, paper: str) -> Mapping[str, bytes]:
    """The files of one form. Writers are loaded when they are asked for: each brings its own libraries."""
    match name:
        case "html":
            from renderers.writers.html_folder import write_html

            return write_html(pack)
        case "pdf":
            from renderers.writers.print_pdf import PrintError, write_pdf

            try:
                return write_pdf(pack, "us-letter" if paper == "us-letter" else "a4")
            except PrintError as error:
                raise PublishError(f"the print engine refused the pack: {error}") from error
        case "csv":
            from renderers.writers.csv_tables import write_csv

            return write_csv(pack)
        case _:
            from renderers.writers.json_data import write_json

            return write_json(pack)


def _known(what: str, given: Iterable[str], known: tuple[str, ...]) -> tuple[str, ...]:
    names = tuple(given)
    for name in names:
        if name not in known:
            raise PublishError(f"no {what} {name!r}; there are {', '.join(known)}")
    return names


def _silent(_: str) -> None:
    pass
