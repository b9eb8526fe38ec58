"""Findings as SARIF 2.1.0 (OASIS), the exchange format that code hosts read.

Columns count code points (`columnKind`), paths are relative to the working folder (`SRCROOT`, whose place is left to
the reader): a log says nothing of the machine that wrote it. Every rule carries its page as help.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from typing import Any
from urllib.parse import quote

from grammar.finding import Finding, Severity
from grammar.source import Span
from loomwright.report import Report, Reported, Rule

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def sarif_text(report: Report, rules: Mapping[str, Rule], tool_version: str) -> str:
    """A report as a SARIF log with one run. `rules` has one for each check that found something."""
    found = sorted({finding.check for finding, _ in report.findings})
    index = {name: number for number, name in enumerate(found)}
    run = {
        "tool": {
            "driver": {
                "name": "loomwright",
                "semanticVersion": tool_version,
                "rules": [_rule(rules[name]) for name in found],
            }
        },
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {"SRCROOT": {"description": {"text": "The folder in which the check was run."}}},
        "results": [_result(reported, index) for reported in report.findings],
        "properties": {"variants": list(report.variants), "waived": report.waived},
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2) + "\n"


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.name,
        "shortDescription": {"text": rule.summary},
        "help": {"text": rule.page, "markdown": rule.page},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "properties": {"tags": [rule.family]},
    }


def _result(reported: Reported, index: Mapping[str, int]) -> dict[str, Any]:
    finding, variants = reported
    words = [finding.says, *(note.says for note in finding.notes if note.at is None)]
    if finding.mend:
        words.append(f"Mend: {finding.mend}")
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "ruleIndex": index[finding.check],
        "level": _LEVELS[finding.severity],
        "message": {"text": "\n".join(words)},
        "partialFingerprints": {"loomwright/v1": _fingerprint(finding)},
    }
    if finding.at is not None:
        result["locations"] = [{"physicalLocation": _physical(finding.at)}]
    related = [note for note in finding.notes if note.at is not None]
    if related:
        result["relatedLocations"] = [
            {"id": number, "physicalLocation": _physical(note.at), "message": {"text": note.says}}
            for number, note in enumerate(related, 1)
            if note.at is not None
        ]
    if variants:
        result["properties"] = {"variants": list(variants)}
    return result


def _physical(at: Span) -> dict[str, Any]:
    (line, column), (end_line, end_column) = at.position, at.end_position
    return {
        "artifactLocation": {"uri": quote(at.source.name, errors="surrogateescape"), "uriBaseId": "SRCROOT"},
        "region": {"startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column},
    }


def _fingerprint(finding: Finding) -> str:
    """The same for the same fault after lines were added above it."""
    name = finding.at.source.name if finding.at is not None else ""
    text = f"{finding.check}\0{name}\0{finding.says}"
    return sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:32]
