"""The structure tree read into plain values.

ISO 32000-1, 14.7.2 to 14.7.4 and 14.8.4, read from memory: grade C.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import pikepdf

from tests.renderers.pdf_ua.found import Key, Violation, get, key_of, listed

# The standard structure types of ISO 32000-1, 14.8.4 (from memory, grade C).
GROUPING = frozenset(
    "/Document /Part /Art /Sect /Div /BlockQuote /Caption /TOC /TOCI /Index /NonStruct /Private".split()
)
HEADINGS = frozenset(("/H", *(f"/H{level}" for level in range(1, 7))))
BLOCKS = HEADINGS | frozenset("/P /L /LI /Lbl /LBody /Table /TR /TH /TD /THead /TBody /TFoot".split())
INLINE = frozenset(
    "/Span /Quote /Note /Reference /BibEntry /Code /Link /Annot /Ruby /RB /RT /RP /Warichu /WT /WP".split()
)
STANDARD = GROUPING | BLOCKS | INLINE | frozenset(("/Figure", "/Formula", "/Form"))


class Piece(NamedTuple):
    """A marked piece of a page or form (its key), or an annotation (`number` is -1, `holder` its page)."""

    holder: Key
    number: int
    thing: Key = (0, 0)


@dataclass(slots=True, eq=False)
class Element:
    """A structure element: its object, its tag and the standard type this stands for, and what it holds in order."""

    key: Key
    thing: pikepdf.Object
    tag: str
    kind: str
    parent: Element | None
    page: Key
    kids: list[Element | Piece] = field(default_factory=list)

    @property
    def below(self) -> list[Element]:
        return [kid for kid in self.kids if isinstance(kid, Element)]

    @property
    def pieces(self) -> list[Piece]:
        return [kid for kid in self.kids if isinstance(kid, Piece)]

    def attribute(self, name: str, owner: str) -> object:
        for one in listed(get(self.thing, "/A")):
            if isinstance(one, pikepdf.Dictionary) and get(one, "/O") == owner and name in one:
                return one.get(name)
        return None

    @property
    def where(self) -> str:
        return f"{self.tag[1:]} {self.key[0]}"


@dataclass(slots=True)
class Tree:
    """Every element that can be reached, in reading order."""

    root: pikepdf.Dictionary
    elements: dict[Key, Element] = field(default_factory=dict)
    faults: list[Violation] = field(default_factory=list)

    def fault(self, rule: str, where: str, says: str) -> None:
        self.faults.append(Violation(rule, where, says))


def read_tree(pdf: pikepdf.Pdf) -> Tree | None:
    """The tree, with the faults met while reading it; None when there is none."""
    root = get(pdf.Root, "/StructTreeRoot")
    if not isinstance(root, pikepdf.Dictionary):
        return None
    tree = Tree(root)
    kinds = _Kinds(get(root, "/RoleMap"))
    tops = [kid for kid in _read_kids(tree, root, None, kinds) if isinstance(kid, Element)]
    for says in kinds.faults:
        tree.fault("role-map", "document", says)
    if len(tops) != 1 or tops[0].kind != "/Document":
        tree.fault("root", "document", f"the tree begins with {[top.tag for top in tops]}")
    for thing in pdf.objects:
        if get(thing, "/Type") == "/StructElem" and thing.objgen not in tree.elements:
            tree.fault("orphan", f"{str(thing.get('/S'))[1:]} {thing.objgen[0]}", "it is not in the tree")
    return tree


class _Kinds:
    """Tags to standard types, by the role map."""

    def __init__(self, roles: object) -> None:
        self.roles = {k: str(v) for k, v in roles.items()} if isinstance(roles, pikepdf.Dictionary) else {}
        self.faults = [f"{tag} is standard and mapped" for tag in self.roles if tag in STANDARD]
        self.known: dict[str, str] = {}

    def of(self, tag: str) -> str:
        if tag not in self.known:
            kind, way = tag, [tag]
            while kind not in STANDARD and kind in self.roles:
                kind = self.roles[kind]
                if kind in way:
                    self.faults.append(f"{tag} is mapped in a circle")
                    break
                way.append(kind)
            if kind not in STANDARD:
                self.faults.append(f"{tag} stands for no standard type")
            self.known[tag] = kind
        return self.known[tag]


def _read_kids(tree: Tree, thing: pikepdf.Object, parent: Element | None, kinds: _Kinds) -> list[Element | Piece]:
    """What a thing holds; a stack instead of a function that calls itself, for trees of any depth."""
    top: list[Element | Piece] = []
    work: list[tuple[object, Element | None]] = [(kid, parent) for kid in reversed(listed(get(thing, "/K")))]
    while work:
        kid, above = work.pop()
        holds = top if above is None else above.kids
        where = above.where if above else "document"
        if isinstance(kid, int):
            if above is None or above.page == (0, 0):
                tree.fault("content-page", where, f"piece {kid} of no page")
            else:
                holds.append(Piece(above.page, kid))
            continue
        if not isinstance(kid, pikepdf.Dictionary):
            tree.fault("kids", where, f"it holds {kid!r}")
            continue
        sort = get(kid, "/Type")
        if sort in ("/MCR", "/OBJR"):
            page = key_of(get(kid, "/Pg")) if "/Pg" in kid else above.page if above else (0, 0)
            if page == (0, 0):
                tree.fault("content-page", where, f"a reference {sort} to no page")
            elif sort == "/OBJR":
                holds.append(Piece(page, -1, key_of(get(kid, "/Obj"))))
            else:
                number = get(kid, "/MCID")
                holder = key_of(get(kid, "/Stm")) if "/Stm" in kid else page
                holds.append(Piece(holder, number if isinstance(number, int) else -2))
            continue
        key = kid.objgen
        if key == (0, 0):
            tree.fault("kids", where, "an element that is no object of its own")
            continue
        if key in tree.elements:
            tree.fault("kids", tree.elements[key].where, f"it is held twice, again by {where}")
            continue
        tag = str(kid.get("/S", "/none"))
        element = Element(key, kid, tag, kinds.of(tag), above, key_of(get(kid, "/Pg")))
        tree.elements[key] = element
        holds.append(element)
        if key_of(get(kid, "/P")) != (above.key if above else tree.root.objgen):
            tree.fault("parent", element.where, "P is not what holds it")
        work += [(one, element) for one in reversed(listed(get(kid, "/K")))]
    return top
