"""The agreement test proves itself: what is planted in a drawing, in a zone of the frame, in the index of complaints, or on
paper alone, is found and named."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from compiler.model.variant import Variant
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.sheets.figure import SheetFigure
from renderers.tables import Run
from tests.renderers.against_model import CHECKS, complaint_faults, drawing_faults, drawn_on_faults, zone_faults
from tests.renderers.test_agreement import Published, altered, drawings_apart, link_faults, paper_faults, published

FORMS = ("page", "paper")
Spoil = Callable[[str], str]


@pytest.fixture(scope="module")
def figures(small: Variant) -> Mapping[str, SheetFigure]:
    return draw_sheets(small)


def pack_of(small: Variant, figures: Mapping[str, SheetFigure], sheet: str = "", **facts: object) -> Pack:
    """The small pack, one of its sheets with other facts."""
    if sheet:
        figures = {**figures, sheet: replace(figures[sheet], **facts)}  # type: ignore[arg-type]
    return build_pack(small, figures, line="Tern")


# -- zones of the frame ------------------------------------------------------------------------------------------------


def test_a_zone_in_which_a_thing_does_not_stand_is_found(small: Variant, figures: Mapping[str, SheetFigure]) -> None:
    places = figures["38"].places
    far = "A1" if places["K7"] != "A1" else "F8"
    spoilt = published(small, pack_of(small, figures, "38", places={**places, "K7": far}))
    for form in FORMS:
        found = set(zone_faults(small, spoilt.read[form]))
        assert f"K7 is not in {far} of sheet 38" in found, form
        assert {fault.split()[0] for fault in found} == {"K7"}, form


def test_a_thing_drawn_elsewhere_than_the_index_says_is_found(
    small: Variant, figures: Mapping[str, SheetFigure]
) -> None:
    svg = figures["38"].svg
    id_at = re.search(r'<text x="([\d.]+)" y="([\d.]+)"([^>]*)>K7</text>', svg)
    assert id_at is not None
    x = float(id_at[1])
    moved = svg.replace(id_at[0], f'<text x="{x + (300 if x < 300 else -250)}" y="{id_at[2]}"{id_at[3]}>K7</text>')
    spoilt = published(small, pack_of(small, figures, "38", svg=moved))
    for form in FORMS:
        found = zone_faults(small, spoilt.read[form])
        assert f"K7 is not in {figures['38'].places['K7']} of sheet 38" in found, form


def test_a_thing_drawn_twice_and_zoned_once_is_found(small: Variant, figures: Mapping[str, SheetFigure]) -> None:
    twice = {
        (item, sheet): zones
        for sheet, figure in figures.items()
        for item, zones in figure.places.items()
        if "+" in zones and item in small.connectors
    }
    (item, sheet), zones = next(iter(twice.items()))
    places = {**figures[sheet].places, item: zones.split("+")[0]}
    spoilt = published(small, pack_of(small, figures, sheet, places=places))
    assert f"{item} is elsewhere on sheet {sheet}" in zone_faults(small, spoilt.read["page"])


# -- which sheets draw what --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "key", "old", "new", "says"),
    [
        ("wires", "sheets", "38", "39", {"Wire 1A is on sheet 38 too", "Wire 1A is not on sheet 39"}),
        ("circuits", "sheets", "38", "39", {"Circuit 1 is on sheet 38 too"}),
        ("index-circuits", "sheets", "38", "39", {"Circuit 1 is on sheet 38 too"}),
        ("sheets", "circuits", "49", "51", {"38, list of sheets: 1,48,49 is 1,48,51"}),
    ],
)
def test_a_sheet_that_draws_a_wire_and_is_not_named_is_found(
    small: Variant, figures: Mapping[str, SheetFigure], table: str, key: str, old: str, new: str, says: set[str]
) -> None:
    spoilt = published(small, altered(pack_of(small, figures), table, key, old, new))
    for form in FORMS:
        assert set(drawn_on_faults(small, spoilt.read[form])) == says, form


# -- labels and lines --------------------------------------------------------------------------------------------------


def group(kind: str, wire: str, svg: str) -> str:
    found = re.search(
        rf'<g class="{kind}" data-wire="{wire}".*?(?=<g class="(?:wire|label|device|splice|bus|connector|ground|arrow|mark)|</svg>)',
        svg,
    )
    assert found is not None
    return found[0]


def label_moved(svg: str) -> str:
    old = group("label", "48A", svg)
    return svg.replace(old, re.sub(r'<text x="([\d.]+)"', lambda m: f'<text x="{float(m[1]) + 14}"', old))


def label_resized(svg: str) -> str:
    old = group("label", "48A", svg)
    assert ">2.5<" in old
    return svg.replace(old, old.replace(">2.5<", ">4<"))


def label_of_another_wire(svg: str) -> str:
    old = group("label", "48A", svg)
    return svg.replace(old, old.replace(">48A<", ">48B<"))


def line_recoloured(svg: str) -> str:
    old = group("wire", "48A", svg)
    core = re.findall(r'stroke="(#\w+)" stroke-width="2"', old)
    assert len(core) == 1
    return svg.replace(old, old.replace(f'stroke="{core[0]}" stroke-width="2"', 'stroke="#00AAFF" stroke-width="2"'))


# Which of two lines with both labels is which only the page says; that paper has them as the page has is held elsewhere.
LABELS = ((label_moved, FORMS), (label_resized, FORMS), (label_of_another_wire, FORMS[:1]), (line_recoloured, FORMS))


@pytest.mark.parametrize(("spoil", "forms"), LABELS, ids=lambda one: getattr(one, "__name__", ""))
def test_a_label_or_line_that_is_not_the_wires_own_is_found(
    small: Variant, figures: Mapping[str, SheetFigure], spoil: Spoil, forms: tuple[str, ...]
) -> None:
    svg = spoil(figures["38"].svg)
    spoilt = published(small, pack_of(small, figures, "38", svg=svg))
    for form in forms:
        found = drawing_faults(small, spoilt.read[form])
        assert found, form
        assert {fault.split()[0] for fault in found} <= {"48A", "48B", "nothing"}, form


# -- paper and page ----------------------------------------------------------------------------------------------------


def word_moved(svg: str) -> str:
    return re.sub(r'<text x="([\d.]+)"([^>]*)>K7<', lambda m: f'<text x="{float(m[1]) + 2}"{m[2]}>K7<', svg, count=1)


def word_changed(svg: str) -> str:
    return svg.replace(">K7<", ">K8<", 1)


def line_moved(svg: str) -> str:
    old = group("wire", "48A", svg)
    return svg.replace(old, re.sub(r"M([\d.]+) ", lambda m: f"M{float(m[1]) + 0.5} ", old))


def line_left_out(svg: str) -> str:
    old = group("wire", "48A", svg)
    return svg.replace(old, re.sub(r"<path[^>]*/>", "", old, count=1))


def line_added(svg: str) -> str:
    return svg.replace(
        "</svg>", '<g class="mark"><path d="M90 90L120 90" stroke="#111111" stroke-width="1"/></g></svg>'
    )


SPOILS = (word_moved, word_changed, line_moved, line_left_out, line_recoloured, line_added)


@pytest.mark.parametrize("spoil", SPOILS)
def test_a_drawing_that_is_otherwise_on_paper_is_found(
    small: Variant, figures: Mapping[str, SheetFigure], spoil: Spoil
) -> None:
    svg = figures["38"].svg
    assert spoil(svg) != svg
    found = published(small, pack_of(small, figures), pack_of(small, figures, "38", svg=spoil(svg)))
    faults = drawings_apart(found)
    assert faults
    # The sheet in a state is drawn after the sheet.
    assert {fault.split(":")[0] for fault in faults} == {"sheet 38"}


def test_a_sound_pack_has_none_of_it(small: Variant, figures: Mapping[str, SheetFigure]) -> None:
    sound = published(small, pack_of(small, figures))
    assert drawings_apart(sound) == []
    assert [check(small, sound.read[form]) for check in CHECKS for form in FORMS] == [[]] * 2 * len(CHECKS)


# -- complaints --------------------------------------------------------------------------------------------------------


def test_complaints_stand_in_the_index_with_the_pages_of_their_charts(lamps: Variant, charted: Pack) -> None:
    sound: Published = published(lamps, charted)
    for form in FORMS:
        assert complaint_faults(lamps, sound.read[form]) == []
    assert link_faults(sound) == []
    assert paper_faults(sound) == []
    rows = [row for chart in sound.read["paper"].charts if chart.head[:2] == ("Name", "Id") for row in chart.rows]
    pages = {row[0]: row[1] for row in rows}
    home = next(
        number
        for number, text in enumerate(sound.paper)
        if "Left lamp dark, right lamp lit" in text and "Verify:" in text
    )
    for name in ("Leftlampdark,rightlamplit", "Lamp:Leftlampdark,rightlamplit", "Dark:Leftlampdark,rightlamplit"):
        assert pages[name] == f"chartp.{home}"
    assert pages["Lampcircuitopen"].startswith("B1p.")


@pytest.mark.parametrize(
    ("table", "key", "old", "new", "says"),
    [
        ("index-names", "name", "Left lamp dark, right lamp lit", "Left lamp dark", "Dark:Leftlampdark leads nowhere"),
        ("index-names", "name", "Lamp circuit open", "Lamp open", "Lampcircuitopen is not there"),
        ("index-names", "name", "Lamp: ", "Bulb: ", "Bulb:Leftlampdark,rightlamplit leads nowhere"),
        ("index-names", "id", "B1", "B2", "Lampcircuitopen is not there"),
        ("index-ids", "id", "B1", "B2", "B1 is not there by its id"),
    ],
)  # fmt: skip
def test_a_complaint_that_the_index_has_otherwise_is_found(
    lamps: Variant, charted: Pack, table: str, key: str, old: str, new: str, says: str
) -> None:
    spoilt = published(lamps, altered(charted, table, key, old, new))
    for form in FORMS:
        assert says in complaint_faults(lamps, spoilt.read[form]), form


def test_a_complaint_that_leads_to_another_chart_is_found(lamps: Variant, charted: Pack) -> None:
    index = charted.section("index")
    (names, *rest) = index.blocks
    others = {run.text: run.link for row in names.rows for run in row.cells[1].runs}  # type: ignore[union-attr]
    rows = tuple(
        row._replace(
            cells=(row.cells[0], row.cells[1]._replace(runs=(Run("chart", others["B1"], page=True),)), *row.cells[2:])
        )
        if row.cells[0].text == "Left lamp dark, right lamp lit"
        else row
        for row in names.rows  # type: ignore[union-attr]
    )
    wrong = replace(index, blocks=(replace(names, rows=rows), *rest))  # type: ignore[type-var]
    spoilt = published(lamps, replace(charted, sections=tuple(wrong if s is index else s for s in charted.sections)))
    assert link_faults(spoilt) == ["Left lamp dark, right lamp lit leads to B1 Lamp circuit open"]
