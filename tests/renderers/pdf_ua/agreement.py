"""What must agree with the structure tree, both ways: content, the parent tree, annotations, the tree of ids.

ISO 32000-1, 14.7.4 and 14.7.5, read from memory: grade C.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf

from tests.renderers.pdf_ua.content import Contents
from tests.renderers.pdf_ua.found import Key, Violation, entries, get, key_of, listed, said
from tests.renderers.pdf_ua.tree import Element, Piece, Tree

Held = dict[Piece, Element]


def agreement_faults(pdf: pikepdf.Pdf, tree: Tree, contents: Contents) -> Iterator[Violation]:
    """Content, parent tree and structure tree say the same of every piece."""
    pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages, 1)}
    broken: list[str] = []
    parents = dict(entries(get(tree.root, "/ParentTree"), "/Nums", broken))
    after = get(tree.root, "/ParentTreeNextKey")
    if parents and isinstance(after, int) and after <= max(map(int, parents)):
        broken.append(f"the next key {after} is taken")
    yield from (Violation("parent-tree", "document", says) for says in broken)
    held: Held = {}
    yield from _held(tree, contents, pages, held)
    used: dict[object, str] = {}
    for holder in contents.pieces:
        yield from _row(holder, tree, contents, parents, held, used)
    yield from _annotation_parents(pdf, tree, parents, used, held)
    for entry in parents:
        if entry not in used:
            yield Violation("parent-tree", "document", f"entry {entry} belongs to nothing")


def _held(tree: Tree, contents: Contents, pages: dict[Key, int], held: Held) -> Iterator[Violation]:
    """Every piece that an element holds is there, and held once; enters them in `held`."""
    for element in tree.elements.values():
        if element.page != (0, 0) and element.page not in pages:
            yield Violation("content-page", element.where, "Pg is no page of the file")
        for piece in element.pieces:
            name = _name(piece, contents.pages.get(piece.holder))
            if piece in held:
                yield Violation("held-twice", element.where, f"{name} is held by {held[piece].where} too")
            held[piece] = element
            if piece.number != -1 and piece.number not in contents.pieces.get(piece.holder, ()):
                yield Violation("no-content", element.where, f"{name} is not in the content")


def _row(
    holder: Key, tree: Tree, contents: Contents, parents: dict[Any, Any], held: Held, used: dict[object, str]
) -> Iterator[Violation]:
    """The entry of a page or form knows the parent of each of its pieces, and of no other."""
    where = f"page {contents.pages[holder]}"
    numbers, entry = contents.pieces[holder], contents.owners[holder]
    if entry is None:
        if numbers:
            yield Violation("parent-tree", where, "it has marked pieces and no StructParents")
        return
    if entry in used:
        yield Violation("parent-tree", where, f"entry {entry} is that of {used[entry]} too")
    used[entry] = where
    row = parents.get(entry)
    if not isinstance(row, pikepdf.Array):
        yield Violation("parent-tree", where, f"entry {entry} is no array")
        return
    keys = [key_of(one) for one in row.as_list()]
    for number, key in enumerate(keys):
        if key == (0, 0):
            continue
        if number not in numbers:
            yield Violation("parent-tree", where, f"entry {entry} knows a piece {number} that is not there")
        elif key not in tree.elements:
            yield Violation("parent-tree", where, f"piece {number}: its element is not in the tree")
        elif (owner := held.get(Piece(holder, number))) is None or owner.key != key:
            yield Violation("parent-tree", where, f"piece {number}: {tree.elements[key].where} does not hold it")
    for number in sorted(numbers):
        if number >= len(keys) or keys[number] == (0, 0):
            yield Violation("parent-tree", where, f"piece {number} has no parent")


def _annotation_parents(
    pdf: pikepdf.Pdf, tree: Tree, parents: dict[Any, Any], used: dict[object, str], held: Held
) -> Iterator[Violation]:
    """The annotations of all pages and their elements, both ways; enters what they take of the parent tree in `used`."""
    met: set[Key] = set()
    for number, page in enumerate(pdf.pages, 1):
        where = f"page {number}"
        for note in listed(get(page.obj, "/Annots")):
            if not isinstance(note, pikepdf.Dictionary) or note.objgen == (0, 0):
                yield Violation("annotation", where, "it is no object of its own")
                continue
            if note.objgen in met:
                yield Violation("annotation", where, f"annotation {note.objgen[0]} stands on two pages")
            met.add(note.objgen)
            entry = get(note, "/StructParent")
            if entry is None:
                yield Violation("annotation-parent", where, f"annotation {note.objgen[0]} has no StructParent")
                continue
            if entry in used:
                yield Violation("annotation-parent", where, f"entry {entry} is that of {used[entry]} too")
            used[entry] = where
            element = tree.elements.get(key_of(parents.get(entry)))
            piece = Piece(page.obj.objgen, -1, note.objgen)
            if element is None:
                yield Violation("annotation-parent", where, f"entry {entry} is no element of the tree")
            elif held.get(piece) is not element:
                yield Violation(
                    "annotation-parent", where, f"{element.where} does not hold annotation {note.objgen[0]}"
                )
            elif get(note, "/Subtype") == "/Link" and element.kind != "/Link":
                yield Violation("link-tag", where, f"a link in {element.where}")
            elif get(note, "/Subtype") not in ("/Link", "/Widget", "/PrinterMark") and element.kind != "/Annot":
                yield Violation("link-tag", where, f"a note {get(note, '/Subtype')} in {element.where}")
    for piece, element in held.items():
        if piece.number == -1 and piece.thing not in met:
            yield Violation("annotation-parent", element.where, f"it holds {piece.thing[0]}, which is on no page")


def _name(piece: Piece, page: int | None) -> str:
    name = f"annotation {piece.thing[0]}" if piece.number == -1 else f"piece {piece.number}"
    return f"{name} of page {page or '?'}"


def id_faults(tree: Tree) -> Iterator[Violation]:
    """The tree of ids knows every element with an id, and nothing else."""
    broken: list[str] = []
    known = dict(entries(get(tree.root, "/IDTree"), "/Names", broken))
    yield from (Violation("id-tree", "document", says) for says in broken)
    own: dict[bytes, Element] = {}
    for element in tree.elements.values():
        name = get(element.thing, "/ID")
        if name is None:
            continue
        if bytes(name) in own:
            yield Violation("id-twice", element.where, f"{said(name)} is that of {own[bytes(name)].where} too")
        own[bytes(name)] = element
        if key_of(known.get(bytes(name))) != element.key:
            yield Violation("id-tree", element.where, f"{said(name)} does not lead to it")
    for name in known:
        if name not in own:
            yield Violation("id-tree", "document", f"{name!r} is no element's")
