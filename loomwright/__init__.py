"""Wiring for a vehicle service manual from plain text: the public API.

    import loomwright

    report = loomwright.check("samples/sandpiper")     # findings of every variant below a folder
    changes = loomwright.diff("old/S4.loom", "S4.loom")    # what changed, in trade terms
    variant = loomwright.load("samples/sandpiper/S4.loom")
    loomwright.publish("samples/sandpiper/S4.loom", "build/S4")
    text = loomwright.format_text(text)

Each function imports what it needs when it is called, so that `import loomwright` costs next to nothing.
"""

from __future__ import annotations

TYPE_CHECKING = False  # without a module for it: what is imported here delays every start
if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from compiler.changes.change import Changes
    from compiler.model.variant import Variant
    from loomwright.report import Report
    from renderers.publish import Published

__version__ = "0.1.0"

__all__ = ["__version__", "check", "diff", "format_text", "load", "publish"]


def check(*paths: str | Path, jobs: int = 1) -> Report:
    """Check variant files, or every variant below folders. Returns a `loomwright.report.Report`.

    jobs  processes to use; 1 keeps everything in this one

    Raises OSError for a file that cannot be read, `loomwright.run.NothingToCheck` when no source is there, and
    `compiler.assembly.project.ProjectError` for settings that cannot be used.
    """
    from pathlib import Path

    from loomwright.run import run

    return run([Path(path) for path in paths], jobs=jobs)


def load(path: str | Path) -> Variant:
    """The model of the variant in a file, as far as it can be read; `check` says what is wrong with it.

    Raises OSError for a file that cannot be read, ProjectError for settings that cannot be used, and ValueError for a
    file without a variant.
    """
    from pathlib import Path

    from compiler.assembly.assemble import assemble
    from compiler.assembly.library import Library
    from compiler.assembly.project import find_project

    path = Path(path)
    variant = assemble(Library(find_project(path)), path).variant
    if variant is None:
        raise ValueError(f"{path}: this file has no variant")
    return variant


def diff(old: str | Path, new: str | Path) -> Changes:
    """What changed from one issue of a variant to another, or differs between two variants.

    Each is a variant file, the folder of a published pack, or the inventory.json in it. Raises
    `loomwright.errors.CannotRun` for anything else, and OSError.
    """
    from pathlib import Path

    from compiler.changes.compare import compare
    from loomwright.commands.issues import inventory_at

    return compare(inventory_at(Path(old)), inventory_at(Path(new)))


def publish(
    path: str | Path,
    out: str | Path,
    *,
    formats: Iterable[str] = ("html", "pdf", "csv", "json"),
    paper: str = "a4",
    dot: str | None = None,
    faults: str = "source",
) -> Published:
    """Publish the pack of the variant in `path` into the folder `out`, whatever the checks say of it.

    formats  any of `html`, `pdf`, `csv`, `json`
    paper    `a4` or `us-letter`
    dot      a Graphviz program to place the sheets with, instead of the one that is installed with this package
    faults   fault charts of complaints and trouble codes (`source`), of every load too (`loads`), or `none`

    Returns the files written and the seconds it took. Raises what `load` raises, and `renderers.publish.PublishError`.
    """
    from pathlib import Path

    from compiler.assembly.project import find_project
    from renderers.publish import publish as published

    project = find_project(Path(path))
    return published(load(path), project, Path(out), formats=formats, paper=paper, dot=dot, faults=faults, jobs=0)


def format_text(text: str) -> str:
    """The text of a source in canonical layout; it means the same and formatting it again changes nothing.

    Raises `grammar.formatter.CannotFormat` (with `findings`) for a text that cannot be read.
    """
    from grammar.formatter import format_text as formatted
    from grammar.source import Source

    return formatted(Source("text", text))
