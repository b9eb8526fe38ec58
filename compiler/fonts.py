"""The page font: where its files lie and which characters it has.

The print engine refuses a page with a character that its font cannot show (PDF/UA-1): texts are held to the font first,
and a check tells the author.
"""

from __future__ import annotations

import struct
import unicodedata
from functools import cache
from importlib.resources import files
from pathlib import Path

FAMILY = "Arimo"
_STAND_INS = "\ufffd□?"


def font_folder() -> Path:
    """The folder of the font's files, as installed with the package `fontpkg-arimo`."""
    return Path(str(files("fontpkg_arimo"))) / "files"


@cache
def coverage() -> frozenset[int]:
    """Code points that both the upright and the slanted font can show."""
    sets = [frozenset(_code_points(path.read_bytes())) for path in sorted(font_folder().glob("*.ttf"))]
    return frozenset.intersection(*sets)


@cache
def stand_in() -> str:
    """What stands for a character that the font does not have."""
    return next(char for char in _STAND_INS if ord(char) in coverage())


def printable(text: str) -> str:
    """The text with every character that the font lacks replaced; ASCII text comes back as it is."""
    if text.isascii():
        return text
    known, other = coverage(), stand_in()
    return "".join(char if ord(char) in known or ord(char) < 128 else other for char in text)


def drawable(text: str) -> str:
    """The text as it can stand in a drawing. There the print engine refuses a mark that lies over a letter, unless the
    two are one character: the mark stands behind its letter instead."""
    text = printable(text)
    if text.isascii():
        return text
    beside, other = _beside(), stand_in()
    composed = unicodedata.normalize("NFC", text)
    return "".join(beside.get(char, other) if is_mark(char) else char for char in composed)


def troubles(text: str) -> str:
    """The characters of a text that a pack on paper cannot show as they are, each once, in order."""
    if text.isascii():
        return ""
    known = coverage()
    composed = unicodedata.normalize("NFC", text)
    found = (char for char in composed if ord(char) >= 128 and (ord(char) not in known or is_mark(char)))
    return "".join(dict.fromkeys(found))


def is_mark(char: str) -> bool:
    """Whether a character lies over, under or around the one before it."""
    return unicodedata.category(char) in ("Mn", "Me")


@cache
def _beside() -> dict[str, str]:
    """Mark -> the same by itself (by the decompositions of the Unicode Character Database: U+00B4 is U+0020 U+0301)."""
    found: dict[str, str] = {}
    for code in sorted(coverage()):
        parts = unicodedata.decomposition(chr(code)).split()
        if len(parts) == 3 and parts[:2] == ["<compat>", "0020"]:
            found.setdefault(chr(int(parts[2], 16)), chr(code))
    return found


def _code_points(font: bytes) -> set[int]:
    """Code points of a font file's Unicode map (OpenType `cmap`, formats 4 and 12)."""
    tables = struct.unpack_from(">H", font, 4)[0]
    for index in range(tables):
        tag, _, offset, _ = struct.unpack_from(">4sIII", font, 12 + 16 * index)
        if tag == b"cmap":
            return _map(font, offset)
    raise ValueError("the font has no character map")


def _map(font: bytes, start: int) -> set[int]:
    found: set[int] = set()
    for index in range(struct.unpack_from(">H", font, start + 2)[0]):
        platform, _, offset = struct.unpack_from(">HHI", font, start + 4 + 8 * index)
        at = start + offset
        form = struct.unpack_from(">H", font, at)[0]
        if platform not in (0, 3):
            continue
        if form == 4:
            found |= _format_4(font, at)
        elif form == 12:
            for group in range(struct.unpack_from(">I", font, at + 12)[0]):
                first, last, _ = struct.unpack_from(">III", font, at + 16 + 12 * group)
                found.update(range(first, last + 1))
    return found


def _format_4(font: bytes, at: int) -> set[int]:
    found: set[int] = set()
    segments = struct.unpack_from(">H", font, at + 6)[0] // 2
    ends = struct.unpack_from(f">{segments}H", font, at + 14)
    starts = struct.unpack_from(f">{segments}H", font, at + 16 + 2 * segments)
    deltas = struct.unpack_from(f">{segments}H", font, at + 16 + 4 * segments)
    ranges_at = at + 16 + 6 * segments
    ranges = struct.unpack_from(f">{segments}H", font, ranges_at)
    for index, (first, last, delta, shift) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if shift:
                place = ranges_at + 2 * index + shift + 2 * (code - first)
                glyph = struct.unpack_from(">H", font, place)[0]
                if not glyph:
                    continue
            if (glyph + delta) & 0xFFFF:
                found.add(code)
    return found
