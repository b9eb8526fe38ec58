"""Charts agree with the model and with each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.charts import charts
from renderers.context import PackContext
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.tables import Cell, Column, Row, Table, cell
from tests.renderers.vehicles import figures


def cells(table: Table, row: Row) -> dict[str, Cell]:
    return dict(zip((column.key for column in table.columns), row.cells, strict=True))


def table(pack: Pack, name: str) -> Table:
    return next(t for t in pack.tables if t.id == name)


def rows(pack: Pack, name: str) -> dict[str, dict[str, str]]:
    """Rows of a table by the text of their first cell."""
    found = table(pack, name)
    return {row.cells[0].text: {key: c.text for key, c in cells(found, row).items()} for row in found.rows}


@pytest.fixture(scope="module", params=["small", "S2", "S4"])
def whole(request: pytest.FixtureRequest, root: Path) -> tuple[Variant, Pack]:
    """The small vehicle and the variants of the sample line."""
    if request.param == "small":
        variant = request.getfixturevalue("small")
    else:
        path = root / "samples" / "sandpiper" / f"{request.param}.loom"
        found = assemble(Library(find_project(path)), path).variant
        assert found is not None
        variant = found
    return variant, build_pack(variant, figures(variant))


def test_every_wire_is_listed_once(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    listed = [c.text for c in table(pack, "wires").column("wire")]
    assert sorted(listed) == sorted(wire.id for wire in variant.wires)


def test_a_wire_has_one_colour_and_size_everywhere(whole: tuple[Variant, Pack]) -> None:
    _, pack = whole
    wires = {c["wire"]: (c["colour"], c["size"]) for c in rows(pack, "wires").values()}
    seen = 0
    for chart in pack.tables:
        for row in chart.rows:
            found = cells(chart, row)
            for side in ("", "a-", "b-"):
                wire = found[f"{side}wire"].text if f"{side}wire" in found and f"{side}size" in found else ""
                if wire in wires and chart.id != "wires":
                    assert (found[f"{side}colour"].text, found[f"{side}size"].text) == wires[wire], (chart.id, wire)
                    seen += 1
    assert seen >= len(wires)


def test_every_end_at_a_connector_is_in_its_chart(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    charted = {
        (chart.member, found["cavity"].text, int(side == "b-"), found[f"{side}wire"].text)
        for chart in pack.tables
        if chart.family in ("connectors", "component-connectors")
        for found in (cells(chart, row) for row in chart.rows)
        for side in (("a-", "b-") if chart.family == "connectors" else ("",))
        if not found[f"{side}wire"].mark
    }
    ends = {
        (end.point.item, end.point.terminal, end.point.half, wire.id)
        for wire in variant.wires
        for end in wire.ends
        if end.point and end.point.item in variant.connectors
    }
    assert {entry for entry in charted if entry[3]} == ends


def test_everything_with_an_id_is_described_and_indexed(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    anchors = pack.anchors()
    assert all(entry.anchor in anchors for entry in pack.entries)
    index = {c.text for c in table(pack, "index-ids").column("id")}
    assert index >= {*variant.items, *variant.circuits, *variant.sheets, *variant.zones}


def test_every_link_leads_somewhere(whole: tuple[Variant, Pack]) -> None:
    _, pack = whole
    anchors = pack.anchors()
    links = {run.link for t in pack.tables for row in t.rows for c in row.cells for run in c.runs}
    assert links - {""} <= set(anchors)
    assert len(links) > 30


def test_states_of_cavities(small_pack: Pack) -> None:
    found = table(small_pack, "connector-item-C40")
    state = {
        row.cells[0].text: (cells(found, row)["a-wire"], cells(found, row)["b-wire"], row.marks) for row in found.rows
    }
    assert (state["1"][0].text, state["1"][0].mark, state["1"][2]) == ("spare", "spare", ("spare",))
    assert (state["10"][1].text, state["10"][1].mark) == ("plugged", "plugged")
    assert (state["7"][0].text, state["7"][1].text, state["7"][2]) == ("48C", "48D", ())
    assert (state["9"][0].text, state["9"][1].text, state["9"][1].mark) == ("51A", "no wire", "open")
    rest = rows(small_pack, "connector-item-C12")
    assert rest["B3"]["a-wire"] == "spare"


def test_halves_lead_to_their_own_far_ends(small_pack: Pack) -> None:
    cavity = rows(small_pack, "connector-item-C40")["7"]
    assert (cavity["a-to"], cavity["b-to"]) == ("C12.A1 Bulkhead", "C51.1 Rear screen")
    groups = [column.group for column in table(small_pack, "connector-item-C40").columns]
    assert groups == ["", *["Body harness side"] * 4, *["Tailgate harness side"] * 4, ""]


def test_what_is_not_given_is_a_dash_and_what_is_not_known_a_question_mark(small_pack: Pack) -> None:
    wires = rows(small_pack, "wires")
    assert wires["49B"]["colour"] == "?"
    assert wires["48H"]["length"] == "?"
    assert wires["51A"]["to"] == "?"
    assert rows(small_pack, "splices")["SP1"]["access"] == "4"
    assert rows(small_pack, "components")["BT1"]["access"] == "–"


def test_a_fuse_feeds_up_to_its_loads_and_never_through_ground(small_pack: Pack) -> None:
    fuses = rows(small_pack, "fuses-block-FB1")
    assert fuses["9"]["components"] == "K7 Rear screen relay, R3 Rear screen"
    assert fuses["9"]["circuits"] == "48 CIRCUIT"
    assert fuses["10"]["components"] == "E3 Left side lamp, E4 Right side lamp"
    assert fuses["10"]["circuits"] == "50 Side lamps"
    assert (fuses["9"]["colour"], fuses["9"]["from"]) == ("clear", "RUN-BUS")


def test_fuse_colours_from_memory_are_marked(small: Variant) -> None:
    device = small.devices["F9"]
    part = replace(device, ratings={"current": 20.0})
    changed = replace_device(small, part)
    found = next(t for t in build_pack(changed, {}).tables if t.family == "fuses")
    assert found.column("colour")[0].text == "yellow †"
    assert any("memory" in note for note in found.notes)


def replace_device(variant: Variant, device: object) -> Variant:
    from compiler.model.items import Device

    assert isinstance(device, Device)
    return replace(variant, devices={**variant.devices, device.id: device})


def test_a_link_shows_what_it_protects(small_pack: Pack) -> None:
    link = rows(small_pack, "fusible-links")["FL1"]
    assert (link["size"], link["length"], link["wires"]) == ("0.8 mm²", "0.15", "1A, 1B")
    assert rows(small_pack, "link-sizes") == {"2 mm²": {"wire": "2 mm²", "link": "0.8 mm²"}}


def test_a_ground_serves_its_own_components(small_pack: Pack) -> None:
    grounds = rows(small_pack, "grounds")
    assert grounds["G2"]["components"] == "R3 Rear screen"
    assert grounds["G1"]["components"] == "BT1 Battery, E3 Left side lamp, E4 Right side lamp, S21 Rear screen switch"


def test_colours_used_name_their_circuits(small_pack: Pack) -> None:
    used = rows(small_pack, "colours-used")
    assert used["BK"] == {"code": "BK", "name": "black", "wires": "5", "circuits": "1, 49, 50"}
    assert used["BK/WH"]["circuits"] == "48"


def test_items_stand_on_the_sheets_that_draw_them(small: Variant) -> None:
    context = PackContext(small, figures(small))
    assert context.sheets_of_item("SP1") == ("39",)
    assert context.sheets_of_item("K7") == ("38", "39")
    assert context.circuits_on("39") == ("48", "50")
    assert context.zone_on("38", "C51") == "B2"
    assert context.sheets_of_item("C51") == ("38", "39")


def test_sections_stand_in_order_and_empty_ones_are_left_out(small_pack: Pack, small: Variant) -> None:
    assert [section.id for section in small_pack.sections] == [chart.id for chart in charts()]
    without = {section.id for section in build_pack(replace(small, splices={}), {}).sections}
    assert without == {chart.id for chart in charts()} - {"splices", "sheets"}


def test_every_section_has_the_caution_of_every_page(small_pack: Pack) -> None:
    assert "Battery disconnected" in small_pack.caution
    assert "larger fuse" in small_pack.section("fuses").caution
    text = " ".join(run.text for leaf in small_pack.section("cautions").leaves for run in getattr(leaf, "runs", ()))
    assert all(word in text for word in ("plain wire", "parts that move", "airbags", "high-voltage", "Local rules"))


def test_a_table_refuses_rows_that_do_not_fit() -> None:
    columns = (Column("a", "A"), Column("b", "B"))
    with pytest.raises(ValueError, match="1 cells under 2 columns"):
        Table("t", "", columns, (Row((cell("x"),)),))
    with pytest.raises(ValueError, match="two columns of one key"):
        Table("t", "", (columns[0], columns[0]), ())


def test_an_anchor_in_two_places_is_refused(small_pack: Pack) -> None:
    twice = replace(small_pack, sections=(small_pack.section("splices"), small_pack.section("splices")))
    with pytest.raises(ValueError, match="stands in two places"):
        twice.anchors()
