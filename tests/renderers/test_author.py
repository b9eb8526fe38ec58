"""The author's drawings: what is safe comes through, nothing else does, and what is not a drawing is refused."""

from __future__ import annotations

import base64
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compiler.assembly.project import Project, Settings
from compiler.exchange.drawing import LARGEST, DrawingError, read_drawing
from compiler.model.variant import Variant
from renderers.around import look_around, siblings
from renderers.drawings.zone import placed
from renderers.pack import build_pack
from tests.renderers.vehicles import SMALL, figures, read

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 20 10">'
RECT = '<rect x="1" y="2" width="3" height="4" fill="#ccc"/>'


def drawn(body: str) -> str:
    return placed(read_drawing(f"{HEAD}{body}</svg>".encode()), (0, 0, 40, 20), "cab-")


def png(
    width: int = 2,
    height: int = 1,
    *,
    rows: bytes | None = None,
    extra: bytes = b"",
    colour: int = 0,
    depth: int = 8,
    interlaced: int = 0,
    more: Mapping[bytes, bytes] = {},
) -> bytes:
    """A PNG, of grey pixels if nothing is said; `extra` is put in as a text chunk, `more` before the pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    lines = b"".join(b"\0" + b"\x80" * width for _ in range(height)) if rows is None else rows
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, interlaced)
    text = chunk(b"tEXt", extra) if extra else b""
    others = b"".join(chunk(kind, data) for kind, data in more.items())
    whole = (chunk(b"IHDR", head), text, others, chunk(b"IDAT", zlib.compress(lines)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(whole)


def test_plain_shapes_come_through_with_their_looks() -> None:
    markup = drawn(f'<g transform="translate(1 2)">{RECT}<path d="M0 0L5 5" style="stroke:#f00; marker: x"/></g>')
    root = ET.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{markup}</svg>')
    rect = next(e for e in root.iter() if e.tag.endswith("rect"))
    path = next(e for e in root.iter() if e.tag.endswith("path"))
    assert rect.attrib == {"x": "1", "y": "2", "width": "3", "height": "4", "fill": "#ccc"}
    assert path.attrib == {"d": "M0 0L5 5", "stroke": "#f00"}
    assert root[0].attrib["viewBox"] == "0 0 20 10"


def test_ids_are_kept_apart_and_only_local_references_remain() -> None:
    gradient = '<linearGradient id="a"><stop offset="0" stop-color="red"/></linearGradient>'
    markup = drawn(f'{gradient}<rect width="1" height="1" fill="url(#a)"/><rect fill="url(http://x/y#a)" width="2"/>')
    assert 'id="cab-a"' in markup
    assert 'fill="url(#cab-a)"' in markup
    assert "http" not in markup


@pytest.mark.parametrize(
    "body",
    [
        "<script>alert(1)</script>",
        '<rect onload="alert(1)" width="1" height="1"/>',
        '<image href="http://example.org/x.png"/>',
        '<image xlink:href="file:///etc/passwd"/>',
        '<a href="javascript:alert(1)"><rect width="1"/></a>',
        '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>',
        "<style>@import url(http://example.org/x.css);</style>",
        '<rect style="fill:url(http://example.org/x)" width="1"/>',
        '<rect fill="expression(alert(1))" width="1"/>',
        '<use xlink:href="#bomb"/>',
        '<animate attributeName="x" to="5"/><set attributeName="href" to="x"/>',
        "<text>&lt;script&gt;alert(1)&lt;/script&gt;</text>",
        '<rect width="1&quot; onclick=&quot;alert(1)"/>',
        '<rect xml:base="http://example.org/" width="1"/>',
        "<text><![CDATA[</text></svg><script>alert(1)</script>]]></text>",
    ],
)
def test_nothing_that_acts_or_fetches_comes_through(body: str) -> None:
    markup = drawn(RECT + body)
    root = ET.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{markup}</svg>')
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert tags <= {"svg", "g", "rect", "text"}
    names = {name for element in root.iter() for name in element.attrib}
    assert not {name for name in names if name.startswith(("on", "{")) or "href" in name or name == "style"}
    values = " ".join(value for element in root.iter() for value in element.attrib.values())
    assert not re.search(r"http|javascript|expression|alert|url\(", values)


def test_what_is_left_out_is_named() -> None:
    whole = read_drawing(f"{HEAD}<title>Cab</title>{RECT}<script/><image/><metadata/></svg>".encode())
    assert whole.left_out == ("image", "script")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "neither a PNG nor well-formed SVG"),
        (b"GIF89a", "neither a PNG nor well-formed SVG"),
        (f"{HEAD}<g></svg>".encode(), "neither a PNG nor well-formed SVG"),
        (b"<html xmlns='http://www.w3.org/1999/xhtml'/>", "no SVG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no size"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 0 5'/>", "no size"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 nan inf'/>", "no size"),
        (b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg">&a;</svg>', "document type"),
        (f"{HEAD}{'<g>' * 50}{'</g>' * 50}</svg>".encode(), "nests more than"),
        (f"{HEAD}{'<g/>' * 20_001}</svg>".encode(), "more than 20000 elements"),
        (b" " * (LARGEST + 1), "larger than 2 MiB"),
        (png()[:-3], "cut short|damaged"),
        (png().replace(b"IDAT", b"IDAX"), "damaged"),
        (png(100_000, 100_000, rows=b""), "no pixels or more than"),
        (png(2, 1, rows=b"\0" * 10_000_000), "damaged"),
        (png(0, 1, rows=b""), "no pixels"),
        (png(2, 2, rows=b"\0aa"), "damaged"),
        (png(2, 2, rows=b"\0aa\5aa"), "damaged"),
        (png(2, 1, rows=b"\0\0\0", colour=3), "damaged"),
        (png(2, 1, rows=b"\0\0", colour=3, depth=1, more={b"PLTE": bytes(9)}), "damaged"),
        (png(2, 1, more={b"tRNS": b"\0"}), "damaged"),
        (png(2, 1, depth=77), "damaged"),
        (png(2, 1, colour=1), "damaged"),
        (png(2, 1, interlaced=2), "damaged"),
        (f"{HEAD}<text>{'W' * 50_001}</text></svg>".encode(), "more than 50,000 characters of text"),
    ],
)
def test_what_is_no_drawing_is_refused_in_words(data: bytes, why: str) -> None:
    with pytest.raises(DrawingError, match=why):
        read_drawing(data)


def test_a_png_is_set_in_as_data_without_its_texts() -> None:
    drawing = read_drawing(png(extra=b"Comment\0made by a person"))
    assert (drawing.width, drawing.height) == (2, 1)
    found = re.search(r'href="data:image/png;base64,([^"]+)"', drawing.markup)
    assert found
    assert base64.b64decode(found[1]) == png()


@pytest.mark.parametrize(
    ("given", "size"),
    [
        ({"colour": 0, "depth": 1}, 2 * (1 + 2)),
        ({"colour": 0, "depth": 16, "more": {b"tRNS": bytes(2)}}, 2 * (1 + 18)),
        ({"colour": 2, "depth": 8, "more": {b"tRNS": bytes(6)}}, 2 * (1 + 27)),
        ({"colour": 3, "depth": 4, "more": {b"PLTE": bytes(9), b"tRNS": bytes(3)}}, 2 * (1 + 5)),
        ({"colour": 4, "depth": 8}, 2 * (1 + 18)),
        ({"colour": 6, "depth": 16}, 2 * (1 + 72)),
        # Of 9 by 2 pixels the passes of Adam7 have 2, 1, none, 2, none, 4 of one line, and 9 of one.
        ({"colour": 0, "depth": 8, "interlaced": 1}, 3 + 2 + 3 + 5 + 10),
    ],
)
def test_every_kind_of_png_is_taken(given: dict[str, Any], size: int) -> None:
    """Its data are as long as 11.2.2 and 8.2 of the PNG standard have it, and neither longer nor shorter."""
    assert read_drawing(png(9, 2, rows=bytes(size), **given)).width == 9
    for wrong in (size - 1, size + 1):
        with pytest.raises(DrawingError, match="damaged"):
            read_drawing(png(9, 2, rows=bytes(wrong), **given))


@given(st.binary(max_size=400) | st.text(max_size=200).map(lambda t: f"{HEAD}{t}</svg>".encode()))
def test_any_bytes_give_a_drawing_or_a_refusal(data: bytes) -> None:
    try:
        markup = placed(read_drawing(data), (0, 0, 10, 10), "x-")
    except DrawingError:
        return
    assert ET.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{markup}</svg>')[0].tag.endswith("svg")


def vehicle(folder: Path, drawing: str) -> Variant:
    return read(folder, SMALL.replace("240 by 140\nzone tail", f'240 by 140 drawing "{drawing}"\nzone tail'))


def cab_title(variant: Variant, folder: Path) -> str:
    pack = build_pack(variant, figures(variant), around=look_around(Project(folder, Settings()), variant))
    return next(f.title for f in pack.section("locations").figures if f.id == "figure-zone-cab")


def test_a_drawing_of_the_project_stands_in_its_zone(tmp_path: Path) -> None:
    (tmp_path / "cab.svg").write_text(f"{HEAD}{RECT}</svg>", "utf-8")
    variant = vehicle(tmp_path, "cab.svg")
    pack = build_pack(variant, figures(variant), around=look_around(Project(tmp_path, Settings()), variant))
    figure = next(f for f in pack.section("locations").figures if f.id == "figure-zone-cab")
    assert '<rect x="1" y="2" width="3" height="4" fill="#ccc"></rect>' in figure.svg
    assert figure.title == f"Not to scale. {POINTS}"


POINTS = "Points count from the upper left corner; the outline is 240 across, 140 down."


@pytest.mark.parametrize(
    ("title", "says"),
    [
        ("<title>Cab, from above</title>", "Cab, from above. Not to scale."),
        ("<title>\n Cab,\n seen &lt;from above&gt;!</title>", "Cab, seen <from above>! Not to scale."),
        ("<title>Cab</title>", "Not to scale."),
        ("<g><title>A seat</title></g>", "Not to scale."),
        ("<title>One</title><title>Two</title>", "One. Not to scale."),
        ("<title> </title>", "Not to scale."),
        (f"<title>{'Long ' * 40}</title>", f"{('Long ' * 24)[:119]}… Not to scale."),
    ],
)
def test_the_title_of_a_drawing_is_its_caption(tmp_path: Path, title: str, says: str) -> None:
    """Its own, not one of its parts, and not where the zone's head says the same."""
    (tmp_path / "cab.svg").write_text(f"{HEAD}{title}{RECT}</svg>", "utf-8")
    assert cab_title(vehicle(tmp_path, "cab.svg"), tmp_path) == f"{says} {POINTS}"


def test_a_title_that_is_a_book_is_refused() -> None:
    with pytest.raises(DrawingError, match="characters of text"):
        read_drawing(f"{HEAD}<title>{'a' * 60_000}</title></svg>".encode())


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("none.svg", "there is no such file"),
        ("../other.svg", "it lies outside the project folder"),
        ("/etc/hostname", "it lies outside the project folder"),
        ("t.loom", "it is neither a PNG nor well-formed SVG"),
    ],
)
def test_a_drawing_that_cannot_be_used_gives_an_outline_that_says_why(tmp_path: Path, name: str, why: str) -> None:
    folder = tmp_path / "project"
    folder.mkdir()
    (tmp_path / "other.svg").write_text(f"{HEAD}{RECT}</svg>", "utf-8")
    assert cab_title(vehicle(folder, name), folder).endswith(
        f"the drawing {name} cannot be used: {why}. {POINTS}"
    )


def test_a_link_out_of_the_project_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "project"
    folder.mkdir()
    (tmp_path / "other.svg").write_text(f"{HEAD}{RECT}</svg>", "utf-8")
    (folder / "cab.svg").symlink_to(tmp_path / "other.svg")
    assert "outside the project folder" in cab_title(vehicle(folder, "cab.svg"), folder)


def test_the_variants_of_a_line_are_told_by_their_headers_alone(tmp_path: Path) -> None:
    (tmp_path / "b.loom").write_text(
        'variant B2 "Second, {long}" {  # } not here\n  series "Tern"\n  model-year 2028\n  options X Y\n}\nbroken {{{',
        "utf-8",
    )
    (tmp_path / "a.loom").write_text('\ufeffvariant A1 "First"\nuse "f.loom"\n', "utf-8")
    (tmp_path / "f.loom").write_text('zone cab "Cab"\n', "utf-8")
    (tmp_path / ".hidden.loom").write_text("variant H1\n", "utf-8")
    found = siblings(Project(tmp_path, Settings()))
    assert [(s.id, s.title, s.series, s.model_year, s.options) for s in found] == [
        ("A1", "First", "", "", ()),
        ("B2", "Second, {long}", "Tern", "2028", ("X", "Y")),
    ]


def test_the_series_chart_names_every_variant_and_marks_its_own(small: Variant) -> None:
    pack = build_pack(small, figures(small), line="Terns")
    table = pack.section("series").tables[0]
    assert [cell.text for cell in table.rows[0].cells] == [
        "Tern", "T1", "TITLE", "2027", "1", "HEATED-SCREEN", "this pack",
    ]  # fmt: skip
    options = pack.section("series").tables[1]
    assert [cell.text for cell in options.rows[0].cells] == ["HEATED-SCREEN", "Heated screen", "T1"]
