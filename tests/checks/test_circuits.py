"""The checks that search the circuit: silent on sound variants, steady on broken ones, and quick to say why."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from compiler.assembly.assemble import Assembled, assemble
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.checks import checks
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity
from tests.chaos.variants import make_variant

_HERE = Path("circuits.loom")
NAMES = (
    "back-feed",
    "fuse-colour",
    "fuse-rating",
    "fuse-unrated",
    "fusible-link-size",
    "load-unrated",
    "no-feed",
    "no-return",
    "oversized-fuse",
    "pin-unused",
    "relay-never-energised",
    "size-step-unprotected",
    "supply-short",
    "switch-contact-unused",
    "terminal-designation",
    "unfused-feed",
    "unwired-terminal",
)
CHECKS: dict[str, Check] = {name: checks()[name] for name in NAMES}


def assembled(text: str) -> Assembled:
    return assemble(Library(Project(Path.cwd(), Settings())).with_texts({_HERE: text}), _HERE)


def found(done: Assembled) -> list[Finding]:
    assert done.variant is not None
    subject = Subject(done.variant, Settings(), done.colour_problems, reading=done.findings)
    return [finding for check in CHECKS.values() for finding in check.run(subject)]


@pytest.mark.parametrize("seed", range(200))
def test_in_a_sound_variant_nothing_is_found(seed: int) -> None:
    done = assembled(make_variant(seed, 40 + seed % 60))
    assert done.variant is not None
    standing = [f for f in found(done) if not (f.check == "unfused-feed" and "wire 1A" in f.says)]
    assert [f.says for f in standing if f.severity is not Severity.NOTE] == [], "only the waived battery cable"


@pytest.mark.parametrize("seed", range(100))
def test_a_broken_variant_breaks_no_check(seed: int) -> None:
    """Lines lost, doubled, and ends swapped anywhere: every finding still has a place, words and a mend."""
    source = random.Random(seed)
    lines = make_variant(seed, 60).split("\n")
    for _ in range(source.randint(1, 12)):
        number = source.randrange(1, len(lines))
        kind = source.choice(("lose", "double", "swap"))
        if kind == "lose":
            lines[number] = ""
        elif kind == "double":
            lines.insert(number, lines[number])
        else:
            other = source.randrange(1, len(lines))
            lines[number], lines[other] = lines[other], lines[number]
    done = assembled("\n".join(lines))
    if done.variant is None:
        return
    for finding in found(done):
        assert finding.at is not None
        assert finding.at.source in done.variant.sources
        assert 0 <= finding.at.start < finding.at.end <= len(finding.at.source.text)
        assert finding.mend
        assert finding.says
        assert not finding.says.endswith(".")
        assert all(note.says for note in finding.notes)


def test_findings_of_one_text_are_the_same_on_every_run() -> None:
    text = make_variant(3, 200)
    broken = text.replace("BUS1", "STUD1", 3)
    first, second = (
        [(f.check, str(f.at), f.says, f.mend, [n.says for n in f.notes]) for f in found(assembled(broken))]
        for _ in range(2)
    )
    assert first == second


def test_one_cause_is_one_finding_however_much_lies_dead() -> None:
    """The feed of a fuse block cut: one finding names the bus, whatever hangs on it."""
    text = make_variant(5, 400)
    cut = "\n".join(line for line in text.split("\n") if " -- BUS1 " not in line)
    assert cut != text
    [finding] = [f for f in found(assembled(cut)) if f.check in ("no-feed", "no-return", "relay-never-energised")]
    assert finding.says.startswith("no supply reaches bus BUS1: ")
    assert finding.at is not None
    assert finding.at.text == "BUS1"
