"""Fonts: embedded, with a glyph and a Unicode meaning for every code that is shown.

ISO 14289-1, 7.21, and the Matterhorn Protocol, checkpoints 10 and 31, from memory: grade C.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO

import pikepdf

from tests.renderers.pdf_ua.content import Contents, Used
from tests.renderers.pdf_ua.found import Violation, get, listed

_BLOCK = re.compile(rb"begin(bfchar|bfrange)(.*?)end\1", re.DOTALL)
_CHAR = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f\s]*)>")
_RANGE = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(?:<([0-9A-Fa-f\s]*)>|\[(.*?)\])", re.DOTALL)
FILES = ("/FontFile", "/FontFile2", "/FontFile3")
NOTHING = {"", "\0", "\ufeff", "\ufffe"}


def font_faults(contents: Contents) -> Iterator[Violation]:
    """Faults of every font that shows text."""
    for used in contents.fonts.values():
        where = f"font {str(get(used.font, '/BaseFont'))[1:]} (first on page {used.page})"
        for rule, says in _faults(used):
            yield Violation(rule, where, says)


def _faults(used: Used) -> Iterator[tuple[str, str]]:
    font = used.font
    if get(font, "/Subtype") != "/Type3":  # whose glyphs are drawings in the file
        inner = next(iter(listed(get(font, "/DescendantFonts"))), None) if used.wide else font
        file = next((file for name in FILES if (file := get(get(inner, "/FontDescriptor"), name)) is not None), None)
        if not isinstance(file, pikepdf.Stream):
            yield "font-embedded", "its glyphs are not in the file"
        elif used.wide:
            yield from _glyphs(used, inner, file)
    if used.wide and get(font, "/Encoding") not in ("/Identity-H", "/Identity-V"):
        yield "font-codes", f"encoding {get(font, '/Encoding')} is not read by this checker"
        return
    meanings = get(font, "/ToUnicode")
    if not isinstance(meanings, pikepdf.Stream):
        if get(font, "/Encoding") not in ("/WinAnsiEncoding", "/MacRomanEncoding"):
            yield "font-unicode", "no ToUnicode"
        return
    known = unicodes(meanings.read_bytes())
    for code in sorted(used.codes):
        if code not in known:
            yield "font-unicode", f"code {code:04x} means nothing"
        elif known[code] in NOTHING:
            yield "font-unicode", f"code {code:04x} means U+{ord(known[code] or chr(0)):04X}"


def _glyphs(used: Used, inner: object, file: pikepdf.Stream) -> Iterator[tuple[str, str]]:
    if 0 in used.codes:
        yield "font-glyph", "the glyph of no character is shown"
    table = get(inner, "/CIDToGIDMap")
    if get(inner, "/Subtype") != "/CIDFontType2":
        return
    if table is None:
        yield "font-glyph", "no CIDToGIDMap"
        return
    from fontTools.ttLib import TTFont

    count = TTFont(BytesIO(file.read_bytes()), lazy=True)["maxp"].numGlyphs
    places = table.read_bytes() if isinstance(table, pikepdf.Stream) else None
    for code in sorted(used.codes):
        glyph = code if places is None else int.from_bytes(places[2 * code : 2 * code + 2], "big")
        if glyph >= count or (places is not None and glyph == 0):
            yield "font-glyph", f"code {code:04x} has no glyph"


def unicodes(cmap: bytes) -> dict[int, str]:
    """What each code of a ToUnicode map means."""
    found: dict[int, str] = {}
    for sort, text in _BLOCK.findall(cmap):
        if sort == b"bfchar":
            found.update((int(code, 16), _text(value)) for code, value in _CHAR.findall(text))
            continue
        for first, last, start, several in _RANGE.findall(text):
            low, high = int(first, 16), int(last, 16)
            if several:
                values = [_text(value) for value in re.findall(rb"<([0-9A-Fa-f\s]*)>", several)]
                found.update(zip(range(low, high + 1), values, strict=False))
            else:
                begin = _text(start)
                found.update((low + n, begin[:-1] + chr(ord(begin[-1]) + n)) for n in range(high - low + 1) if begin)
    return found


def _text(digits: bytes) -> str:
    return bytes.fromhex(digits.decode()).decode("utf-16-be", "replace")
