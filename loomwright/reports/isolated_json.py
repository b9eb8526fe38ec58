"""A search as JSON for programs. `version` rises when a field changes its meaning or goes.

    {
      "version": 1,
      "variant": "S4",
      "complaint": {"id": "R3-dead", "title": "...", "set": {"S1": "run"}, "seen": ["R3 dead"]},
      "events": [{"kind": "answer", "what": "click K7", "words": ["1.0", "1.0"], "set": {}}],
      "ended": false,                                  true: no test tells more
      "groups": [                                      faults that no test within reach tells apart, likeliest first
        {"share": 0.31, "faults": [{"says": "...", "part": "...", "item": "C40", "half": 1,
                                    "kind": "terminal-backed-out", "repair": "...", "share": 0.3}]}
      ],
      "cleared": [{"part": "fuse F15", "item": "F15", "reason": "...", "by": "..."}],
      "related": [{"test": { ... }, "shares": ["fuse F15"], "should": "lit", "tells": [["lit", "clears ..."]]}],
      "next": { ... } or null,                         as one of "tests"
      "confirm": {"test": { ... }, "faulty": "below 0.3 ohm", "sound": "open", "otherwise": "..."} or null,
                                                       where there was nothing to tell apart: shows the fault itself
      "tests": [
        {"id": "volts C40.7 body side", "kind": "volts", "item": "C40", "set": {"S1": "run"}, "power": true,
         "words": "...", "minutes": 3.0, "bits": 0.97, "unit": "V",
         "answers": [{"words": "11.6 to 13.0 V", "low": 11.6, "high": 13.0, "good": true, "share": 0.6, "faults": 34}]}
      ],
      "conflict": ["R3 dead", "..."],                  what no single fault explains together; else empty
      "pairs": [{"share": 0.5, "faults": [{ ... }, { ... }]}]
    }

A reading without an upper end (an open circuit) has "high": null. Numbers are rounded to 6 figures.
"""

from __future__ import annotations

import json
from math import isfinite
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from compiler.isolation.types import Choice, Confirmation, Group, Related, Suspect, Test
    from loomwright.searches.desk import Desk

VERSION = 1


def isolated_json(desk: Desk) -> str:
    """A search as JSON text with a line feed at its end."""
    search, choice = desk.search, desk.choice
    complaint = search.case.complaint
    data = {
        "version": VERSION,
        "variant": search.case.network.variant.id,
        "complaint": {
            "id": complaint.id,
            "title": complaint.title,
            "set": dict(complaint.settings),
            "seen": [str(observation) for observation in complaint.observations],
        },
        "events": [
            {"kind": e.kind, "what": e.what, "words": list(e.words), "set": dict(e.settings)} for e in search.events
        ],
        "ended": choice is None,
        "groups": [_group(group) for group in search.groups],
        "cleared": [row._asdict() for row in search.cleared],
        "related": [_related(row) for row in search.related],
        "next": None if choice is None else _choice(choice),
        "confirm": None if search.confirmation is None else _confirm(search.confirmation),
        "tests": [_choice(row) for row in search.choices],
        "conflict": list(search.conflict.seen) if search.conflict else [],
        "pairs": [
            {"share": _number(pair.share), "faults": [_suspect(pair.first), _suspect(pair.second)]}
            for pair in search.pairs
        ],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def complaints_json(variant: str, complaints: tuple[tuple[str, str, str], ...]) -> str:
    """Complaints that a search may begin from: id, sort and title of each."""
    rows = [{"id": name, "sort": sort, "title": title} for name, sort, title in complaints]
    return json.dumps({"version": VERSION, "variant": variant, "complaints": rows}, indent=2) + "\n"


def _group(group: Group) -> dict[str, Any]:
    total = sum(suspect.weight for suspect in group.suspects) or 1.0
    faults = [{**_suspect(s), "share": _number(group.share * s.weight / total)} for s in group.suspects]
    return {"share": _number(group.share), "faults": faults}


def _suspect(suspect: Suspect) -> dict[str, Any]:
    return {
        "says": suspect.says,
        "part": suspect.part,
        "item": suspect.item,
        "half": suspect.half if suspect.half >= 0 else None,
        "kind": suspect.kind,
        "repair": suspect.repair,
    }


def _confirm(confirm: Confirmation) -> dict[str, Any]:
    return {
        "test": _test(confirm.test),
        "faulty": confirm.faulty.words,
        "sound": confirm.test.sound.words,
        "otherwise": confirm.otherwise,
    }


def _related(row: Related) -> dict[str, Any]:
    return {
        "test": _test(row.test),
        "shares": list(row.shares),
        "should": row.should,
        "tells": [list(pair) for pair in row.tells],
    }


def _test(test: Test) -> dict[str, Any]:
    return {
        "id": test.id,
        "kind": test.kind.value,
        "item": test.item,
        "set": dict(test.settings),
        "power": test.power,
        "words": test.words,
        "unit": test.unit,
    }


def _choice(choice: Choice) -> dict[str, Any]:
    answers = [
        {
            "words": outcome.reading.words,
            "low": _number(outcome.reading.low),
            "high": _number(outcome.reading.high),
            "good": outcome.good,
            "share": _number(outcome.share),
            "faults": len(outcome.suspects),
        }
        for outcome in choice.outcomes
    ]
    told = {"minutes": _number(choice.minutes), "bits": _number(choice.bits)}
    return {**_test(choice.test), **told, "answers": answers}


def _number(value: float) -> float | None:
    return float(f"{value:.6g}") + 0.0 if isfinite(value) else None
