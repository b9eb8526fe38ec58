"""Two issues of generated variants compared, beside their assembly and the reading of a kept inventory."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.changes.compare import compare
from compiler.changes.inventory import inventory_of
from compiler.changes.stored import inventory_json, read_inventory
from compiler.model.variant import Variant
from tests.chaos.variants import make_variant

SIZES = (500, 5_000, 50_000)
EDITED = 200


@cache
def text_of(wires: int) -> str:
    return make_variant(1, wires)


def variant_of(text: str) -> Variant:
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "big.loom").write_text(text, "utf-8")
        variant = assemble(Library(Project(folder, Settings())), folder / "big.loom").variant
    assert variant is not None
    return variant


def measure(benchmark: Any, wires: int, function: Any, *arguments: Any) -> Any:
    benchmark.group = f"{wires} wires"
    return benchmark.pedantic(function, args=arguments, rounds=3 if wires < 50_000 else 1, warmup_rounds=1)


@pytest.mark.parametrize("wires", SIZES)
def test_assembly(benchmark: Any, wires: int) -> None:
    assert measure(benchmark, wires, variant_of, text_of(wires)).wires


@pytest.mark.parametrize("wires", SIZES)
def test_inventory(benchmark: Any, wires: int) -> None:
    assert measure(benchmark, wires, inventory_of, variant_of(text_of(wires))).things


@pytest.mark.parametrize("wires", SIZES)
def test_compare(benchmark: Any, wires: int) -> None:
    old = inventory_of(variant_of(text_of(wires)))
    new = inventory_of(variant_of(text_of(wires).replace(" 1 m", " 1.1 m", EDITED)))
    assert measure(benchmark, wires, compare, old, new).changes


@pytest.mark.parametrize("wires", SIZES)
def test_read_a_kept_inventory(benchmark: Any, wires: int) -> None:
    data = inventory_json(inventory_of(variant_of(text_of(wires)))).encode()
    assert measure(benchmark, wires, read_inventory, data).things
