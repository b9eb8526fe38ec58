"""Findings as JSON, for programs. The form is stable: `version` rises when a field changes its meaning or goes.

    {
      "version": 1,
      "tool": "loomwright 0.1.0",
      "variants": ["S2", "S4"],                       ids of the variants checked, in the order of the files
      "counts": {"error": 1, "warning": 0, "note": 0, "waived": 0},
      "findings": [
        {
          "check": "dangling-cavity",                 readable name; `loomwright explain NAME` shows its page
          "severity": "error",                        error, warning or note
          "says": "cavity C40.7 is wired ...",
          "place": PLACE or null,
          "related": [{"says": "...", "place": PLACE or null}],
          "mend": "wire the other half ...",          empty when nothing can be proposed
          "variants": ["S4"]                          in which it goes wrong; empty when it goes wrong in any
        }
      ]
    }

PLACE is `{"file", "line", "column", "end_line", "end_column"}`: the path from the working folder with forward slashes,
lines and columns counted from 1 in characters (code points), the end being the first character that no longer belongs.
All text beyond ASCII is escaped, so that the output is safe to show anywhere. Two runs give the same bytes.
"""

from __future__ import annotations

import json
from typing import Any

from grammar.finding import Severity
from grammar.source import Span
from loomwright.report import Report

VERSION = 1


def json_text(report: Report, tool_version: str) -> str:
    """A report as JSON text with a line feed at its end."""
    data = {
        "version": VERSION,
        "tool": f"loomwright {tool_version}",
        "variants": list(report.variants),
        "counts": {**{severity.value: report.count(severity) for severity in Severity}, "waived": report.waived},
        "findings": [
            {
                "check": finding.check,
                "severity": finding.severity.value,
                "says": finding.says,
                "place": _place(finding.at),
                "related": [{"says": note.says, "place": _place(note.at)} for note in finding.notes],
                "mend": finding.mend,
                "variants": list(variants),
            }
            for finding, variants in report.findings
        ],
    }
    return json.dumps(data, indent=2) + "\n"


def _place(at: Span | None) -> dict[str, Any] | None:
    if at is None:
        return None
    (line, column), (end_line, end_column) = at.position, at.end_position
    return {
        "file": at.source.name,
        "line": line,
        "column": column,
        "end_line": end_line,
        "end_column": end_column,
    }
