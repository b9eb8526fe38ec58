"""What `set` says: positions of switches, relays and module outputs, and named states with what they set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.flatten import Line
from compiler.model.items import Device, Fact, NamedState
from compiler.network.elements import OUTPUT_POSITIONS, OUTPUTS
from grammar.source import Span
from grammar.tree import Clause, Statement, SyntaxTree, Word

MAX_DEPTH = 24


class StateBuilder:
    """Builds named states, and reads the `set` lines of everything that has them."""

    def __init__(self, context: Context, devices: Mapping[str, Device]) -> None:
        self.context = context
        self.devices = devices
        self.declared = context.collected.space("named state")
        self._built: dict[str, NamedState] = {}
        self._open: list[str] = []

    def all(self) -> dict[str, NamedState]:
        """Every state that is declared, by name."""
        return {name: self._state(declared) for name, declared in self.declared.items()}

    def _state(self, declared: Declared) -> NamedState:
        if declared.id not in self._built:
            self._open.append(declared.id)
            self._built[declared.id] = self._build(declared)
            self._open.pop()
        return self._built[declared.id]

    def _build(self, declared: Declared) -> NamedState:
        common = self.context.common(declared)
        body = block_statements(declared)
        facts, names = self.positions(body)
        if not facts and not names:
            self.context.wrong(common.at, "this state sets nothing", "add a line `set ...`")
        sheets = self._sheets(body)
        return NamedState(declared.id, declared.id, *common[2:6], set=facts, sheets=sheets, builds_on=names)

    def _sheets(self, body: Iterable[tuple[Statement, Line]]) -> tuple[tuple[Word, Span], ...]:
        omitted = self.context.collected.omitted
        return tuple(
            (word, line.tree.span(word))
            for statement, line in body
            if statement.word.text == "sheets"
            for word in statement.values
            # A state of a fragment may ask for a sheet that this variant omits.
            if ("sheet", word.text) not in omitted
        )

    def positions(self, body: Iterable[tuple[Statement, Line]]) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
        """What the `set` lines of a block set, each subject once, and the names of the states they set."""
        made: dict[str, Fact] = {}
        names: list[str] = []
        own: set[str] = set()
        for statement, line in body:
            for clause in statement.clauses if statement.word.text == "set" else ():
                if clause.word.kind == "KEYWORD":
                    names.append(clause.values[0].value)
                    made.update((fact.subject, fact) for fact in self._named(clause, line.tree))
                    continue
                fact = self._setting(clause, line.tree)
                if fact.subject in own:
                    self.context.wrong(fact.at, f"{fact.subject} is set twice", "keep one position")
                own.add(fact.subject)
                made[fact.subject] = fact
        return tuple(made.values()), tuple(names)

    def _named(self, clause: Clause, tree: SyntaxTree) -> tuple[Fact, ...]:
        """What a named state sets; a finding and nothing for one that is not declared or leads back to itself."""
        word = clause.values[0]
        name = self.context.known(word, tree, self.declared, "named state")
        declared = self.declared.get(name)
        if declared is None:
            return ()
        if name in self._open:
            says = f"the state `{name}` sets itself"
            self.context.wrong(tree.span(clause), says, "take the name out, or one that leads back to it")
            return ()
        if len(self._open) >= MAX_DEPTH:
            self.context.wrong(tree.span(clause), f"states build on each other more than {MAX_DEPTH} deep")
            return ()
        return self._state(declared).set

    def _setting(self, clause: Clause, tree: SyntaxTree) -> Fact:
        word, values = clause.word, clause.values
        device = self.devices.get(word.text)
        positions = device.positions if device is not None else self._outputs.get(word.text)
        if positions is None:
            switches = [key for key, d in self.devices.items() if d.positions]
            self.context.missing(word.text, "switch", tree.span(word), [*switches, *self._outputs])
        elif values[0].text not in positions:
            value = values[0].text
            says = f"{word.text} has no position {value}" if positions else f"{word.text} has no positions to set"
            self.context.missing(value, f"position of {word.text}", tree.span(values[0]), positions, says)
        if len(values) > 1:
            says = f"{word.text} can stand in one position at a time"
            self.context.wrong(tree.span(values[1]), says, "write a comma before the next thing that is set")
        return Fact(word.text, (values[0].text,), tree.span(clause))

    @cached_property
    def _outputs(self) -> Mapping[str, tuple[str, ...]]:
        """Module outputs (`A1.C201.7`) with their positions."""
        return {
            f"{device.id}.{part.terminals[0]}": OUTPUT_POSITIONS
            for device in self.devices.values()
            for part in device.parts
            if part.role in OUTPUTS
        }
