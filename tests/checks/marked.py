"""Sources whose comments say what is wrong in them: `#! dangling-cavity` on the line where it must be found.

Several findings of one line stand side by side; words in quotes behind a check must stand in what it says, in its notes
or in its mend: `#! lone-splice "has one wire" unlocated`.

A text may hold several files, each behind a line `# file NAME`. If none of them has a `variant`, one that uses the last
file is put in front. A line `#? only: CHECK ...` leaves out the findings of other checks, `#? off: CHECK ...` those of
the checks named.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import Checked, asking, check_variant
from grammar.finding import Finding, Severity

_FILE = re.compile(r"^# file (\S+)$", re.MULTILINE)
_MARK = re.compile(r"#!\s*(.+)$")
_ENTRY = re.compile(r"([a-z-]+)((?:\s+\"[^\"]*\")*)[,\s]*")
_VARIANT = re.compile(r"^variant\b", re.MULTILINE)

Place = tuple[str, int, str]
"""File, line and check of a finding."""


class Marked(NamedTuple):
    """Files by name, the variant's among them, what is marked and in what words, checks asked for and left out."""

    files: dict[str, str]
    main: str
    marks: Counter[Place]
    words: list[tuple[Place, str]]
    only: frozenset[str]
    off: frozenset[str]

    def check(self, folder: Path, settings: str = "") -> Checked:
        """Write the files into `folder`, which becomes a project of its own, and check the variant."""
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "loomwright.toml").write_text(settings, "utf-8")
        for name, text in self.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
        main = folder / self.main
        return check_variant(Library(asking(find_project(main))), main)

    def wanted(self, findings: Iterable[Finding]) -> list[Finding]:
        """The findings that count here: errors and warnings, and notes of the checks asked for."""
        return [
            f
            for f in findings
            if (f.check in self.only if self.only else f.severity is not Severity.NOTE) and f.check not in self.off
        ]


def read(text: str, name: str = "example.loom") -> Marked:
    """The files and marks of a text."""
    starts = [*_FILE.finditer(text)]
    if starts:
        ends = [match.start() for match in starts[1:]] + [len(text)]
        files = {match[1]: text[match.end() + 1 : end] for match, end in zip(starts, ends, strict=True)}
    else:
        files = {name: text}
    marks: Counter[Place] = Counter()
    words: list[tuple[Place, str]] = []
    for file, body in files.items():
        for number, line in enumerate(body.split("\n"), 1):
            if match := _MARK.search(line):
                assert _ENTRY.sub("", match[1]) == "", f"{file}:{number}: this mark cannot be read"
                for check, quoted in _ENTRY.findall(match[1]):
                    marks[file, number, check] += 1
                    words += [((file, number, check), part) for part in re.findall(r'"([^"]*)"', quoted)]
    main = next((file for file, body in files.items() if _VARIANT.search(body)), "")
    if not main:
        main = "variant.loom"
        files[main] = f'variant TEST "Test"\nuse "{[*files][-1]}"\n'
    return Marked(files, main, marks, words, _asked(text, "only"), _asked(text, "off"))


def _asked(text: str, word: str) -> frozenset[str]:
    match = re.search(rf"^#\? {word}: (.+)$", text, re.MULTILINE)
    return frozenset(re.split(r"[,\s]+", match[1].strip())) if match else frozenset()


def places(findings: Iterable[Finding]) -> Counter[Place]:
    """Where findings stand; a finding without a place stands in no file at line 0."""
    return Counter((f.at.source.name, f.at.position.line, f.check) if f.at else ("", 0, f.check) for f in findings)


def unsaid(marked: Marked, findings: Iterable[Finding]) -> list[tuple[Place, str]]:
    """The words asked for that no finding of their place has."""
    said: dict[Place, str] = {}
    for finding in findings:
        for place in places([finding]):
            said[place] = "\n".join([said.get(place, ""), finding.says, finding.mend, *(n.says for n in finding.notes)])
    return [(place, part) for place, part in marked.words if part not in said.get(place, "")]


def shown(findings: Iterable[Finding]) -> str:
    """Findings as text, for the message of a test that fails."""
    return "\n".join(f"{f.at}: {f.severity.value}: {f.says} [{f.check}] {f.mend}" for f in findings)
