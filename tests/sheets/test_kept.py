"""Sheets kept between runs: after an edit only those are made again whose input it changes, and nothing that comes out
depends on what was kept."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.sheets import DotError, SheetFigure, draw_sheets, portions
from renderers.sheets.dot import dot_program
from renderers.sheets.sheets import Drawing
from renderers.store import Store
from tests.chaos.variants import make_variant

from .conftest import ROOT, SAMPLES, drawn
from .edits import EVERY, TOUR, Edit, scrambled

Make = Callable[[str], Variant]
Pages = list[tuple[str, SheetFigure]]


def drawing(variant: Variant, store: Store, dot: str | None = None) -> tuple[Pages, frozenset[str]]:
    """The pages of a variant in order, and the sheets that were laid out for them in this run."""
    made = Drawing(variant, dot, store)
    figures = made.figures()
    return list(figures.items()), frozenset(figures[name].number for name in made.laid_out())


def anew(variant: Variant) -> Pages:
    """The pages of a variant with nothing kept."""
    return list(draw_sheets(variant).items())


@pytest.fixture(scope="module")
def tour_store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A store with the sheets of the tour vehicle."""
    store = Store(tmp_path_factory.mktemp("kept"))
    assert drawing(drawn("tour").variant, store) == (list(drawn("tour").figures.items()), EVERY)
    return store


@pytest.mark.parametrize("edit", TOUR, ids=lambda edit: edit.what)
def test_an_edit_lays_out_the_sheets_whose_input_it_changes(edit: Edit, variant_of: Make, tour_store: Store) -> None:
    text = SAMPLES["tour"].read_text("utf-8")
    assert text.count(edit.old) == 1
    variant = variant_of(text.replace(edit.old, edit.new))
    assert not variant.unresolved
    assert drawing(variant, tour_store) == (pages := anew(variant), edit.sheets)
    assert drawing(variant, tour_store) == (pages, frozenset())
    assert drawing(drawn("tour").variant, tour_store) == (list(drawn("tour").figures.items()), frozenset())


LAMPS = """
variant V "V" {{ model-year 2027 }}
zone cab "Cab"
harness h "H"
battery BT1 "Battery" 12.6 V 70 Ah 6 mohm
fuse-block FB1 "Block" {{ bus BUS "Bus"; fuse F1 "One" slot 1 10 A mini from BUS; fuse F2 "Two" slot 2 10 A mini from BUS }}
ground G1 "Ground"
ground G2 "Ground of the far lamps"
splice SP1 "Far lamps" in h
lamp E1 "Far lamp" 1 2 5 W
lamp E2 "Far lamp" 1 2 5 W
lamp E3 "Lamp between" 1 2 5 W
circuit 1 "Feed" 6 mm2 RD in h {{ A BT1.+ -- BUS 1 m; B BT1.- -- G1 1 m BK }}
circuit 2 "Feed of the far lamps" 1 mm2 OG in h {{ A F2.2 -- SP1 1 m; B E3.2 -- G1 1 m BK }}
circuit 3 "Far lamps" 1 mm2 BU in h {{
  A SP1 -- E1.1 1 m; B SP1 -- E2.1 1 m; C E1.2 -- G2 1 m BK; D E2.2 -- G2 1 m BK; E SP1 -- E3.1 1 m
}}
{lamps}
sheet 5 "One" {{ circuits 1 2 {circuits} }}
sheet 6 "Two" {{ circuits 3 }}
"""


def lamps(count: int) -> str:
    """A vehicle with some lamps on one sheet, and two on another whose feed is drawn on the first."""
    lines = []
    for number in range(100, 100 + count):
        lines.append(f'lamp E{number} "A lamp with a title of some length" 1 2 5 W at cab "its place, number {number}"')
        lines.append(
            f'circuit {number} "Lamp" 1 mm2 BU in h {{ A F1.2 -- E{number}.1 1 m; B E{number}.2 -- G1 1 m BK }}'
        )
    return LAMPS.format(lamps="\n".join(lines), circuits=" ".join(str(n) for n in range(100, 100 + count)))


def test_another_page_of_a_sheet_is_named_at_the_arrows_of_a_sheet_that_is_kept(
    variant_of: Make, tmp_path: Path
) -> None:
    store = Store(tmp_path / "kept")
    few, many = variant_of(lamps(2)), variant_of(lamps(20))
    pages, _ = drawing(few, store)
    assert "6" in {sheet.number for sheet in Drawing(many, None, store).sheets if sheet.parts[0].shown}
    more, fresh = drawing(many, store)
    assert more == anew(many)
    assert "6" in fresh
    before, after = (dict(some)["6"].svg for some in (pages, more))
    assert ">sheet 5<" in before
    assert ">sheet 5 (2)<" in after
    # And at a lamp that stands there as well.
    assert ">see sheet 5<" in before
    assert ">see sheet 5 (2)<" in after
    assert re.sub(r"<text.*?</text>", "", before) == re.sub(r"<text.*?</text>", "", after)
    assert drawing(few, store) == (pages, frozenset())
    assert drawing(many, store) == (more, frozenset())


def test_of_a_very_large_sheet_only_a_portion_is_laid_out_again(
    variant_of: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(portions, "LARGE", 30)
    text = make_variant(1, 200)
    store = Store(tmp_path / "kept")
    draw_sheets(variant_of(text), None, store)
    wire = re.search(r"^ +[A-Z]+ +\S+ +-- +G\d+ .*", text, re.MULTILINE)
    assert wire is not None
    variant = variant_of(text.replace(wire[0], f"{wire[0]} 16 mm2"))
    drawing = Drawing(variant, None, store)
    assert list(drawing.figures().items()) == anew(variant)
    fresh = [
        (sheet.number, sum(bool(part.pages) for part in sheet.parts), len(sheet.parts)) for sheet in drawing.sheets
    ]
    ((laid, parts),) = [counts for number, *counts in fresh if number == "G"]
    assert laid == 1
    assert parts > 2


def test_another_dot_program_draws_for_itself(tour_store: Store, tmp_path: Path) -> None:
    other = tmp_path / "dot"
    other.write_text(f'#!/bin/sh\nexec "{dot_program()}" "$@"\n')
    other.chmod(0o755)
    pages = list(drawn("tour").figures.items())
    assert drawing(drawn("tour").variant, tour_store, str(other)) == (pages, EVERY)
    assert drawing(drawn("tour").variant, tour_store, str(other)) == (pages, frozenset())
    other.write_text(f"{other.read_text()}# changed\n")
    assert drawing(drawn("tour").variant, tour_store, str(other)) == (pages, EVERY)
    with pytest.raises(DotError, match="no-such-dot"):
        draw_sheets(drawn("tour").variant, "/nowhere/no-such-dot", tour_store)


@pytest.mark.parametrize("body", [b"", b"[]", b'[[["1A"]]]', b"[[]]", b'{"pages": []}', b"[" * 100_000, b"\xff"])
def test_what_is_no_sheet_is_made_anew(body: bytes, variant_of: Make, tmp_path: Path) -> None:
    variant = variant_of(lamps(3))
    store = Store(tmp_path / "kept")
    pages, numbers = drawing(variant, store)
    assert store.folder is not None
    for key in [path.parent.name + path.name for path in store.folder.glob("??/*")]:
        if (store.get(key) or b"").startswith(b"["):  # not an answer of dot
            store.put(key, body)
    assert drawing(variant, Store(tmp_path / "kept")) == (pages, numbers)
    assert drawing(variant, store) == (pages, frozenset())


SCRIPT = """
import sys
from pathlib import Path
from renderers.sheets.sheets import Drawing
from renderers.store import Store
from tests.sheets.conftest import SAMPLES, read
made = Drawing(read(SAMPLES["tour"]), None, Store(Path(sys.argv[1])))
print(len(made.figures()), len(made.laid_out()))
"""


def test_other_runs_find_what_one_has_kept(tmp_path: Path) -> None:
    """Whatever the seed of the hashes: no key depends on the order of a set."""
    told = []
    for seed in ("1", "2", "3"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)}
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, str(tmp_path / "kept")],
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        told.append(done.stdout.split())
    assert told == [["10", "10"], ["10", "0"], ["10", "0"]]


def scrambled_and_drawn(seed: int, wires: int, edits: int) -> None:
    """Draw a variant and one edit of it after the other, with one store and without one."""
    random = Random(seed)
    text = make_variant(seed, wires)
    with TemporaryDirectory() as folder:
        path = Path(folder, "v.loom")
        store = Store(Path(folder, "kept"))
        for _ in range(edits):
            path.write_text(text, "utf-8")
            variant = assemble(Library(find_project(path)), path).variant
            if variant is not None:
                assert drawing(variant, store)[0] == anew(variant)
            text = scrambled(random, text)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=6)
def test_edits_at_random_are_drawn_as_if_nothing_had_been_kept(seed: int) -> None:
    scrambled_and_drawn(seed, 20, 6)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(100))
def test_many_edits_at_random_are_drawn_as_if_nothing_had_been_kept(seed: int) -> None:
    scrambled_and_drawn(seed, 20 + seed % 80, 100)
