"""The alphabetical index: what shares a line, what stands under several words, where each line leads."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from compiler.model.variant import Variant
from renderers.around import Around
from renderers.document import Pack
from renderers.entries import CHARTED, words_of
from renderers.pack import build_pack
from renderers.part import Part, part_of
from renderers.sheets import draw_sheets
from renderers.tables import Row, Table
from renderers.text import anchor
from tests.published import sample_pack
from tests.renderers.drawings_apart import drawing_of, straight


def table(pack: Pack, name: str) -> Table:
    return next(one for one in pack.section("index").tables if one.id == name)


def lines(pack: Pack, name: str = "index-names") -> list[tuple[str, ...]]:
    return [tuple(cell.text for cell in row.cells) for row in table(pack, name).rows if "head" not in row.marks]


def test_a_component_shares_its_line_with_connectors_that_go_by_its_name() -> None:
    found = {line[1]: line for line in lines(sample_pack("S4"))}
    assert found["B16"][:3] == ("Accelerator pedal", "B16", "sensor, connector C216")
    assert "C216" not in found
    by_id = {line[0]: line for line in lines(sample_pack("S4"), "index-ids")}
    assert by_id["C216"][:3] == ("C216", "Accelerator pedal", "connector of B16")
    # A connector with a name of its own stands under that.
    assert found["C201"][:3] == ("Engine control module, grey", "C201", "connector of A1")


def test_the_pages_of_a_sheet_share_a_line() -> None:
    pack = sample_pack("S4")
    for name, place in (("index-names", 1), ("index-ids", 0)):
        own = [line for line in lines(pack, name) if line[2] == "wiring sheet" and line[place].startswith("22")]
        assert [line[place] for line in own] == ["22"], name
        assert own[0][3] == "22 (2), 22 (3)"
    links = [run.link for row in table(pack, "index-ids").rows for cell in row.cells for run in cell.runs]
    assert {anchor("sheet", "22"), anchor("sheet", "22 (2)"), anchor("sheet", "22 (3)")} <= set(links)


def test_a_wide_bar_is_zoned_where_its_name_stands() -> None:
    """Of a splice whose bar begins in one zone and has its id in another, the index gives the latter."""
    pack = sample_pack("S4")
    shown = {line[0]: line[3].split(", ") for line in lines(pack, "index-ids")}
    wide = 0
    for name, figure in pack.sheets.items():
        root = html.fragment_fromstring(figure.svg)
        drawing = drawing_of(root)
        for group in root.iterfind("g[@class='splice']"):
            item = group.get("data-item")
            (text,) = [one for one in drawing.texts if one.bold and one.text == item and one.kind == "splice"]
            box = text.box
            zones = drawing.frame.zones(((box.x + box.end) / 2, box.middle[1]), 8.0)
            start = drawing.frame.zone((min(x for x, _ in spots_of(group)), box.middle[1]))
            assert f"{name} {figure.places[item]}" in shown[item]
            if start not in zones:
                wide += 1
                assert figure.places[item] in zones
    assert wide > 10


def spots_of(group: html.HtmlElement) -> list[tuple[float, float]]:
    """Where the ink of a group begins and ends."""
    found = [spot for path in group.iter("path") for spot in straight(path.get("d", ""))]
    return [*found, *((float(rect.get("x", 0)), float(rect.get("y", 0))) for rect in group.iter("rect"))]


def test_a_complaint_stands_under_its_first_word_and_those_that_name_something(charted: Pack) -> None:
    found = {(line[0], line[1], line[2]) for line in lines(charted) if line[2] in CHARTED}
    assert found == {
        ("Left lamp dark, right lamp lit", "chart", "complaint"),
        ("Lamp: Left lamp dark, right lamp lit", "chart", "complaint"),
        ("Dark: Left lamp dark, right lamp lit", "chart", "complaint"),
        ("Lamp circuit open", "B1", "trouble code"),
    }
    heads: dict[str, list[Row]] = {}
    for row in table(charted, "index-names").rows:
        if "head" in row.marks:
            heads[row.cells[0].text] = letter = []
        else:
            letter.append(row)
    assert "Dark: Left lamp dark, right lamp lit" in [row.cells[0].text for row in heads["D"]]
    runs = [run for row in heads["D"] for run in row.cells[1].runs if run.text == "chart"]
    assert [(run.link, run.page) for run in runs] == [("chart-left-lamp-dark-right-lamp-lit", True)]


def test_a_trouble_code_is_found_by_its_id(charted: Pack) -> None:
    assert ("B1", "Lamp circuit open", "trouble code", "") in lines(charted, "index-ids")
    assert not [line for line in lines(charted, "index-ids") if not line[0]], "a complaint has no id"


def test_the_search_knows_the_same_complaints(charted: Pack) -> None:
    entries = {(entry.term, entry.id, entry.what): entry.anchor for entry in charted.entries if entry.what in CHARTED}
    assert set(entries) == {
        ("Left lamp dark, right lamp lit", "", "complaint"),
        ("Lamp circuit open", "B1", "trouble code"),
    }
    assert set(entries.values()) <= set(charted.anchors())


def test_without_charts_no_complaint_is_promised(lamps: Variant, charted: Pack) -> None:
    plain = build_pack(lamps, draw_sheets(lamps))
    assert not [entry for entry in plain.entries if entry.what in CHARTED]
    assert not [line for line in lines(plain) if line[2] in CHARTED]
    part = part_of(charted, Part(sections=("index",)))
    links = [run.link for row in table(part, "index-names").rows for cell in row.cells for run in cell.runs]
    assert not any(links), "what is left out of a pack is not linked"


def test_all_complaints_of_loads_are_indexed_where_they_have_charts(lamps: Variant) -> None:
    pack = build_pack(lamps, draw_sheets(lamps), around=Around(faults="loads"))
    terms = {entry.term for entry in pack.entries if entry.what == "complaint"}
    assert any("does not work" in term for term in terms)
    assert terms <= {line[0] for line in lines(pack)}


@given(st.text(max_size=80))
def test_the_words_of_a_title_are_words_of_it(title: str) -> None:
    found = words_of(title)
    assert len(found) == len(set(found))
    for word in found:
        assert word[1:] in title
        assert word[0].lower() in title.lower() or word[0].casefold() in title.casefold()


def test_small_words_and_sides_are_no_words_to_look_under() -> None:
    assert words_of("Rear screen stays cold, tell-tale lit") == ("Screen", "Cold", "Tell-tale")
    assert words_of("Starter does not turn, lamps stay bright") == ("Lamps", "Bright")
    assert words_of("Open") == words_of("") == ()
