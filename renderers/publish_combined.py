"""One pack of several variants: one PDF of them all, the other forms of each in a folder of its own."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined

from compiler.assembly.project import Project
from compiler.model.variant import Variant
from renderers.around import look_around
from renderers.combined import combined
from renderers.document import Pack
from renderers.forms import Wishes, write_form
from renderers.made import key_of
from renderers.part import WHOLE, Part
from renderers.publish import Progress, Published, PublishError, pack_of, put_in_place, silent
from renderers.store import Store, digest
from renderers.text import file_name


def publish_combined(
    subjects: Sequence[tuple[Variant, Project]],
    out: Path,
    wishes: Wishes,
    *,
    dot: str | None = None,
    progress: Progress | None = None,
    store: Store | None = None,
    part: Part = WHOLE,
    faults: str = "source",
    jobs: int = 1,
) -> Published:
    """Write one pack of several variants into the folder `out`, replacing an older pack there in one step.

    The PDF holds the sections of all, each section and sheet marked with its variant; `index.html` leads to the pages
    of each. Otherwise as `renderers.publish.publish`. Raises PublishError.
    """
    ids = [variant.id for variant, _ in subjects]
    if len({file_name(one).casefold() for one in ids}) < len(ids):
        raise PublishError("two of the variants have the same id, or nearly so: one pack cannot hold both; change one")
    store, say = store or Store(None), progress or silent
    arounds = [look_around(project, variant)._replace(faults=faults) for variant, project in subjects]
    all_of = list(zip(subjects, arounds, strict=True))

    def key() -> str:
        keys = (key_of(variant, project.settings, own, dot, part, wishes) for (variant, project), own in all_of)
        return digest(("combined", *keys))

    def make() -> dict[str, bytes]:
        packs = [
            pack_of(variant, project, own, dot, part, wishes.date, store, say, jobs)
            for (variant, project), own in all_of
        ]
        say("writing")
        return _written(packs, subjects[0][1].settings.name, wishes, store, jobs)

    return put_in_place(out, store, f"variants {', '.join(ids)}", key, make)


def _written(packs: Sequence[Pack], line: str, wishes: Wishes, store: Store, jobs: int) -> dict[str, bytes]:
    """The files of the pack."""
    from renderers.writers.html_folder import Other, write_html

    whole = combined(packs, line)
    others = [Other(file_name(pack.variant), pack.variant, pack.title) for pack in packs]
    files: dict[str, bytes] = {}
    for name in wishes.formats:
        if name == "pdf":
            files.update(write_form(name, whole, wishes, store, jobs))
            continue
        for pack in packs:
            made = write_html(pack, others) if name == "html" else write_form(name, pack, wishes, store)
            files.update({f"{file_name(pack.variant)}/{file}": data for file, data in made.items()})
    if "html" in wishes.formats:
        loader = PackageLoader("renderers", "templates/html")
        template = Environment(loader=loader, autoescape=True, undefined=StrictUndefined).get_template("series.html.j2")
        pdf = next((file for file in files if file.endswith(".pdf")), "")
        files["index.html"] = template.render(pack=whole, series=others, pdf=pdf).encode("utf-8")
    return files
