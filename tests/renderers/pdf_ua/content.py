"""Content streams: whether all that is painted is marked, which marked pieces there are, which codes a font shows.

ISO 32000-1, 14.6 (marked content), 14.7.4 (content items), 9.4.3 (text), read from memory: grade C.
"""

from __future__ import annotations

import struct
from collections import Counter
from dataclasses import dataclass, field

import pikepdf

from tests.renderers.pdf_ua.found import Key, Violation, get

TEXTS = frozenset(("Tj", "TJ", "'", '"'))
PAINT = TEXTS | {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "INLINE IMAGE"}
STATE = frozenset(("q", "Q", "BT", "ET"))
# All others neither paint nor mark, and are passed over unread.
READ = " ".join(sorted(PAINT | STATE | {"Do", "BMC", "BDC", "EMC", "Tf", "BI", "ID", "EI"}))
ARTIFACT, PIECE, OTHER = "artifact", "piece", "other"


@dataclass(slots=True)
class Used:
    """Codes that a font is asked to show, one or two bytes each, and where it was first met."""

    font: pikepdf.Object
    page: int
    codes: set[int] = field(default_factory=set)
    wide: bool = field(init=False)

    def __post_init__(self) -> None:
        self.wide = get(self.font, "/Subtype") == "/Type0"


@dataclass(slots=True)
class Contents:
    """What the streams of a file hold.

    pieces  stream or page -> the numbers (MCID) of its marked pieces
    owners  stream or page -> its entry StructParents
    pages   stream or page -> number of the page
    shown   forms with numbered pieces -> how often they are painted
    fonts   fonts that show text
    """

    pieces: dict[Key, set[int]] = field(default_factory=dict)
    owners: dict[Key, object] = field(default_factory=dict)
    pages: dict[Key, int] = field(default_factory=dict)
    shown: dict[Key, int] = field(default_factory=dict)
    fonts: dict[object, Used] = field(default_factory=dict)
    faults: list[Violation] = field(default_factory=list)


def read_contents(pdf: pikepdf.Pdf) -> Contents:
    """Reads every page, and the forms that each paints."""
    found = Contents()
    for number, page in enumerate(pdf.pages, 1):
        _Stream(found, page.obj, page.obj.objgen, number).read(page, page.resources)
    for key, times in found.shown.items():
        if times > 1 and found.pieces.get(key):
            found.faults.append(
                Violation(
                    "form-twice", f"page {found.pages[key]}", f"a form with numbered pieces is painted {times} times"
                )
            )
    return found


class _Stream:
    """One stream under reading."""

    def __init__(self, found: Contents, owner: pikepdf.Object, key: Key, page: int, covered: bool = False) -> None:
        """`covered` says whether the place where a form is painted is marked already."""
        self.found = found
        self.page = page
        self.key = key
        self.covered = self.inside = covered
        self.marks: list[tuple[str, bool]] = []
        self.numbers: set[int] = set()
        self.font: Used | None = None
        self.kept: list[Used | None] = []
        self.in_text = False
        self.bare: Counter[str] = Counter()
        found.pieces[key] = self.numbers
        found.owners[key] = get(owner, "/StructParents")
        found.pages[key] = page

    def fault(self, rule: str, says: str) -> None:
        self.found.faults.append(Violation(rule, f"page {self.page}", says))

    def read(self, source: pikepdf.Page | pikepdf.Object, resources: object) -> None:
        def of(name: str) -> dict[str, pikepdf.Object]:
            part = get(resources, name)
            return dict(part.items()) if isinstance(part, pikepdf.Dictionary) else {}

        fonts, properties, things = of("/Font"), of("/Properties"), of("/XObject")
        try:
            instructions = pikepdf.parse_content_stream(source, READ)
        except pikepdf.PdfError as error:
            self.fault("content", f"content that cannot be read: {error}")
            return
        for instruction in instructions:
            name = str(instruction.operator)
            if name in PAINT:
                if not self.inside:
                    self.bare[name] += 1
                if name in TEXTS:
                    self.show(name, instruction.operands[-1])
            elif name == "Do":
                if not self.paint(things.get(str(instruction.operands[0]))):
                    self.bare[name] += 1
            elif name in ("BMC", "BDC"):
                self.begin(list(instruction.operands), properties)
            elif name == "EMC":
                self.end()
            elif name == "Tf":
                self.choose(str(instruction.operands[0]), fonts)
            elif name in STATE:
                self.turn(name)
        self.close()

    def close(self) -> None:
        if self.marks:
            self.fault("balance", f"{len(self.marks)} marked pieces never end")
        if self.kept:
            self.fault("content", "q without Q")
        for name, times in self.bare.items():
            self.fault("unmarked-content", f"{times} × {name} outside all marked content")

    def turn(self, name: str) -> None:
        """State kept and taken back, text begun and ended."""
        if name == "q":
            self.kept.append(self.font)
        elif name == "Q":
            if self.kept:
                self.font = self.kept.pop()
            else:
                self.fault("content", "Q without q")
        else:
            if self.in_text == (name == "BT"):
                self.fault("content", f"{name} out of turn")
            self.in_text = name == "BT"

    def begin(self, operands: list[object], properties: dict[str, pikepdf.Object]) -> None:
        """A marked piece begins."""
        about = operands[1] if len(operands) > 1 else None
        if isinstance(about, pikepdf.Name):
            about = properties.get(str(about))
            if about is None:
                self.fault("content", f"properties {operands[1]} that are not among the resources")
        number = get(about, "/MCID")
        kind = ARTIFACT if str(operands[0]) == "/Artifact" else PIECE if number is not None else OTHER
        around = {other for other, _ in self.marks}
        if number is not None:
            self.number(number)
        if kind == PIECE and PIECE in around:
            self.fault("nested-pieces", f"piece {number} within another")
        if number is not None and (kind == ARTIFACT or ARTIFACT in around):
            self.fault("tagged-in-artifact", f"piece {number} in or of an artifact")
        if kind == ARTIFACT and PIECE in around:
            self.fault("artifact-in-tagged", "an artifact within a piece of the text")
        self.marks.append((kind, self.in_text))
        self.inside = self.inside or kind != OTHER

    def number(self, number: object) -> None:
        if not isinstance(number, int) or number < 0:
            self.fault("content", f"a piece numbered {number}")
        elif number in self.numbers:
            self.fault("number-twice", f"two pieces numbered {number}")
        else:
            self.numbers.add(number)

    def end(self) -> None:
        """A marked piece ends."""
        if not self.marks:
            self.fault("balance", "EMC without a beginning")
        elif self.marks.pop()[1] != self.in_text:
            self.fault("balance", "a marked piece crosses the edge of a text object")
        self.inside = self.covered or any(kind != OTHER for kind, _ in self.marks)

    def choose(self, name: str, fonts: dict[str, pikepdf.Object]) -> None:
        """A font is chosen."""
        font = fonts.get(name)
        if font is None:
            self.fault("content", f"a font {name} that is not among the resources")
            self.font = None
            return
        key = font.objgen if font.is_indirect else (self.key, name)
        self.font = self.found.fonts.setdefault(key, Used(font, self.page))

    def show(self, name: str, shown: object) -> None:
        """Notes the codes of a string, or of the strings among the kerns of an array."""
        if self.font is None:
            self.fault("content", f"{name} before a font is chosen")
            return
        wide = self.font.wide
        codes = self.font.codes
        for part in shown.as_list() if isinstance(shown, pikepdf.Array) else [shown]:
            if not isinstance(part, pikepdf.String):
                continue
            data = bytes(part)
            if not wide:
                codes.update(data)
            elif len(data) % 2:
                self.fault("content", "half a code of two bytes")
            else:
                codes.update(struct.unpack(f">{len(data) // 2}H", data))

    def paint(self, thing: pikepdf.Object | None) -> bool:
        """Paints an image or a form, which is read. False if it is left unmarked here."""
        if not isinstance(thing, pikepdf.Stream):
            self.fault("content", "an image or form that is not among the resources")
            return True
        if get(thing, "/Subtype") != "/Form":
            return self.inside
        if "/Ref" in thing:
            self.fault("content", "a form that refers to another file")
        found, key = self.found, thing.objgen
        found.shown[key] = found.shown.get(key, 0) + 1
        if key in found.pieces:
            # Read before: what it marks itself stands, the rest must be covered here as it was there.
            return self.inside or bool(found.pieces[key])
        # A form that is an item of its own (StructParent) is covered by the element that holds it.
        form = _Stream(found, thing, key, self.page, self.inside or "/StructParent" in thing)
        form.read(thing, get(thing, "/Resources"))
        if form.numbers and self.inside:
            self.fault("nested-pieces", "a form with numbered pieces is painted within a marked piece")
        return True
