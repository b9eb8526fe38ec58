"""The published pack of the demo variant, page and paper taken apart, against the model: everything stands where it
should, with the same colour and size everywhere, and every reference lands where it says.

What is expected comes from the model alone; `apart` reads what was published and knows nothing of the writers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache

import pytest
from lxml import html

from compiler.model.variant import Variant
from renderers.document import Group, Pack, Section
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.tables import Run, Table
from renderers.writers.html_folder import write_html
from renderers.writers.print_pdf import write_pdf
from tests.published import sample, sample_pack
from tests.renderers.against_model import CHECKS
from tests.renderers.apart import (
    PaperSheet,
    Taken,
    drawn,
    joined,
    of_page,
    of_paper,
    page_of,
    paper_links,
    sheet_number,
    sheets_of_paper,
    texts,
)
from tests.renderers.drawings_apart import drawing_faults, drawing_of
from tests.renderers.pdf_ua import violations


@dataclass(frozen=True)
class Published:
    """A pack in both forms: the page as elements and both as read, the text of each printed page and its links."""

    variant: Variant
    page: html.HtmlElement
    read: Mapping[str, Taken]
    paper: list[str]
    links: list[tuple[str, int]]
    drawings: list[PaperSheet]
    pdf: bytes


def published(variant: Variant, pack: Pack, printed: Pack | None = None) -> Published:
    """The pack in both forms. `printed` is another one to be on paper, so that the two disagree."""
    (data,) = write_pdf(printed or pack).values()
    page = page_of(write_html(pack)["index.html"])
    of_screen = of_page(page)
    paper, links = paper_links(data)
    drawings = list(sheets_of_paper(data))
    read = {"page": of_screen, "paper": of_paper(data, (chart.head for chart in of_screen.charts), drawings)}
    return Published(variant, page, read, paper, links, drawings, data)


@cache
def demo() -> Published:
    return published(sample("S4"), sample_pack("S4"))


BOTH = pytest.mark.parametrize("form", ["page", "paper"])


@BOTH
@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__.removesuffix("_faults"))
def test_what_is_published_is_the_model(form: str, check: Callable[[Variant, Taken], list[str]]) -> None:
    assert check(demo().variant, demo().read[form]) == []


def test_paper_is_fit_for_screen_readers() -> None:
    """By our own reading of PDF/UA-1, over the file that was joined of all parts."""
    assert violations(demo().pdf) == []


def test_paper_says_what_the_page_says() -> None:
    """Every chart, cell by cell."""
    page, paper = (joined(demo().read[form].charts) for form in ("page", "paper"))
    assert len(page) > 100
    assert set(page) == set(paper)
    for name, rows in page.items():
        assert paper[name] == rows, name
    assert demo().read["page"].sheets.keys() == demo().read["paper"].sheets.keys()


def drawings_apart(found: Published) -> list[str]:
    """Where a drawing on paper is not that of the page, stroke by stroke and word by word; sheets in a state too."""
    figures = [
        figure for figure in found.page.iterfind(".//main//figure") if "sheet" in figure.get("class", "").split()
    ]
    assert len(figures) == len(found.drawings)
    return [
        f"sheet {paper.sheet}: {fault}"
        for figure, paper in zip(figures, found.drawings, strict=True)
        for fault in drawing_faults(drawing_of(figure.find(".//svg")), paper.words, paper.strokes)
    ]


def test_the_drawings_on_paper_are_those_of_the_page() -> None:
    assert len(demo().drawings) > 60
    assert drawings_apart(demo()) == []


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
        elif words == "chart" or words in variant.trouble_codes:
            complaint = charted_by(link, words)
            if complaint not in texts(goal).replace("“", ""):
                faults.append(f"{complaint} leads to {texts(goal.find('h3'))}")
        elif (match := re.fullmatch(r"([^.\s]+)\.(\S+)", words)) and match[1] in variant.connectors:
            # To the row of the cavity; the instructions of a fault chart lead to the connector itself.
            groups = [e for e in (goal, *goal.iterancestors("div")) if e.tag == "div" and e.get("data-item")]
            group = groups[0] if groups else goal
            if group.get("data-item") != match[1] or (group is not goal and first_word(goal) != match[2]):
                faults.append(f"{words} leads to {first_word(goal)} of {group.get('data-item')}")
    return faults


def charted_by(link: html.HtmlElement, words: str) -> str:
    """The complaint or code that a row of the index leads to the chart of: after the colon, where it stands under one of
    its words."""
    if words != "chart":
        return words
    name = texts(next(link.iterancestors("tr"))[0])
    muted = next(link.iterancestors("tr"))[0].find("span")
    return name if muted is None else texts(muted)


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
            "sheet_faults": ["Id SP2"],
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
