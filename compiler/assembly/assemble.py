"""One variant's file to the model, and everything that was wrong on the way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from compiler.assembly.cables import build_cable
from compiler.assembly.collect import Collected, Declared
from compiler.assembly.colours import colour_table
from compiler.assembly.connectors import build_connector
from compiler.assembly.context import ColourProblem, Context, block_statements, clause_value
from compiler.assembly.devices import DeviceBuilder, template_kind
from compiler.assembly.flatten import Flattened
from compiler.assembly.library import Library
from compiler.assembly.scenarios import ScenarioBuilder
from compiler.assembly.states import StateBuilder
from compiler.assembly.wires import WireBuilder
from compiler.kinds import kinds
from compiler.model.items import (
    Bus,
    Device,
    FuseBlock,
    Ground,
    Harness,
    Named,
    Option,
    Sheet,
    Splice,
    Structure,
    Twist,
    Wire,
    Zone,
)
from compiler.model.variant import Header, Variant
from compiler.units import read_quantity
from grammar.finding import Finding, Severity
from grammar.parser import Parsed
from grammar.source import Span
from grammar.tree import Clause, Statement, SyntaxTree, Word

MAX_SIDE = 100_000


class Assembled(NamedTuple):
    """The model (None when the file has no variant), findings of reading and assembly, colours that cannot be read.

    complete  False when a fragment could not be read, so that nothing can be said of what is missing
    """

    variant: Variant | None
    findings: tuple[Finding, ...]
    colour_problems: tuple[ColourProblem, ...]
    complete: bool = True


def assemble(library: Library, path: Path) -> Assembled:
    """The model of the variant in `path`. Raises OSError when the file itself cannot be read."""
    path = path.resolve()
    return assemble_parsed(library, path, library.read(path))


def assemble_parsed(library: Library, path: Path, parsed: Parsed) -> Assembled:
    """As `assemble`, for a file already parsed (an editor's buffer)."""
    statement = next((n for n in parsed.tree.lines if isinstance(n, Statement) and n.rule == "variant"), None)
    options = _options(statement) if statement else ()
    flattened = Flattened(library, frozenset(word.text for word in options))
    flattened.note_reading(parsed)
    flattened.add_file(path, parsed.tree)
    collected = Collected(flattened)
    findings = list(flattened.findings)
    if statement is None and _was_meant(parsed):
        return Assembled(None, tuple(findings), (), flattened.complete)
    if statement is None:
        at = Span(parsed.tree.source, 0, 0)
        says = "this file has no `variant` statement"
        findings.append(
            Finding(
                "syntax",
                Severity.ERROR,
                says,
                at,
                (),
                "a file with a variant is checked; fragments are checked with the variants that use them",
            )
        )
        return Assembled(None, tuple(findings), ())
    for extra in collected.variants:
        if extra.node is not statement:
            collected.wrong(extra, "a second `variant` statement", "one file holds one variant; a fragment holds none")
    return _Assembly(flattened, collected, statement, parsed.tree, findings).run()


def _was_meant(parsed: Parsed) -> bool:
    """Whether the file's `variant` statement is there but could not be read, which is reported already."""
    text = parsed.tree.source.text
    return bool(parsed.findings) and (not text or re.search(r"^[ \t]*variant\b", text, re.MULTILINE) is not None)


def _options(statement: Statement) -> tuple[Word, ...]:
    lines = statement.block.lines if statement.block else ()
    return tuple(w for n in lines if isinstance(n, Statement) and n.word.text == "options" for w in n.values)


class _Assembly:
    def __init__(
        self,
        flattened: Flattened,
        collected: Collected,
        statement: Statement,
        tree: SyntaxTree,
        findings: list[Finding],
    ) -> None:
        self.flattened = flattened
        self.collected = collected
        self.statement = statement
        self.tree = tree
        self.findings = findings
        self.context = Context(collected, colour_table(collected, statement, tree))

    def run(self) -> Assembled:
        c, context = self.collected, self.context
        header = self._header()
        options = {k: Option(*context.common(d).named) for k, d in c.space("option").items()}
        zones = {k: self._zone(d) for k, d in c.space("zone").items()}
        harnesses = {k: Harness(*context.common(d).named) for k, d in c.space("harness").items()}
        structures = {k: Structure(*context.common(d).named) for k, d in c.space("structure").items()}
        by_rule: dict[str, dict[str, Declared]] = {}
        for key, declared in c.space("item").items():
            by_rule.setdefault(declared.node.rule, {})[key] = declared
        blocks = {k: self._fuse_block(d) for k, d in by_rule.get("fuse_block", {}).items()}
        buses = {k: self._bus(d, blocks) for k, d in by_rule.get("bus", {}).items()}
        splices = {k: self._splice(d, harnesses) for k, d in by_rule.get("splice", {}).items()}
        grounds = {k: self._ground(d, structures) for k, d in by_rule.get("ground", {}).items()}
        connectors = {k: build_connector(context, d, harnesses) for k, d in by_rule.get("connector", {}).items()}
        cables = {k: build_cable(context, d, harnesses) for k, d in by_rule.get("cable", {}).items()}
        all_kinds = dict(kinds())
        own_kinds = self._own_kinds()
        for key, declared in own_kinds.items():
            all_kinds[key] = template_kind(declared, kinds()["component"])
        builder = DeviceBuilder(context, all_kinds, own_kinds)
        carried: dict[str, list[str]] = {}
        for connector in connectors.values():
            if connector.device:
                carried.setdefault(connector.device, []).append(connector.id)
        devices = {k: builder.build(d, tuple(carried.get(k, ()))) for k, d in by_rule.get("device", {}).items()}
        devices = {k: self._placed_in_block(d, blocks) for k, d in devices.items()}
        joints = {**splices, **grounds, **buses}
        wires_of = WireBuilder(context, devices, connectors, joints, harnesses, cables)
        circuits = {}
        wires: list[Wire] = []
        for key, declared in c.space("circuit").items():
            circuits[key], own = wires_of.build(declared)
            wires += own
        wires = self._without_omitted(wires)
        sheets = {k: self._sheet(d) for k, d in c.space("sheet").items()}
        wire_ids = {wire.id: wire for wire in wires}
        twists = {k: self._twist(d, wire_ids) for k, d in c.space("twist").items()}
        states = StateBuilder(context, devices)
        named_states = states.all()
        scenarios = ScenarioBuilder(context, devices, connectors, c.space("item"), circuits, states)
        told = [scenarios.build(d) for s in ("expectation", "complaint") for d in c.space(s).values()]
        codes = {k: scenarios.build_code(d) for k, d in c.space("trouble code").items()}
        variant = Variant(
            header=header,
            colours=context.colours,
            options=options,
            zones=zones,
            harnesses=harnesses,
            structures=structures,
            blocks=blocks,
            buses=buses,
            splices=splices,
            grounds=grounds,
            connectors=connectors,
            devices=devices,
            cables=cables,
            twists=twists,
            circuits=circuits,
            wires=tuple(wires),
            sheets=sheets,
            states=named_states,
            scenarios=tuple(told),
            trouble_codes=codes,
            kinds=all_kinds,
            waivers=tuple(context.waivers),
            unresolved=tuple(context.unresolved),
            duplicates=tuple(c.duplicates),
            conditions=tuple(self.flattened.conditions),
            sources=tuple(tree.source for tree in self.flattened.trees.values()),
            omitted=c.omitted,
            declared_kinds={k: Named(*context.common(d).named) for k, d in own_kinds.items()},
            colour_tables={k: Named(*context.common(d).named) for k, d in c.space("colour table").items()},
        )
        findings = (*self.findings, *context.findings)
        return Assembled(variant, findings, tuple(context.colour_problems), self.flattened.complete)

    def _own_kinds(self) -> dict[str, Declared]:
        """Kinds declared in source, without those that would take the name of a built-in one."""
        found = {}
        for key, declared in self.collected.space("kind").items():
            if key in kinds():
                self.context.wrong(declared.at(), f"the kind `{key}` is built in", "give yours another name")
            else:
                found[key] = declared
        return found

    def _header(self) -> Header:
        facts: dict[str, Word] = {}
        options: list[tuple[str, Span]] = []
        lines = self.statement.block.lines if self.statement.block else ()
        clauses = [(n, self.tree) for n in lines if isinstance(n, Clause)]
        self.context.notes_and_waivers(clauses, self.tree.span(self.statement))
        for node in lines:
            if not isinstance(node, Statement):
                continue
            if node.word.text == "options":
                options += [(w.text, self.tree.span(w)) for w in node.values]
            elif node.word.text in facts:
                self.context.wrong(self.tree.span(node), f"`{node.word.text}` is given twice", "keep one")
            else:
                facts[node.word.text] = node.values[0]
        supply = 12.6
        if "supply" in facts:
            quantity = read_quantity(facts["supply"].text)
            if quantity.dimension != "voltage" or not 0 < quantity.value <= 60:
                self.context.wrong(
                    self.tree.span(facts["supply"]),
                    f"`supply` takes a voltage up to 60 V, not {quantity}",
                    "high-voltage systems are left to trained and authorised people",
                )
            else:
                supply = quantity.value
        known = self.collected.space("option")
        for name, span in options:
            if name not in known:
                self.context.missing(name, "option", span, known)
        given = {name for name, _ in options}
        for use in self.flattened.conditions:
            for name in use.options:
                if name not in known and name not in given:
                    self.context.missing(name, "option", _word_in(name, use.at), known)
        words = self.statement.values
        text = {k: w.value for k, w in facts.items()}
        title = words[1].value if len(words) > 1 else ""
        return Header(
            words[0].text, title, text.get("series", ""), text.get("model-year", ""), text.get("issue", ""), supply,
            tuple(options), self.tree.span(words[0]),
        )  # fmt: skip

    def _fuse_block(self, declared: Declared) -> FuseBlock:
        common = self.context.common(declared)
        self._no_statements(declared)
        return FuseBlock(*common.named, common.place)

    def _no_statements(self, declared: Declared) -> None:
        for statement, line in block_statements(declared):
            says = f"`{statement.word.text}` cannot stand in the block of {declared.id}"
            self.context.wrong(line.tree.span(statement), says)

    def _zone(self, declared: Declared) -> Zone:
        common = self.context.common(declared)
        width, height, drawing = 100.0, 100.0, ""
        for clause in declared.node.clauses:
            if clause.word.text == "by":
                sides = [_side(word.text) for word in clause.values]
                if all(sides):
                    width, height = sides
                else:
                    self.context.wrong(
                        declared.tree_line.tree.span(clause),
                        f"the outline of a zone is two numbers from 1 to {MAX_SIDE}",
                        "write `240 by 140`",
                    )
            elif clause.word.text == "drawing":
                drawing = clause.values[0].value
        return Zone(*common.named, width=width, height=height, drawing=drawing)

    def _bus(self, declared: Declared, blocks: dict[str, FuseBlock]) -> Bus:
        common = self.context.common(declared)
        place = common.place
        if place is None and declared.inside in blocks:
            place = blocks[declared.inside].place
        return Bus(*common.named, place, block=declared.inside)

    def _placed_in_block(self, device: Device, blocks: dict[str, FuseBlock]) -> Device:
        if device.place is None and device.block in blocks:
            return replace(device, place=blocks[device.block].place)
        return device

    def _splice(self, declared: Declared, harnesses: dict[str, Harness]) -> Splice:
        common = self.context.common(declared)
        word = clause_value(declared.node, "in")
        harness = self.context.known(word, declared.tree_line.tree, harnesses, "harness") if word else ""
        return Splice(*common.named, common.place, harness=harness)

    def _ground(self, declared: Declared, structures: dict[str, Structure]) -> Ground:
        common = self.context.common(declared)
        word = clause_value(declared.node, "on")
        known = {"chassis": None, **structures}
        structure = self.context.known(word, declared.tree_line.tree, known, "structure") if word else "chassis"
        return Ground(*common.named, common.place, structure=structure)

    def _without_omitted(self, wires: list[Wire]) -> list[Wire]:
        gone = {name: span for (space, name), span in self.collected.omitted.items() if space == "wire"}
        if not gone:
            return wires
        known = {wire.id: wire for wire in wires}
        for name, span in gone.items():
            if name not in known:
                self.context.missing(name, "wire to omit", span, known)
        return [wire for wire in wires if wire.id not in gone]

    def _sheet(self, declared: Declared) -> Sheet:
        common = self.context.common(declared)
        system = ""
        lists: dict[str, list[tuple[Word, Span]]] = {"circuits": [], "components": [], "see": []}
        for statement, line in block_statements(declared):
            name = statement.word.text
            if name == "system":
                system = statement.values[0].value
            elif name in lists:
                lists[name] += [(word, line.tree.span(word)) for word in statement.values]
        for name, space in (("circuits", "circuit"), ("components", "item"), ("see", "sheet")):
            # A sheet of a fragment may list what this variant omits.
            lists[name] = [e for e in lists[name] if (space, e[0].text) not in self.collected.omitted]
            for word, span in lists[name] if space != "sheet" else ():
                if word.text not in self.collected.space(space):
                    self.context.missing(word.text, space, span, self.collected.space(space))
        return Sheet(
            *common.named, system=system, circuits=tuple(lists["circuits"]), components=tuple(lists["components"]),
            see=tuple(lists["see"]),
        )  # fmt: skip

    def _twist(self, declared: Declared, wires: dict[str, Wire]) -> Twist:
        common = self.context.common(declared)
        omitted = self.collected.omitted
        listed = ((w, line) for s, line in block_statements(declared) for w in s.values)
        words = [(w, line) for w, line in listed if ("wire", w.text) not in omitted]
        for word, line in words:
            # An omitted circuit takes its wires with it.
            if word.text not in wires and not any(
                space == "circuit" and word.text.startswith(name) for space, name in omitted
            ):
                self.context.missing(word.text, "wire", line.tree.span(word), wires)
        return Twist(*common.named, wires=tuple(w for w, _ in words if w.text in wires))


def _side(text: str) -> float:
    """A side of a zone's outline; 0 for a word that is none."""
    return float(text) if re.fullmatch(r"\d{1,6}(\.\d+)?", text) and 1 <= float(text) <= MAX_SIDE else 0.0


def _word_in(name: str, span: Span) -> Span:
    """The place of a name within a condition."""
    match = re.search(rf"(?<!\S){re.escape(name)}(?!\S)", span.text)
    return span if match is None else span._replace(start=span.start + match.start(), end=span.start + match.end())
