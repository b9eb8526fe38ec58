"""Expectations, complaints and trouble codes: names resolved, evaluation left to the circuit."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.states import StateBuilder
from compiler.model.items import Connector, Device, Fact, Scenario, TroubleCode
from compiler.units import read_quantity
from grammar.tree import Clause, SyntaxTree, Word

STATES = (
    "powered",
    "dead",
    "lit",
    "out",
    "runs",
    "stopped",
    "energised",
    "at-rest",
    "sounds",
    "silent",
    "weak",
)
COMPARISONS: Mapping[str, int] = {"above": 1, "below": 1, "between": 2}
FAULTS = (
    "open",
    "short",
    "high-resistance",
    "short-to-ground",
    "short-to-supply",
    "stuck-open",
    "stuck-closed",
)


class ScenarioBuilder:
    """Resolves what expectations and complaints speak of."""

    def __init__(
        self,
        context: Context,
        devices: Mapping[str, Device],
        connectors: Mapping[str, Connector],
        items: Mapping[str, object],
        circuits: Mapping[str, object],
        states: StateBuilder,
    ) -> None:
        self.context = context
        self.devices = devices
        self.connectors = connectors
        self.items = items
        self.circuits = circuits
        self.states = states

    def build(self, declared: Declared) -> Scenario:
        common = self.context.common(declared)
        seen: list[Fact] = []
        kind = declared.node.rule
        wanted = "then" if kind == "expect" else "seen"
        body = block_statements(declared)
        for statement, line in body:
            name = statement.word.text
            if name == wanted:
                seen += [self._outcome(clause, line.tree) for clause in statement.clauses]
            elif name != "set":
                self.context.wrong(
                    line.tree.span(statement.word), f"`{name}` does not belong in `{kind}`", f"say `{wanted}`"
                )
        if not seen:
            self.context.wrong(common.at, f"this says nothing after `{wanted}`", f"add a line `{wanted} ...`")
        facts, names = self.states.positions(body)
        return Scenario(declared.id, declared.id, *common[2:6], kind=kind, set=facts, seen=tuple(seen), states=names)

    def build_code(self, declared: Declared) -> TroubleCode:
        common = self.context.common(declared)
        node, tree = declared.node, declared.tree_line.tree
        words = next((c.values for c in node.clauses if c.word.kind == "PLACE"), ())
        about, subject, fault = "item", "", ""
        rest = list(words)
        if rest and rest[0].text == "circuit" and len(rest) > 1:
            about = "circuit"
            rest.pop(0)
        if rest:
            word = rest.pop(0)
            subject = word.text
            if about == "circuit":
                self.context.known(word, tree, self.circuits, "circuit")
            else:
                self._subject(word, tree)
        if rest:
            fault = rest[0].text
            if fault not in FAULTS:
                self.context.missing(
                    fault, "fault", tree.span(rest[0]), FAULTS, f"`{fault}` is no fault that a code can name"
                )
        return TroubleCode(*common.named, about=about, subject=subject, fault=fault)

    def _outcome(self, clause: Clause, tree: SyntaxTree) -> Fact:
        self._subject(clause.word, tree)
        first, *rest = clause.values
        if first.text in COMPARISONS:
            quantities = [v for v in rest if v.kind == "QUANTITY"]
            if len(quantities) != COMPARISONS[first.text]:
                self.context.wrong(
                    tree.span(first),
                    f"after `{first.text}` comes {_count(COMPARISONS[first.text])} with a unit",
                    "for example `above 11.5 V`",
                )
            for value in quantities:
                if read_quantity(value.text).dimension not in ("voltage", "current", "resistance"):
                    self.context.wrong(tree.span(value), f"a meter reads volts, amperes or ohms, not {value.text}")
        elif first.text not in STATES:
            known = [*STATES, *COMPARISONS]
            self.context.missing(
                first.text,
                "state",
                tree.span(first),
                known,
                f"`{first.text}` is no state that can be seen or measured",
            )
        return Fact(clause.word.text, tuple(v.text for v in clause.values), tree.span(clause))

    def _subject(self, word: Word, tree: SyntaxTree) -> None:
        text = word.text
        if text in self.items:
            return
        item, _, inner = text.rpartition(".")
        device = self.devices.get(item)
        if device is not None:
            labels = [p.label for p in device.parts if p.label]
            if inner not in device.terminals and inner not in labels:
                self.context.missing(
                    inner, f"terminal or part of {item}", tree.span(word), [*device.terminals, *labels]
                )
            return
        connector = self.connectors.get(item)
        if connector is not None:
            if inner not in connector.cavities:
                self.context.missing(inner, f"cavity of {item}", tree.span(word), connector.cavities)
            return
        self.context.missing(item or text, "item", tree.span(word), self.items)


def _count(number: int) -> str:
    return "a quantity" if number == 1 else "two quantities"
