"""Every check has its page, and what the page says is true: the wrong example is found out, the right one is not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from compiler.checks import READING, checks, known_names, page
from grammar.finding import Severity
from tests.checks.marked import places, read, shown

SECTIONS = ("What it does", "Why it matters", "Wrong", "Right", "Source")
NO_EXAMPLE = {"check-crashed"}  # no source can bring it about

_HEADING = re.compile(r"^(#+) (.+)$", re.MULTILINE)
_EXAMPLE = re.compile(r"^```(loom|toml)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def without_blocks(text: str) -> str:
    """A page without its examples, whose comments look like headings."""
    return re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)


def examples(name: str, section: str) -> list[tuple[str, str]]:
    """Settings and source of each example in a section of a page. None without a page, which is a test of its own."""
    try:
        parts = re.split(r"^## (.+)$", page(name), flags=re.MULTILINE)
    except FileNotFoundError:
        return []
    text = dict(zip(parts[1::2], parts[2::2], strict=True)).get(section, "")
    found: list[tuple[str, str]] = []
    settings = ""
    for language, body in _EXAMPLE.findall(text):
        if language == "toml":
            settings = body
        else:
            found.append((settings, body))
            settings = ""
    return found


CASES = {
    section: [(name, number) for name in known_names() for number in range(len(examples(name, section)))]
    for section in ("Wrong", "Right")
}


@pytest.mark.parametrize("name", known_names())
def test_a_page_has_its_parts_in_order(name: str) -> None:
    text = page(name)
    headings = _HEADING.findall(without_blocks(text))
    expected = [s for s in SECTIONS if name not in NO_EXAMPLE or s not in ("Wrong", "Right")]
    assert headings == [("#", name), *(("##", section) for section in expected)]
    summary = text.split("\n## ")[0].split("\n", 1)[1].strip()
    assert summary, "no summary"
    assert "\n" not in summary
    assert summary.endswith(".")
    assert all(part.strip() for part in re.split(r"^## .+$", text, flags=re.MULTILINE))


@pytest.mark.parametrize("name", known_names())
def test_a_page_has_a_wrong_and_a_right_example(name: str) -> None:
    for section in ("Wrong", "Right"):
        assert bool(examples(name, section)) is (name not in NO_EXAMPLE)


@pytest.mark.parametrize(("name", "number"), CASES["Wrong"])
def test_the_wrong_example_is_found_out(name: str, number: int, tmp_path: Path) -> None:
    settings, text = examples(name, "Wrong")[number]
    marked = read(text)
    assert marked.marks, "nothing is marked"
    assert {check for _, _, check in marked.marks} == {name}
    findings = marked.check(tmp_path, settings).findings
    own = [finding for finding in findings if finding.check == name]
    others = [f for f in findings if f.check != name and f.severity is Severity.ERROR]
    assert places(own) == marked.marks, shown(findings)
    assert not others, shown(others)


@pytest.mark.parametrize(("name", "number"), CASES["Right"])
def test_the_right_example_is_left_alone(name: str, number: int, tmp_path: Path) -> None:
    settings, text = examples(name, "Right")[number]
    findings = read(text).check(tmp_path, settings).findings
    assert not [f for f in findings if f.check == name or f.severity is Severity.ERROR], shown(findings)


@pytest.mark.parametrize("name", known_names())
def test_a_finding_tells_how_to_mend_it(name: str, tmp_path: Path) -> None:
    for number, (settings, text) in enumerate(examples(name, "Wrong")):
        for finding in read(text).check(tmp_path / str(number), settings).findings:
            if finding.check == name and name not in READING:
                assert finding.mend, finding.says
                assert not finding.says.endswith(".")
                assert finding.severity.rank >= checks()[name].severity.rank, "graver than the check says"
