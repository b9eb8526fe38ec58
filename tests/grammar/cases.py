"""Case files: .loom text with each expected finding written behind the line it belongs to.

    circuit 48 "Screen" in {    #! syntax at `{`: after `in` comes a harness name, not `{`
    #!^ mend: a line with `circuit` reads: ...

`#!` speaks of its own line, `#!^` of the nearest line above that is no such comment. `at` gives the text that the
finding points to, `at the end` a place behind the last word. A `mend` belongs to the finding before it. Findings of one
line stand in reading order.

Run `python -m tests.grammar.cases` to write what is found now into every case file; then read what changed.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from grammar.finding import Finding
from grammar.parser import Parsed, parse
from grammar.source import Source

CASES = Path(__file__).parent / "cases"
_EXPECTED = re.compile(r"#!(\^?) (\w+)(?: at (`.*?`|the end))?: (.*)$")


class Expected(NamedTuple):
    """One expected finding, by line number."""

    line: int
    check: str
    at: str
    says: str
    mend: str


def read_case(path: Path) -> tuple[str, list[Expected]]:
    """The text of a case without its remarks, and what they expect."""
    return read_lines(path.read_text("utf-8"))


def read_lines(text: str) -> tuple[str, list[Expected]]:
    """As read_case, for a text at hand."""
    lines: list[str] = []
    expected: list[Expected] = []
    for line in text.split("\n"):
        match = _EXPECTED.search(line)
        if match is None:
            lines.append(line)
            continue
        own = not match[1]
        if own:
            lines.append(line[: match.start()].rstrip())
        if match[2] == "mend":
            expected[-1] = expected[-1]._replace(mend=match[4])
        else:
            expected.append(Expected(len(lines), match[2], match[3] or "", match[4], ""))
    return "\n".join(lines), expected


def found(text: str, name: str) -> tuple[Parsed, list[Expected]]:
    """What the parser makes of a case."""
    parsed = parse(Source(name, text))
    return parsed, [_as_expected(finding) for finding in parsed.findings]


def _as_expected(finding: Finding) -> Expected:
    assert finding.at is not None
    at = finding.at.text.replace("\n", " ")
    shown = f"`{at}`" if at else "the end"
    says = "; ".join([finding.says, *(note.says for note in finding.notes)])
    return Expected(finding.at.position.line, finding.check, shown, says, finding.mend)


def rewrite(path: Path) -> None:
    """Write what is found now behind the lines of a case."""
    text, _ = read_case(path)
    _, findings = found(text, path.name)
    out: list[str] = []
    for number, line in enumerate(text.split("\n"), start=1):
        out.append(line)
        for finding in findings:
            if finding.line == number:
                out.append(f"#!^ {finding.check} at {finding.at}: {finding.says}")
                out += [f"#!^ mend: {finding.mend}"] if finding.mend else []
    path.write_text("\n".join(out), "utf-8")


if __name__ == "__main__":
    for case in sorted(CASES.glob("*.loom")):
        rewrite(case)
