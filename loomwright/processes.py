"""Variants checked in several processes. What comes back is small: places as numbers, texts only where needed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.library import Library
from compiler.forked import forked
from grammar.finding import Finding, Note, Severity
from grammar.source import Source, Span
from loomwright.run import Outcome, check_one
from loomwright.sources import File

_Place = tuple[str, int, int] | None
_PackedNote = tuple[_Place, str]


class _Packed(NamedTuple):
    check: str
    severity: str
    says: str
    at: _Place
    notes: tuple[_PackedNote, ...]
    mend: str


class _Sent(NamedTuple):
    outcome: Outcome  # without its findings
    findings: tuple[_Packed, ...]
    texts: dict[str, str]


class _Task(NamedTuple):
    file: File
    library: Library
    known: Mapping[str, Source]


# Set before the processes part; they inherit it, and with it every fragment already parsed.
_work: list[_Task] = []


def check_in_processes(
    files: list[File], shared: Mapping[Path, Library], known: Mapping[Path, Mapping[str, Source]], jobs: int
) -> Iterator[Outcome]:
    """Outcomes in the order of `files`.

    shared  the library of each project, by its folder
    known   sources that need not be sent back, by project folder and name
    jobs    number of processes

    Raises what checking raises.
    """
    _work[:] = [_Task(file, shared[file.project.root], known[file.project.root]) for file in files]
    try:
        with forked(jobs) as pool:
            chunk = max(1, min(16, len(files) // (jobs * 4)))
            sources = {root: dict(by_name) for root, by_name in known.items()}
            for file, sent in zip(files, pool.map(_check, range(len(files)), chunksize=chunk), strict=True):
                yield _unpacked(sent, sources[file.project.root])
    finally:
        _work.clear()


def _check(index: int) -> _Sent:
    task = _work[index]
    outcome = check_one(task.library, task.file.path)
    texts = {source.name: source.text for source in _named(outcome.findings) if source.name not in task.known}
    return _Sent(outcome._replace(findings=()), tuple(map(_packed, outcome.findings)), texts)


def _named(findings: tuple[Finding, ...]) -> Iterator[Source]:
    """Every source that findings point into."""
    for finding in findings:
        for at in (finding.at, *(note.at for note in finding.notes)):
            if at is not None:
                yield at.source


def _place(at: Span | None) -> _Place:
    return None if at is None else (at.source.name, at.start, at.end)


def _packed(finding: Finding) -> _Packed:
    notes = tuple((_place(note.at), note.says) for note in finding.notes)
    return _Packed(finding.check, finding.severity.value, finding.says, _place(finding.at), notes, finding.mend)


def _unpacked(sent: _Sent, sources: dict[str, Source]) -> Outcome:
    for name, text in sent.texts.items():
        sources.setdefault(name, Source(name, text))

    def span(place: _Place) -> Span | None:
        return None if place is None else Span(sources[place[0]], place[1], place[2])

    variant = sent.outcome.variant
    findings = tuple(
        Finding(
            packed.check,
            Severity(packed.severity),
            packed.says,
            span(packed.at),
            tuple(Note(span(at), says) for at, says in packed.notes),
            packed.mend,
            variant,
        )
        for packed in sent.findings
    )
    return sent.outcome._replace(findings=findings)
