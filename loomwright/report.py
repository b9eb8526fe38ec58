"""What a run of checks found, as one value: the writers in `loomwright.reports` print it, nothing here does."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from grammar.finding import Finding, Severity
from grammar.source import Source


class Reported(NamedTuple):
    """A finding, and the ids of the variants in which it goes wrong (none when it goes wrong in any)."""

    finding: Finding
    variants: tuple[str, ...]


class Rule(NamedTuple):
    """What is told of a check: its own severity, its family, one line on what it finds, and its page in Markdown."""

    name: str
    severity: Severity
    family: str
    summary: str
    page: str


@dataclass(eq=False)
class Report:
    """The outcome of a run. Treat as immutable.

    findings  in reading order, each once however many variants share it; sources carry the path as it is shown
    variants  ids of the variants checked, in the order of the files
    waived    findings that waivers took out, over all variants
    files     how many source files were read
    seconds   how long it took
    """

    findings: tuple[Reported, ...]
    variants: tuple[str, ...]
    waived: int
    files: int
    seconds: float

    def count(self, severity: Severity) -> int:
        """How many findings of one severity."""
        return self._counts.get(severity, 0)

    @cached_property
    def _counts(self) -> dict[Severity, int]:
        counts: dict[Severity, int] = {}
        for finding, _ in self.findings:
            counts[finding.severity] = counts.get(finding.severity, 0) + 1
        return counts

    @cached_property
    def wrong_variants(self) -> tuple[str, ...]:
        """Variants with at least one error or warning, in the order of `variants`."""
        wrong = {name for finding, names in self.findings if finding.severity is not Severity.NOTE for name in names}
        return tuple(name for name in self.variants if name in wrong)

    def failed(self, strict: bool = False) -> bool:
        """Whether a CI job should stop here: on errors, with `strict` on warnings too."""
        return bool(self.count(Severity.ERROR) or (strict and self.count(Severity.WARNING)))

    def without(self, only: Iterable[str] = (), skip: Iterable[str] = ()) -> Report:
        """The report with only the checks named, or without those to skip."""
        wanted, unwanted = frozenset(only), frozenset(skip)
        kept = tuple(
            reported
            for reported in self.findings
            if (not wanted or reported.finding.check in wanted) and reported.finding.check not in unwanted
        )
        return replace(self, findings=kept)


def merged(found: Iterable[tuple[Finding, str]]) -> tuple[Reported, ...]:
    """Findings with the variant each was found in (or empty), the same ones put together, in reading order.

    Sources are told apart by name: two readings of one file are the same file.
    """
    variants: dict[object, dict[str, None]] = {}
    first: dict[object, Finding] = {}
    for finding, variant in found:
        key = _key(finding)
        first.setdefault(key, finding)
        names = variants.setdefault(key, {})
        if variant:
            names[variant] = None
    ordered = sorted(first.items(), key=lambda item: _order(item[1]))
    return tuple(Reported(replace(finding, variant=""), tuple(variants[key])) for key, finding in ordered)


def _key(finding: Finding) -> object:
    at = finding.at
    place = None if at is None else (at.source.name, at.start, at.end)
    notes = tuple(
        (note.says, None if note.at is None else (note.at.source.name, note.at.start, note.at.end))
        for note in finding.notes
    )
    return (finding.check, finding.severity, finding.says, place, notes, finding.mend)


def _order(finding: Finding) -> tuple[str, int, int, str, str]:
    at = finding.at
    name, start = (at.source.name, at.start) if at is not None else ("", 0)
    return (name, start, finding.severity.rank, finding.check, finding.says)


class Renamer:
    """Gives sources the names under which a run shows them: from the working folder, so that they can be opened."""

    def __init__(self) -> None:
        self._folder = Path.cwd()
        self._renamed: dict[tuple[Path, str], Source] = {}

    def source(self, source: Source, root: Path) -> Source:
        """`source` of the project in `root` under its shown name. One source in, one source out."""
        if root == self._folder:
            return source
        key = (root, source.name)
        found = self._renamed.get(key)
        if found is None:
            name = Path(os.path.relpath(root / source.name, self._folder)).as_posix()
            found = self._renamed[key] = Source(name, source.text)
        return found

    def finding(self, finding: Finding, root: Path) -> Finding:
        """A finding with all its places in renamed sources."""
        if root == self._folder:
            return finding
        at = finding.at
        if at is not None:
            at = at._replace(source=self.source(at.source, root))
        notes = tuple(
            note if note.at is None else replace(note, at=note.at._replace(source=self.source(note.at.source, root)))
            for note in finding.notes
        )
        return replace(finding, at=at, notes=notes)
