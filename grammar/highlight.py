"""Colours for .loom text in editors, web pages and terminals: a lexer for Pygments.

Token types, by what a reader of wiring looks for:

Keyword.Declaration   the word that begins a statement (`circuit`, `connector`, `splice`)
Name.Class            a device kind or part (`relay`, `coil`)
Keyword               words inside a line (`at`, `in`, `when`, `--` is an Operator)
Name.Entity           a terminal or cavity (`K7.87`, `C40.7`)
Name.Constant         a wire colour (`BK/WH`, `VT*`)
Number, Keyword.Type  a quantity and its unit; Number also for points
String.Double         titles and texts
"""

from __future__ import annotations

import re
from typing import ClassVar

from pygments.lexer import RegexLexer, bygroups, default, words
from pygments.token import (
    Comment,
    Keyword,
    Name,
    Number,
    Operator,
    Punctuation,
    String,
    Whitespace,
)

from grammar.tables import table
from grammar.words import CLAUSES, EXAMPLES

__all__ = ["LoomLexer"]

_END = r"(?![\w.@+*/:-])"  # where a name ends
_IEC = "BK BN RD OG YE GNYE GN BU VT GY WH PK GD TQ SR"
_GERMAN = "sw ws rt gn ge br bl gr vi rs or tk"
_BASE = "|".join(f"{_IEC} {_GERMAN}".split())
_FIRST = sorted({word for lines in EXAMPLES.values() for word in lines if word})
_UNITS = "mm2|mm²|mm|cm|mohm|kohm|ohm|mV|mA|min|uF|kPa|kW|Ah|AWG|SAE|degC|°C|cavities|cavity|cores|core|m|V|A|W|%"
_LISTS = ("circuits", "components", "doubled", "omit", "options", "plugged", "see", "sheets", "spare", "wires")
_INSIDE = sorted({word for word in table().words if word[0].isalpha()} - set(_FIRST) | set(CLAUSES) | {"from", "case"})


_QUANTITY = bygroups(Number, Whitespace, Keyword.Type)  # type: ignore[no-untyped-call]


class LoomLexer(RegexLexer):
    """Highlights .loom text. Every text comes out as it went in; only characters the language refuses are errors."""

    name = "Loom"
    aliases: ClassVar[list[str]] = ["loom"]
    filenames: ClassVar[list[str]] = ["*.loom"]
    mimetypes: ClassVar[list[str]] = ["text/x-loom"]
    flags = re.MULTILINE

    tokens: ClassVar = {
        # At the beginning of a statement.
        "root": [
            (r"[\s;\ufeff]+", Whitespace),
            (r"#[^\n]*", Comment.Single),
            (r"[{}]", Punctuation),
            (words(("replace", "extend"), suffix=_END), Keyword.Namespace),
            (words(("when",), suffix=_END), Keyword, "line"),
            (words(tuple(CLAUSES), suffix=_END), Keyword, "line"),
            (words(_LISTS, suffix=_END), Keyword.Declaration, ("line", "names")),
            (words(_FIRST, suffix=_END), Keyword.Declaration, "line"),
            (words(("contact", "coil"), suffix=_END), Name.Class, ("line", "terminals")),
            # A wire: its segment, then its ends; else a device or a part.
            (r"[\w+][\w.@+*/:-]*(?=[ \t]+(?:\?|[\w+](?:[\w.@+*/:]|-(?!-))*)[ \t]+--)", Name.Label, "line"),
            (r"[\w+](?:[\w.@+*/:]|-(?!-))*", Name.Class, "line"),
            default("line"),
        ],
        # What follows a word that lists ids: `60A` is a wire there, not a current.
        "names": [
            (r"[^\S\n]+", Whitespace),
            (r"-(?=[\s;{}]|$)", Name),
            (r"(?:circuit|wire|sheet|zone|harness|state|expect|complaint)" + _END, Keyword),
            (r"[\w+](?:[\w.@+*/:]|-(?!-))*", Name),
            default("#pop"),
        ],
        # The terminals of a contact or coil, the positions behind `when`: `1A` is one of them, `1 A` a current.
        "terminals": [
            (r"[^\S\n]+", Whitespace),
            (r"\d+A" + _END, Name),
            (rf"\d+{_END}(?![ \t]*(?:{_UNITS}){_END})", Number.Integer),
            default("#pop"),
        ],
        "line": [
            (r"[;\n]", Whitespace, "#pop"),
            (r"[{}]", Punctuation, "#pop"),
            (r"\\\r?\n", Whitespace),
            (r"[^\S\n]+|\ufeff", Whitespace),
            (r"#[^\n]*", Comment.Single),
            (r'"(?:[^"\\\n]|\\[^\n])*"', String.Double),
            (r"--|\?|,", Operator),
            (r"\([^()\n]*\)", Number),
            (rf"(-?\d+(?:/0|\.\d+)?)([ \t]*)({_UNITS}){_END}", _QUANTITY),
            (words(("and", "or", "not"), suffix=_END), Operator.Word),
            (r"-(?=[\s;{}]|$)", Name),
            (r"when" + _END, Keyword, "terminals"),
            (words(_INSIDE, suffix=_END), Keyword),
            (r'state(?=[ \t]*")', Keyword),
            (rf"(?:{_BASE})(?:\*|(?:/(?:{_BASE}))+)?{_END}", Name.Constant),
            (r"\d+" + _END, Number.Integer),
            (r"[\w+](?:[\w@+*/:]|-(?!-))*(?:\.(?:[\w@+*/:]|-(?!-))+)+" + _END, Name.Entity),
            (r"[\w+](?:[\w.@+*/:]|-(?!-))*", Name),
        ],
    }
