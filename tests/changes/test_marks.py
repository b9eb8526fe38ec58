"""Which pages of a pack are marked as changed: those whose drawing differs from the last issue's, and no others."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from compiler.changes.inventory import Inventory, inventory_of
from renderers.around import Around
from renderers.changed import Marks
from renderers.context import PackContext
from renderers.document import Group, Paragraph
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.store import Store
from tests.changes.single_more import EDITORS
from tests.changes.vehicles import demo, variant_after
from tests.renderers.vehicles import read
from tests.sheets.conftest import TOUR
from tests.sheets.edits import TOUR as EDITS
from tests.sheets.edits import Edit, scrambled

TEXT = TOUR.read_text("utf-8").replace("sheet 2 ", 'state "Lit" { set S2 side; sheets 2 }\nsheet 2 ')
Page = str | tuple[str, str]

_HIDDEN = re.compile(r' (?:data-[a-z]+|class)="[^"]*"')
_GROUPS = re.compile(r"(?=<g )")
_FRAME = re.compile(r'<g class="frame".*?</g></g>', re.DOTALL)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    return Store(tmp_path_factory.mktemp("kept"))


@pytest.fixture
def pack(tmp_path: Path, store: Store) -> Callable[..., PackContext]:
    """Makes a pack of a source, with the changes since an earlier one."""

    def make(text: str, since: Inventory | None = None) -> PackContext:
        variant = read(tmp_path, text)
        return PackContext(variant, draw_sheets(variant, None, store), around=Around(since=since))

    return make


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory, store: Store) -> PackContext:
    variant = read(tmp_path_factory.mktemp("before"), TEXT)
    return PackContext(variant, draw_sheets(variant, None, store))


def looks(context: PackContext) -> dict[Page, object]:
    """What a reader sees of each page, but the vehicle and the issue in the title block."""
    lit = {(one.state.id, figure.sheet): figure for one in context.lit for figure in one.figures}
    found: dict[Page, object] = {}
    for page, figure in {**context.sheets, **lit}.items():
        ink = sorted(_HIDDEN.sub("", group) for group in _GROUPS.split(_FRAME.sub("", figure.svg)))
        found[page] = (ink, figure.titles._replace(variant="", series="", issue=""))
    return found


def differing(old: PackContext, new: PackContext) -> set[Page]:
    mine = looks(old)
    return {page for page, look in looks(new).items() if mine.get(page) != look}


def marked(marks: Marks) -> set[Page]:
    return {*marks.pages, *marks.lit}


def edited(old: str, new: str) -> str:
    assert TEXT.count(old) == 1, old
    return TEXT.replace(old, new)


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.what)
def test_the_pages_that_differ_are_marked_and_no_others(
    edit: Edit, before: PackContext, pack: Callable[..., PackContext]
) -> None:
    after = pack(edited(edit.old, edit.new), before.inventory)
    assert marked(after.marks) == differing(before, after)
    assert all(news.said or news.new for news in (*after.marks.pages.values(), *after.marks.lit.values()))


@pytest.mark.parametrize("seed", range(12))
def test_whatever_is_edited_the_pages_that_differ_are_marked(
    seed: int, before: PackContext, pack: Callable[..., PackContext]
) -> None:
    random, text = Random(seed), TEXT
    for _ in range(random.randrange(1, 4)):
        text = scrambled(random, text)
    after = pack(text, before.inventory)
    assert marked(after.marks) == differing(before, after)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('sheet 3 "Motors" { circuits 20 }', 'sheet 3 "Motors" { circuits 20; components M2 }'),
        ('motor M2 "Fan" 1 2 150 W', 'motor M2 "Fan" 1 2 180 W'),
        ("at bay (62, 62)", "at bay (63, 62)"),
        ('fuse F3 "Motors" slot 3 20 A blade from', 'fuse F3 "Motors" slot 3 20 A blade colour yellow from'),
        ("coil 86 85 90 ohm", "coil 86 85 80 ohm"),
        ('lamp 2 5 1.2 W "glow"', 'lamp 2 5 1.2 W "shine"'),
        ('harness dash "Dash harness"', 'harness dash "Front harness"'),
        ("circuits 1 2 3 4 }", 'circuits 1 2 3 4; note "engine off" }'),
    ],
)  # fmt: skip
def test_what_no_drawing_shows_marks_no_page(
    old: str, new: str, before: PackContext, pack: Callable[..., PackContext]
) -> None:
    """Neither where the drawings are compared nor, with an inventory that kept none of them, by the facts alone."""
    after = pack(edited(old, new), before.inventory)
    assert after.marks.pages == {}
    assert pack(edited(old, new), replace(before.inventory, drawn=None)).marks.pages == {}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('zone bay  "Bay"', 'zone bay  "Engine bay"', "zone bay renamed"),
        ('fuse-block FB1 "Fuse block"', 'fuse-block FB1 "Fuses"', "fuse block FB1 renamed"),
        ('"behind the kick panel"', '"behind the flap"', "fuse block FB1 location reworded"),
        ('"Gauges" { circuits 30 }', '"Gauges" { circuits 30; system "Dash" }', "system now given Dash"),
        ("sheet 6 ", "sheet 66 ", "sheet 6 now called 66"),
        ("harness dash", "harness board", "harness dash now called board"),
        ("splice SP1", "splice SP41", "splice SP1 now called SP41"),
        ("ground G101", "ground G141", "ground G101 now called G141"),
        ("relay K1 ", "relay K41 ", "relay K1 now called K41"),
        ("connector C1 ", "connector C41 ", "connector C1 now called C41"),
    ],
)  # fmt: skip
def test_what_is_printed_on_many_sheets_marks_them_all(
    old: str, new: str, says: str, before: PackContext, pack: Callable[..., PackContext]
) -> None:
    text = edited(old, new)
    sort, name = old.split()[:2]
    if "called" in says and sort != "sheet":
        text = re.sub(rf"(?<![\w-]){name}(?=[ .,;\n])", new.split()[1], text)
    after = pack(text, before.inventory)
    assert not after.variant.unresolved
    assert marked(after.marks) == differing(before, after) != set()
    assert any(says in news.said for news in after.marks.pages.values())
    assert {page for page, news in after.marks.pages.items() if says not in news.said} <= {"P", "G"}
    # By the facts alone it is the same pages.
    kept_none = pack(text, replace(before.inventory, drawn=None)).marks
    assert set(kept_none.pages) == set(after.marks.pages)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("set S2 side", "set S2 head", ("settings changed",)),
        ('lamp E1 "Side lamp" 1 2 5 W', 'lamp E1 "Side lamp" 1 2 21 W', ("lamp E1 re-rated",)),
        ("1.4 kW", "1.5 kW", None),
    ],
)  # fmt: skip
def test_a_sheet_in_a_state_is_marked_where_it_reads_otherwise(
    old: str, new: str, says: tuple[str, ...] | None, before: PackContext, pack: Callable[..., PackContext]
) -> None:
    after = pack(edited(old, new), before.inventory)
    assert after.marks.pages == {}
    assert marked(after.marks) == differing(before, after)
    assert [news.said for news in after.marks.lit.values()] == ([says] * len(after.marks.lit))
    assert bool(after.marks.lit) == (says is not None)


def test_the_page_of_a_sheet_in_a_state_says_so(before: PackContext, tmp_path: Path, store: Store) -> None:
    variant = read(tmp_path, edited("set S2 side", "set S2 head"))
    whole = build_pack(variant, draw_sheets(variant, None, store), around=Around(since=before.inventory))
    page = next(block for block in whole.section("states").blocks if isinstance(block, Group))
    (words,) = [leaf for leaf in page.blocks if isinstance(leaf, Paragraph)]
    said = "".join(run.text for run in words.runs)
    assert said == "Changed since the last issue: settings changed. The same sheet at rest: 2"
    rows = next(table for table in whole.section("changes").tables if table.id == "changed-sheets").rows
    assert [[cell.text for cell in row.cells] for row in rows] == [["2", "Lamps: Lit", "changed", "Lit"]]
    facts = next(t for t in whole.section("changes").tables if t.id.startswith("changes-states"))
    assert [cell.text for cell in facts.column("sheets")] == ["2"]


def test_a_page_drawn_anew_says_so(before: PackContext, pack: Callable[..., PackContext]) -> None:
    text = edited("circuits 1 2 3 4 }", "circuits 4 3 2 1 }")
    after = pack(text, before.inventory)
    assert after.changes is not None
    assert after.changes.changes == ()
    assert marked(after.marks) == differing(before, after)
    assert {said for news in after.marks.pages.values() for said in news.said} <= {"drawn anew"}


def test_what_other_code_drew_is_told_by_the_facts(before: PackContext, pack: Callable[..., PackContext]) -> None:
    drawn = before.inventory.drawn
    assert drawn is not None
    other = replace(drawn, by="other", pages={page: look._replace(shown="?") for page, look in drawn.pages.items()})
    text = edited('"Gauges" { circuits 30 }', '"Instruments" { circuits 30 }')
    after = pack(text, replace(before.inventory, drawn=other))
    assert {page: news.said for page, news in after.marks.pages.items()} == {"4": ("renamed",)}


def test_an_inventory_with_its_drawings_is_hardly_larger(before: PackContext) -> None:
    from compiler.changes.stored import inventory_json

    whole, bare = (inventory_json(one) for one in (before.inventory, inventory_of(before.variant)))
    assert len(whole) - len(bare) < 80 * (len(before.sheets) + 3)




@pytest.mark.campaign
@pytest.mark.parametrize("name", sorted(EDITORS))
def test_the_pages_of_the_demo_that_differ_are_marked_and_no_others(name: str, store: Store) -> None:
    old = PackContext(demo(), draw_sheets(demo(), None, store))
    edits = list(EDITORS[name](demo()))
    for planted, _ in Random(name).sample(edits, min(2, len(edits))):
        variant = variant_after(planted)
        new = PackContext(variant, draw_sheets(variant, None, store), around=Around(since=old.inventory))
        assert marked(new.marks) == differing(old, new)
