"""The document as a whole: what it says of itself, page labels, bookmarks, named destinations, its tree of pages."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pikepdf
from lxml import etree

from tests.renderers.pdf_ua.found import Destinations, Key, Violation, entries, get, key_of, listed, said

# A language tag in the form of BCP 47 (language, script, region, variants), as far as anyone writes one here.
LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z]{4})?(-([A-Za-z]{2}|\d{3}))?(-\w{4,8})*\Z")
SPACES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "ua": "http://www.aiim.org/pdfua/ns/id/",
    "pages": "http://ns.adobe.com/xap/1.0/t/pg/",
}


def document_faults(pdf: pikepdf.Pdf, destinations: Destinations) -> Iterator[Violation]:
    """Faults of the catalog and of what hangs on it, the structure tree apart."""
    root = pdf.Root

    def fault(rule: str, says: str, where: str = "document") -> Violation:
        return Violation(rule, where, says)

    if not LANGUAGE.match(said(get(root, "/Lang"))):
        yield fault("language", f"Lang is {said(root.get('/Lang'))!r}")
    marks = get(root, "/MarkInfo")
    if not isinstance(marks, pikepdf.Dictionary) or get(marks, "/Marked") is not True:
        yield fault("marked", "MarkInfo does not say Marked true")
    elif marks.get("/Suspects", False) is not False:
        yield fault("suspects", "MarkInfo does not rule suspects out")
    view = get(root, "/ViewerPreferences")
    if not isinstance(view, pikepdf.Dictionary) or get(view, "/DisplayDocTitle") is not True:
        yield fault("display-title", "the title is not what a window shows")
    if pdf.is_encrypted:
        yield fault("encrypted", "the file is encrypted")
    yield from (fault(rule, says) for rule, says in _metadata(pdf))
    yield from (fault("active-content", says) for says in _active(root))
    yield from (fault("page-tree", says) for says in _pages(get(root, "/Pages")))
    yield from (fault("page-labels", says) for says in _labels(get(root, "/PageLabels"), len(pdf.pages)))
    yield from (fault("named-destination", says) for says in destinations.broken)
    for name, place in destinations.named.items():
        if says := destinations.fault_of_array(place, name.decode("latin-1")):
            yield fault("named-destination", says)
    yield from (Violation("bookmark", *one) for one in _outline(get(root, "/Outlines"), destinations))


def _metadata(pdf: pikepdf.Pdf) -> Iterator[tuple[str, str]]:
    stream = get(pdf.Root, "/Metadata")
    if not isinstance(stream, pikepdf.Stream):
        yield "metadata", "no metadata"
        return
    try:
        tree = etree.fromstring(stream.read_bytes(), etree.XMLParser(resolve_entities=False, no_network=True))
    except etree.XMLSyntaxError as error:
        yield "metadata", f"metadata that cannot be read: {error}"
        return

    def value(space: str, name: str) -> str:
        path = f"//{space}:{name}//text() | //@{space}:{name}"
        texts = tree.xpath(path, namespaces=SPACES)
        return "".join(map(str, texts)).strip() if isinstance(texts, list) else ""

    if value("ua", "part") != "1":
        yield "identifier", f"pdfuaid:part is {value('ua', 'part')!r}"
    title = value("dc", "title")
    if not title:
        yield "title", "no dc:title"
    elif title != said(get(pdf.docinfo, "/Title")):
        yield "title", f"two titles: {title!r}, {said(pdf.docinfo.get('/Title'))!r}"
    if value("pages", "NPages") not in ("", str(len(pdf.pages))):
        yield "metadata", f"it says {value('pages', 'NPages')} pages, there are {len(pdf.pages)}"


def _active(root: pikepdf.Object) -> Iterator[str]:
    form = get(root, "/AcroForm")
    if isinstance(form, pikepdf.Dictionary):
        yield "a form" + (" in XFA" if "/XFA" in form else "")
    names = get(root, "/Names")
    if isinstance(names, pikepdf.Dictionary):
        yield from (f"{name} in its names" for name in ("/JavaScript", "/EmbeddedFiles") if name in names)
    start = get(root, "/OpenAction")
    if isinstance(start, pikepdf.Dictionary) and get(start, "/S") != "/GoTo":
        yield f"an action {start.get('/S')} when it is opened"
    if "/AA" in root:
        yield "actions at events"


def _pages(node: object, parent: Key | None = None, depth: int = 0) -> Iterator[str]:
    if not isinstance(node, pikepdf.Dictionary) or depth > 60:
        yield "a node that is no dictionary, or a tree without an end"
        return
    if parent is not None and key_of(get(node, "/Parent")) != parent:
        yield f"a {node.get('/Type')} whose parent is another"
    if get(node, "/Type") == "/Pages":
        if get(node, "/Count") != _leaves(node):
            yield f"Count {node.get('/Count')} of a node with {_leaves(node)} pages"
        for kid in listed(get(node, "/Kids")):
            yield from _pages(kid, node.objgen, depth + 1)
    elif get(node, "/Type") != "/Page":
        yield f"a node of type {node.get('/Type')}"


def _leaves(node: object) -> int:
    if not isinstance(node, pikepdf.Dictionary):
        return 0
    return sum(map(_leaves, listed(get(node, "/Kids")))) if "/Kids" in node else 1


def _labels(tree: object, pages: int) -> Iterator[str]:
    if tree is None:
        return
    broken: list[str] = []
    keys = []
    for key, label in entries(tree, "/Nums", broken):
        keys.append(key)
        if not isinstance(label, pikepdf.Dictionary):
            yield f"the label of page {key} is no dictionary"
            continue
        if str(label.get("/S", "/D")) not in ("/D", "/R", "/r", "/A", "/a"):
            yield f"page {key}: style {label.get('/S')}"
        start = label.get("/St", 1)
        if not isinstance(start, int) or start < 1:
            yield f"page {key}: it starts at {start}"
    yield from broken
    if not keys or keys[0] != 0:
        yield "the first page has no label"
    elif not all(isinstance(key, int) and key < pages for key in keys):
        yield "labels of pages that are not there"


def _outline(top: object, destinations: Destinations) -> Iterator[tuple[str, str]]:
    """Bookmarks by ISO 32000-1, 12.3.3: joined both ways, counted right, each leading to a page."""
    if top is None:
        return
    if not isinstance(top, pikepdf.Dictionary):
        yield "the outline", "no dictionary"
        return
    seen: set[Key] = {top.objgen}
    faults: list[tuple[str, str]] = []

    def level(parent: pikepdf.Dictionary) -> int:
        """Adds the faults below a bookmark; how many lines it shows when it is open."""
        shown = 0
        before: Key = (0, 0)
        item = get(parent, "/First")
        while isinstance(item, pikepdf.Dictionary):
            title = said(get(item, "/Title")) or "?"
            if item.objgen in seen:
                faults.append((title, "it is reached twice"))
                return shown
            seen.add(item.objgen)
            if not said(get(item, "/Title")).strip():
                faults.append((title, "it has no title"))
            if key_of(get(item, "/Parent")) != parent.objgen:
                faults.append((title, "its parent is another"))
            if key_of(get(item, "/Prev")) != before:
                faults.append((title, "the one before it is another"))
            if says := destinations.fault_of_target(item):
                faults.append((title, says))
            below = level(item)
            count = item.get("/Count", 0)
            if abs(count) != below:
                faults.append((title, f"Count {count}, {below} below it"))
            shown += 1 + (below if count > 0 else 0)
            before = item.objgen
            item = get(item, "/Next")
        if key_of(get(parent, "/Last")) != before:
            faults.append((said(get(parent, "/Title")) or "the outline", "the last one below it is another"))
        return shown

    below = level(top)
    if top.get("/Count", 0) != below:
        faults.append(("the outline", f"Count {top.get('/Count')}, {below} lines shown"))
    yield from faults
