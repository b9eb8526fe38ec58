"""Reading and checking generated variants of 500, 5,000 and 50,000 wires, beside the bare lark parse of the same text and an
openpyxl read of the same wire list. Run with `bash tests/run tests/benchmarks`; ratios within one run are what counts."""

from __future__ import annotations

import subprocess
import sys
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from compiler.assembly.assemble import Assembled, assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings, find_project
from compiler.checks.base import Subject
from compiler.checks.run import check_variant, run_checks
from grammar.parser import parse
from grammar.source import Source
from tests.chaos.variants import make_variant

pytestmark = pytest.mark.usefixtures("without_collector")
SIZES = (500, 5_000, 50_000)


@cache
def text_of(wires: int) -> str:
    return make_variant(1, wires)


def rounds(wires: int) -> int:
    return {500: 20, 5_000: 5, 50_000: 1}[wires]


def measure(benchmark: Any, wires: int, function: Any, *arguments: Any) -> Any:
    benchmark.group = f"{wires} wires"
    return benchmark.pedantic(function, args=arguments, rounds=rounds(wires), warmup_rounds=1)


@pytest.fixture
def variant_file(tmp_path: Path, wires: int) -> Path:
    path = tmp_path / "big.loom"
    path.write_text(text_of(wires), "utf-8")
    return path


def assembled(path: Path) -> Assembled:
    return assemble(Library(Project(path.parent, Settings())), path)


@pytest.mark.parametrize("wires", SIZES)
def test_bare_lark_parse(benchmark: Any, wires: int) -> None:
    from lark import Lark

    bare = Lark(
        files("grammar").joinpath("loom.lark").read_text("utf-8"),
        parser="lalr",
        start=["file"],
        keep_all_tokens=True,
        maybe_placeholders=False,
    )
    measure(benchmark, wires, bare.parse, text_of(wires))


@pytest.mark.parametrize("wires", SIZES)
def test_parse(benchmark: Any, wires: int) -> None:
    parsed = measure(benchmark, wires, parse, Source("big.loom", text_of(wires)))
    assert not parsed.findings


@pytest.mark.parametrize("wires", SIZES)
def test_parse_and_assemble(benchmark: Any, wires: int, variant_file: Path) -> None:
    result = measure(benchmark, wires, assembled, variant_file)
    assert result.variant is not None
    assert len(result.variant.wires) >= wires * 0.8


@pytest.mark.parametrize("wires", SIZES)
def test_checks_alone(benchmark: Any, wires: int, variant_file: Path) -> None:
    result = assembled(variant_file)
    assert result.variant is not None
    variant = result.variant

    def run() -> None:
        # The lookups of the model are worked out once a variant: they belong to the cost of checking it.
        for name in [n for n in vars(variant) if n.startswith("_") or n in ("items", "wire_by_id")]:
            del variant.__dict__[name]
        run_checks(Subject(variant, Settings(), result.colour_problems))

    measure(benchmark, wires, run)


@pytest.mark.parametrize("wires", SIZES)
def test_whole_check(benchmark: Any, wires: int, variant_file: Path) -> None:
    def run() -> None:
        check_variant(Library(find_project(variant_file)), variant_file)

    measure(benchmark, wires, run)


@pytest.mark.parametrize("wires", SIZES)
def test_openpyxl_read_of_the_wire_list(benchmark: Any, wires: int, variant_file: Path, tmp_path: Path) -> None:
    from openpyxl import Workbook, load_workbook

    variant = assembled(variant_file).variant
    assert variant is not None
    book = Workbook(write_only=True)
    sheet = book.create_sheet("wires")
    for wire in variant.wires:
        ends = [str(end.point or "?") for end in wire.ends]
        sheet.append([wire.id, wire.circuit, *ends, str(wire.size), wire.colour, wire.length_m, wire.harness])
    path = tmp_path / "wires.xlsx"
    book.save(path)

    def read() -> int:
        opened = load_workbook(path, read_only=True)
        count = sum(1 for _ in opened.active.iter_rows(values_only=True))
        opened.close()
        return count

    assert measure(benchmark, wires, read) == len(variant.wires)


@pytest.mark.parametrize("wires", [5_000])
@pytest.mark.parametrize("what", ["interpreter alone", "loomwright check"])
def test_cold_start(benchmark: Any, what: str, wires: int, variant_file: Path) -> None:
    """Whole processes: the interpreter doing nothing, and a cold check."""
    command = [sys.executable, "-c", "pass"]
    if what != "interpreter alone":
        command = [sys.executable, "-m", "loomwright", "check", "--quiet", str(variant_file)]
    benchmark.group = f"processes, {wires} wires"
    benchmark.pedantic(lambda: subprocess.run(command, capture_output=True, check=False), rounds=5, warmup_rounds=1)
