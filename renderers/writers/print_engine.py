"""One part of the pack set by typst: its pages, and where on them things stand.

Links are written as addresses of ours and turned into links to named places here, for the engine would look up each of
many thousand by itself, and again on every pass. What leads out of the part is joined when all are set.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, NamedTuple

from compiler.fonts import font_folder
from renderers.store import code_digest, digest

if TYPE_CHECKING:
    import pikepdf
    import typst

MAIN, HOUSE = "main.typ", "house.typ"
_KEPT_OF_CATALOG = ("/Type", "/Pages", "/StructTreeRoot", "/Lang", "/MarkInfo", "/ViewerPreferences")
# Attributes of layout (ISO 32000-1, 14.8.5.4) that tell again what the page shows.
_LOOKS = frozenset(
    ("/BackgroundColor", "/BorderColor", "/BorderStyle", "/BorderThickness", "/Padding", "/TBorderStyle", "/TPadding")
)
NAMES_OF_FILE = re.compile(rb"(?<=ID>)[^<]*(?=</xmpMM:)")
_HEADS = re.compile(r"/H([1-9])")


class PrintError(Exception):
    """The print engine refused the pack; the message is its own words."""


class Spot(NamedTuple):
    """A place on a page (from 1) of a part, points from its left and upper edge."""

    page: int
    x: float
    y: float


class Foot(NamedTuple):
    """Where the foot of a page (from 1) of a part wants its number: the upper left corner of the line, points from the
    page's, and the size of type in points."""

    page: int
    x: float
    y: float
    size: float


class Part(NamedTuple):
    """Everything that goes into the pages of a part, but the numbers of pages.

    name       no other part of the pack has it
    files      by name; `main.typ` is the one to set
    targets    names of places whose page is printed in it
    names      names of places that are in it; they follow from the files
    deep       how many levels its first heads stand below a section's
    timestamp  the time it carries (seconds since 1970), or None
    """

    name: str
    files: Mapping[str, bytes]
    targets: tuple[str, ...]
    names: frozenset[str] = frozenset()
    deep: int = 0
    timestamp: int | None = None

    def key(self, numbers: Mapping[str, str]) -> str:
        """One name for all that its pages are made from, the numbers of pages that it prints included."""
        named = (part for name, data in sorted(self.files.items()) for part in (name, data))
        facts = (code_digest(), self.name, str(self.deep), str(self.timestamp), json.dumps(dict(numbers)))
        return digest(("part", *facts, *named))


class Extent(NamedTuple):
    """How many pages a part takes, the places on them by name, and where the feet are that want a number."""

    pages: int
    places: Mapping[str, Spot]
    feet: tuple[Foot, ...]


class Setting(NamedTuple):
    """A part that is set: a PDF that stands by itself but for its links to named places, and its extent."""

    pdf: bytes
    extent: Extent


def set_part(part: Part, numbers: Mapping[str, str]) -> Setting:
    """A part set with the numbers of pages that it prints. Raises PrintError."""
    return loosened(typeset(part, numbers), part, mark_of(part, numbers))


def typeset(part: Part, numbers: Mapping[str, str]) -> bytes:
    """The PDF of a part as typst makes it. Raises PrintError."""
    with _Compiler(part, numbers) as compiler:
        pdf = compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=part.timestamp or 0)
    if not isinstance(pdf, bytes):
        raise PrintError("no single PDF came out")
    return pdf


def mark_of(part: Part, numbers: Mapping[str, str]) -> str:
    """What addresses of ours begin with: no text of a source can hold it, for it follows from all of them."""
    return f"loom-{part.key(numbers)[:16]}:"


class _Compiler:
    """typst on a part, in a folder of its own: what the engine lacks in it, it would look for elsewhere."""

    def __init__(self, part: Part, numbers: Mapping[str, str]) -> None:
        self.part = part
        self.numbers = numbers
        self.folder = TemporaryDirectory(prefix="loomwright-print-")

    def __enter__(self) -> typst.Compiler:
        import typst

        folder = Path(self.folder.name)
        for file, data in self.part.files.items():
            (folder / file).write_bytes(data)
        (folder / "numbers.json").write_text(json.dumps(dict(self.numbers)), "utf-8")
        fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
        return typst.Compiler(
            folder / MAIN,
            root=folder,
            font_paths=fonts,
            ignore_system_fonts=True,
            sys_inputs={"mark": mark_of(self.part, self.numbers)},
        )

    def __exit__(self, kind: object, error: BaseException | None, _: object) -> None:
        import typst

        self.folder.cleanup()
        if isinstance(error, typst.TypstError):
            raise PrintError(str(error)) from error


def _extent(document: pikepdf.Pdf) -> Extent:
    """What the part tells of itself, in the file that it carries."""
    told = json.loads(document.attachments["report.json"].get_file().read_bytes())
    places = {name: Spot(page, float(x), float(y)) for name, (page, x, y) in told["places"].items()}
    return Extent(told["pages"], places, tuple(Foot(page, *map(float, rest)) for page, *rest in told["feet"]))


def loosened(pdf: bytes, part: Part, mark: str) -> Setting:
    """A part made ready for joining, from the PDF that typst made: links to named places, ids that no other part has,
    levels of heads as in the whole pack, and nothing in it that only the whole can have. The same bytes in give the
    same out.

    mark  what addresses of ours begin with

    Raises PrintError for a link in a form that is not known.
    """
    import pikepdf

    linked = _link(mark).sub(_to_name, pdf)
    if b"(" + mark.encode("ascii") in linked:
        raise PrintError("typst wrote a link in a way that is not known here")
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(linked)) as document:
        root = document.Root
        extent = _extent(document)
        kept = _KEPT_OF_CATALOG if part.name != "front" else (*_KEPT_OF_CATALOG, "/Metadata")
        for name in [name for name in root.keys() if name not in kept]:  # noqa: SIM118
            del root[name]
        # Names that typst gives a file, which differ from run to run.
        del document.trailer["/ID"]
        if "/Metadata" in root:
            root.Metadata.write(NAMES_OF_FILE.sub(b"", root.Metadata.read_bytes()))
        named: dict[bytes, pikepdf.Dictionary] = {}
        for element in _elements(document):
            _settle(element, part)
            if "/ID" in element:
                named[bytes(element.ID)] = element
        root.StructTreeRoot.IDTree = name_tree(document, named)
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate, deterministic_id=True)
    return Setting(out.getvalue(), extent)


def name_tree(document: pikepdf.Pdf, named: Mapping[bytes, pikepdf.Object]) -> pikepdf.Object:
    """A name tree of one leaf (ISO 32000-1, 7.9.6)."""
    import pikepdf

    pairs = [piece for name in sorted(named) for piece in (pikepdf.String(name), named[name])]
    return document.make_indirect(pikepdf.Dictionary(Names=pikepdf.Array(pairs)))


def _elements(document: pikepdf.Pdf) -> Iterator[pikepdf.Dictionary]:
    import pikepdf

    for one in document.objects:
        if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == pikepdf.Name.StructElem:
            yield one


def _settle(element: pikepdf.Dictionary, part: Part) -> None:
    """Give an element of the tags the level that it has in the whole pack and ids that no other part has; of facts on
    its looks only those stay that a reader of tags has use for."""
    import pikepdf

    head = _HEADS.fullmatch(str(element.S)) if part.deep else None
    if head:
        element.S = pikepdf.Name(f"/H{int(head[1]) + part.deep}")
    if "/ID" in element:
        element.ID = pikepdf.String(f"{part.name}:{element.ID}")
    if "/A" not in element:
        return
    kept: list[pikepdf.Object] = []
    for facts in element.A:
        told = {name: value for name, value in facts.items() if name not in _LOOKS}
        heads = told.pop("/Headers", ())
        if len(heads):
            told["/Headers"] = pikepdf.Array([pikepdf.String(f"{part.name}:{one}") for one in heads])
        if len(told) > 1:
            kept.append(pikepdf.Dictionary(told))
    if kept:
        element.A = pikepdf.Array(kept)
    else:
        del element.A


def _link(mark: str) -> re.Pattern[bytes]:
    """A link annotation to an address of ours, as typst writes it."""
    ours = mark.encode("ascii") + rb"(?P<name>[\w-]+)"
    action = rb"/A<</Type/Action/S/URI/URI\(" + ours + rb"\)>>"
    return re.compile(action + rb"(?P<rest>[\w/ ]*)/Contents\(" + mark.encode("ascii") + rb"[\w-]+\)", re.ASCII)


def _to_name(link: re.Match[bytes]) -> bytes:
    """A link to an address of ours as one to a named place, in just as many bytes: nothing else in the file moves."""
    return (b"/Dest(%b)%b/Contents()" % (link["name"], link["rest"])).ljust(len(link[0]))
