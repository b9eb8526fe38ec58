"""The pack as one HTML page that works from disk: no network, no other file, no script but its own.

Everything stands in `index.html`, so that a circuit lights on all sheets and charts at once and the page can be handed
on as one file. The page's own policy forbids every request and every script but the one it carries.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from renderers.document import Bullets, Caution, Figure, Group, Pack, Paragraph
from renderers.steps import Steps
from renderers.tables import Column, Table, lean
from renderers.text import anchor
from renderers.trade_words import groups
from renderers.unbroken import held, unbroken
from renderers.writers.page_font import font_face

_ON_PAGE = ("wire", "cavity")
"""Sorts of things that the search reads from the page."""


class Other(NamedTuple):
    """A pack that stands beside: its folder, and the id and title of its variant."""

    folder: str
    variant: str
    title: str


def write_html(pack: Pack, line: Sequence[Other] = ()) -> dict[str, bytes]:
    """`index.html`. `line`: the packs that it is published with, itself among them; their list is one folder up."""
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    page = (
        _environment()
        .get_template("index.html.j2")
        .render(
            pack=pack,
            line=line,
            # Our own files and SVG made by this project are the only markup that is not escaped.
            style=Markup(_joined("styles")),  # noqa: S704
            script=Markup(script),  # noqa: S704
            script_digest=digest,
            lookup=Markup(_lookup(pack)),  # noqa: S704
            block_name=_block_name,
            heads=heads,
            lean=lean,
            group_edges=group_edges,
            svg=_svg,
            held=held,
            unbroken=unbroken,
        )
    )
    # The page must be written before it is known which letters it needs.
    page = page.replace("</head>", f"<style>{font_face(page)}</style>\n</head>", 1)
    return {"index.html": page.encode("utf-8")}


def heads(table: Table) -> list[tuple[str, int]]:
    """The upper row of a table's head: group title and how many columns it spans; empty when no column has a group."""
    if not any(column.group for column in table.columns):
        return []
    spans: list[tuple[str, int]] = []
    previous: Column | None = None
    for column in table.columns:
        if spans and previous is not None and column.group and column.group == previous.group:
            spans[-1] = (spans[-1][0], spans[-1][1] + 1)
        else:
            spans.append((column.group, 1))
        previous = column
    return spans


def group_edges(table: Table) -> list[bool]:
    """For each column, whether a rule stands before it: where one group of columns meets another."""
    groups = [column.group for column in table.columns]
    grouped = len(set(filter(None, groups))) > 1
    return [grouped and place > 0 and group != groups[place - 1] for place, group in enumerate(groups)]


@cache
def _environment() -> Environment:
    loader = PackageLoader("renderers", "templates/html")
    # Compiled once in a process: the templates do not change while it runs.
    return Environment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


@cache
def _joined(folder: str) -> str:
    """The files of a folder of the templates as one, in order of name."""
    return "\n".join(text for _, text in _files(folder))


@cache
def _script() -> str:
    """The behaviours as one script. All see the names of the first file; the others keep theirs to themselves."""
    core, *others = (text for _, text in _files("scripts"))
    blocks = "\n".join(f"{{\n{text}}}" for text in others)
    return f'"use strict";\n(() => {{\n{core}\n{blocks}\ntell("start");\n}})();\n'


def _files(folder: str) -> list[tuple[str, str]]:
    found = files("renderers").joinpath("templates", "html", folder).iterdir()
    return sorted((file.name, file.read_text("utf-8")) for file in found)


def _svg(figure: Figure) -> Markup:
    return Markup(figure.svg)  # noqa: S704


def _block_name(block: object) -> str:
    match block:
        case Group():
            return "group"
        case Paragraph():
            return "paragraph"
        case Bullets():
            return "list"
        case Caution():
            return "caution"
        case Figure():
            return "figure"
        case Steps():
            return "steps"
        case _:
            return "table"


def _lookup(pack: Pack) -> str:
    """What the search knows, as JSON that may stand inside a script element: rows of term, id, what, anchor, sheets;
    the sheets' anchors; words that mean the same."""
    anchors = {sheet: anchor("sheet", sheet) for sheet in pack.sheets}
    rows = [
        [entry.term, entry.id, entry.what, entry.anchor, list(entry.sheets)]
        for entry in pack.entries
        if entry.anchor or entry.sheets
    ]
    known = {"entries": rows, "sheets": anchors, "words": groups(_named(pack))}
    text = json.dumps(known, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    # `<` and `&` never reach the parser of HTML; the two separators are line ends to old JavaScript.
    for char in "<>&\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return text


def _named(pack: Pack) -> Iterator[str]:
    """What the search finds things by: what they are called, and where they are."""
    yield from _ON_PAGE
    for entry in pack.entries:
        yield from (entry.term, entry.what)
    for table in pack.tables:
        for place, column in enumerate(table.columns):
            if column.key == "place" or (table.id == "colours-used" and column.key == "name"):
                yield from (row.cells[place].text for row in table.rows)
