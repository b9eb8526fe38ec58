"""Small projects for the tests of assembly: files by name, put together to the model of a variant."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from compiler.assembly.assemble import Assembled, assemble
from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.model.variant import Variant


def write(folder: Path, files: Mapping[str, str]) -> Path:
    """Write the files and return the variant's: `S4.loom`, or the only one."""
    (folder / "loomwright.toml").touch()
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return folder / ("S4.loom" if "S4.loom" in files else next(iter(files)))


def assembled(folder: Path, files: Mapping[str, str] | str) -> Assembled:
    """What assembly makes of the files; a text is the file `S4.loom`, with the `variant` statement put in front."""
    if isinstance(files, str):
        files = {"S4.loom": f"variant S4\n{files}"}
    path = write(folder, files)
    return assemble(Library(find_project(path)), path)


def variant_of(folder: Path, files: Mapping[str, str] | str) -> Variant:
    """The model, of sources that are in order so far."""
    done = assembled(folder, files)
    assert done.variant is not None
    assert [finding.says for finding in done.findings] == []
    return done.variant


def said(done: Assembled) -> list[tuple[str, str, str]]:
    """Check, place and words of each finding."""
    return [(finding.check, str(finding.at), finding.says) for finding in done.findings]
