"""Text fit for any page: cleaned of what no page may hold, sorted as people sort, turned into anchors."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from hashlib import sha256

NOT_GIVEN = "–"
NOT_KNOWN = "?"
_REPLACEMENT = "\ufffd"

# Controls, marks that turn the reading direction, invisible tags, code points that are no characters.
_UNFIT = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufdd0-\ufdef\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e007f"
    + "".join(chr(plane * 0x10000 + 0xFFFE) + chr(plane * 0x10000 + 0xFFFF) for plane in range(17))
    + "]"
)
_BREAKS = re.compile(r"[ \t\r\n]*[\t\r\n][ \t\r\n]*")
_DIGITS = re.compile(r"([0-9]+)")
_NOT_IN_ANCHOR = re.compile(r"[^A-Za-z0-9-]")
_LONGEST = 200  # characters of a name that an anchor holds in full

Key = tuple[tuple[int, int, str], ...]


def clean(text: str) -> str:
    """The text on one line, every character that no page may hold replaced by U+FFFD."""
    if text.isprintable():
        return text
    return _UNFIT.sub(_REPLACEMENT, _BREAKS.sub(" ", text))


@lru_cache(maxsize=65536)
def natural_key(text: str) -> Key:
    """Sort key that puts `F9` before `F10` and takes no notice of case or accents."""
    folded = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c)).casefold()
    key: list[tuple[int, int, str]] = []
    for piece in _DIGITS.split(folded):
        if piece[:1].isdigit() and piece.isascii():
            # Length first, then digits: numbers of any length in their order, without turning them into numbers.
            number = piece.lstrip("0")
            key.append((0, len(number), number))
        elif piece:
            key.append((1, 0, piece))
    # Below any piece, so that `12` stands before `12 (2)`.
    return (*key, (-1, 0, text))


def initial(text: str) -> str:
    """The letter a text stands under in an index: `A` to `Z` and other capitals, or `0-9` for all else."""
    for char in unicodedata.normalize("NFKD", text):
        if char.isalpha():
            return char.upper()[:1]
        if char.isdigit():
            return "0–9"
    return "0–9"


def anchor(kind: str, name: str) -> str:
    """The anchor of a thing: ASCII letters, digits, hyphen and underscore; two things never share one.

    `kind` is a plain word without a hyphen (`wire`, `item`, `cavity`, `circuit`, `sheet` ...). Of a very long name its
    beginning and its digest stand there, for an address has an end.
    """
    if len(name) > _LONGEST:
        # An odd number of underscores: no anchor of a shorter name has that.
        return f"{anchor(kind, name[:40])}_{sha256(name.encode('utf-8', 'surrogatepass')).hexdigest()[:32]}"
    return f"{kind}-{_NOT_IN_ANCHOR.sub(lambda m: f'_{ord(m[0]):x}_', name)}"


def number(value: float) -> str:
    """A number as printed: no trailing zeros, at most four figures."""
    text = f"{value:.4g}"
    return f"{value:.0f}" if "e" in text and abs(value) >= 1 else text


def exact(value: float) -> str:
    """A number as the source gave it: no digit lost to rounding, none made up by binary arithmetic."""
    return f"{value:.10g}"


def file_name(words: str) -> str:
    """An id as a file name: other characters than letters, digits, dot, hyphen and underscore replaced."""
    name = "".join(char if char.isascii() and (char.isalnum() or char in ".-_") else "_" for char in words)
    return name.lstrip(".") or "pack"
