"""The house: what stands at the top level, how long a file is, and what no file of ours holds."""

from __future__ import annotations

import re
from pathlib import Path

TOP_LEVEL = {
    ".ci",
    ".gitignore",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "README.md",
    "compiler",
    "grammar",
    "loomwright",
    "pyproject.toml",
    "renderers",
    "samples",
    "tests",
}
PACKAGES = ("grammar", "compiler", "renderers", "loomwright")
OUR_TEXT = {"", ".css", ".csv", ".j2", ".js", ".lark", ".loom", ".md", ".py", ".svg", ".toml", ".typ"}
LONGEST = 450

# Folders of one machine, as an absolute path would begin; an address (https://host/home/) is none.
MACHINE_PATH = re.compile(r"(?<![\w.~/])/(?:home|root|tmp|var|mnt|opt|Users|work)/\w")
# The letters in brackets keep this file from finding itself.
LEFT_UNDONE = re.compile(
    r"\b(?:TO[D]O|FIX[M]E|XX[X]|NotImplemented[E]rror)\b"
    r"|\bmark\.(?:ski[p]|xfai[l])|\bpytest\.(?:ski[p]|xfai[l]|importorski[p])|\bunittest\.ski[p]"
)


def written_here(files: tuple[Path, ...]) -> list[Path]:
    """The text files that are ours; a data set from outside stands beside a SOURCE.md and is left alone."""
    outside = {path.parent for path in files if path.name == "SOURCE.md"}
    return [path for path in files if path.suffix in OUR_TEXT and not outside.intersection(path.parents)]


def matches(pattern: re.Pattern[str], root: Path, files: tuple[Path, ...]) -> list[str]:
    """Every match as `file:line: text`, so that a failure names the place."""
    found = []
    for path in written_here(files):
        text = (root / path).read_text(encoding="utf-8")
        found += [f"{path}:{text.count(chr(10), 0, m.start()) + 1}: {m[0]}" for m in pattern.finditer(text)]
    return found


def test_top_level_holds_only_what_belongs_there(tree: tuple[Path, ...]) -> None:
    assert {path.parts[0] for path in tree} <= TOP_LEVEL


def test_no_python_file_does_two_jobs(root: Path, tree: tuple[Path, ...]) -> None:
    lengths = {
        str(path): (root / path).read_text(encoding="utf-8").count("\n")
        for path in tree
        if path.suffix == ".py"
    }
    assert len(lengths) > len(PACKAGES)
    assert {name: lines for name, lines in lengths.items() if lines > LONGEST} == {}


def test_no_file_names_a_folder_of_one_machine(root: Path, tree: tuple[Path, ...]) -> None:
    assert matches(MACHINE_PATH, root, tree) == []


def test_nothing_is_left_undone(root: Path, tree: tuple[Path, ...]) -> None:
    assert matches(LEFT_UNDONE, root, tree) == []


def test_the_patterns_find_what_they_look_for(tmp_path: Path) -> None:
    undone = [
        "TO" + "DO later",
        "@pytest.mark.sk" + "ip",
        "pytest.importor" + "skip('x')",
        "raise NotImplemented" + "Error",
    ]
    named = ["open('/tm" + "p/x')", "cd /ho" + "me/me", '"/wor' + 'k/main"']
    (tmp_path / "a.py").write_text(
        "\n".join([*undone, *named, "https://host/home/page", "a/tmp/b"]), encoding="utf-8"
    )
    files = (Path("a.py"),)
    assert [line.split(":")[1] for line in matches(LEFT_UNDONE, tmp_path, files)] == ["1", "2", "3", "4"]
    assert [line.split(":")[1] for line in matches(MACHINE_PATH, tmp_path, files)] == ["5", "6", "7"]


def test_every_package_says_that_it_is_typed(tree: tuple[Path, ...]) -> None:
    assert {Path(name, "py.typed") for name in PACKAGES} <= set(tree)
