"""Findings as workflow commands, which a GitHub job shows as annotations at the lines of a pull request.

Form and escapes as in the workflow commands' documentation (`::error file=...,line=...::message`; `%`, line feed and
carriage return escaped everywhere, `:` and `,` in properties too): published, from memory (grade C).
"""

from __future__ import annotations

from grammar.finding import Finding, Severity
from loomwright.report import Report
from loomwright.reports.clean import visible

_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def github_text(report: Report) -> str:
    """One workflow command a finding, each on its line; empty without findings."""
    several = len(report.variants) > 1
    return "".join(_command(finding, variants if several else ()) for finding, variants in report.findings)


def _command(finding: Finding, variants: tuple[str, ...]) -> str:
    properties: dict[str, str] = {}
    if finding.at is not None:
        (line, column), (end_line, end_column) = finding.at.position, finding.at.end_position
        properties = {"file": finding.at.source.name, "line": str(line), "endLine": str(end_line)}
        if end_line == line:  # columns are only understood within one line
            properties |= {"col": str(column), "endColumn": str(max(end_column, column + 1))}
    properties["title"] = finding.check
    lines = [finding.says]
    lines += [f"{note.at}: {note.says}" if note.at is not None else note.says for note in finding.notes]
    if finding.mend:
        lines.append(f"mend: {finding.mend}")
    if variants:
        lines.append(("in variant " if len(variants) == 1 else "in variants ") + ", ".join(variants))
    told = "\n".join(visible(line) for line in lines)
    listed = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{_COMMANDS[finding.severity]} {listed}::{_message(told)}\n"


def _message(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _message(visible(text)).replace(":", "%3A").replace(",", "%2C")
