"""What a check is: a name, a severity, a page, and a function from the model to findings. One check, one file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, ClassVar

from compiler.assembly.context import ColourProblem
from compiler.assembly.project import Settings
from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity
from grammar.source import Span


@dataclass(eq=False)
class Subject:
    """What a check looks at: the model, the settings, and what several checks share, worked out once.

    `policy(name)` gives a setting or the default of the check that owns it.
    """

    variant: Variant
    settings: Settings
    colour_problems: tuple[ColourProblem, ...] = ()
    raised: dict[str, Any] = field(default_factory=dict)

    @cached_property
    def graph(self) -> Graph:
        return Graph(self.variant)

    @cached_property
    def feeds(self) -> Feeds:
        return Feeds(self.graph)

    def policy(self, name: str, default: Any) -> Any:
        """A project's policy value; ValueError if it is not of the default's type."""
        value = self.settings.policy.get(name, default)
        if isinstance(default, float) and isinstance(value, int):
            value = float(value)
        if not isinstance(value, type(default)):
            raise ValueError(f"policy {name}: {value!r} is not a {type(default).__name__}")
        return value


class Check:
    """One check. Subclasses set `name`, `severity`, `family`, `since` and write `run`; the page beside the file is its manual."""

    name: ClassVar[str]
    severity: ClassVar[Severity]
    family: ClassVar[str]
    since: ClassVar[str] = "0.1"
    policies: ClassVar[tuple[str, ...]] = ()

    def run(self, subject: Subject) -> Iterator[Finding]:
        """The findings of this check, in any order. Must not change the subject."""
        raise AssertionError(f"{type(self).__name__} has no run")

    def finding(self, at: Span | None, says: str, *, mend: str = "", notes: tuple[Note, ...] = ()) -> Finding:
        """A finding of this check at its own severity."""
        return Finding(self.name, self.severity, says, at, notes, mend)
