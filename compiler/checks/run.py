"""Run all checks over one variant: settings, waivers, order. A check that breaks is a finding, not the end of the run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.assemble import assemble
from compiler.assembly.library import Library
from compiler.assembly.names import nearest
from compiler.assembly.project import ProjectError, Settings
from compiler.checks import checks, known_names
from compiler.checks.base import Subject
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
        if name not in known_names():
            near = nearest(name, known_names())
            raise ProjectError(f"loomwright.toml: [severity] {name}: no such check" + (f"; did you mean {near}?" if near else ""))
    known = sorted({p for check in checks().values() for p in check.policies})
    for name in settings.policy:
        if name not in known:
            near = nearest(name, known)
            raise ProjectError(f"loomwright.toml: [policy] {name}: no such policy" + (f"; did you mean {near}?" if near else f"; known are {', '.join(known)}"))


def check_variant(library: Library, path: Path) -> Checked:
    """Assemble and check the variant in `path`. Raises OSError if it cannot be read, ProjectError for bad settings."""
    settings = library.project.settings
    check_settings(settings)
    assembled = assemble(library, path)
    if assembled.variant is None:
        return Checked(None, tuple(in_reading_order(assembled.findings)), 0)
    subject = Subject(assembled.variant, settings, assembled.colour_problems)
    findings, waived = run_checks(subject)
    findings = [*assembled.findings, *findings]
    name = assembled.variant.id
    return Checked(
        assembled.variant, tuple(in_reading_order(replace(finding, variant=name) for finding in findings)), waived
    )


def run_checks(subject: Subject) -> tuple[list[Finding], int]:
    """All checks that are not off, waivers applied. Returns the findings that stand and the number waived."""
    raised: list[Finding] = []
    for name, check in checks().items():
        if name == WaiverUnused.name:
            continue
        if subject.settings.severity.get(name) == "off":
            continue
        try:
            raised += check.run(subject)
        except ValueError as error:
            if str(error).startswith("policy "):
                raise ProjectError(f"loomwright.toml: {error}") from error
            raised.append(_crash(name, error))
        except Exception as error:  # one broken check must not hide the others
            raised.append(_crash(name, error))
    standing, used = _apply_waivers(raised, subject.variant.waivers)
    waived = len(raised) - len(standing)
    if subject.settings.severity.get(WaiverUnused.name) != "off":
        subject.raised["waivers used"] = used
        standing += WaiverUnused().run(subject)
    return [_at_severity(finding, subject.settings) for finding in standing], waived


def _apply_waivers(findings: Iterable[Finding], waivers: tuple[Waiver, ...]) -> tuple[list[Finding], set[int]]:
    """Findings not excused, and the indexes of the waivers that excused something."""
    by_check: dict[str, list[tuple[int, Waiver]]] = {}
    for index, waiver in enumerate(waivers):
        if waiver.reason.strip():
            by_check.setdefault(waiver.check, []).append((index, waiver))
    used: set[int] = set()
    standing: list[Finding] = []
    for finding in findings:
        at = finding.at
        excused = False
        for index, waiver in by_check.get(finding.check, ()):
            covers = waiver.covers
            if at is not None and covers.source is at.source and covers.start <= at.start < covers.end:
                used.add(index)
                excused = True
        if not excused:
            standing.append(finding)
    return standing, used


def _at_severity(finding: Finding, settings: Settings) -> Finding:
    level = settings.severity.get(finding.check)
    if level in (None, "off") or level == finding.severity.value:
        return finding
    return replace(finding, severity=Severity(level))


def _crash(name: str, error: Exception) -> Finding:
    says = f"the check {name} broke down: {type(error).__name__}: {error}"
    return Finding("check-crashed", Severity.ERROR, says, None, (), "this is a mistake of ours; the other checks have run")
