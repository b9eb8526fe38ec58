"""Screen and print colours for the colour words of the trade.

The values are this project's own, of no standard.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from compiler.standards import _data

_RGB = re.compile(r"#[0-9A-Fa-f]{6}")


class Swatch(NamedTuple):
    """A colour as drawn.

    ``rgb`` and ``stripe`` are ``#RRGGBB``; ``stripe`` is the second colour of green-and-yellow.
    """

    name: str
    rgb: str
    stripe: str | None
    dark: bool
    """Whether white text on it reads better than black text."""


def luminance(rgb: str) -> float:
    """Relative luminance of ``#RRGGBB``, from 0 (black) to 1 (white), as in WCAG 2.

    Raises ValueError for any other form, so that no other text reaches a drawing.
    """
    if not _RGB.fullmatch(rgb):
        raise ValueError(f"{rgb!r} is not a colour value of the form #RRGGBB")
    shares = [int(rgb[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.03928 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast of two colours ``#RRGGBB``, from 1 to 21, as in WCAG 2."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def is_dark(rgb: str) -> bool:
    """Whether white text on ``#RRGGBB`` reads better than black text. Raises ValueError as ``luminance`` does."""
    return contrast(rgb, "#FFFFFF") > contrast(rgb, "#000000")


@cache
def swatches() -> dict[str, Swatch]:
    """All swatches by name. Do not change the mapping: it is shared."""
    rows = _data.load("swatches")["swatch"]
    return {
        name: Swatch(name, str(row["rgb"]), row.get("stripe"), is_dark(str(row["rgb"])))
        for name, row in rows.items()
    }


@cache
def _words() -> dict[str, str]:
    rows = _data.load("swatches")["swatch"]
    words = {name: name for name in rows}
    words.update((word, name) for name, row in rows.items() for word in row.get("also", ()))
    return words


def colour_word(text: str) -> str | None:
    """The trade's usual word for a colour word: ``Purple`` -> ``violet``; None if it is not one we know."""
    word = " ".join(text.casefold().split())
    return _words().get(word) or _words().get(word.replace("-", " "))


def swatch(word: str) -> Swatch:
    """The swatch for a colour word, such as ``light brown`` or ``amber``.

    Raises KeyError for an unknown word.
    """
    name = colour_word(word)
    if name is None:
        raise KeyError(f"no swatch for {word!r}; known: {', '.join(swatches())}")
    return swatches()[name]
