"""Every case file: each finding where, in what words and with what mend it is expected, and no other."""

from __future__ import annotations

import pytest

from tests.grammar.cases import CASES, found, read_case

PATHS = sorted(CASES.glob("*.loom"))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_case(path) -> None:  # type: ignore[no-untyped-def]
    text, expected = read_case(path)
    _, findings = found(text, path.name)
    for finding, wanted in zip(findings, expected, strict=False):
        assert finding == wanted._replace(at=wanted.at or finding.at)
    assert len(findings) == len(expected), (findings[len(expected) :], expected[len(findings) :])


def test_there_are_cases() -> None:
    assert len(PATHS) >= 8


def test_a_wrong_case_fails(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "x.loom"
    path.write_text("bus B1\nsplice  #! syntax: something else\n", "utf-8")
    with pytest.raises(AssertionError, match="something else"):
        test_case(path)
    path.write_text("bus B1\nsplice\n", "utf-8")
    with pytest.raises(AssertionError):
        test_case(path)
