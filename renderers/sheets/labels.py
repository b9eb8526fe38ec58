"""Text on sheets: how wide it is, and how it is broken into lines. Widths come from the typeface's own table."""

from __future__ import annotations

from functools import cache, lru_cache
from itertools import accumulate
from pathlib import Path
from typing import Any

SMALL = 6.6  # points; the smallest text of a sheet, above the 6.5 pt floor also after rounding
TEXT = 7.2
TITLE = 8.0
ASCENT, DESCENT = 0.74, 0.22  # of the size; tall letters and brackets lie within
LEADING = 1.12

_WIDE = 1000  # of characters that the table does not have
_SHORT = 5  # characters of a number, sign or unit that stays with the word before it
_UNITS = frozenset(
    "mm mm² mm2 cm m km A mA Ah V mV W kW mW ohm mohm kohm Mohm Ω mΩ kΩ MΩ % AWG s ms min h Hz kHz °C K bar kPa rpm N Nm g kg l".split()
)


@cache
def _table() -> dict[bool, dict[str, int]]:
    import tomllib

    with Path(__file__).with_name("data").joinpath("widths.toml").open("rb") as file:
        data: dict[str, Any] = tomllib.load(file)
    return {
        bold: {char: int(width) for width, chars in data[name].items() for char in chars}
        for bold, name in ((False, "regular"), (True, "bold"))
    }


@lru_cache(maxsize=16384)
def width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text in points."""
    table = _table()[bold]
    return sum(table.get(char, _WIDE) for char in text) * size / 1000


@lru_cache(maxsize=4096)
def wrap(text: str, limit: float, size: float, bold: bool = False, most: int = 9) -> tuple[str, ...]:
    """Text as lines no wider than `limit` points, at most `most` of them (the last then ends in an ellipsis).

    A word wider than the limit is broken: nothing may run into a neighbour's place.
    """
    lines: list[str] = []
    line = ""
    for word in _pieces(text, limit, size, bold):
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold) <= limit:
            line = longer
        else:
            if line:
                lines.append(line)
            line = word
    if line:
        lines.append(line)
    if len(lines) > most:
        return (*lines[: most - 1], shorten(" ".join(lines[most - 1 :]), limit, size, bold))
    return tuple(lines)


def shorten(text: str, limit: float, size: float, bold: bool = False) -> str:
    """The text, cut with an ellipsis if it is wider than `limit` points."""
    if width(text, size, bold) <= limit:
        return text
    return text[: _fitting(text, limit, size, bold, "…")].rstrip() + "…"


def _fitting(text: str, limit: float, size: float, bold: bool, end: str = "") -> int:
    """How many characters of a text, from its beginning and with `end` behind them, are no wider than `limit` points."""
    table = _table()[bold]
    widths = accumulate((table.get(char, _WIDE) for char in text), initial=sum(table.get(char, _WIDE) for char in end))
    return next((count - 1 for count, wide in enumerate(widths) if count and wide * size / 1000 > limit), len(text))


def longest(text: str, size: float, bold: bool = False) -> float:
    """Width of the longest piece of a text that should not be broken."""
    pieces = (piece for words in _tied(text) for piece in (_parts(words) if " " not in words else [words]))
    return max((width(piece, size, bold) for piece in pieces), default=0.0)


def _tied(text: str) -> list[str]:
    """The words of a text, some as one: a number and its unit, a word and the number or sign behind it."""
    found: list[str] = []
    for word in text.split():
        if found and _belongs(found[-1].rpartition(" ")[2], word):
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def _belongs(before: str, word: str) -> bool:
    """Whether a word is hard to read at the beginning of a line, parted from the one before it. Sheets often stand in long
    lists, which need room to break."""
    if before[-1] in ",;:" or before in ("sheet", "sheets", "on") or len(word) > _SHORT:
        return False
    bare = word.rstrip(",;.")
    return (before[0].isdigit() and bare in _UNITS) or not any(char.isalpha() for char in bare)


def _parts(word: str) -> list[str]:
    """A word at its hyphens, each hyphen with what stands before it."""
    parts = word.split("-")
    return [f"{part}-" for part in parts[:-1]] + parts[-1:]


def _breakable(text: str, limit: float, size: float, bold: bool) -> list[str]:
    words: list[str] = []
    for word in (w for tied in _tied(text) for w in ([tied] if width(tied, size, bold) <= limit else tied.split())):
        if width(word, size, bold) <= limit:
            words.append(word)
            continue
        line = ""
        for part in _parts(word):
            if line and width(line + part, size, bold) > limit:
                words.append(line)
                line = part
            else:
                line += part
        words.append(line)
    return words


def _pieces(text: str, limit: float, size: float, bold: bool) -> list[str]:
    pieces: list[str] = []
    for word in _breakable(text, limit, size, bold):
        rest = word
        while width(rest, size, bold) > limit and len(rest) > 1:
            cut = max(1, _fitting(rest, limit, size, bold))
            pieces.append(rest[:cut])
            rest = rest[cut:]
        pieces.append(rest)
    return pieces
