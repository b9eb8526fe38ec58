"""What a component, bus or ground says of other pages is true: each page named draws it, and of no sheet that draws it all
pages are left out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from xml.etree import ElementTree

import pytest

from compiler.changes.drawn import sheet_of
from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, draw_sheets, portions
from renderers.sheets.ink import Words
from renderers.sheets.pointers import Pointer, pointer_ink, pointer_words
from tests.chaos.variants import make_variant

from .conftest import SAMPLES, drawn

Make = Callable[[str], Variant]
NS = "{http://www.w3.org/2000/svg}"


def drawn_on(figures: Mapping[str, SheetFigure]) -> dict[str, set[str]]:
    """Item -> pages that draw it, as the drawings say."""
    found: dict[str, set[str]] = {}
    for page, figure in figures.items():
        for item in re.findall(r'data-item="([^"]*)"', figure.svg):
            found.setdefault(item, set()).add(page)
    return found


def pointers(figures: Mapping[str, SheetFigure]) -> Iterator[tuple[str, str, str, list[str]]]:
    """Page, item, lead and pages named of every pointer."""
    for page, figure in figures.items():
        for group in ElementTree.fromstring(figure.svg).iter(f"{NS}g"):
            if group.get("class") in ("device", "bus", "ground"):
                own = (part for part in group if part.get("class") is None)  # no symbols, no terminals
                lines = [text.text or "" for part in own for text in part.iter(f"{NS}text")]
                start = next((n for n, line in enumerate(lines) if line.startswith(("see sheet", "more on"))), None)
                if start is not None:
                    lead, names = re.fullmatch(r"(see sheets?|more on) (.*)", " ".join(lines[start:])).groups()  # type: ignore[union-attr]
                    yield page, group.get("data-item", ""), lead, named(names)


def named(names: str) -> list[str]:
    """The pages that a list names, those between the ends of a row among them."""
    pages = []
    for name in names.split(", "):
        first, _, last = name.partition(" to ")
        pages.append(first)
        if last:
            start, end = (int(n[0]) if (n := re.findall(r"\((\d+)\)$", p)) else 1 for p in (first, last))
            pages += [f"{sheet_of(first)} ({n})" for n in range(start + 1, end + 1)]
    return pages


def false_pointers(variant: Variant, figures: Mapping[str, SheetFigure]) -> Iterator[str]:
    """Every way in which pointers and drawings disagree."""
    where = drawn_on(figures)
    said = set()
    for page, item, lead, names in pointers(figures):
        said.add((page, item))
        yield from (f"{page}: {item} names {name}, which does not draw it" for name in names if name not in where[item])
        own = [name for name in names if sheet_of(name) == sheet_of(page)]
        if page in names or (lead == "more on") != (len(own) == len(names)) or (lead == "see sheet") != (
            len(names) == 1 and not own
        ):
            yield f"{page}: {item} says {lead} {names}"
    # A bus or ground that the tool's own sheet parts says so on each of its pages.
    for item in (*variant.buses, *variant.grounds):
        letter = "P" if item in variant.buses else "G"
        pages = [page for page in where.get(item, ()) if sheet_of(page) == letter and letter not in variant.sheets]
        if pages:
            others = [page for page in where[item] if sheet_of(page) != letter]
            yield from (f"{page}: {item} points nowhere" for page in others if (page, item) not in said)
        if len(pages) > 1:
            yield from (f"{page}: {item} is parted without a word" for page in pages if (page, item) not in said)


@pytest.mark.parametrize("name", SAMPLES)
def test_pointers_of_the_samples_are_true(name: str) -> None:
    variant, figures = drawn(name)
    assert list(false_pointers(variant, figures)) == []


@pytest.mark.parametrize("seed", range(6))
def test_pointers_of_generated_variants_are_true(seed: int, variant_of: Make) -> None:
    variant = variant_of(make_variant(seed, 60 + 30 * seed))
    assert list(false_pointers(variant, draw_sheets(variant))) == []


def test_pointers_of_sheets_in_portions_are_true(variant_of: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(portions, "LARGE", 30)
    variant = variant_of(make_variant(1, 200))
    assert list(false_pointers(variant, draw_sheets(variant))) == []


def test_a_pointer_names_pages() -> None:
    found = {(page, item): (lead, names) for page, item, lead, names in pointers(drawn("S4").figures)}
    assert found["25", "K12"] == ("see sheet", ["28 (2)"])
    assert any(lead == "more on" and sheet_of(page) == "P" for (page, _), (lead, _) in found.items())


@pytest.mark.parametrize(
    ("here", "pages", "words"),
    [
        ("25", (), ""),
        ("25", ("28 (2)",), "see sheet 28 (2)"),
        ("25", ("12", "28 (2)"), "see sheets 12, 28 (2)"),
        ("P", ("P (6)",), "more on P (6)"),
        ("P (6)", ("P", "P (2)", "P (3)", "P (5)"), "more on P to P (3), P (5)"),
        ("16 (2)", ("16", "17"), "see sheets 16, 17"),
        ("9", ("16", "16 (2)", "17", "18"), "see sheets 16, 16 (2), 17, 18"),
    ],
)
def test_other_pages_in_words(here: str, pages: tuple[str, ...], words: str) -> None:
    assert pointer_words(here, pages) == words


def test_what_finds_no_room_is_named_by_the_page_that_leads_on() -> None:
    room = Pointer("A1", 0, 0, "start", 60, 1)

    def text(here: str, *pages: str) -> list[str]:
        return [words.text for words in pointer_ink(room, here, pages) if isinstance(words, Words)]

    assert text("25", "16", "16 (3)") == ["see sheet 16"]
    assert text("P (3)", "P", "P (2)", "P (5)", "P (8)", "P (9)") == ["more on P (5)"]
    assert text("P (9)", "P", "P (2)", "P (5)", "P (8)") == ["more on P"]
    assert text("25", "P (12)") == ["see sheet P (12)"]
