"""The published pack of the demo variant, page and paper taken apart, against the model: everything stands where it
should, with the same colour and size everywhere, and every reference lands where it says.

What is expected comes from the model alone; `apart` reads what was published and knows nothing of the writers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

import pytest
from lxml import html

from compiler.model.items import Connector, Device, End, Point, Wire
from compiler.model.variant import Variant
from renderers.document import Group, Pack, Section
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.tables import Run, Table
from renderers.writers.html_folder import write_html
from renderers.writers.print_pdf import write_pdf
from tests.published import sample, sample_pack
from tests.renderers.apart import (
    Head,
    Taken,
    drawn,
    joined,
    of_page,
    of_paper,
    page_of,
    paper_links,
    sheet_number,
    squeezed,
    texts,
)


@dataclass(frozen=True)
class Published:
    """A pack in both forms: the page as elements and both as read, the text of each printed page and its links."""

    variant: Variant
    page: html.HtmlElement
    read: Mapping[str, Taken]
    paper: list[str]
    links: list[tuple[str, int]]


def published(variant: Variant, pack: Pack) -> Published:
    (data,) = write_pdf(pack).values()
    page = page_of(write_html(pack)["index.html"])
    of_screen = of_page(page)
    paper, links = paper_links(data)
    read = {"page": of_screen, "paper": of_paper(data, (chart.head for chart in of_screen.charts))}
    return Published(variant, page, read, paper, links)


@cache
def demo() -> Published:
    return published(sample("S4"), sample_pack("S4"))


BOTH = pytest.mark.parametrize("form", ["page", "paper"])


# -- what the model says -----------------------------------------------------------------------------------------------


def size_of(wire: Wire) -> str:
    if wire.size is None:
        return "?" if "size" in wire.unknown else "–"
    return squeezed(f"{wire.size.name} mm²" if wire.size.system == "mm2" else str(wire.size))


def colour_of(wire: Wire) -> str:
    return wire.colour or ("?" if "colour" in wire.unknown else "–")


def end_of(variant: Variant, end: End) -> str:
    """A wire end: the point, then the name of the component or connector there."""
    if end.point is None:
        return "?"
    item = variant.items[end.point.item]
    if isinstance(item, Connector) and item.device:
        item = variant.devices[item.device]
    return squeezed(f"{end.point} {item.title}")


def far(wire: Wire, point: Point) -> End:
    return wire.b if wire.a.point == point else wire.a


def is_fuse(device: Device) -> bool:
    return device.kind in ("fuse", "breaker")


# -- what is at fault, in words ------------------------------------------------------------------------------------------


def rows_under(taken: Taken, *head: str) -> Iterator[tuple[str, Head, Head]]:
    """Owner, titles and cells of every row of the charts whose titles begin so."""
    for (owner, titles), rows in joined(taken.charts).items():
        if titles[: len(head)] == head:
            for row in rows:
                yield owner, titles, row


def differing(expected: Mapping[object, object], found: Mapping[object, object]) -> list[str]:
    keys = sorted({*expected, *found}, key=str)
    return [f"{key}: {expected.get(key)} is {found.get(key)}" for key in keys if expected.get(key) != found.get(key)]


def wire_list_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {
        wire.id: (
            wire.circuit,
            wire.segment,
            end_of(variant, wire.a),
            end_of(variant, wire.b),
            size_of(wire),
            colour_of(wire),
        )
        for wire in variant.wires
    }
    found = {
        row[0]: row[1:7] for _, _, row in rows_under(taken, "Wire", "Circuit", "Seg.", "From", "To", "Size", "Colour")
    }
    return differing(expected, found)


def cavity_faults(variant: Variant, taken: Taken) -> list[str]:
    """Each half of each cavity: its wires with colour, size and far end, or why it has none."""
    expected: dict[object, list[object]] = {}
    for connector in variant.connectors.values():
        for cavity in connector.cavities:
            for half in (0,) if connector.device else (0, 1):
                point = Point(connector.id, cavity, half)
                key = (connector.id, cavity, half)
                expected[key] = sorted(
                    (w.id, colour_of(w), size_of(w), end_of(variant, far(w, point))) for w in variant.wires_at(point)
                ) or [reason(connector, cavity, half)]
    found: dict[object, list[object]] = {}
    for owner, head, row in rows_under(taken, "Cavity", "Wire", "Colour", "Size", "Goes to"):
        for half, at in enumerate(place for place, title in enumerate(head) if title == "Wire"):
            cells = row[at : at + 4]
            known = found.setdefault((owner, row[0], half), [])
            if cells[1]:
                known.append(cells)
            elif cells[0]:
                known.append(REASONS[cells[0]])
    return differing(expected, {key: sorted(cells, key=str) for key, cells in found.items()})


REASONS = {"plugged": "plugged", "spare": "empty", "nowire": "empty"}


def reason(connector: Connector, cavity: str, half: int) -> str:
    return "plugged" if half in connector.plugged.get(cavity, ()) else "empty"


def fed_from(variant: Variant, device: Device) -> str:
    """The bus of a fuse, or the circuit that is wired to its first terminal."""
    return device.bus or variant.wires_at(Point(device.id, "1", 0))[0].circuit


def fuse_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {
        device.id: (device.block, device.word("slot"), f"{device.ratings['current']:g}A", fed_from(variant, device))
        for device in variant.devices.values()
        if is_fuse(device) and device.block
    }
    found = {}
    for owner, head, row in rows_under(taken, "Slot", "Fuse", "Rating"):
        cell = dict(zip(head, row, strict=True))
        found[cell["Fuse"]] = (owner, cell["Slot"], cell["Rating"], cell["Fed from"])
    return differing(expected, found)


def joint_faults(variant: Variant, taken: Taken) -> list[str]:
    """Splices and grounds: the wires at each, with colour and size."""
    expected: dict[object, object] = {}
    for item in (*variant.splices, *variant.grounds):
        expected[item] = sorted(f"{w.id}{colour_of(w)}{size_of(w)}" for w in variant.wires_of_item(item))
    found: dict[object, object] = {}
    for first in ("Splice", "Ground"):
        for _, head, row in rows_under(taken, first, "Name"):
            found[row[0]] = sorted(row[head.index("Wires")].split(";"))
    return differing(expected, found)


def component_faults(variant: Variant, taken: Taken) -> list[str]:
    expected = {d.id: (squeezed(d.title), ",".join(d.connectors)) for d in variant.devices.values()}
    found = {
        row[0]: (row[1], row[head.index("Connectors")])
        for _, head, row in rows_under(taken, "Component", "Name", "Kind")
    }
    return differing(expected, found)


def index_faults(variant: Variant, taken: Taken) -> list[str]:
    """Everything that has an id stands in the index, by id and by name."""
    wanted = {*variant.items, *variant.circuits, *variant.zones}
    by_id = {row[0] for first in ("Id", "Circuit") for _, head, row in rows_under(taken, first) if index_like(head)}
    by_name = {row[1] for _, _, row in rows_under(taken, "Name", "Id", "What")}
    return [f"{name} is not in the index" for name in sorted((wanted - by_id) | (wanted - by_name))]


def index_like(head: Head) -> bool:
    return len(head) == 4 and head[1] == "Name" and head[-1].startswith("Sheets")


def drawing_faults(variant: Variant, taken: Taken) -> list[str]:
    """Each wire is drawn on some sheet, with its size and colour at every place where it is drawn."""
    said: dict[str, list[str]] = {}
    for labels in taken.labels.values():
        for wire, words in labels:
            said.setdefault(wire, []).append(words)
    faults = []
    for wire in variant.wires:
        size = wire.size.name if wire.size and wire.size.system == "mm2" else str(wire.size or size_of(wire))
        parts = {*size.split(), colour_of(wire)} - {"–"}
        places = said.get(wire.id, [])
        if not places:
            faults.append(f"{wire.id} is on no sheet")
        faults += [f"{wire.id} is drawn as {words}" for words in places if not parts <= set(words.split())]
    return faults


def sheet_faults(variant: Variant, taken: Taken) -> list[str]:
    """Every sheet that a row names shows what the row is about: an item by its id, a circuit by one of its wires."""
    faults = []
    for (_, head), rows in joined(taken.charts).items():
        column = next((place for place, title in enumerate(head) if title.startswith("Sheets")), None)
        if column is None or not (subject := subject_of(head)):
            continue
        for row in rows:
            name = row[head.index(subject)].lstrip("›")
            faults += [
                f"{subject} {name} is not on sheet {sheet}"
                for sheet in sheets_in(row[column], taken)
                if not shows(variant, taken.sheets.get(sheet, frozenset()), subject, name, row)
            ]
    return faults


def subject_of(head: Head) -> str:
    names = ("Wire", "Circuit", "Id", "Splice", "Ground", "Component", "Fuse", "Link", "Device")
    return next((title for title in head if title in names), "")


def sheets_in(cell: str, taken: Taken) -> list[str]:
    """The numbers of sheets in a cell such as `38C4,38(2)`; the zone of the frame is left out."""
    found = []
    for part in filter(None, cell.split(",")):
        number = re.sub(r"(\(\d+\))", r" \1", part)
        zoned = re.sub(r"[A-H]\d$", "", number).strip()
        found.append(number if number in taken.sheets else zoned)
    return found


def shows(variant: Variant, words: frozenset[str], what: str, name: str, row: Head) -> bool:
    if what == "Wire" or (
        what in ("Circuit", "Id") and name in variant.circuits and "circuit" in (what.lower(), row[2])
    ):
        circuit = variant.wire_by_id[name].circuit if what == "Wire" else name
        return any(wire.id in words for wire in variant.wires_of_circuit(circuit))
    item = variant.items.get(name)
    held = item.device if isinstance(item, Connector) else ""
    return name in words or held in words


CHECKS: tuple[Callable[[Variant, Taken], list[str]], ...] = (
    wire_list_faults,
    cavity_faults,
    fuse_faults,
    joint_faults,
    component_faults,
    index_faults,
    drawing_faults,
    sheet_faults,
)


@BOTH
@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__.removesuffix("_faults"))
def test_what_is_published_is_the_model(form: str, check: Callable[[Variant, Taken], list[str]]) -> None:
    assert check(demo().variant, demo().read[form]) == []


def test_paper_says_what_the_page_says() -> None:
    """Every chart, cell by cell."""
    page, paper = (joined(demo().read[form].charts) for form in ("page", "paper"))
    assert len(page) > 100
    assert set(page) == set(paper)
    for name, rows in page.items():
        assert paper[name] == rows, name
    assert demo().read["page"].sheets.keys() == demo().read["paper"].sheets.keys()


# -- references --------------------------------------------------------------------------------------------------------


def link_faults(found: Published) -> list[str]:
    """A link on the page whose words are the id of something leads to where that thing stands."""
    page, variant = found.page, found.variant
    by_id = {element.get("id"): element for element in page.iterfind(".//*[@id]")}
    faults = []
    for link in page.iterfind(".//main//a[@href]"):
        words, goal = texts(link).strip(), by_id.get(link.get("href", "").removeprefix("#"))
        if goal is None:
            faults.append(f"{words} leads nowhere")
        elif words in variant.items or words in variant.wire_by_id or words in variant.circuits:
            if words not in named_by(goal):
                faults.append(f"{words} leads to {first_word(goal)}")
        elif (match := re.fullmatch(r"([^.\s]+)\.(\S+)", words)) and match[1] in variant.connectors:
            group = next(e for e in goal.iterancestors("div") if e.get("data-item"))
            if (group.get("data-item"), first_word(goal)) != (match[1], match[2]):
                faults.append(f"{words} leads to {first_word(goal)} of {group.get('data-item')}")
    return faults


def first_word(element: html.HtmlElement) -> str:
    title = element.find("h3") if element.tag == "div" else element.find("td")
    return (texts(title if title is not None else element).split() or [""])[0]


def named_by(element: html.HtmlElement) -> set[str]:
    """The ids that a place may be known by: the cells of a row, the first word of a heading."""
    if element.tag == "tr":
        return {texts(cell) for cell in element}
    title = texts(element.find("h3"))
    return {title.split()[0], sheet_number(title) if title.startswith("Sheet ") else ""}


def test_every_link_of_the_page_leads_to_what_it_names() -> None:
    assert link_faults(demo()) == []


def test_every_arrow_has_its_twin() -> None:
    """An arrow names a sheet that shows the same wire, with an arrow back or with its end."""
    sheets = drawn(demo().page)
    arrows = [
        (name, arrow, texts(arrow.find(".//text")).removeprefix("sheet "))
        for name, group in sheets.items()
        for arrow in group.iterfind(".//g[@class='arrow']")
    ]
    assert len(arrows) > 100
    for name, arrow, goal in arrows:
        wire = arrow.get("data-wire")
        assert goal in sheets, (name, wire, goal)
        assert sheets[goal].find(f".//g[@class='wire'][@data-wire='{wire}']") is not None, (name, wire, goal)


def paper_faults(found: Published) -> list[str]:
    """A printed page number is that of the page the link leads to; the thing named stands on that page."""
    variant = found.variant
    ids = {*variant.items, *variant.wire_by_id, *variant.circuits}
    words = [set(re.split(r"[\s,;.]+", text)) | set(text.split()) for text in found.paper]
    faults = []
    for text, goal in found.links:
        page = re.search(r"p\.\s(\d+)$", text)
        # The title page has no number; the next one is page 1.
        if page and int(page[1]) != goal:
            faults.append(f"{text} leads to page {goal}")
        name = text.strip()
        if name in ids and name not in words[goal]:
            faults.append(f"{name} is not on page {goal}")
    return faults


def test_every_link_and_page_number_on_paper_is_right() -> None:
    assert len(demo().links) > 5000
    assert sum("p.\u00a0" in text or "p. " in text for text, _ in demo().links) > 500
    assert paper_faults(demo()) == []


def test_the_foot_of_each_page_gives_its_number() -> None:
    pages = demo().paper[1:]
    for number, text in enumerate(pages, 1):
        assert re.search(rf"\b{number} / {len(pages)}\b", text), number


# -- the checks themselves ---------------------------------------------------------------------------------------------


def altered(pack: Pack, table: str, key: str, old: str, new: str) -> Pack:
    """A pack with one word of one column of a table changed."""
    done = 0

    def leaf(block: object) -> object:
        nonlocal done
        if not isinstance(block, Table) or block.id != table:
            return block
        column = [c.key for c in block.columns].index(key)
        rows = []
        for row in block.rows:
            cell = row.cells[column]
            if old in [run.text for run in cell.runs] and not done:
                done += 1
                runs = tuple(run._replace(text=new) if run.text == old else run for run in cell.runs)
                cells = (*row.cells[:column], cell._replace(runs=runs), *row.cells[column + 1 :])
                rows.append(row._replace(cells=cells))
            else:
                rows.append(row)
        return replace(block, rows=tuple(rows))

    def section(one: Section) -> Section:
        blocks = [
            b._replace(blocks=tuple(leaf(x) for x in b.blocks)) if isinstance(b, Group) else leaf(b) for b in one.blocks
        ]
        return replace(one, blocks=tuple(blocks))  # type: ignore[arg-type]

    changed = replace(pack, sections=tuple(map(section, pack.sections)))
    assert done == 1
    return changed


@pytest.fixture(scope="module")
def small_pack(small: Variant) -> Pack:
    return build_pack(small, draw_sheets(small), line="Tern")


@pytest.fixture(scope="module")
def clean(small: Variant, small_pack: Pack) -> Published:
    return published(small, small_pack)


PLANTED = (
    ("wires", "colour", "BN", "BU"),  # of the first wire in brown, 50A
    ("wires", "size", "2.5 mm²", "4 mm²"),  # 48A
    ("connector-item-C40", "a-colour", "BK/WH", "BK"),
    ("connector-item-C40", "b-wire", "48D", "48C"),
    ("fuses-block-FB1", "rating", "25 A", "20 A"),
    ("splices", "wires", " BN 0.75 mm²", " BN 1 mm²"),
    ("grounds", "wires", " BK 2 mm²", " RD 2 mm²"),
    ("index-ids", "id", "SP1", "SP2"),
)


def test_planted_disagreements_are_found(small: Variant, small_pack: Pack, clean: Published) -> None:
    spoilt_pack = small_pack
    for table, key, old, new in PLANTED:
        spoilt_pack = altered(spoilt_pack, table, key, old, new)
    spoilt = published(small, spoilt_pack)
    for form in ("page", "paper"):
        for check in CHECKS:
            assert check(small, clean.read[form]) == []
        found = {
            check.__name__: [re.split(r": | is ", fault)[0] for fault in faults]
            for check in CHECKS
            if (faults := check(small, spoilt.read[form]))
        }
        assert found == {
            "wire_list_faults": ["48A", "50A"],
            "cavity_faults": ["('C40', '7', 0)", "('C40', '7', 1)"],
            "fuse_faults": ["F9"],
            "joint_faults": ["G1", "SP1"],
            "index_faults": ["SP1"],
        }


def test_a_wrong_reference_is_found(small: Variant, small_pack: Pack, clean: Published) -> None:
    assert link_faults(clean) == []
    assert paper_faults(clean) == []
    wrong = small_pack.section("splices")
    runs = (Run("SP1", "item-G1", page=True),)
    (table,) = wrong.tables
    row = table.rows[0]._replace(cells=(table.rows[0].cells[0]._replace(runs=runs), *table.rows[0].cells[1:]))
    blocks = tuple(replace(table, rows=(row, *table.rows[1:])) if b is table else b for b in wrong.blocks)
    sections = tuple(replace(s, blocks=blocks) if s is wrong else s for s in small_pack.sections)
    spoilt = published(small, replace(small_pack, sections=sections))
    assert link_faults(spoilt) == ["SP1 leads to G1"]
    assert len(paper_faults(spoilt)) == 1
