"""The number in the foot of each page, put in when the whole pack is known: parts are set without it.

It stands in the page as an artifact of pagination (ISO 32000-1, 14.8.2.2), in the page font cut down to its figures.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from compiler.fonts import FAMILY
from renderers.writers.page_font import cut_down
from renderers.writers.print_engine import Foot

if TYPE_CHECKING:
    import pikepdf

_FIGURES = "0123456789 /"
_GREY = 0.349  # as the words of the foot are
_WIDE = 52.0  # points from where a foot wants its number to the end of the line; as `foot` in house.typ has it
_NAME = "/PageNumber"
_TAG = "FIGURE"  # six capitals mark a font as cut down (ISO 32000-1, 9.6.4)
# Flags of a font with the usual Latin letters (table 123), and the thickness of upright stems, which is a hint only.
_PLAIN, _STEM = 32, 80
# Tables of the weights of a font: it is wanted in one.
_WEIGHTS = ("fvar", "gvar", "avar", "HVAR", "MVAR", "STAT")


class _Cut(NamedTuple):
    """A font file, widths of its figures in thousandths of the size, and what a descriptor tells of it."""

    file: bytes
    widths: tuple[float, ...]
    ascent: float
    descent: float
    capital: float
    box: tuple[float, ...]


class Feet:
    """Puts numbers into the feet of the pages of a document."""

    def __init__(self, document: pikepdf.Pdf) -> None:
        self.document = document
        self.font = document.make_indirect(_font(document))

    def add(self, page: pikepdf.Page, foot: Foot, words: str) -> None:
        """Put words of figures into the foot of a page; they end where the line does."""
        cut, scale = _cut(), foot.size / 1000
        widths = dict(zip(_FIGURES, cut.widths, strict=True))
        x = foot.x + _WIDE - sum(widths[char] for char in words) * scale
        y = float(page.mediabox[3]) - foot.y - cut.capital * scale  # lines begin at the height of capitals
        shown = f"BT {_NAME} {foot.size:g} Tf {_GREY} g 1 0 0 1 {x:.3f} {y:.3f} Tm ({words}) Tj ET"
        mark = "/Artifact <</Type /Pagination /Subtype /Footer /Attached [/Bottom]>> BDC"
        page.resources.Font[_NAME] = self.font
        page.contents_add(f"q {mark} {shown} EMC Q".encode("ascii"))


def _font(document: pikepdf.Pdf) -> pikepdf.Dictionary:
    """The font as a simple TrueType one (ISO 32000-1, 9.6.3), its codes those of WinAnsiEncoding."""
    import pikepdf

    cut = _cut()
    codes = range(ord(min(_FIGURES)), ord(max(_FIGURES)) + 1)
    widths = dict(zip(_FIGURES, cut.widths, strict=True))
    name = pikepdf.Name(f"/{_TAG}+{FAMILY}-Regular")
    about = pikepdf.Dictionary(
        Type=pikepdf.Name.FontDescriptor,
        FontName=name,
        Flags=_PLAIN,
        FontBBox=list(cut.box),
        ItalicAngle=0,
        Ascent=cut.ascent,
        Descent=cut.descent,
        CapHeight=cut.capital,
        StemV=_STEM,
        FontFile2=document.make_stream(cut.file, Length1=len(cut.file)),
    )
    return pikepdf.Dictionary(
        Type=pikepdf.Name.Font,
        Subtype=pikepdf.Name.TrueType,
        BaseFont=name,
        FirstChar=codes.start,
        LastChar=codes.stop - 1,
        Widths=[widths.get(chr(code), 0) for code in codes],
        Encoding=pikepdf.Name.WinAnsiEncoding,
        FontDescriptor=document.make_indirect(about),
        ToUnicode=document.make_stream(_to_unicode()),
    )


def _to_unicode() -> bytes:
    """What each code means, for readers that copy text (ISO 32000-1, 9.10.3)."""
    lines = "".join(f"<{ord(char):02x}> <{ord(char):04x}>\n" for char in _FIGURES)
    return (
        "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
        "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n"
        "/CMapName /Adobe-Identity-UCS def /CMapType 2 def\n"
        "1 begincodespacerange <00> <ff> endcodespacerange\n"
        f"{len(_FIGURES)} beginbfchar\n{lines}endbfchar\n"
        "endcmap CMapName currentdict /CMap defineresource pop end end\n"
    ).encode("ascii")


@cache
def _cut() -> _Cut:
    with cut_down(map(ord, _FIGURES), _WEIGHTS) as (font, file):
        scale = 1000 / font["head"].unitsPerEm
        names = font.getBestCmap()
        head, lines, os2 = font["head"], font["hhea"], font["OS/2"]
        return _Cut(
            file,
            tuple(round(font["hmtx"][names[ord(char)]][0] * scale, 2) for char in _FIGURES),
            round(lines.ascent * scale, 2),
            round(lines.descent * scale, 2),
            round(os2.sCapHeight * scale, 2),
            tuple(round(edge * scale, 2) for edge in (head.xMin, head.yMin, head.xMax, head.yMax)),
        )
