"""An author's drawing read in and made safe: an SVG rebuilt from an allow-list, or a PNG with nothing but its picture.

Nothing of the file comes through but what is listed here: shapes, plain texts and their looks. No script, no style
sheet, no link, no entity, no image from elsewhere. What is left out is named, so that nobody takes the drawing for
whole.
"""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

from compiler.exchange.picture import SIGNATURE, PictureError, read_picture

LARGEST = 2 * 1024 * 1024  # bytes of a drawing file
_MOST_ELEMENTS, _DEEPEST, _MOST_LETTERS = 20_000, 40, 50_000
_LONGEST_TITLE = 120  # characters
_SVG = "http://www.w3.org/2000/svg"

_SHAPES = frozenset("path rect circle ellipse line polyline polygon".split())
_ELEMENTS = _SHAPES | frozenset("svg g text tspan defs linearGradient radialGradient stop clipPath".split())
# Say nothing that is seen: left out without a word.
_SILENT = frozenset("title desc metadata".split())
_LOOKS = frozenset(
    "fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-linecap stroke-linejoin stroke-dasharray"
    " stroke-dashoffset stroke-miterlimit opacity font-size font-weight font-style text-anchor stop-color stop-opacity"
    " clip-path clip-rule color".split()
)
_GEOMETRY = frozenset(
    "x y x1 y1 x2 y2 cx cy r rx ry dx dy d points width height transform offset fx fy viewBox preserveAspectRatio"
    " gradientUnits gradientTransform spreadMethod clipPathUnits".split()
)
_LOCAL = re.compile(r"url\(\s*[\"']?#([^\"')\s]{1,80})[\"']?\s*\)")
_VALUE = re.compile(r"(?:[-+#%.,\s\w]|(?:matrix|translate|scale|rotate|skewX|skewY|rgba?|hsla?)\([-+%.,\s\d\w]*\))*")
_LENGTH = re.compile(r"\s*(\d{1,6}(?:\.\d+)?)\s*(?:px|pt|mm|cm|in)?\s*")


class DrawingError(Exception):
    """The drawing cannot be used; the message is why, in a few words."""


class Drawing(NamedTuple):
    """A drawing that is safe to set into a page.

    markup     SVG markup of its content in a box of `width` by `height` units from 0, 0; ids begin with `{ID}`
    left_out   kinds of element that were left out, sorted
    title      what the drawing calls itself, on one line; empty when it does not
    """

    markup: str
    width: float
    height: float
    left_out: tuple[str, ...] = ()
    title: str = ""


def drawing_in(root: Path, name: str) -> Drawing:
    """The drawing in a file of the project folder `root`, by its path from there. Raises DrawingError."""
    if "\0" in name:
        raise DrawingError("its name is no file name")
    path = (root / name).resolve()
    if not path.is_relative_to(root.resolve()):
        raise DrawingError("it lies outside the project folder")
    try:
        if not path.is_file():
            raise DrawingError("there is no such file")
        known = path.stat()
    except OSError as error:
        raise DrawingError((error.strerror or "it cannot be read").lower()) from error
    found = _read(path, known.st_mtime_ns, known.st_size)
    if isinstance(found, str):
        raise DrawingError(found)
    return found


@lru_cache(maxsize=256)
def _read(path: Path, _changed: int, _size: int) -> Drawing | str:
    """The drawing in a file, or why it cannot be used. The variants of a line share their zones: each is read once."""
    try:
        with path.open("rb") as file:
            return read_drawing(file.read(LARGEST + 1))
    except DrawingError as error:
        return str(error)
    except OSError as error:
        return (error.strerror or "it cannot be read").lower()


def read_drawing(data: bytes) -> Drawing:
    """The drawing in a file's bytes, SVG or PNG. Raises DrawingError."""
    if len(data) > LARGEST:
        raise DrawingError(f"it is larger than {LARGEST // 1024 // 1024} MiB")
    return _png(data) if data.startswith(SIGNATURE) else _Reader().read(data)


class _Reader:
    """Reads SVG as a stream of events and writes what is allowed; nothing is expanded, nothing is fetched."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self.open: list[str] = []  # tags written and not closed
        self.depth = self.count = self.letters = 0
        self.skipping = 0  # depth at which something left out began, or 0
        self.left_out: set[str] = set()
        self.title: list[str] | None = None  # words of the drawing's own title, once it has begun
        self.titling = False
        self.box: tuple[float, float, float, float] | None = None

    def read(self, data: bytes) -> Drawing:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._words
        parser.StartDoctypeDeclHandler = self._doctype
        try:
            parser.Parse(data, True)
        except (expat.ExpatError, ValueError, LookupError) as error:
            raise DrawingError("it is neither a PNG nor well-formed SVG") from error
        if self.box is None:
            raise DrawingError("it has no size: an SVG gives a viewBox, or width and height")
        x, y, width, height = self.box
        body = f'<g transform="translate({-x:.10g} {-y:.10g})">{"".join(self.out)}</g>'
        return Drawing(body, width, height, tuple(sorted(self.left_out)), _line("".join(self.title or ())))

    def _doctype(self, *_: object) -> None:
        raise DrawingError("it has a document type, which could hide entities")

    def _start(self, name: str, given: Mapping[str, str]) -> None:
        self.depth += 1
        self.count += 1
        if self.depth > _DEEPEST or self.count > _MOST_ELEMENTS:
            raise DrawingError(f"it has more than {_MOST_ELEMENTS} elements, or nests more than {_DEEPEST} deep")
        space, _, tag = name.rpartition(" ")
        if self.depth == 1:
            if (space, tag) != (_SVG, "svg"):
                raise DrawingError("it is XML, but no SVG")
            self.box = _box(given)
            return
        if self.skipping:
            return
        if space != _SVG or tag not in _ELEMENTS:
            self.skipping = self.depth
            # The first title right under the root names the whole drawing, any other a part of it.
            if (space, tag, self.depth) == (_SVG, "title", 2) and self.title is None:
                self.title, self.titling = [], True
            if space == _SVG and tag not in _SILENT:
                self.left_out.add(tag)
            return
        attributes = "".join(f' {key}="{_escape(value)}"' for key, value in _attributes(given).items())
        self.out.append(f"<{tag}{attributes}>")
        self.open.append(tag)

    def _end(self, _: str) -> None:
        if self.skipping:
            if self.depth == self.skipping:
                self.skipping, self.titling = 0, False
        elif self.depth > 1:
            self.out.append(f"</{self.open.pop()}>")
        self.depth -= 1

    def _words(self, words: str) -> None:
        if self.titling and self.title is not None:
            self._count(words)
            self.title.append(words)
        if not self.skipping and self.open and self.open[-1] in ("text", "tspan"):
            self._count(words)
            self.out.append(_escape(words))

    def _count(self, words: str) -> None:
        self.letters += len(words)
        if self.letters > _MOST_LETTERS:
            raise DrawingError(f"it has more than {_MOST_LETTERS:,} characters of text")


def _attributes(given: Mapping[str, str]) -> dict[str, str]:
    """The attributes that are allowed, looks taken out of a `style` attribute too; ids begin with `{ID}`."""
    found = {key: value for key, value in given.items() if key in _GEOMETRY or key in _LOOKS}
    for declaration in given.get("style", "").split(";"):
        key, _, value = declaration.partition(":")
        if key.strip() in _LOOKS:
            found[key.strip()] = value.replace("!important", "").strip()
    safe: dict[str, str] = {}
    for key, value in found.items():
        if local := _LOCAL.fullmatch(value.strip()):
            safe[key] = f"url(#{{ID}}{_plain(local[1])})"
        elif _VALUE.fullmatch(value):
            safe[key] = value
    if "id" in given:
        safe["id"] = f"{{ID}}{_plain(given['id'])}"
    return safe


def _line(text: str) -> str:
    """A title as one line of a length that a caption bears."""
    words = " ".join(text.split())
    return words if len(words) <= _LONGEST_TITLE else f"{words[: _LONGEST_TITLE - 1].rstrip()}…"


def _escape(text: str) -> str:
    """Text for element content or an attribute in double quotes: on one line, without what no page may hold."""
    shown = (char if char.isprintable() else " " if char.isspace() else "\ufffd" for char in text)
    return html.escape("".join(shown))


def _plain(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9]", lambda match: f"_{ord(match[0]):x}_", name[:80])


def _box(given: Mapping[str, str]) -> tuple[float, float, float, float] | None:
    """Where the drawing's content lies: its viewBox, else its width and height."""
    try:
        x, y, width, height = (float(part) for part in given.get("viewBox", "").replace(",", " ").split())
    except ValueError:
        sides = [_LENGTH.fullmatch(given.get(name, "")) for name in ("width", "height")]
        x, y = 0.0, 0.0
        width, height = (float(side[1]) if side else 0.0 for side in sides)
    known = all(-1e6 < value < 1e6 for value in (x, y, width, height))
    return (x, y, width, height) if known and width > 0 and height > 0 else None


def _png(data: bytes) -> Drawing:
    try:
        picture = read_picture(data)
    except PictureError as error:
        raise DrawingError(str(error)) from error
    whole = base64.b64encode(picture.data).decode("ascii")
    size = f'width="{picture.width}" height="{picture.height}" preserveAspectRatio="none"'
    return Drawing(f'<image {size} href="data:image/png;base64,{whole}"/>', picture.width, picture.height)
