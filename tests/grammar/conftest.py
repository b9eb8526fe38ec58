"""Texts that the tests of the language share."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from tests.chaos.variants import make_variant

ROOT = Path(__file__).resolve().parent.parent.parent
REFERENCE = ROOT / "grammar" / "reference.md"
_BLOCK = re.compile(r"^```(loom[^\n]*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)


class Example:
    """A block of the reference: its text, its line in the page, and the words behind ```loom."""

    def __init__(self, match: re.Match[str], page: str) -> None:
        self.words = match[1].split()[1:]
        self.text = match[2]
        self.line = page.count("\n", 0, match.start()) + 2

    def __repr__(self) -> str:
        return f"line {self.line}"


@cache
def examples() -> tuple[Example, ...]:
    """Every ```loom block of the reference."""
    page = REFERENCE.read_text("utf-8")
    return tuple(Example(match, page) for match in _BLOCK.finditer(page))


@cache
def good_texts() -> tuple[str, ...]:
    """Texts without a mistake: the examples, generated variants and the sources of the samples."""
    samples = [path.read_text("utf-8") for path in sorted((ROOT / "samples").rglob("*.loom"))]
    plain = [example.text for example in examples() if not example.words]
    return (*plain, *(make_variant(seed, 40) for seed in range(6)), *samples)
