"""The pack on paper."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pikepdf
import pytest

from compiler.fonts import coverage, drawable, is_mark, printable, stand_in, troubles
from compiler.model.variant import Variant
from renderers.around import Around
from renderers.document import Figure, Group, Pack, Paragraph, Section
from renderers.drawings import svg
from renderers.pack import build_pack
from renderers.part import Part, part_of
from renderers.tables import Column, Row, Run, Table, cell
from renderers.text import anchor
from renderers.writers.print_engine import PrintError
from renderers.writers.print_pdf import write_pdf
from tests.published import sample
from tests.renderers.vehicles import HOSTILE


def pdf_of(pack: Pack, paper: str = "a4") -> bytes:
    (data,) = write_pdf(pack, "us-letter" if paper == "us-letter" else "a4").values()
    return data


@cache
def text_of(data: bytes) -> str:
    """The text of a PDF as a reader would copy it, spaces made plain."""
    run = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True)
    return re.sub("[\u00a0\u200b]", " ", run.stdout.decode("utf-8"))


@pytest.fixture(scope="module")
def small_pdf(small_pack: Pack) -> bytes:
    return pdf_of(small_pack)


def test_every_id_can_be_found_by_its_text(small: Variant, small_pdf: bytes) -> None:
    words = set(re.split(r"[\s,;]+", text_of(small_pdf)))
    wanted = {wire.id for wire in small.wires} | set(small.items) | set(small.circuits)
    assert wanted - words == set()


def test_text_in_drawings_can_be_found(small_pdf: bytes, small: Variant) -> None:
    page = next(p for p in text_of(small_pdf).split("\f") if p.strip().startswith("Sheet 38"))
    assert {wire.id for wire in small.wires_of_circuit("48")} <= set(page.split())


def test_every_page_but_the_title_carries_caution_and_number(small_pdf: bytes) -> None:
    title, *pages = text_of(small_pdf).rstrip("\f").split("\f")
    assert "Battery disconnected" in title
    for number, page in enumerate(pages, 1):
        assert "Battery disconnected" in page
        assert re.search(rf"\b{number} / {len(pages)}\b", page)


def test_page_references_are_right(small_pdf: bytes) -> None:
    pages = text_of(small_pdf).split("\f")
    found = re.search(r"\bSP1 p\. (\d+) +splice", "\n".join(pages))
    assert found is not None
    assert "Splice index" in pages[int(found[1])]


def opened(data: bytes) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(data))


def said_by(tool: list[str], data: bytes, folder: Path) -> str:
    path = folder / "t.pdf"
    path.write_bytes(data)
    return subprocess.run([*tool, str(path)], capture_output=True, text=True, check=True).stdout


def test_it_says_what_it_is(small_pdf: bytes, tmp_path: Path) -> None:
    info = said_by(["pdfinfo"], small_pdf, tmp_path)
    assert re.search(r"Tagged: +yes", info)
    assert re.search(r"Title: +TITLE: Wiring", info)
    assert "CreationDate" not in info
    with opened(small_pdf) as pdf:
        assert pdf.Root.Lang == "en-GB"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        with pdf.open_metadata() as about:
            assert about["pdfuaid:part"] == "1"


def test_every_section_has_a_bookmark_that_leads_to_it(small_pack: Pack, small_pdf: bytes) -> None:
    pages = text_of(small_pdf).split("\f")
    with opened(small_pdf) as pdf, pdf.open_outline() as outline:
        marks = {item.title: item for item in outline.root}
        assert {section.title for section in small_pack.sections} <= set(marks)
        for section in small_pack.sections:
            place = marks[section.title].destination
            number = pdf.pages.index(pikepdf.Page(_page(pdf, place)))
            assert section.title in pages[number]


def _page(pdf: pikepdf.Pdf, place: object) -> pikepdf.Dictionary:
    """The page of a destination, which may go by name."""
    if isinstance(place, pikepdf.String | str | bytes):
        place = pikepdf.NameTree(pdf.Root.Names.Dests)[str(place)]
    if isinstance(place, pikepdf.Dictionary):
        place = place.D
    assert isinstance(place, pikepdf.Array)
    page = place[0]
    assert isinstance(page, pikepdf.Dictionary)
    return page


def links(pdf: pikepdf.Pdf) -> Iterator[pikepdf.Dictionary]:
    for page in pdf.pages:
        for note in page.get("/Annots", []):
            if isinstance(note, pikepdf.Dictionary) and note.Subtype == "/Link":
                yield note


def test_every_link_leads_somewhere_and_says_where(small_pdf: bytes) -> None:
    with opened(small_pdf) as pdf:
        pages = {page.objgen for page in pdf.pages}
        found = list(links(pdf))
        assert len(found) > 100
        for link in found:
            assert _page(pdf, link.get("/Dest") or link.A.D).objgen in pages
            assert re.search(r"page \d+$", str(link.Contents))
            assert "/StructParent" in link


def test_every_thing_can_be_reached_from_where_it_is_named(small_pack: Pack, small_pdf: bytes) -> None:
    """As many links as the pack says: none is lost on the way to paper."""
    asked = sum(
        bool(run.link) for table in small_pack.tables for row in table.rows for cell in row.cells for run in cell.runs
    )
    with opened(small_pdf) as pdf:
        assert sum(1 for _ in links(pdf)) >= asked > 0


def test_the_tags_say_what_a_reader_cannot_see(small_pdf: bytes, tmp_path: Path) -> None:
    tree = said_by(["pdfinfo", "-struct"], small_pdf, tmp_path)
    for tag in ("H1", "H2", "Table", "THead", "TH", "TR", "TD", "Figure", "Link", "L", "LI", "TOC"):
        assert re.search(rf"^ *{tag}\b", tree, re.MULTILINE), tag
    with opened(small_pdf) as pdf:
        figures = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure"]
        assert figures
        assert all(str(figure.get("/Alt", "")) for figure in figures)


def test_fonts_are_in_the_file_with_their_letters(small_pdf: bytes, tmp_path: Path) -> None:
    _, _, *rows = said_by(["pdffonts"], small_pdf, tmp_path).splitlines()
    assert rows
    for row in rows:
        embedded, subset, unicode = row.split()[-5:-2]
        assert (embedded, subset, unicode) == ("yes", "yes", "yes")


def test_a_link_leads_to_the_line_that_it_names(small: Variant, small_pdf: bytes, tmp_path: Path) -> None:
    """Every wire's place, looked up by name, is on the page and at the height where its row begins."""
    path = tmp_path / "t.pdf"
    path.write_bytes(small_pdf)
    with opened(small_pdf) as pdf:
        names = dict(pikepdf.NameTree(pdf.Root.Names.Dests).items())
        for wire in small.wires:
            page, form, x, y, _ = names[anchor("wire", wire.id)]
            number = pdf.pages.index(pikepdf.Page(page))
            top = float(pdf.pages[number].mediabox[3]) - float(y)
            box = ["-x", str(int(x) - 2), "-y", str(int(top) - 2), "-W", "60", "-H", "14"]
            run = ["pdftotext", "-f", str(number + 1), "-l", str(number + 1), *box, str(path), "-"]
            assert subprocess.run(run, capture_output=True, text=True, check=True).stdout.split()[:1] == [wire.id]
            assert form == "/XYZ"


@pytest.mark.parametrize("words", ["loom:item-K7", "/A<</Type/Action/S/URI/URI(loom:nowhere)>>/Contents(loom:nowhere)"])
def test_a_text_that_reads_like_a_link_of_ours_is_a_text(small_pack: Pack, words: str) -> None:
    """It stands in the file as it is: as a bookmark's title, too."""
    pdf = pdf_of(replace(small_pack, sections=(replace(small_pack.section("sizes"), title=words),)))
    with opened(pdf) as document:
        assert words in [str(entry.title) for entry in document.open_outline().root]


def test_two_builds_are_the_same(small_pack: Pack, small_pdf: bytes) -> None:
    assert pdf_of(small_pack) == small_pdf


def test_it_carries_the_time_it_is_told(small_pack: Pack, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert made_on(pdf_of(small_pack)) == "D:20231114221320Z"
    (data,) = write_pdf(small_pack, date=1_600_000_000).values()
    assert made_on(data) == "D:20200913122640Z"
    for unreadable in ("soon", "9" * 20, "9" * 5000):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", unreadable)
        assert made_on(pdf_of(small_pack)) == ""


def test_marks_that_the_engine_refuses_in_drawings_stand_behind_their_letter() -> None:
    assert drawable("Ho\u0308rn") == "H\u00f6rn"
    assert drawable("x\u0304 \u0433\u0443\u0301\u0434\u043a\u0430") == "x\u00af \u0433\u0443\u00b4\u0434\u043a\u0430"
    assert drawable("\u05d0\u05b8") == "\u05d0" + stand_in()
    assert (troubles("Ho\u0308rn \u0416 \u03a9"), troubles("\u6f22a\u0304x\u0304\u6f22")) == ("", "\u6f22\u0304")


def test_any_letter_with_any_mark_can_be_drawn(small_pack: Pack) -> None:
    marks = [chr(code) for code in sorted(coverage()) if is_mark(chr(code))]
    texts = [f"{letter}{mark}b" for letter in "xe5\u0436\u05d0\u6f22" for mark in (*marks, "\u200d", "\ufe0f", "\u20dd")]
    texts += ["e\u0301\u0304\u0308", "\u0301", "\U0001f600\u200d\U0001f600"]
    labels = [svg.text(10.0, 8.0 * place, text, 6.0) for place, text in enumerate(texts, 1)]
    figure = Figure("f", " ".join(texts[-9:]), svg.drawing(99.0, 600.0, labels), 99.0, 600.0, " ".join(texts[-9:]))
    pack = replace(small_pack, title=texts[0], sections=(Section("s", "S", (figure,)),))
    assert "x\u00b4b" in text_of(pdf_of(pack))


def made_on(data: bytes) -> str:
    with opened(data) as pdf:
        return str(pdf.docinfo.get("/CreationDate", ""))


def test_letter_paper(small_pack: Pack) -> None:
    with opened(pdf_of(small_pack, "us-letter")) as pdf:
        assert {tuple(map(float, page.mediabox)) for page in pdf.pages} == {(0, 0, 612, 792), (0, 0, 792, 612)}


def test_a_sheet_has_one_page_on_either_paper(small_pack: Pack) -> None:
    drawn = sum(bool(figure.sheet) for section in small_pack.sections for figure in section.figures)
    assert drawn >= 2
    for paper in ("a4", "us-letter"):
        pages = text_of(pdf_of(small_pack, paper)).split("\f")
        assert sum(page.strip().startswith("Sheet 3") for page in pages) == drawn


def test_a_row_stays_on_one_page_unless_it_is_longer_than_one(small_pack: Pack) -> None:
    columns = (Column("a", "Id", "id", 10), Column("b", "Words", "text", 30))
    plain = [Row((cell(f"row{n}"), cell(" ".join(f"w{n}x{k}" for k in range(20 + n % 3 * 40))))) for n in range(60)]
    tall = Row((cell("tall"), cell(" ".join(f"t{k}" for k in range(2000)))))
    table = Table("t", "Rows", columns, (*plain, tall))
    section = replace(small_pack.section("sizes"), blocks=(table,))
    pages = text_of(pdf_of(replace(small_pack, sections=(section,), sheets={}))).split("\f")
    for n in range(60):
        first, last = (
            next(p for p, page in enumerate(pages) if re.search(rf"\bw{n}x{k}\b", page)) for k in (0, 19 + n % 3 * 40)
        )
        assert first == last
    assert {k for page in pages for k in re.findall(r"\bt(\d+)\b", page)} == {str(k) for k in range(2000)}


def test_a_short_table_stays_whole_with_its_heading_and_a_long_one_says_whose_it_is(small_pack: Pack) -> None:
    columns = (Column("a", "Cavity", "id", 10), Column("b", "Wire", "text", 30, "Harness side"))
    made = []
    for n in range(40):
        count = 150 if n == 20 else 5
        held = tuple(Row((cell(f"c{n}x{k}"), cell("wire"))) for k in range(count))
        table = Table(f"t{n}", "", columns, held, (), "connectors", f"CN{n}", "Connector")
        made.append(Group(f"g{n}", f"Head{n}", (Paragraph((Run(f"Where {n}"),)), table), ""))
    section = replace(small_pack.section("sizes"), blocks=tuple(made))
    pages = text_of(pdf_of(replace(small_pack, sections=(section,), sheets={}))).split("\f")[2:]
    for n in range(40):
        own = [page for page in pages if re.search(rf"\bc{n}x", page)]
        assert all(re.search(rf"\bCN{n}\b", page) for page in own)
        assert len(own) == 1 if n != 20 else len(own) > 1
        assert f"Head{n}\n" in own[0]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_what_closes_a_group_stays_with_the_last_row_of_its_table(small_pack: Pack, paper: str) -> None:
    columns = (Column("a", "Cause", "id", 10), Column("b", "Repair", "text", 30))
    made = []
    for n in range(1, 40):
        held = tuple(Row((cell(f"c{n}x{k}"), cell("Renew it."))) for k in range(1, n + 1))
        ends = (Paragraph((Run(f"See{n} the notes."),)), Paragraph((Run(f"Closes{n} " + "and all works " * n),)))
        made.append(Group(f"g{n}", f"Head{n}", (Paragraph((Run("Where"),)), Table(f"t{n}", "", columns, held), *ends)))
    section = replace(small_pack.section("sizes"), blocks=tuple(made))
    pages = text_of(pdf_of(replace(small_pack, sections=(section,), sheets={}), paper)).split("\f")[2:]
    assert len(pages) > 15
    for n in range(1, 40):
        (page,) = (page for page in pages if f"Closes{n} " in page)
        assert re.search(rf"\bc{n}x{n}\b.*\bSee{n}\b.*\bCloses{n}\b", page, re.DOTALL)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_no_page_of_fault_charts_begins_with_the_end_of_the_chart_before(paper: str) -> None:
    variant = sample("S4")
    pack = build_pack(variant, {}, around=Around(faults="source"))
    pages = text_of(pdf_of(part_of(pack, Part(sections=("isolation",))), paper)).split("\f")
    own = [[line for line in map(str.strip, page.split("\n")) if line] for page in pages]
    tops = [lines[1] for lines in own if lines and lines[0].endswith("Fault isolation")]
    assert len(tops) > 25
    assert not [top for top in tops if top.startswith(("Verify again", "Charts that these", "Repair notes"))]
    assert sum(line.startswith("Verify again") for lines in own for line in lines) > 20


def test_hostile_words_are_printed_as_they_are(hostile_pack: Pack) -> None:
    text = re.sub(r"\s+", "", text_of(pdf_of(hostile_pack)))
    for words in HOSTILE[:8]:
        assert re.sub(r"\s+", "", words) in text


def test_characters_that_the_font_lacks_are_replaced(small_pack: Pack) -> None:
    assert 0x41 in coverage()
    assert ord("Ω") in coverage()
    assert ord("日") not in coverage()
    assert printable("日Ω\U0001f600") == f"{stand_in()}Ω{stand_in()}"
    section = replace(small_pack.section("sizes"), blocks=(Paragraph((Run("日本 Ω"),)),))
    assert f"{stand_in() * 2} Ω" in text_of(pdf_of(replace(small_pack, sections=(section,), sheets={})))


def test_a_refusal_of_the_print_engine_is_told(small_pack: Pack) -> None:
    section = replace(small_pack.section("sizes"), blocks=(Paragraph((Run("here", "item-nowhere"),)),))
    with pytest.raises(PrintError, match="item-nowhere"):
        write_pdf(replace(small_pack, sections=(section,)))
