"""The pack as one PDF: tagged (PDF/UA-1), bookmarked, with page references. Laid out by typst from `templates/print`.

Data goes in as JSON, so that no text from a source is ever read as markup.
"""

from __future__ import annotations

from renderers.dates import source_date
from renderers.document import Pack
from renderers.store import Store, digest
from renderers.text import file_name
from renderers.writers.print_join import joined
from renderers.writers.print_parts import Paper, Parts, parts_of
from renderers.writers.print_rounds import settled
from renderers.writers.print_workers import Workers


def write_pdf(
    pack: Pack, paper: Paper = "a4", store: Store | None = None, date: int | None = None, jobs: int = 1
) -> dict[str, bytes]:
    """`VARIANT.pdf`; an equal one is taken from the store, and so are parts of it. Raises PrintError.

    The file carries no time but `date` (seconds since 1970), or where that is not given, SOURCE_DATE_EPOCH. `jobs` is
    how many processes there may be (0: one a core).
    """
    parts = parts_of(pack, paper, source_date() if date is None else date)
    return {f"{file_name(pack.variant)}.pdf": printed(parts, store or Store(None), jobs)}


def printed(parts: Parts, store: Store, jobs: int = 1) -> bytes:
    """The PDF of a pack in parts. Raises PrintError."""
    key = digest(("pdf", *(part.key({}) for part in parts.parts), repr(parts.heads)))

    def made() -> bytes:
        with Workers(jobs) as workers:
            return joined(settled(parts.parts, store, workers), parts.heads)

    return store.made(key, made)
