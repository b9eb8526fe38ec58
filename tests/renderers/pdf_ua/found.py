"""What the checker hands out, and small readings of PDF objects that all its parts share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import pikepdf

Key = tuple[int, int]  # number and generation of an indirect object


class Violation(NamedTuple):
    """One broken rule: its name, where (a page, an element), and what is wrong there."""

    rule: str
    where: str
    says: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.where}: {self.says}"


def get(thing: object, name: str) -> Any:
    """An entry of a dictionary or of a stream's; None where there is none, or no dictionary."""
    return thing.get(name) if isinstance(thing, pikepdf.Dictionary | pikepdf.Stream) else None


def listed(value: object) -> list[Any]:
    """A value that may stand alone or in an array, as a list; of nothing, an empty one."""
    if value is None:
        return []
    return list(value.as_list()) if isinstance(value, pikepdf.Array) else [value]


def key_of(value: object) -> Key:
    """Which indirect object a value is; (0, 0) for one that stands where it is used."""
    return value.objgen if isinstance(value, pikepdf.Object) else (0, 0)


def said(value: object) -> str:
    """A text string; empty for anything else."""
    return str(value) if isinstance(value, pikepdf.String | str) and not isinstance(value, pikepdf.Name) else ""


def entries(root: object, leaf: str, broken: list[str]) -> Iterator[tuple[Any, Any]]:
    """The entries of a name tree (`/Names`) or number tree (`/Nums`), with complaints about its shape (ISO 32000-1,
    7.9.6 and 7.9.7): keys in order, each once, within the limits of their node."""
    last: Any = None
    seen: set[Key] = set()

    def walk(node: pikepdf.Object, top: bool) -> Iterator[tuple[Any, Any]]:
        nonlocal last
        if key_of(node) in seen and key_of(node) != (0, 0):
            broken.append("a node stands in the tree twice")
            return
        seen.add(key_of(node))
        if top == ("/Limits" in node):
            broken.append("the root has limits" if top else "a node has no limits")
        if (leaf in node) == ("/Kids" in node):
            broken.append("a node has both kids and entries, or neither")
        inside = []
        flat = listed(get(node, leaf))
        if len(flat) % 2:
            broken.append("a key has no value")
        for place in range(0, len(flat) - 1, 2):
            key = _key(flat[place])
            if type(key) is not (int if leaf == "/Nums" else bytes):
                broken.append(f"a key of a wrong kind: {flat[place]!r}")
                continue
            if last is not None and not last < key:
                broken.append(f"keys out of order or twice: {_shown(last)}, {_shown(key)}")
            last = key
            inside.append(key)
            yield key, flat[place + 1]
        for kid in listed(get(node, "/Kids")):
            for entry in walk(kid, False):
                inside.append(entry[0])
                yield entry
        limits = [_key(limit) for limit in listed(get(node, "/Limits"))]
        if limits and inside and limits != [inside[0], inside[-1]]:
            broken.append(
                f"limits {[*map(_shown, limits)]} of a node that goes from {_shown(inside[0])} to {_shown(inside[-1])}"
            )

    if isinstance(root, pikepdf.Dictionary):
        yield from walk(root, True)
    elif root is not None:
        broken.append("the tree is no dictionary")


def _key(value: object) -> Any:
    return bytes(value) if isinstance(value, pikepdf.String) else value


def _shown(key: object) -> str:
    return key.decode("latin-1") if isinstance(key, bytes) else str(key)


class Destinations:
    """What destinations lead to: the pages of the file and its named destinations (ISO 32000-1, 12.3.2)."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self.pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages, 1)}
        self.broken: list[str] = []
        names = get(pdf.Root, "/Names")
        tree = get(names, "/Dests") if isinstance(names, pikepdf.Dictionary) else None
        self.named = {key: value for key, value in entries(tree, "/Names", self.broken) if isinstance(key, bytes)}
        self.old = get(pdf.Root, "/Dests")

    def fault(self, place: object) -> str:
        """Why a destination leads nowhere; empty when it leads to a page."""
        if isinstance(place, pikepdf.Name):
            named = self.old.get(str(place)) if isinstance(self.old, pikepdf.Dictionary) else None
            return self.fault_of_array(named, str(place))
        if isinstance(place, pikepdf.String):
            return self.fault_of_array(self.named.get(bytes(place)), str(place))
        return self.fault_of_array(place, "the destination")

    def fault_of_array(self, place: object, name: str) -> str:
        if isinstance(place, pikepdf.Dictionary):
            place = get(place, "/D")
        if place is None:
            return f"{name} is not known"
        if not isinstance(place, pikepdf.Array) or len(place) < 2:
            return f"{name} is no array of a page and a view"
        if key_of(place[0]) not in self.pages:
            return f"{name} leads to no page of the file"
        arguments = {"/XYZ": 3, "/Fit": 0, "/FitH": 1, "/FitV": 1, "/FitR": 4, "/FitB": 0, "/FitBH": 1, "/FitBV": 1}
        if arguments.get(str(place[1])) != len(place) - 2:
            return f"{name} has a wrong view {place[1]}"
        return ""

    def fault_of_target(self, thing: pikepdf.Dictionary) -> str:
        """Why a link or a bookmark leads nowhere; addresses outside the file are not followed."""
        action = get(thing, "/A")
        if ("/Dest" in thing) == (action is not None):
            return "it has neither or both of a destination and an action"
        if action is None:
            return self.fault(get(thing, "/Dest"))
        if not isinstance(action, pikepdf.Dictionary):
            return "its action is no dictionary"
        match str(get(action, "/S")):
            case "/GoTo":
                return self.fault(get(action, "/D"))
            case "/URI":
                return "" if said(get(action, "/URI")) else "an address of nothing"
            case other:
                return f"an action {other} that a printed pack has no use for"
