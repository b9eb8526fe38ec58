"""One edit of the source, one statement: of each kind, at places drawn at random from the demo."""

from __future__ import annotations

import random

import pytest

from compiler.changes.compare import compare
from tests.changes.single_more import EDITORS
from tests.changes.vehicles import after, demo, demo_inventory, said, straight, turned

PLACES = 2


@pytest.mark.parametrize("name", sorted(EDITORS))
def test_an_edit_is_told_and_nothing_else(name: str) -> None:
    edits = list(EDITORS[name](demo()))
    assert edits
    for planted, expected in random.Random(name).sample(edits, min(PLACES, len(edits))):
        edited = after(planted)
        assert said(compare(demo_inventory(), edited)) == sorted(expected)
        assert turned(compare(demo_inventory(), edited)) == straight(compare(edited, demo_inventory()))


@pytest.mark.campaign
@pytest.mark.parametrize("name", sorted(EDITORS))
def test_every_edit_is_told_and_nothing_else(name: str) -> None:
    wrong = []
    for planted, expected in EDITORS[name](demo()):
        found = said(compare(demo_inventory(), after(planted)))
        if found != sorted(expected):
            wrong.append((found, expected))
    assert wrong == []
