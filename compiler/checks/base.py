"""What a check is: a name, a severity, a page, and a function from the model to findings. One check, one file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from compiler.assembly.context import ColourProblem
from compiler.assembly.project import Settings
from compiler.checks._ends import Ends
from compiler.checks._searches import Searches
from compiler.checks._unread import Unread
from compiler.checks._usage import Usage
from compiler.circuit.feeds import Feeds
from compiler.circuit.graph import Graph
from compiler.model.variant import Variant
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

if TYPE_CHECKING:
    from compiler.network.electrical import Electrical


@dataclass(eq=False)
class Subject:
    """What a check looks at: the model, the settings, and what several checks share, worked out once.

    reading   findings of reading and assembly
    complete  False when a fragment could not be read: nothing can then be said of what is missing
    raised    what the runner tells `waiver-unused`
    standing  findings of the checks that have run, less what is waived, for those that run after all others
    root      the project folder; None where there is none
    """

    variant: Variant
    settings: Settings
    colour_problems: tuple[ColourProblem, ...] = ()
    raised: dict[str, Any] = field(default_factory=dict)
    reading: tuple[Finding, ...] = ()
    complete: bool = True
    standing: list[Finding] = field(default_factory=list)
    root: Path | None = None

    @cached_property
    def graph(self) -> Graph:
        return Graph(self.variant)

    @cached_property
    def feeds(self) -> Feeds:
        return Feeds(self.graph)

    @cached_property
    def electrical(self) -> Electrical:
        """The network of the variant; nothing is built before a check asks it for something."""
        from compiler.network.electrical import Electrical

        return Electrical(self.graph, self.settings.policy)

    @cached_property
    def searches(self) -> Searches:
        return Searches(self.electrical, self.settings.policy)

    @cached_property
    def ends(self) -> Ends:
        return Ends(self.variant)

    @cached_property
    def usage(self) -> Usage:
        return Usage(self.variant, self.ends)

    @cached_property
    def unread(self) -> Unread:
        return Unread(self.variant, self.reading, self.ends)

    def is_off(self, check: str) -> bool:
        """Whether the project has switched a check off."""
        return self.settings.severity.get(check) == "off"

    def policy(self, name: str, default: Any) -> Any:
        """A project's policy value; ValueError if it is not of the default's type."""
        value = self.settings.policy.get(name, default)
        if isinstance(default, float) and isinstance(value, int):
            value = float(value)
        if not isinstance(value, type(default)) or isinstance(value, bool) is not isinstance(default, bool):
            raise ValueError(f"policy {name}: {value!r} is not a {type(default).__name__}")
        return value


class Check:
    """One check. Subclasses set `name`, `severity` and `family` and write `run`; its page is its manual.

    policies   names of the settings it goes by
    after_all  whether it runs when the others have: it then sees what stands of their findings (`Subject.standing`)
    on_request whether it takes long: it runs only where the project gives it a severity, or the command asks for it
    needs_all  whether it says that something is missing: it is then silent about what is written but could not be read,
               and does not run at all when a fragment is missing
    """

    name: ClassVar[str]
    severity: ClassVar[Severity]
    family: ClassVar[str]
    since: ClassVar[str] = "0.1"
    policies: ClassVar[tuple[str, ...]] = ()
    needs_all: ClassVar[bool] = True
    after_all: ClassVar[bool] = False
    on_request: ClassVar[bool] = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        """The findings of this check, in any order. Must not change the subject."""
        raise AssertionError(f"{self.name} has no run for {subject.variant.id}")

    def finding(
        self,
        at: Span | None,
        says: str,
        *,
        mend: str = "",
        notes: tuple[Note, ...] = (),
        severity: Severity | None = None,
    ) -> Finding:
        """A finding of this check, at its own severity unless a lesser one is given."""
        return Finding(self.name, severity or self.severity, says, at, notes, mend)
