"""Which files a run is about: variants, and fragments that stand beside them."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.project import Project, find_project
from grammar.finding import Finding, Severity
from grammar.limits import FILE_SIZE
from loomwright.files import no_plain_file

SUFFIX = ".loom"
# Good enough to sort files without parsing them; a wrong guess costs a finding's wording, not a finding.
_VARIANT = re.compile(rb"^(?:\xef\xbb\xbf)?[ \t]*variant[ \t]", re.MULTILINE)
_USE = re.compile(rb'\buse[ \t]+"([^"\\\n]+)"')


class NothingToCheck(Exception):  # noqa: N818 - says what it is
    """The paths given hold no source; the message is one line for a person."""


class File(NamedTuple):
    """A source file: its path (links resolved), its project, and the fragments it seems to use."""

    path: Path
    project: Project
    uses: tuple[Path, ...]


@dataclass(eq=False)
class Files:
    """The files of a run in a fixed order, each once; `refused` are findings on files that were not opened."""

    variants: list[File] = field(default_factory=list)
    fragments: list[File] = field(default_factory=list)
    refused: list[Finding] = field(default_factory=list)


def collect(paths: Sequence[Path]) -> Files:
    """The files that `paths` (files and folders) stand for.

    Of a folder, every `.loom` file below it counts; hidden ones (an editor's lock among them), hidden folders and links
    to folders are passed by, and a link to a file outside the project, or to nothing, is refused. Raises OSError when
    something cannot be read, ProjectError for settings that cannot be used, NothingToCheck when there is no source at
    all, or a pipe or a device in place of one.
    """
    files = Files()
    seen: set[Path] = set()
    projects: dict[Path, Project] = {}

    def project_of(folder: Path) -> Project:
        if folder not in projects:
            projects[folder] = find_project(folder)
        return projects[folder]

    for given in paths:
        if given.is_dir():
            found = list(_below(given))
            if not found:
                raise NothingToCheck(f"{given}: no {SUFFIX} file in this folder or below it")
            for path in found:
                project = project_of(path.parent)
                target = _target(path)
                if target is None:
                    files.refused.append(_leads_nowhere(path))
                elif not target.is_relative_to(project.root):
                    files.refused.append(_leads_outside(path))
                elif target not in seen:
                    seen.add(target)
                    _sort_in(files, target, project)
        else:
            target = given.resolve(strict=True)
            if not target.is_file():
                raise NothingToCheck(no_plain_file(given))
            if target not in seen:
                seen.add(target)
                _sort_in(files, target, project_of(target.parent))
    return files


def _below(folder: Path) -> Iterator[Path]:
    def fail(error: OSError) -> None:
        raise error

    for at, folders, names in os.walk(folder, onerror=fail):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if name.endswith(SUFFIX) and not name.startswith("."):
                yield Path(at, name)


def _sort_in(files: Files, path: Path, project: Project) -> None:
    text = b""
    if stat.S_ISREG(path.stat().st_mode):
        with path.open("rb") as file:
            text = file.read(FILE_SIZE + 1)
    named = (match[1] for match in _USE.finditer(text) if b"\0" not in match[1])
    uses = tuple((path.parent / os.fsdecode(name)).resolve() for name in named)
    (files.variants if _VARIANT.search(text) else files.fragments).append(File(path, project, uses))


def _target(path: Path) -> Path | None:
    """The file that a path is or leads to; None for a link to nothing, or round in a circle."""
    try:
        return path.resolve(strict=True)
    except (OSError, RuntimeError):  # a circle is either, by the version of Python
        if path.is_symlink():
            return None
        raise


def _leads_nowhere(path: Path) -> Finding:
    says = f"the link {path.as_posix()} leads to nothing"
    return Finding("fragment-missing", Severity.ERROR, says, None, (), "mend the link, or take it away")


def _leads_outside(path: Path) -> Finding:
    says = f"the link {path.as_posix()} leads out of the project folder"
    return Finding("outside-project", Severity.ERROR, says, None, (), "keep sources in the project")
