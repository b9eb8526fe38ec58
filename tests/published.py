"""Packs of the sample variants as they are published, each made once in a run of the tests."""

from __future__ import annotations

from functools import cache

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from tests.conftest import ROOT


@cache
def sample(name: str) -> Variant:
    """A variant of the Sandpiper line."""
    path = ROOT / "samples" / "sandpiper" / f"{name}.loom"
    variant = assemble(Library(find_project(path)), path).variant
    assert variant is not None
    return variant


@cache
def sample_pack(name: str) -> Pack:
    """Its pack, sheets drawn."""
    variant = sample(name)
    return build_pack(variant, draw_sheets(variant), line="Sandpiper utility trucks")
