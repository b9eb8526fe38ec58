"""The pack on paper."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from compiler.model.variant import Variant
from renderers.document import Pack, Paragraph
from renderers.fonts import coverage, printable, stand_in
from renderers.tables import Run
from renderers.writers.print_pdf import PrintError, write_pdf
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


def test_it_is_tagged_and_bookmarked(small_pdf: bytes, tmp_path: Path) -> None:
    path = tmp_path / "t.pdf"
    path.write_bytes(small_pdf)
    info = subprocess.run(["pdfinfo", str(path)], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Tagged: +yes", info)
    assert re.search(r"Title: +TITLE: Wiring", info)
    assert "CreationDate" not in info
    assert b"/Outlines" in small_pdf
    assert b"pdfuaid:part" in small_pdf


def test_two_builds_are_the_same(small_pack: Pack, small_pdf: bytes) -> None:
    assert pdf_of(small_pack) == small_pdf


def test_it_carries_the_time_it_is_told(small_pack: Pack, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert b"D:20231114" in pdf_of(small_pack)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    assert b"/CreationDate" not in pdf_of(small_pack)


def test_letter_paper(small_pack: Pack) -> None:
    data = pdf_of(small_pack, "us-letter")
    assert b"/MediaBox[0 0 612 792]" in data
    assert b"/MediaBox[0 0 792 612]" in data


def test_a_sheet_has_one_page_on_either_paper(small_pack: Pack) -> None:
    for paper in ("a4", "us-letter"):
        pages = text_of(pdf_of(small_pack, paper)).split("\f")
        assert sum(page.strip().startswith("Sheet 3") for page in pages) == 2


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
