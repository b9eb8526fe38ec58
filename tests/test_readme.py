"""The README's own example: it is laid out as the formatter would, and checks clean."""

from __future__ import annotations

import re
from pathlib import Path

from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.checks.run import check_variant
from grammar.formatter import format_text
from grammar.source import Source


def example(root: Path) -> str:
    blocks = re.findall(r"```loom\n(.*?)```", (root / "README.md").read_text("utf-8"), re.DOTALL)
    assert len(blocks) == 1
    return str(blocks[0])


def test_the_example_is_laid_out(root: Path) -> None:
    text = example(root)
    assert format_text(Source("first.loom", text)) == text


def test_the_example_checks_clean(root: Path, tmp_path: Path) -> None:
    path = tmp_path / "first.loom"
    path.write_text(example(root), "utf-8")
    checked = check_variant(Library(Project(tmp_path, Settings())), path)
    assert checked.variant is not None
    assert checked.findings == ()
