"""Parts of the pack, each set by itself, joined to one small PDF: pages, links, bookmarks, tags and numbers.

typst writes each of the many tags and links as an object of its own, in plain text. Packed by qpdf into object streams
(ISO 32000-1, 7.5.7) the file has a quarter of the size. Every anchor is a named destination (12.3.2.3), so that an
address may lead to it: `S4.pdf#item-K7`.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple
from warnings import catch_warnings, simplefilter

from renderers.store import digest
from renderers.writers.print_engine import NAMES_OF_FILE, Extent, PrintError, Setting, name_tree
from renderers.writers.print_foot import Feet

if TYPE_CHECKING:
    import pikepdf

    from renderers.writers.print_parts import Head


class Place(NamedTuple):
    """Where a link leads: the page of the file (from 1), points from its left and upper edge, the number it bears."""

    page: int
    x: float
    y: float
    number: int


def places_of(extents: Sequence[Extent]) -> dict[str, Place]:
    """Where everything stands that has a name, in the pack as a whole. The title page bears no number."""
    found: dict[str, Place] = {}
    before = 0
    for extent in extents:
        for name, spot in extent.places.items():
            page = before + spot.page
            found[name] = Place(page, spot.x, spot.y, page - 1)
        before += extent.pages
    return found


def joined(settings: Sequence[Setting], heads: Sequence[Head]) -> bytes:
    """The PDF of a pack. The same parts give the same bytes. Raises PrintError for a link to what is not there."""
    import pikepdf

    places = places_of([setting.extent for setting in settings])
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(settings[0].pdf)) as document:
        tags = _Tags(document)
        opened = [pikepdf.open(io.BytesIO(setting.pdf)) for setting in settings[1:]]
        for source in opened:
            first = len(document.pages)
            with catch_warnings():
                simplefilter("ignore", pikepdf.PageCopyWarning)  # there are no names of places yet
                document.pages.extend(source.pages)
            tags.take(source, [document.pages[at].obj for at in range(first, len(document.pages))])
        tags.finish()
        pages = [page.obj for page in document.pages]
        if len(pages) != sum(setting.extent.pages for setting in settings):
            raise PrintError("a part has other pages than it says")
        for page in pages:
            for link in page.get("/Annots", ()):
                _say_page(link, places)
        _number(document, settings)
        _name(document, pages, places)
        _bookmark(document, pages, places, heads)
        _tell(document, digest(setting.pdf for setting in settings))
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate, deterministic_id=True)
        for source in opened:
            source.close()
    return out.getvalue()


class _Tags:
    """The tags of all parts in one tree (ISO 32000-1, 14.7): one document, one list of what belongs to which tag."""

    def __init__(self, document: pikepdf.Pdf) -> None:
        self.document = document
        self.root = document.Root.StructTreeRoot
        self.whole = self.root.K[0]
        self.owners = list(_numbers(self.root.ParentTree))
        self.named = _names(self.root.IDTree)
        self.next = int(self.root.ParentTreeNextKey)

    def take(self, source: pikepdf.Pdf, pages: Sequence[pikepdf.Object]) -> None:
        """Take the tags of another document, whose pages are `pages` of this one already."""
        tree = self.document.copy_foreign(source.Root.StructTreeRoot)
        for whole in tree.K:
            for element in whole.K:
                element.P = self.whole
                self.whole.K.append(element)
        self.owners += [(key + self.next, owner) for key, owner in _numbers(tree.ParentTree)]
        self.named |= _names(tree.IDTree)
        for page in pages:
            for thing, name in _tagged(page):
                thing[name] = int(thing[name]) + self.next
        for name, role in tree.get("/RoleMap", {}).items():
            self.root.RoleMap[name] = role
        self.next += int(tree.ParentTreeNextKey)

    def finish(self) -> None:
        import pikepdf

        self.root.ParentTree = self.document.make_indirect(
            pikepdf.Dictionary(Nums=pikepdf.Array([piece for owner in self.owners for piece in owner]))
        )
        self.root.ParentTreeNextKey = self.next
        self.root.IDTree = name_tree(self.document, self.named)


def _numbers(tree: pikepdf.Object) -> Iterator[tuple[int, pikepdf.Object]]:
    """Keys and values of a number tree (ISO 32000-1, 7.9.7)."""
    for branch in tree.get("/Kids", ()):
        yield from _numbers(branch)
    flat = list(tree.get("/Nums", ()))
    yield from ((int(key), value) for key, value in zip(flat[::2], flat[1::2], strict=True))


def _names(tree: pikepdf.Object) -> dict[bytes, pikepdf.Object]:
    """What a name tree of one leaf holds."""
    flat = list(tree.Names)
    return {bytes(name): value for name, value in zip(flat[::2], flat[1::2], strict=True)}


def _tagged(page: pikepdf.Object) -> Iterator[tuple[pikepdf.Object, str]]:
    """What of a page has a key in the list of tags: itself and its links."""
    if "/StructParents" in page:
        yield page, "/StructParents"
    for link in page.get("/Annots", ()):
        if "/StructParent" in link:
            yield link, "/StructParent"


def _say_page(link: pikepdf.Object, places: Mapping[str, Place]) -> None:
    """A link tells the page it leads to. Raises PrintError when it leads nowhere."""
    import pikepdf

    if "/Dest" not in link:
        return
    name = str(link.Dest)
    place = places.get(name)
    if place is None:
        raise PrintError(f"a link leads to {name}, which is nowhere in the pack")
    link.Contents = pikepdf.String(f"page {place.number}")


def _number(document: pikepdf.Pdf, settings: Sequence[Setting]) -> None:
    """Numbers in the feet, and as the pages' labels; the title page bears none."""
    import pikepdf

    feet = Feet(document)
    last = sum(setting.extent.pages for setting in settings) - 1
    before = 0
    for setting in settings:
        for foot in setting.extent.feet:
            number = before + foot.page
            feet.add(document.pages[number - 1], foot, f"{number - 1} / {last}")
        before += setting.extent.pages
    plain, counted = pikepdf.Dictionary(), pikepdf.Dictionary(S=pikepdf.Name.D, St=1)
    document.Root.PageLabels = pikepdf.Dictionary(Nums=pikepdf.Array([0, plain, 1, counted]))


def _name(document: pikepdf.Pdf, pages: Sequence[pikepdf.Object], places: Mapping[str, Place]) -> None:
    """Every place under its name."""
    import pikepdf

    spots = {name.encode("ascii"): _spot(pages, place) for name, place in places.items()}
    document.Root.Names = pikepdf.Dictionary(Dests=name_tree(document, spots))


def _spot(pages: Sequence[pikepdf.Object], place: Place) -> pikepdf.Array:
    import pikepdf

    page = pages[place.page - 1]
    high = float(page.MediaBox[3])
    return pikepdf.Array([page, pikepdf.Name.XYZ, round(place.x, 2), round(high - place.y, 2), None])


def _bookmark(
    document: pikepdf.Pdf, pages: Sequence[pikepdf.Object], places: Mapping[str, Place], heads: Sequence[Head]
) -> None:
    """A bookmark for every section, closed over those of what stands in it."""
    import pikepdf

    with document.open_outline() as outline:
        for head in heads:
            item = pikepdf.OutlineItem(head.title)
            item.destination = _spot(pages, places[head.name])
            above = outline.root
            for _ in range(head.level - 1):
                above = above[-1].children if above else above
            item.is_closed = head.level < 3
            above.append(item)


def _tell(document: pikepdf.Pdf, name: str) -> None:
    """What the file says of itself, told by its first part, is of the whole: how many pages, and a name of its own."""
    about = document.Root.Metadata.read_bytes()
    about = re.sub(rb"(?<=<xmpTPg:NPages>)\d+", str(len(document.pages)).encode("ascii"), about)
    about = NAMES_OF_FILE.sub(name[:32].encode("ascii"), about)
    document.Root.Metadata.write(about)
