"""Seeded defects: each kind of fault planted at many places of the clean demo, by editing its text.

The check of that name must speak on the planted line, every time. What else speaks is counted and printed.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import check_variant
from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.model.variant import Variant
from grammar.finding import Finding
from tests.seeded import electrical, locations  # noqa: F401 - register their planters
from tests.seeded.edits import Planted
from tests.seeded.planters import PLANTERS

DEMO = Path(__file__).parents[2] / "samples" / "sandpiper" / "S4.loom"
PLACES = 20
# The two checks that solve the network in many states take most of a run's time. They look on at the first places of
# each kind, and stay off at the others unless they are the ones asked for.
SLOW = ("expectation-failed", "sneak-path")
WATCHED = 4


@cache
def demo() -> tuple[Library, Variant, Feeds]:
    library = Library(find_project(DEMO))
    checked = check_variant(library, DEMO)
    assert checked.variant is not None
    return library, checked.variant, Feeds(Graph(checked.variant))


def findings_after(planted: Planted, off: tuple[str, ...] = ()) -> tuple[Finding, ...]:
    library, _, _ = demo()
    root = library.project.root
    edited = library.with_texts({root / source.name: text for source, text in planted.texts().items()})
    settings = library.project.settings
    severity = {**settings.severity, **dict.fromkeys(off, "off")}
    edited.project = replace(library.project, settings=replace(settings, severity=severity))
    return check_variant(edited, DEMO).findings


def lines_of(finding: Finding) -> tuple[str, int] | None:
    return (finding.at.source.name, finding.at.position.line) if finding.at else None


def test_the_clean_demo_has_no_findings() -> None:
    library, _, _ = demo()
    assert [f.says for f in check_variant(library, DEMO).findings] == []


@pytest.mark.parametrize("name", sorted(PLANTERS))
def test_planted_faults_are_found(name: str, record_seeded: Counter[tuple[str, str]]) -> None:
    _, variant, feeds = demo()
    places = list(PLANTERS[name](variant, feeds))
    chosen = random.Random(name).sample(places, min(PLACES, len(places)))
    assert len(chosen) >= min(PLACES, MINIMUM.get(name, PLACES)), f"only {len(places)} places for {name}"
    missed = []
    for place, planted in enumerate(chosen):
        findings = findings_after(planted, () if place < WATCHED else tuple(check for check in SLOW if check != name))
        expected = planted.expected()
        right = [f for f in findings if f.check == name and lines_of(f) in expected]
        if not right:
            missed.append((planted.edits, expected, [(f.check, lines_of(f), f.says) for f in findings][:5]))
        record_seeded[name, "planted"] += 1
        record_seeded[name, "found"] += bool(right)
        for finding in findings:
            if finding not in right[:1]:
                record_seeded[name, finding.check] += 1
    assert not missed, missed[0]


# Faults that the demo has fewer than twenty places for.
MINIMUM = {"fusible-link-size": 20}
