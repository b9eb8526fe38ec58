"""A run of checks over many variants: every fragment parsed once, all cores used, each finding told once."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from time import perf_counter
from typing import NamedTuple

from compiler.assembly.library import Library
from compiler.checks.run import asking, check_variant
from compiler.forked import cores
from grammar.finding import Finding
from grammar.parser import Parsed
from grammar.source import Source
from loomwright.report import Renamer, Report, merged
from loomwright.sources import File, NothingToCheck, collect

__all__ = ["NothingToCheck", "Outcome", "run"]

_WORTH_FORKING_S = 0.4  # work left, below which starting processes costs more than it saves


class Outcome(NamedTuple):
    """What checking one variant gave. `sources` are the names of the files it is made of."""

    variant: str
    findings: tuple[Finding, ...]
    waived: int
    sources: tuple[str, ...]


class OneVariant(Library):
    """Reads the variant's own file for itself and the fragments through a library that others share.

    So the trees of a thousand variants are never all in memory.
    """

    def __init__(self, shared: Library, own: Path) -> None:
        super().__init__(shared.project)
        self._shared = shared
        self._own = own

    def read(self, path: Path) -> Parsed:
        """As Library.read."""
        return super().read(path) if path.resolve() == self._own else self._shared.read(path)


def run(paths: Sequence[Path], *, jobs: int = 0, testability: bool = False) -> Report:
    """Check the variants that `paths` stand for; fragments that no variant uses are parsed and reported too.

    jobs         processes at most; 0 for as many as there are cores to use
    testability  whether the checks of complaints run too, which take long

    Raises OSError, ProjectError, and NothingToCheck.
    """
    started = perf_counter()
    files = collect(paths)
    shared: dict[Path, Library] = {}
    for file in (*files.variants, *files.fragments):
        shared.setdefault(file.project.root, Library(asking(file.project) if testability else file.project))
    outcomes = _check_all(files.variants, files.fragments, shared, jobs or cores())

    renamer = Renamer()
    found: list[tuple[Finding, str]] = [(finding, "") for finding in files.refused]
    names: list[str] = []
    waived = 0
    read: set[Path] = set()
    for file, outcome in zip(files.variants, outcomes, strict=True):
        root = file.project.root
        if outcome.variant:
            names.append(outcome.variant)
        waived += outcome.waived
        read.update(root / name for name in outcome.sources)
        found += [(renamer.finding(finding, root), outcome.variant) for finding in outcome.findings]
    for file in files.fragments:
        if file.path not in read:
            read.add(file.path)
            root = file.project.root
            parsed = shared[root].read(file.path)
            found += [(renamer.finding(finding, root), "") for finding in parsed.findings]
    return Report(merged(found), tuple(names), waived, len(read), perf_counter() - started)


def check_one(library: Library, path: Path) -> Outcome:
    """Check one variant. Raises OSError and ProjectError."""
    checked = check_variant(OneVariant(library, path), path)
    variant = checked.variant
    if variant is None:
        return Outcome("", checked.findings, 0, (library.project.shown(path),))
    return Outcome(variant.id, checked.findings, checked.waived, tuple(s.name for s in variant.sources))


def _check_all(
    variants: list[File], fragments: list[File], shared: dict[Path, Library], jobs: int
) -> Iterable[Outcome]:
    """Outcomes in the order of `variants`. The first ones are checked here: they show whether more hands pay."""
    done: list[Outcome] = []
    started = perf_counter()
    for index, file in enumerate(variants):
        left = len(variants) - index
        spent = perf_counter() - started
        if jobs > 1 and index and left > 1 and spent / index * left > _WORTH_FORKING_S and hasattr(os, "fork"):
            from loomwright.processes import check_in_processes

            known = preload((*variants[index:], *fragments), shared)
            return [*done, *check_in_processes(variants[index:], shared, known, min(jobs, left))]
        done.append(check_one(shared[file.project.root], file.path))
    return done


def preload(files: Iterable[File], shared: dict[Path, Library]) -> dict[Path, dict[str, Source]]:
    """Parse every fragment before the processes part, so that none is parsed twice. Sources by project and name."""
    known: dict[Path, dict[str, Source]] = {root: {} for root in shared}
    seen: set[Path] = set()
    for file in files:
        root = file.project.root
        waiting = list(file.uses)
        while waiting:
            path = waiting.pop()
            if path in seen or not path.is_relative_to(root):
                continue
            seen.add(path)
            with suppress(OSError):  # whoever uses it reports it
                parsed = shared[root].read(path)
                known[root][parsed.tree.source.name] = parsed.tree.source
                waiting += _uses(parsed, path)
    return known


def _uses(parsed: Parsed, path: Path) -> Iterator[Path]:
    from grammar.tree import Statement, walk

    for node in walk(parsed.tree.lines):
        if isinstance(node, Statement) and node.rule == "use" and node.values:
            yield (path.parent / node.values[0].value).resolve()
