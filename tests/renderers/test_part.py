"""Part of a pack: what is wanted is whole, what is left out leaves no dead link."""

from __future__ import annotations

import re

import pytest

from renderers.document import Pack
from renderers.part import Part, PartError, part_of
from renderers.writers.html_folder import write_html
from renderers.writers.print_pdf import write_pdf


def dead_links(pack: Pack) -> set[str]:
    page = write_html(pack)["index.html"].decode("utf-8")
    return set(re.findall(r'href="#([^"]+)"', page)) - set(re.findall(r'\bid="([^"]+)"', page))


def test_nothing_named_is_the_whole(small_pack: Pack) -> None:
    assert part_of(small_pack, Part()) is small_pack


@pytest.mark.parametrize(
    "part",
    [
        Part(sheets=("38",)),
        Part(sheets=("39",), sections=("index", "wires")),
        Part(sections=("wires",)),
        Part(sections=("sheets", "splices")),
        Part(sections=("cautions",)),
    ],
)
def test_no_link_is_dead_in_either_form(small_pack: Pack, part: Part) -> None:
    pack = part_of(small_pack, part)
    assert dead_links(pack) <= dead_links(small_pack)
    assert write_pdf(pack)  # the print engine refuses a link that leads nowhere


def test_sheets_alone_are_the_section_of_sheets_with_those(small_pack: Pack) -> None:
    pack = part_of(small_pack, Part(sheets=("38",)))
    assert [section.id for section in pack.sections] == ["sheets"]
    assert list(pack.sheets) == ["38"]
    assert [figure.sheet for figure in pack.section("sheets").figures] == ["38"]
    (table,) = pack.tables
    assert [row.cells[0].text for row in table.rows] == ["38"]
    assert ("Part of the pack", "sheets 38") in pack.identification


def test_sections_keep_their_order_and_all_of_their_text(small_pack: Pack) -> None:
    pack = part_of(small_pack, Part(sections=("wires", "colours")))
    kept = [section.id for section in small_pack.sections if section.id in ("wires", "colours")]
    assert [section.id for section in pack.sections] == kept
    for name in kept:
        texts = [[[c.text for c in row.cells] for row in table.rows] for table in pack.section(name).tables]
        assert texts == [[[c.text for c in row.cells] for row in t.rows] for t in small_pack.section(name).tables]
    assert pack.sheets == {}
    assert all(entry.sheets == () for entry in pack.entries)


def test_what_is_not_there_is_named(small_pack: Pack) -> None:
    with pytest.raises(PartError, match="no sheet '12' in this pack; there are 38, 39"):
        part_of(small_pack, Part(sheets=("38", "12")))
    with pytest.raises(PartError, match=r"no section 'wire' in this pack; did you mean wires\? there are .*cautions"):
        part_of(small_pack, Part(sections=("wire",)))
