"""The case files: each says on its lines what is found there, and nothing else may be."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.checks import checks, known_names
from tests.checks.marked import places, read, shown, unsaid

CASES = sorted(Path(__file__).with_name("cases").glob("*.loom"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_has_the_findings_that_it_says(path: Path, tmp_path: Path) -> None:
    marked = read(path.read_text("utf-8"))
    checked = marked.check(tmp_path)
    findings = marked.wanted(checked.findings)
    assert places(findings) == marked.marks, shown(findings)
    assert unsaid(marked, findings) == [], shown(findings)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_is_named_after_a_check(path: Path) -> None:
    assert any(path.stem == name or path.stem.startswith(f"{name}-") for name in known_names())


def test_every_check_of_the_source_has_a_case() -> None:
    # Checks of the circuit have tests of their own beside these.
    families = {"names and references", "wires, sizes, colours", "locations, sheets and index"}
    named = [name for name, check in checks().items() if check.family in families]
    assert [name for name in named if not any(path.stem.startswith(f"{name}-") for path in CASES)] == []
