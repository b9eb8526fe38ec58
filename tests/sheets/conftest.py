"""Variants to draw, and their sheets; each is drawn once for all tests."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.sheets import SheetFigure, draw_sheets

ROOT = Path(__file__).resolve().parents[2]
TOUR = Path(__file__).with_name("tour.loom")
SAMPLES = {
    "tour": TOUR,
    "S2": ROOT / "samples/sandpiper/S2.loom",
    "S4": ROOT / "samples/sandpiper/S4.loom",
    "real": ROOT / "samples/real-harness/base-module.loom",
}


class Drawn(NamedTuple):
    """A variant and its sheets."""

    variant: Variant
    figures: Mapping[str, SheetFigure]


def read(path: Path) -> Variant:
    """The variant in a file."""
    variant = assemble(Library(find_project(path)), path).variant
    assert variant is not None
    return variant


@cache
def drawn(name: str) -> Drawn:
    """A sample and its sheets."""
    variant = read(SAMPLES[name])
    return Drawn(variant, draw_sheets(variant))


@pytest.fixture
def variant_of(tmp_path: Path) -> Callable[[str], Variant]:
    """Makes a variant of source text."""

    def make(text: str) -> Variant:
        path = tmp_path / "v.loom"
        path.write_text(text)
        return read(path)

    return make
