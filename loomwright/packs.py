"""Packs published: each variant checked first; several in one call on all cores, what they share read once."""

from __future__ import annotations

import io
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Future, as_completed
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from compiler.assembly.library import Library
from compiler.forked import forked
from loomwright.errors import CannotRun, cannot_run
from loomwright.sources import File

if TYPE_CHECKING:
    from multiprocessing.synchronize import Event

    from compiler.assembly.project import Project
    from compiler.checks.run import Checked
    from compiler.model.variant import Variant
    from renderers.part import Part
    from renderers.publish import Published

_INTERRUPTED = 130
_CANNOT_RUN = 2


class Order(NamedTuple):
    """How packs are to be published; see `renderers.publish.publish`. `colour` and `width` are for findings."""

    formats: tuple[str, ...]
    paper: str
    dot: str | None
    force: bool
    part: Part
    resolution: int
    date: int | None
    since: Path | None
    states: tuple[str, ...]
    faults: str
    jobs: int
    kept_in: Path | None
    colour: bool
    width: int | None


class Told(NamedTuple):
    """What became of a variant: its findings as text, one line of outcome, and the exit code it stands for."""

    findings: str
    line: str
    code: int


def publish_one(library: Library, path: Path, out: Path, order: Order, progress: Callable[[str], None] | None) -> Told:
    """Check a variant and publish its pack into `out`. Raises what those raise."""
    from compiler.checks.run import check_variant
    from loomwright.commands.issues import last_issue
    from renderers.publish import publish
    from renderers.store import Store

    checked = check_variant(library, path)
    findings, line, model = _publishable(checked, library, order)
    if model is None:
        return Told(findings, line, 1)
    last = last_issue(order.since, model.id) if order.since else None
    if order.since and last is None:
        line = "\n".join(filter(None, (line, f"{model.id}: no earlier issue in {order.since}; no changes are told")))
    done = publish(
        model,
        library.project,
        out,
        formats=order.formats,
        paper=order.paper,
        dot=order.dot,
        progress=progress,
        store=Store(order.kept_in),
        part=order.part,
        resolution=order.resolution,
        date=order.date,
        since=last,
        states=order.states,
        faults=order.faults,
        jobs=order.jobs,
    )
    return Told(findings, "\n".join(filter(None, (line, _outcome(model.id, out, done)))), 0)


def _publishable(checked: Checked, library: Library, order: Order) -> tuple[str, str, Variant | None]:
    """The errors as text, a line on them, and the model, or None when errors forbid it."""
    from grammar.finding import Severity
    from loomwright.report import Renamer, Report, merged
    from loomwright.reports.terminal import write_findings

    renamer, root = Renamer(), library.project.root
    errors = [f for f in checked.findings if f.severity is Severity.ERROR]
    report = Report(merged((renamer.finding(finding, root), finding.variant) for finding in errors), (), 0, 0, 0.0)
    shown = io.StringIO()
    write_findings(report, shown, colour=order.colour, width=order.width)
    warnings = sum(finding.severity is Severity.WARNING for finding in checked.findings)
    line = f"{warnings} {'warning' if warnings == 1 else 'warnings'}; see loomwright check" if warnings else ""
    if checked.variant is None or (errors and not order.force):
        name = f"{checked.variant.id} is " if checked.variant else ""
        number = f"{len(errors)} {'error' if len(errors) == 1 else 'errors'}"
        forced = "; --force publishes all the same" if checked.variant else ""
        line = "\n".join(filter(None, (line, f"{name}not published: {number}{forced}")))
        return shown.getvalue(), line, None
    return shown.getvalue(), line, checked.variant


def publish_together(
    files: Sequence[File], shared: dict[Path, Library], out: Path, order: Order, progress: Callable[[str], None] | None
) -> Iterator[Told]:
    """Check variants and publish one pack of them all; none if one of them cannot be published."""
    from compiler.checks.run import check_variant
    from loomwright.run import OneVariant
    from renderers.publish import wishes_of
    from renderers.publish_combined import publish_combined
    from renderers.store import Store

    subjects: list[tuple[Variant, Project]] = []
    for file in files:
        library = shared[file.project.root]
        findings, line, model = _publishable(check_variant(OneVariant(library, file.path), file.path), library, order)
        if model is not None:
            subjects.append((model, file.project))
        yield Told(findings, line, int(model is None))
    if len(subjects) < len(files):
        return
    done = publish_combined(
        subjects,
        out,
        wishes_of(order.formats, order.paper, order.resolution, order.date),
        dot=order.dot,
        progress=progress,
        store=Store(order.kept_in),
        part=order.part,
        faults=order.faults,
        jobs=order.jobs,
    )
    yield Told("", _outcome(", ".join(model.id for model, _ in subjects), out, done), 0)


def _outcome(name: str, out: Path, done: Published) -> str:
    count = len(done.files)
    said = f"({done.seconds:.1f} s)" if done.changed else "are up to date"
    return f"{name}: {count} {'file' if count == 1 else 'files'} in {out} {said}"


# -- several ----------------------------------------------------------------------------------------------------------
class _Task(NamedTuple):
    file: File
    library: Library
    out: Path
    order: Order


# Set before the processes part; they inherit it, and with it every fragment already parsed.
_work: list[_Task] = []
_stopping: list[Event] = []  # in each of the processes: set when no more work is wanted


def publish_many(
    files: Sequence[File], shared: dict[Path, Library], out: Path, order: Order, jobs: int
) -> Iterator[tuple[int, Told]]:
    """What became of each file, by its place in `files`, as they get done; each pack in a folder of its own in `out`.

    One that fails does not stop the others. Raises CannotRun where two variants would share a folder.
    """
    folders = _folders(files, shared, out)
    _work[:] = [
        _Task(file, shared[file.project.root], folder, order) for file, folder in zip(files, folders, strict=True)
    ]
    try:
        if jobs < 2 or len(files) < 2 or not hasattr(os, "fork"):
            yield from ((index, _published(index)) for index in range(len(files)))
            return
        from renderers.store import code_digest

        import_module("renderers.publish")
        code_digest()
        stopping = get_context("fork").Event()
        with forked(min(jobs, len(files)), _begin, stopping) as pool:
            asked = {pool.submit(_in_process, index): index for index in range(len(files))}
            try:
                for done in as_completed(asked):
                    yield asked[done], _told(files[asked[done]], done)
            except BaseException:
                stopping.set()  # for those already on their way to a process
                pool.shutdown(cancel_futures=True)
                raise
    finally:
        _work.clear()


def _folders(files: Sequence[File], shared: dict[Path, Library], out: Path) -> list[Path]:
    """A folder for each variant, named by its id. Raises CannotRun."""
    from renderers.text import file_name

    taken: dict[str, File] = {}
    folders: list[Path] = []
    for file in files:
        name = file_name(_id_in(shared[file.project.root], file.path))
        # Where capitals do not count, two folders must not be one.
        other = taken.setdefault(name.casefold(), file)
        if other is not file:
            both = f"{other.path.name} and {file.path.name}"
            raise CannotRun(f"{both} would both be published in {out / name}; give one another id")
        folders.append(out / name)
    return folders


def _id_in(library: Library, path: Path) -> str:
    """The id that a file gives its variant, as far as it can be read; else the file's name."""
    from grammar.tree import Statement

    # A library of its own: the trees of a thousand variants are not kept.
    for node in Library(library.project).read(path).tree.lines:
        if isinstance(node, Statement) and node.rule == "variant" and node.values:
            return node.values[0].text
    return path.stem


def _begin(stopping: Event) -> None:
    """What each of the processes has to know."""
    _stopping[:] = [stopping]


def _told(file: File, done: Future[Told]) -> Told:
    try:
        return done.result()
    except BrokenExecutor:
        return Told("", f"{file.path.name}: not published: a process was ended from outside", _CANNOT_RUN)


def _in_process(index: int) -> Told:
    """As `_published`, in a process that answers an interrupt only while it works."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        if not _stopping[0].is_set():
            return _published(index)
    except KeyboardInterrupt:
        pass
    finally:
        signal.signal(signal.SIGINT, before)
    return Told("", f"{_work[index].file.path.name}: interrupted", _INTERRUPTED)


def _published(index: int) -> Told:
    """Publish one of many; whatever goes wrong is its outcome."""
    from loomwright.run import OneVariant

    task = _work[index]
    try:
        return publish_one(OneVariant(task.library, task.file.path), task.file.path, task.out, task.order, None)
    except Exception as error:  # noqa: BLE001 - one variant must not stop the others
        words = cannot_run(error) or f"this is our mistake, not yours: {type(error).__name__}: {error}"
        return Told("", f"{task.file.path.name}: {words}", _CANNOT_RUN)
