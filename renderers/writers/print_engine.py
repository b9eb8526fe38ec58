"""From laid-out print data to one small PDF: typst sets the pages, then links are joined and objects packed.

typst writes each of the many tags and links as an object of its own, in plain text. Packed by qpdf into object streams
(ISO 32000-1, 7.5.7) the file has a quarter of the size. Every anchor is a named destination (12.3.2.3), so that an
address may lead to it: `S4.pdf#item-K7`.
"""

from __future__ import annotations

import io
import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from renderers.fonts import font_folder
from renderers.store import Store, code_digest, digest

TEMPLATE = "pack.typ"
_MOST_DIGITS = 11  # of seconds: no calendar of ours knows years of more than four figures


class PrintError(Exception):
    """The print engine refused the pack; the message is its own words."""


class Place(NamedTuple):
    """Where a link leads: the page (from 1), points from its left and upper edge, and the number that it bears."""

    page: int
    x: float
    y: float
    number: int


Places = Mapping[str, Place]


class Job(NamedTuple):
    """Everything that goes into a PDF: files by name, `pack.typ` among them, and the time it carries (seconds since
    1970) or None."""

    files: Mapping[str, bytes]
    timestamp: int | None

    @property
    def key(self) -> str:
        """One name for all of it."""
        named = (part for name, data in sorted(self.files.items()) for part in (name, data))
        return digest(("pdf", code_digest(), str(self.timestamp), *named))

    @property
    def mark(self) -> str:
        """What addresses of ours begin with: no text of a source can hold it, for it follows from all of them."""
        return f"loom-{self.key[:16]}:"


def printed(job: Job, store: Store) -> bytes:
    """The PDF of a job. Raises PrintError."""
    return store.made(job.key, lambda: joined(*set_pages(job), job.mark))


def set_pages(job: Job) -> tuple[bytes, Places]:
    """The PDF as typst makes it, and where links lead. Raises PrintError."""
    import typst

    # A folder of its own: what the engine lacks in it, it would look for elsewhere.
    with TemporaryDirectory(prefix="loomwright-print-") as name:
        folder = Path(name)
        for file, data in job.files.items():
            (folder / file).write_bytes(data)
        fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
        compiler = typst.Compiler(
            folder / TEMPLATE,
            root=folder,
            font_paths=fonts,
            ignore_system_fonts=True,
            sys_inputs={"mark": job.mark},
        )
        try:
            pdf = compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=job.timestamp or 0)
            # The pages are still known: this costs next to nothing.
            places = json.loads(compiler.query("<places>", field="value", one=True))
        except typst.TypstError as error:
            raise PrintError(str(error)) from error
    if not isinstance(pdf, bytes):
        raise PrintError("no single PDF came out")
    return pdf, {name: Place(*place) for name, place in places.items()}


def joined(pdf: bytes, places: Places, mark: str) -> bytes:
    """The PDF with its links joined to their places and its objects packed. The same bytes in give the same bytes out.

    mark  what addresses of ours begin with

    Raises PrintError for a link to a place that is not there.
    """
    import pikepdf

    out = io.BytesIO()
    begun = b"(" + mark.encode("ascii")
    linked = _link(mark).sub(lambda link: _to_place(link, places), pdf)
    if begun in linked:
        raise PrintError("typst wrote a link in a way that is not known here")
    with pikepdf.open(io.BytesIO(linked)) as document:
        pages = [(page.obj, float(page.mediabox[3])) for page in document.pages]
        names: list[pikepdf.Object] = []
        for name, (number, x, y, _) in sorted(places.items()):
            page, height = pages[number - 1]
            where = [page, pikepdf.Name.XYZ, round(x, 2), round(height - y, 2), None]
            names += [pikepdf.String(name), pikepdf.Array(where)]
        document.Root.Names = pikepdf.Dictionary(Dests=pikepdf.Dictionary(Names=pikepdf.Array(names)))
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate, deterministic_id=True)
    return out.getvalue()


def _link(mark: str) -> re.Pattern[bytes]:
    """A link annotation to an address of ours, as typst writes it."""
    ours = mark.encode("ascii") + rb"(?P<name>[\w-]+)"
    action = rb"/A<</Type/Action/S/URI/URI\(" + ours + rb"\)>>"
    return re.compile(action + rb"(?P<rest>[\w/ ]*)/Contents\(" + mark.encode("ascii") + rb"[\w-]+\)", re.ASCII)


def _to_place(link: re.Match[bytes], places: Places) -> bytes:
    """A link to an address of ours as one to a named place, in just as many bytes: nothing else in the file moves."""
    name = link["name"]
    place = places.get(name.decode("ascii"))
    if place is None:
        raise PrintError(f"a link leads to {name.decode('ascii')}, which is nowhere in the pack")
    made = b"/Dest(%b)%b/Contents(page %d)" % (name, link["rest"], place.number)
    return made.ljust(len(link[0]))


def source_date() -> int | None:
    """The time that SOURCE_DATE_EPOCH gives (reproducible-builds.org specification), or None. Up to the year 5138."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return int(epoch) if epoch.isascii() and epoch.isdigit() and len(epoch) <= _MOST_DIGITS else None
