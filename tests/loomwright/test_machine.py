"""Findings for programs: JSON, SARIF 2.1.0, workflow commands."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from grammar.finding import Note, Severity
from grammar.source import Source, Span
from loomwright.report import Reported, Rule
from loomwright.reports.github import github_text
from loomwright.reports.json import json_text
from loomwright.reports.sarif import sarif_text
from tests.loomwright.reports import finding, report, span

FULL = finding(
    span("C40.7"), notes=(Note(span("C40"), "declared here"), Note(None, "by the way")), mend="wire it, or `spare 7`"
)
PLACELESS = finding(None, "broke down", check="check-crashed", severity=Severity.WARNING)
RULES = {
    "dangling-cavity": Rule(
        "dangling-cavity", Severity.ERROR, "cavities", "A cavity ...", "# dangling-cavity\n\nA cavity\n"
    ),
    "check-crashed": Rule("check-crashed", Severity.ERROR, "reading", "A check ...", "# check-crashed\n"),
}
HOSTILE = "\x1b[31m\u202e\r\n::error file=x::100% a:b,c"


@pytest.fixture(scope="module")
def schema(root: Path) -> jsonschema.protocols.Validator:
    """The schema of OASIS for SARIF 2.1.0; source and grade stand beside it (tests/data/sarif-2.1.0/SOURCE.md)."""
    data = json.loads((root / "tests/data/sarif-2.1.0/sarif-schema-2.1.0.json").read_text("utf-8"))
    return jsonschema.Draft7Validator(data)


def place(line: int, column: int, end: int) -> dict[str, Any]:
    """A place within one line of the source that the findings point into."""
    file = "fragments/rear-screen.loom"
    return {"file": file, "line": line, "column": column, "end_line": line, "end_column": end}


# -- JSON --------------------------------------------------------------------------------------------------------
def test_json_says_everything_once() -> None:
    data = json.loads(json_text(report(Reported(FULL, ("S4",)), PLACELESS, variants=("S2", "S4"), waived=3), "1.2.3"))
    assert data == {
        "version": 1,
        "tool": "loomwright 1.2.3",
        "variants": ["S2", "S4"],
        "counts": {"error": 1, "warning": 1, "note": 0, "waived": 3},
        "findings": [
            {
                "check": "dangling-cavity",
                "severity": "error",
                "says": "cavity C40.7 is wired on the body side only",
                "place": place(3, 16, 21),
                "related": [
                    {
                        "says": "declared here",
                        "place": place(1, 11, 14),
                    },
                    {"says": "by the way", "place": None},
                ],
                "mend": "wire it, or `spare 7`",
                "variants": ["S4"],
            },
            {
                "check": "check-crashed",
                "severity": "warning",
                "says": "broke down",
                "place": None,
                "related": [],
                "mend": "",
                "variants": ["S2"],
            },
        ],
    }  # fmt: skip


def test_json_is_ascii_and_the_same_every_time() -> None:
    bad = finding(span("C40.7"), f"Öl {HOSTILE}")
    first, second = (json_text(report(bad), "1") for _ in range(2))
    assert first == second
    assert first.isascii()
    assert "\x1b" not in first
    assert json.loads(first)["findings"][0]["says"] == f"Öl {HOSTILE}"


# -- SARIF -------------------------------------------------------------------------------------------------------
def sarif(*findings: Any, **more: Any) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(sarif_text(report(*findings, **more), RULES, "0.1.0"))
    return data


def test_sarif_is_valid(schema: jsonschema.protocols.Validator) -> None:
    hostile = finding(Span(Source(f"a b#?%{HOSTILE}.loom", HOSTILE), 0, 9), HOSTILE, mend=HOSTILE)
    for data in (sarif(), sarif(FULL, PLACELESS, hostile, variants=("S2", "S4"))):
        assert [error.message for error in schema.iter_errors(data)] == []


def test_the_schema_would_find_a_fault(schema: jsonschema.protocols.Validator) -> None:
    data = sarif(FULL)
    data["runs"][0]["results"][0]["level"] = "severe"
    assert not schema.is_valid(data)


def test_sarif_points_with_columns_of_the_kind_it_declares() -> None:
    text = "配線🚚 A -- C12.G4\n"
    at = Span(Source("x.loom", text), text.index("C12"), text.index("C12") + 6)
    run = sarif(finding(at))["runs"][0]
    assert run["columnKind"] == "unicodeCodePoints"
    region = run["results"][0]["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": 1, "startColumn": 10, "endLine": 1, "endColumn": 16}
    assert text[region["startColumn"] - 1 : region["endColumn"] - 1] == "C12.G4"


def test_sarif_results_point_to_their_rules() -> None:
    run = sarif(FULL, PLACELESS, FULL)["runs"][0]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == ["check-crashed", "dangling-cavity"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    assert rules[1]["help"]["markdown"] == RULES["dangling-cavity"].page
    assert [result["level"] for result in run["results"]] == ["error", "warning", "error"]
    related = run["results"][0]["relatedLocations"]
    assert [place["message"]["text"] for place in related] == ["declared here"]
    assert "Mend: wire it" in run["results"][0]["message"]["text"]


def test_sarif_names_no_folder_of_this_machine() -> None:
    data = sarif_text(report(FULL), RULES, "0.1.0")
    assert json.loads(data)["runs"][0]["originalUriBaseIds"]["SRCROOT"].get("uri") is None
    assert str(Path.cwd()) not in data


def test_a_fingerprint_outlives_lines_added_above() -> None:
    later = Source("fragments/rear-screen.loom", "\n\n" + span("C40.7").source.text)
    before, after = (sarif(finding(span("C40.7", s)))["runs"][0]["results"][0] for s in (span("C40.7").source, later))
    assert before["partialFingerprints"] == after["partialFingerprints"]
    assert before["locations"] != after["locations"]


# -- workflow commands -------------------------------------------------------------------------------------------
def test_a_workflow_command() -> None:
    assert github_text(report(Reported(FULL, ("S4",)), variants=("S2", "S4"))) == (
        "::error file=fragments/rear-screen.loom,line=3,endLine=3,col=16,endColumn=21,title=dangling-cavity"
        "::cavity C40.7 is wired on the body side only%0Afragments/rear-screen.loom:1:11: declared here%0Aby the way"
        "%0Amend: wire it, or `spare 7`%0Ain variant S4\n"
    )


def test_severities_and_findings_without_a_place() -> None:
    text = github_text(report(PLACELESS, finding(None, severity=Severity.NOTE)))
    assert text.splitlines()[0] == "::warning title=check-crashed::broke down"
    assert text.splitlines()[1].startswith("::notice title=dangling-cavity::")


def test_a_stretch_over_several_lines_has_no_columns() -> None:
    at = Span(span("C40").source, 0, 80)
    assert re.match(r"::error file=[^,]*,line=1,endLine=2,title=", github_text(report(finding(at))))


def test_hostile_text_cannot_begin_a_command_or_end_a_property() -> None:
    source = Source(f"a{HOSTILE}.loom", "splice SP1\n")
    bad = finding(Span(source, 0, 6), HOSTILE, notes=(Note(Span(source, 0, 6), HOSTILE),), mend=HOSTILE, check="x")
    text = github_text(report(bad))
    assert len(text.splitlines()) == 1
    assert "\x1b" not in text
    properties, _, message = text.removeprefix("::error ").partition("::")
    assert dict(part.split("=", 1) for part in properties.split(",")).keys() == {
        "file", "line", "endLine", "col", "endColumn", "title",
    }  # fmt: skip
    assert "100%25 a" in message
