"""Packs to look at."""

from __future__ import annotations

import pytest

from compiler.model.variant import Variant
from renderers.around import Around
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from tests.isolation.vehicles import LAMP
from tests.renderers.vehicles import HOSTILE, SMALL, TITLES, figures, read


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    return read(tmp_path_factory.mktemp("small"), SMALL)


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    """The small vehicle with hostile words in every title, note and place."""
    words = [text.replace("\\", "\\\\").replace('"', '\\"') for text in HOSTILE]
    text = SMALL
    for place, plain in enumerate(TITLES):
        text = text.replace(f'"{plain}"', f'"{words[place % len(words)]}"')
    return read(tmp_path_factory.mktemp("hostile"), text)


@pytest.fixture(scope="session")
def small_pack(small: Variant) -> Pack:
    return build_pack(small, figures(small), line="Tern")


@pytest.fixture(scope="session")
def hostile_pack(hostile: Variant) -> Pack:
    return build_pack(hostile, figures(hostile), line=HOSTILE[0])


@pytest.fixture(scope="session")
def lamps(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    """A lamp with a complaint."""
    return read(
        tmp_path_factory.mktemp("lamps"),
        f'variant V "V" {{ model-year 2027 }}\n{LAMP}sheet 1 "Lamps" {{ circuits 1 2 }}\n',
    )


@pytest.fixture(scope="session")
def charted(lamps: Variant) -> Pack:
    """Its pack, with a fault chart."""
    return build_pack(lamps, draw_sheets(lamps), around=Around(faults="source"))
