"""The page font carried inside a page: the sheets are measured for it, and a reader's device may not have it."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from string import printable as typed
from typing import TYPE_CHECKING

from compiler.fonts import FAMILY, coverage, font_folder

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont


def font_face(text: str) -> str:
    """A style rule that holds the upright font, all its weights, cut down to the letters of a text and a keyboard."""
    letters = frozenset(map(ord, typed + text)) & coverage()
    return (
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: 400 700; src: url(data:font/ttf;base64,'
        f'{_cut(letters)}) format("truetype"); }}\n'
    )


@lru_cache(maxsize=16)
def _cut(letters: frozenset[int]) -> str:
    """The font file in base 64."""
    with cut_down(letters) as (_, file):
        return base64.b64encode(file).decode("ascii")


@contextmanager
def cut_down(letters: Iterable[int], without: Iterable[str] = ()) -> Iterator[tuple[TTFont, bytes]]:
    """The upright font cut down to some letters (code points), and its file. The tables that only improve print, those
    of `without`, and the time it was made are left out."""
    from fontTools import subset

    options = subset.Options(
        layout_features=[], hinting=False, name_IDs=[], notdef_outline=True, recalc_timestamp=False
    )
    options.drop_tables += without
    with subset.load_font(str(font_folder() / "Arimo[wght].ttf"), options) as font:
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=letters)
        cutter.subset(font)
        file = BytesIO()
        font.save(file)
        yield font, file.getvalue()
