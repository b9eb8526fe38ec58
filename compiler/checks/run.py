"""Run all checks over one variant: settings, waivers, order. A check that breaks is a finding, not the end of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.names import nearest
from compiler.assembly.project import Project, ProjectError, Settings
from compiler.checks import READING, checks, known_names
from compiler.checks.base import Check, Subject
from compiler.checks.waiver_unused import WaiverUnused
from compiler.model.items import Waiver
from compiler.model.variant import Variant
from grammar.finding import Finding, Severity, in_reading_order


class Checked(NamedTuple):
    """The model (None if there is none), its findings in reading order, and how many findings waivers took out."""

    variant: Variant | None
    findings: tuple[Finding, ...]
    waived: int


def check_settings(settings: Settings) -> None:
    """Refuse settings that name no check or policy. Raises ProjectError."""
    for name in settings.severity:
        if name in READING:
            raise ProjectError(f"loomwright.toml: [severity] {name}: what cannot be read is always an error")
        if name not in known_names():
            near = nearest(name, known_names())
            raise ProjectError(
                f"loomwright.toml: [severity] {name}: no such check" + (f"; did you mean {near}?" if near else "")
            )
    known = sorted({p for check in checks().values() for p in check.policies})
    for name in settings.policy:
        if name not in known:
            near = nearest(name, known)
            raise ProjectError(
                f"loomwright.toml: [policy] {name}: no such policy"
                + (f"; did you mean {near}?" if near else f"; known are {', '.join(known)}")
            )


def asking(project: Project) -> Project:
    """The project with the checks that take long asked for too."""
    asked = {name: check.severity.value for name, check in checks().items() if check.on_request}
    settings = replace(project.settings, severity={**asked, **project.settings.severity})
    return replace(project, settings=settings)


def check_variant(library: Library, path: Path) -> Checked:
    """Assemble and check the variant in `path`. Raises OSError if it cannot be read, ProjectError for bad settings."""
    settings = library.project.settings
    check_settings(settings)
    assembled = assemble(library, path)
    if assembled.variant is None:
        return Checked(None, tuple(in_reading_order(assembled.findings)), 0)
    subject = Subject(
        assembled.variant,
        settings,
        assembled.colour_problems,
        reading=assembled.findings,
        complete=assembled.complete,
        root=library.project.root,
    )
    findings, waived = run_checks(subject)
    findings = [*assembled.findings, *findings]
    name = assembled.variant.id
    return Checked(
        assembled.variant,
        tuple(in_reading_order(replace(finding, variant=name) for finding in findings)),
        waived,
    )


def run_checks(subject: Subject) -> tuple[list[Finding], int]:
    """All checks that are not off, waivers applied. Returns the findings that stand and the number waived.

    Raises ProjectError for a policy value that its check cannot use.
    """
    passed_over: set[str] = set()
    used: set[int] = set()
    waived = 0
    for after_all in (False, True):
        chosen = {n: c for n, c in checks().items() if c.after_all is after_all and n != WaiverUnused.name}
        raised = _raised(subject, chosen, passed_over)
        excused, own = _waived(raised, subject.variant.waivers)
        used |= own
        waived += len(excused)
        subject.standing += [finding for index, finding in enumerate(raised) if index not in excused]
    standing = subject.standing
    if subject.unread:
        standing = [f for f in standing if not (_needs_all(f) and subject.unread.excuses(f))]
    if not subject.is_off(WaiverUnused.name):
        subject.raised["waivers used"] = used
        subject.raised["passed over"] = passed_over
        standing = [*standing, *WaiverUnused().run(subject)]
    return [_at_severity(finding, subject.settings) for finding in standing], waived


def _raised(subject: Subject, chosen: Mapping[str, Check], passed_over: set[str]) -> list[Finding]:
    """What some checks find; the names of those that do not run are put into `passed_over`. Raises ProjectError."""
    raised: list[Finding] = []
    for name, check in chosen.items():
        unasked = check.on_request and name not in subject.settings.severity
        if unasked or subject.is_off(name) or (check.needs_all and not subject.complete):
            passed_over.add(name)
            continue
        try:
            raised += check.run(subject)
        except ValueError as error:
            if str(error).startswith("policy "):
                raise ProjectError(f"loomwright.toml: {error}") from error
            raised.append(_crash(name, error))
        except Exception as error:  # noqa: BLE001 - one broken check must not hide the others
            raised.append(_crash(name, error))
    return raised


def _needs_all(finding: Finding) -> bool:
    check = checks().get(finding.check)
    return check is not None and check.needs_all


def _waived(findings: list[Finding], waivers: tuple[Waiver, ...]) -> tuple[set[int], set[int]]:
    """Indexes of the findings that waivers excuse, and of the waivers that excuse something."""
    groups: dict[tuple[str, int], tuple[list[tuple[int, int, int]], list[tuple[int, int]]]] = {}
    for index, waiver in enumerate(waivers):
        if waiver.reason.strip():
            for covers in (waiver.covers, *waiver.also):
                group = groups.setdefault((waiver.check, id(covers.source)), ([], []))
                group[0].append((covers.start, covers.end, index))
    for index, finding in enumerate(findings):
        if finding.at is not None and (own := groups.get((finding.check, id(finding.at.source)))):
            own[1].append((finding.at.start, index))
    excused: set[int] = set()
    used: set[int] = set()
    for stretches, places in groups.values():
        # One sweep through the file: statements nest, so those open at a place are few.
        stretches.sort()
        waiting = iter(stretches)
        following = next(waiting, None)
        around: list[tuple[int, int, int]] = []
        for place, index in sorted(places):
            while following is not None and following[0] <= place:
                around.append(following)
                following = next(waiting, None)
            around = [stretch for stretch in around if stretch[1] > place]
            if around:
                excused.add(index)
                used.update(stretch[2] for stretch in around)
    return excused, used


def _at_severity(finding: Finding, settings: Settings) -> Finding:
    level = settings.severity.get(finding.check)
    if level in (None, "off") or level == finding.severity.value:
        return finding
    return replace(finding, severity=Severity(level))


def _crash(name: str, error: Exception) -> Finding:
    says = f"the check {name} broke down: {type(error).__name__}: {error}"
    return Finding(
        "check-crashed",
        Severity.ERROR,
        says,
        None,
        (),
        "this is a mistake of ours; the other checks have run",
    )
