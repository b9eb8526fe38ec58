"""How a complaint is seen, in words with the names of the things to set and to look at; and seen no more at the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from renderers.context import PackContext
from renderers.steps import Runs
from renderers.tables import Run, listed

if TYPE_CHECKING:
    from compiler.isolation.types import Complaint, Observation, Settings


def verify_runs(context: PackContext, complaint: Complaint) -> Runs:
    """What to set, and what is then to be seen."""
    head = (*_set(context, complaint.settings), Run(". ")) if complaint.settings else (Run("Leave all at rest. "),)
    if not complaint.observations:
        return (*head, Run("Read the trouble code again."))
    seen = listed(tuple(_seen(context, observation)) for observation in complaint.observations)
    return (*head, Run("Is it so: "), *seen, Run("?"))


def again_words(context: PackContext, complaint: Complaint) -> str:
    """What must hold after the repair."""
    head = "".join(run.text for run in _set(context, complaint.settings))
    gone = "the trouble code" if complaint.sort == "code" else "what was complained of"
    start = f"{head}: " if head else ""
    return f"{start}{gone} must be gone, and all else on the same fuse and ground must work."


def named(context: PackContext, subject: str, item: str = "") -> Iterator[Run]:
    """A thing by the name it has in the source, linked, with the title of its item in brackets."""
    item = item or subject.partition(".")[0]
    found = context.variant.items.get(item)
    yield Run(subject, context.home(item))
    if found is not None and found.title:
        yield Run(f" ({found.title})", muted=True)


def _set(context: PackContext, settings: Settings) -> Runs:
    if not settings:
        return ()
    each = ((*named(context, subject), Run(f" to {position}")) for subject, position in settings)
    return (Run("Set "), *listed(each))


def _seen(context: PackContext, observation: Observation) -> Iterator[Run]:
    yield from named(context, observation.subject)
    yield Run(f" {' '.join(observation.words).replace('-', ' ')}")
