"""Publishing whole packs as a user does, each run a process of its own: cold, after an edit of one wire, with nothing
changed; beside typst alone on the same pages and dot alone on the same graphs. Run with
`bash tests/run tests/benchmarks/bench_publish.py -s`; ratios within one run are what counts. Processor seconds are those
of all processes; on a machine that does other work they say more than seconds by the clock.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest

from compiler.assembly.project import find_project
from renderers.around import look_around
from renderers.pack import build_pack
from renderers.sheets import SheetFigure, draw_sheets
from renderers.sheets.dot import run_dot
from renderers.store import Store
from renderers.writers.print_engine import typeset
from renderers.writers.print_join import places_of
from renderers.writers.print_parts import Parts, parts_of
from renderers.writers.print_rounds import settled
from renderers.writers.print_workers import Workers
from tests.benchmarks.conftest import spent
from tests.chaos.variants import make_variant
from tests.conftest import ROOT
from tests.sheets.conftest import read

# A wire of 1 m or so in the middle of a source.
WIRE = re.compile(r"^( +[A-Z]+ +\S+ +-- +\S+ +)(\d+(?:\.\d+)?) m\b", re.MULTILINE)


class Row(NamedTuple):
    """A measured step: seconds by the clock, and of all processors."""

    name: str
    clock: float
    cpu: float


@contextmanager
def measured(rows: list[Row], name: str) -> Iterator[None]:
    clock, cpu = time.perf_counter(), spent()
    yield
    row = Row(name, time.perf_counter() - clock, spent() - cpu)
    rows.append(row)
    print(f"  {row.name:28} {row.clock:7.1f} s {row.cpu:7.1f} s of processors", flush=True)


def published(source: Path, folder: Path) -> None:
    arguments = ["publish", str(source), "--out", str(folder / "pack"), "--cache", str(folder / "kept"), "--force"]
    subprocess.run([sys.executable, "-m", "loomwright", *arguments], check=True, capture_output=True, cwd=ROOT)


def edited(path: Path) -> None:
    """Make one wire in the middle of a source longer."""
    text = path.read_text("utf-8")
    wires = list(WIRE.finditer(text))
    one = wires[len(wires) // 2]
    path.write_text(f"{text[: one.start()]}{one[1]}9.7 m{text[one.end() :]}", "utf-8")


def sandpiper(folder: Path) -> tuple[Path, Path]:
    shutil.copytree(ROOT / "samples" / "sandpiper", folder / "line")
    return folder / "line" / "S4.loom", folder / "line" / "shared" / "rear-screen.loom"


def chaos(folder: Path) -> tuple[Path, Path]:
    path = folder / "v.loom"
    path.write_text(make_variant(1, int(os.environ.get("BENCH_WIRES", "5000"))), "utf-8")
    return path, path


def numbered(parts: Parts) -> list[dict[str, str]]:
    """The numbers of pages that each part prints in the end."""
    with Workers(0) as workers:
        places = places_of([setting.extent for setting in settled(parts.parts, Store(None), workers)])
    return [{name: str(places[name].number) for name in part.targets} for part in parts.parts]


def alone(figures: list[SheetFigure], parts: Parts, rows: list[Row]) -> None:
    graphs = [f"digraph{text}" for figure in figures for text in figure.dot.split("digraph")[1:]]
    with measured(rows, f"dot alone, {len(graphs)} graphs"):
        run_dot(graphs)
    numbers = numbered(parts)
    with measured(rows, f"typst alone, {len(parts.parts)} parts"):
        for part, own in zip(parts.parts, numbers, strict=True):
            typeset(part, own)


@pytest.mark.parametrize("make", [sandpiper, chaos])
def test_publishing(make: Callable[[Path], tuple[Path, Path]], tmp_path: Path) -> None:
    rows: list[Row] = []
    source, to_edit = make(tmp_path)
    with measured(rows, "cold"):
        published(source, tmp_path)
    edited(to_edit)
    with measured(rows, "one wire edited"):
        published(source, tmp_path)
    with measured(rows, "nothing changed"):
        published(source, tmp_path)
    variant, project = read(source), find_project(source)
    figures = draw_sheets(variant)
    pack = build_pack(
        variant, figures, line=project.settings.name, around=look_around(project, variant)._replace(faults="source")
    )
    alone(list(figures.values()), parts_of(pack, "a4", None), rows)
    size = next((tmp_path / "pack").glob("*.pdf")).stat().st_size
    print(f"{make.__name__}: {len(variant.wires)} wires, {len(figures)} sheet pages, PDF {size / 1e6:.1f} MB")
    assert [row.name.split()[0] for row in rows] == ["cold", "one", "nothing", "dot", "typst"]
