"""The model of a variant for commands that look into it rather than judge it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from loomwright.commands.output import say

if TYPE_CHECKING:
    from compiler.model.variant import Variant


def model_of(path: Path, doing: str) -> Variant:
    """The variant in a file; mistakes in its source are told on standard error, in one line that says what is `doing`.

    Raises CannotRun when no variant can be read or what is there is no plain file, and what assembling raises.
    """
    from compiler.assembly.assemble import assemble
    from compiler.assembly.library import Library
    from compiler.assembly.project import find_project
    from loomwright.errors import CannotRun
    from loomwright.files import want_plain

    want_plain(path)
    assembled = assemble(Library(find_project(path)), path)
    if assembled.variant is None:
        raise CannotRun(f"{path}: no variant can be read from it; try `loomwright check`")
    if assembled.findings or assembled.variant.unresolved:
        say(f"{path}: has mistakes, and is {doing} without what they concern; see `loomwright check`")
    return assembled.variant
