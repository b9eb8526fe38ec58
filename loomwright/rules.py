"""What is told of checks: names, families, one line each, pages. For `explain` and for the SARIF writer."""

from __future__ import annotations

from collections.abc import Iterable

from compiler.assembly.names import nearest
from compiler.checks import READING, checks, known_names, page
from grammar.finding import Severity
from loomwright.errors import CannotRun
from loomwright.report import Rule


def refuse_unknown(names: Iterable[str]) -> None:
    """Raises CannotRun for a name that no finding can have."""
    known = known_names()
    for name in names:
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {near}?" if near else "`loomwright explain` lists them"
            raise CannotRun(f"no check is called {name}; {hint}")


def rules(names: Iterable[str]) -> dict[str, Rule]:
    """Name -> what is told of it, in the order of the names."""
    return {name: rule(name) for name in sorted(names)}


def rule(name: str) -> Rule:
    """What is told of one check. Raises KeyError for a name that no finding can have."""
    text = page(name)
    check = checks().get(name)
    if check is None:
        return Rule(name, Severity.ERROR, READING[name], first_sentence(text), text)
    return Rule(name, check.severity, check.family, first_sentence(text), text)


def first_sentence(text: str) -> str:
    """The first paragraph of a page below its title, on one line."""
    lines: list[str] = []
    for line in text.splitlines():
        if line.startswith("#"):
            if lines:
                break
        elif line.strip():
            lines.append(line.strip())
        elif lines:
            break
    return " ".join(lines)
