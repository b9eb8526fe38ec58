"""Charts agree with the model and with each other."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.cells import absent
from renderers.charts import charts
from renderers.context import PackContext
from renderers.describe import terminal_text
from renderers.document import Bullets, Group, Pack
from renderers.pack import build_pack
from renderers.tables import Cell, Column, Row, Table, cell, lean
from tests.published import sample_pack
from tests.renderers.vehicles import figures, read


def cells(table: Table, row: Row) -> dict[str, Cell]:
    return dict(zip((column.key for column in table.columns), row.cells, strict=True))


def table(pack: Pack, name: str) -> Table:
    return next(t for t in pack.tables if t.id == name)


def rows(pack: Pack, name: str) -> dict[str, dict[str, str]]:
    """Rows of a table by the text of their first cell."""
    found = table(pack, name)
    return {row.cells[0].text: {key: c.text for key, c in cells(found, row).items()} for row in found.rows}


def sample(root: Path, name: str) -> Variant:
    """A variant of the sample line."""
    path = root / "samples" / "sandpiper" / f"{name}.loom"
    found = assemble(Library(find_project(path)), path).variant
    assert found is not None
    return found


@pytest.fixture(scope="module", params=["small", "S2", "S4"])
def whole(request: pytest.FixtureRequest, root: Path) -> tuple[Variant, Pack]:
    """The small vehicle and the variants of the sample line."""
    variant = request.getfixturevalue("small") if request.param == "small" else sample(root, request.param)
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
    assert index == {*variant.items, *variant.sheets, *variant.zones}
    assert {c.text for c in table(pack, "index-circuits").column("id")} == set(variant.circuits)


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
    assert groups == ["", *["Body harness side"] * 4, *["Tailgate harness side"] * 4, "", ""]


def test_a_half_has_the_name_that_sheets_and_tests_give_it() -> None:
    """`door-right side` of a sheet must be found in the chart."""
    columns = {c.group for t in sample_pack("S4").tables if t.id == "connector-item-C20" for c in t.columns}
    assert {"Cab harness side", "Right-door harness side (door-right)"} <= {c.removesuffix(", pins") for c in columns}


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
    assert fuses["9"]["circuits"] == "48"
    assert fuses["10"]["components"] == "E3 Left side lamp, E4 Right side lamp"
    assert fuses["10"]["circuits"] == "50"
    assert (fuses["9"]["name"], fuses["9"]["colour"], fuses["9"]["from"]) == ("Rear screen", "clear", "RUN-BUS")


def test_the_component_index_names_fuse_and_ground(small_pack: Pack) -> None:
    components = rows(small_pack, "components")
    assert (components["R3"]["fuses"], components["R3"]["grounds"]) == ("F9", "G2")
    assert (components["E3"]["fuses"], components["E3"]["grounds"]) == ("F10", "G1")


def test_power_distribution_places_a_part_in_a_block_by_its_slot(small_pack: Pack) -> None:
    assert {row["id"]: row["place"] for row in rows(small_pack, "power-ways").values()}["› F10"] == "FB1, slot 10"


def test_a_page_does_without_notes_that_no_row_has() -> None:
    columns = (Column("id", "Id"), Column("name", "Name"), Column("notes", "Notes"))
    bare = Table("t", "", columns, (Row((cell("A"), cell(""), cell(""))), Row((cell("B"), cell(""), absent()))))
    assert [(c.key, bare.rows[0].cells[n]) for n, c in enumerate(lean(bare).columns)] == [
        ("id", cell("A")),
        ("name", cell("")),
    ]
    assert [len(row.cells) for row in lean(bare).rows] == [2, 2]
    noted = replace(bare, rows=(Row((cell("A"), cell(""), cell("seen"))),))
    assert lean(noted) is noted
    assert lean(replace(bare, family="many")).columns == columns


def test_a_point_is_looked_for_where_its_wire_is_drawn(root: Path) -> None:
    variant = sample(root, "S4")
    context = PackContext(variant, figures(variant))
    for connector, cavity, wire in (("C40", "7", "48B"), ("C12", "E6", "333A")):
        found = context.sheets_of_point(connector, cavity)
        assert set(found) < set(context.sheets_of_item(connector))
        assert all(wire in context.wires_on(page) for page in found)
        assert set(context.sheets_of_wire(variant.wire_by_id[wire])) <= set(found)
    assert context.sheets_of_point("C40", "no such cavity") == context.sheets_of_item("C40")


def test_an_empty_place_says_that_there_is_none(root: Path) -> None:
    """And a dash that the sources do not say."""
    pack = build_pack(sample(root, "S4"), {})
    ways = rows(pack, "power-ways")
    assert (ways["› › F30"]["bus"], ways["› › F30"]["wires"]) == ("", "22A, 22B, 22C, 9A, 9B")
    assert rows(pack, "fuses-block-FB1")["33"]["colour"] == "–"
    signs = {row.cells[0].text: row.cells[1].text for row in table(pack, "signs").rows}
    assert signs["(empty)"].startswith("There is none")


def test_examples_are_true_of_the_variant(small_pack: Pack, small: Variant) -> None:
    words = " ".join(
        run.text
        for block in small_pack.section("using").leaves
        if isinstance(block, Bullets)
        for item in block.items
        for run in item
    )
    found = re.search(r"named by circuit and segment: (\S+) is segment (\S+) of circuit (\S+)\.", words)
    assert found is not None
    wire = small.wire_by_id[found[1]]
    assert (wire.segment, wire.circuit) == (found[2], found[3])
    signs = {row.cells[0].text: row.cells[1].text for row in table(small_pack, "signs").rows}
    assert "BK/WH" in {wire.colour for wire in small.wires}
    assert signs["BK/WH"].startswith("Base colour black, tracer white.")
    plain = replace(small, wires=tuple(replace(wire, colour="BK") for wire in small.wires))
    assert "BK/WH" not in {row.cells[0].text for row in table(build_pack(plain, {}), "signs").rows}


def test_the_title_page_counts_sheets_and_their_pages(small: Variant, small_pack: Pack) -> None:
    assert dict(small_pack.identification)["Contents"].startswith("2 sheets, ")
    drawn = figures(small)
    pages = {**drawn, "38 (2)": replace(drawn["38"], sheet="38 (2)")}
    assert dict(build_pack(small, pages).identification)["Contents"].startswith("2 sheets on 3 pages, ")


def test_every_sheet_that_draws_a_wire_is_named(small: Variant) -> None:
    """Not only those that the author put its circuit on; its own stand first."""
    drawn = figures(small)
    stub = drawn["38"].svg.replace("</svg>", '<g class="mark" data-wire="50A"/></svg>')
    context = PackContext(small, {**drawn, "38": replace(drawn["38"], svg=stub)})
    assert context.sheets_of_circuit("50") == ("39", "38")
    assert [context.sheets_of_wire(small.wire_by_id[wire]) for wire in ("50A", "50B")] == [("39", "38"), ("39",)]
    pack = build_pack(small, context.sheets)
    assert rows(pack, "circuits")["50"]["sheets"] == rows(pack, "index-circuits")["50"]["sheets"] == "39, 38"
    assert rows(pack, "sheets")["38"]["circuits"] == "1, 48, 49, 50"


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


def test_the_fuse_chart_states_load_and_margin_on_a_basis_that_it_names(small_pack: Pack) -> None:
    # 220 W and twice 5 W at 12 V; ratings 25 A and 5 A.
    fuses = rows(small_pack, "fuses-block-FB1")
    assert (fuses["10"]["load"], fuses["10"]["margin"]) == ("0.83", "4.2")
    assert (fuses["9"]["load"], fuses["9"]["margin"]) == ("18.3", "6.7")
    assert rows(small_pack, "buses")["RUN-BUS"]["load"] == "≈19.3"
    assert rows(small_pack, "fusible-links")["FL1"]["load"] == "≈19.3"
    words = " ".join(run.text for p in small_pack.section("fuses").paragraphs for run in p.runs)
    assert all(part in words for part in ("greatest that can flow at one time", "rated power", "or else 12 V"))


def test_connectors_and_grounds_state_the_highest_current(small_pack: Pack) -> None:
    cavities = rows(small_pack, "connector-item-C40")
    assert (cavities["7"]["load"], cavities["8"]["load"], cavities["1"]["load"]) == ("18.3", "18.3", "")
    grounds = rows(small_pack, "grounds")
    assert (grounds["G2"]["load"], grounds["G1"]["load"]) == ("18.3", "≈0.97")


def test_power_distribution_goes_from_source_to_fuse(small_pack: Pack) -> None:
    found = [
        {key: c.text for key, c in cells(t, r).items()} for t in (table(small_pack, "power-ways"),) for r in t.rows
    ]
    assert [row["id"] for row in found] == ["From BT1 Battery", "FL1", "› F9", "› F10"]
    assert (found[1]["wires"], found[1]["feeds"], found[1]["rating"]) == ("1A", "F9, F10", "0.8 mm²")
    assert (found[2]["bus"], found[2]["wires"], found[2]["feeds"], found[2]["rating"]) == (
        "RUN-BUS",
        "1B",
        "48",
        "25 A",
    )


def test_every_fuse_has_one_place_in_the_power_distribution(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    ids = [
        c.text.replace("› ", "") for r in table(pack, "power-ways").rows if "head" not in r.marks for c in r.cells[:1]
    ]
    protective = [d.id for d in variant.devices.values() if d.is_protective and any(p.stretches for p in d.parts)]
    assert sorted(ids) == sorted(protective)


def test_ground_distribution_lists_every_wire_under_every_bolt(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    found = {
        (r.cells[0].text, cells(table(pack, "ground-returns"), r)["wire"].text)
        for r in table(pack, "ground-returns").rows
    }
    assert found == {(ground, wire.id) for ground in variant.grounds for wire in variant.wires_of_item(ground)}


def test_what_returns_by_a_wire_and_what_a_strap_is(small_pack: Pack, root: Path) -> None:
    def by_wire(pack: Pack) -> dict[str, dict[str, str]]:
        found = table(pack, "ground-returns")
        return {r.cells[2].text: {key: c.text for key, c in cells(found, r).items()} for r in found.rows}

    found = by_wire(small_pack)
    assert (found["49B"]["components"], found["49B"]["load"]) == ("R3 Rear screen", "18.3")
    assert found["49B"]["to"] == "C40.8 Tailgate hinge"
    assert found["1C"]["components"] == "BT1 Battery"
    whole_truck = by_wire(build_pack(sample(root, "S4"), {}))
    assert whole_truck["3A"]["components"] == "strap to G103"
    assert whole_truck["2B"]["components"] == "BT1 Battery, heavy duty"


def test_what_hangs_on_a_bus_is_not_called_unwired(root: Path) -> None:
    terminals = table(build_pack(sample(root, "S4"), {}), "terminals")
    plugs = [r.cells for r in terminals.rows if r.cells[0].text.startswith("HR1 ") and r.cells[1].text == "1"]
    assert [(c[3].text, c[-1].text) for c in plugs] == [("", "on GLOW-RAIL")]


def test_a_lookup_is_worked_through_on_this_variant(whole: tuple[Variant, Pack]) -> None:
    variant, pack = whole
    group = next(b for b in pack.section("using").blocks if getattr(b, "title", "") == "A lookup, worked through")
    assert isinstance(group, Group)
    (steps,) = group.blocks
    assert isinstance(steps, Bullets)
    words = ["".join(run.text for run in step) for step in steps.items]
    ids = [[run.text for run in step if run.link and not run.muted] for step in steps.items]
    device = ids[0][1]
    name = variant.devices[device].title
    assert f"“{name}”" in words[0]
    index = table(pack, "index-ids")
    entry = next(cells(index, r) for r in index.rows if r.cells[0].text == device)
    assert ids[0][2] in entry["sheets"].text
    wire = variant.wire_by_id[ids[1][0]]
    assert f"({wire.colour}, " in words[1]
    assert ids[1][1] in {str(end.point) for end in wire.ends}
    fuse, ground = ids[-2][0], ids[-1][0]
    assert wire.circuit in context_of(variant).fed_by(variant.devices[fuse]).circuits
    assert device in {found.id for found in context_of(variant).grounded_at(ground)}


def context_of(variant: Variant) -> PackContext:
    return PackContext(variant, {})


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


def test_a_contact_is_closed_at_rest_when_energised_or_at_positions(tmp_path: Path) -> None:
    variant = read(
        tmp_path,
        """variant V "V" { model-year 2027 }
relay K1 { coil 86 85 90 ohm; contact 30 87 when energised; contact 30 87a when at-rest }
switch S1 { positions at-rest low high; contact 1 2 when low high; contact 1 3 when at-rest high }
""",
    )
    said = {name: terminal_text(variant, variant.devices[name[:2]], name[3:]) for name in ("K1.87", "K1.87a", "S1.2")}
    assert said == {
        "K1.87": "contact, closed when energised",
        "K1.87a": "contact, closed at rest",
        "S1.2": "contact, closed at low, high",
    }
    assert terminal_text(variant, variant.devices["S1"], "3") == "contact, closed at rest, at high"


# The fixed order of a pack. A chart that is not named here has no place in it yet.
ORDER = (
    "series cautions using symbols colours sizes links fuses connectors terminals components grounds splices locations"
    " power returns sheets states isolation index wires changes"
).split()
# Left out where the source has nothing for them.
AT_NEED = {"states", "isolation", "changes"}


def test_sections_stand_in_order_and_empty_ones_are_left_out(small_pack: Pack, small: Variant) -> None:
    known = [chart.id for chart in charts()]
    assert known == [name for name in ORDER if name in known]
    found = [section.id for section in small_pack.sections]
    assert found == [name for name in known if name in found]
    assert set(found) >= set(known) - AT_NEED
    without = {section.id for section in build_pack(replace(small, splices={}), {}).sections}
    assert without - AT_NEED == set(known) - AT_NEED - {"splices", "sheets", "symbols"}


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
