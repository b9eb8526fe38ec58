"""Circuits and wires: what is inherited, what is said, and where each end lands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.flatten import Line
from compiler.model.items import Cable, Circuit, Connector, Core, Device, End, Point, Wire
from compiler.standards.sizes import Size
from compiler.units import read_quantity
from grammar.source import Span
from grammar.tree import Clause, SyntaxTree, Word
from grammar.tree import Wire as WireLine

_NO_WORDS: Mapping[str, str] = {}
_ONE_OF = {
    "colour": "did you mean `in HARNESS` before this name?",
    "size": "keep one",
    "length": "keep one",
}


class _Said(NamedTuple):
    """What the clauses of a wire's line say."""

    harness: str = ""
    core: str = ""
    recoloured: str = ""
    unknown: tuple[str, ...] = ()
    words: Mapping[str, str] = _NO_WORDS
    notes: tuple[str, ...] = ()


_NOTHING_SAID = _Said()


class WireBuilder:
    """Builds circuits and wires against the items that ends may name."""

    def __init__(
        self,
        context: Context,
        devices: Mapping[str, Device],
        connectors: Mapping[str, Connector],
        joints: Mapping[str, object],
        harnesses: Mapping[str, object],
        cables: Mapping[str, Cable],
    ) -> None:
        self.context = context
        self.devices = devices
        self.connectors = connectors
        self.joints = joints
        self.harnesses = harnesses
        self.cables = cables
        self._ends: dict[tuple[str, str], tuple[Point | None, str]] = {}
        self._terminals = {key: frozenset(device.terminals) for key, device in devices.items()}
        self._cavities = {key: frozenset(connector.cavities) for key, connector in connectors.items()}

    # -- ends ----------------------------------------------------------------------------------------------------
    def end(self, word: Word, harness: str) -> End:
        """Where a wire end lands; the harness of the wire decides the half of an in-line connector."""
        if word.kind == "UNKNOWN":
            return End(word, None, "not-known")
        key = (word.text, harness)
        found = self._ends.get(key)
        if found is None:
            found = self._ends[key] = self._resolve(word.text, harness)
        return End(word, *found)

    def _resolve(self, text: str, harness: str) -> tuple[Point | None, str]:
        if text in self.joints:
            return Point(text, "", 0), ""
        item, dot, terminal = text.rpartition(".")
        if not dot:
            item, terminal = text, ""
        device = self.devices.get(item)
        if device is not None:
            if terminal not in self._terminals[item]:
                if not terminal and len(device.terminals) == 1:
                    terminal = device.terminals[0]
                elif len(device.connectors) == 1 and terminal in self._cavities.get(device.connectors[0], ()):
                    return Point(device.connectors[0], terminal, 0), ""
                else:
                    return None, "no-such-terminal"
            if len(device.connectors) == 1 and terminal in self._cavities.get(device.connectors[0], ()):
                return Point(device.connectors[0], terminal, 0), ""
            return Point(item, terminal, 0), ""
        connector = self.connectors.get(item)
        if connector is not None:
            return self._at_connector(connector, terminal, harness)
        # `A1.C201.7`: device, connector and cavity; the connector alone says as much.
        return None, "no-such-item"

    def _at_connector(self, connector: Connector, cavity: str, harness: str) -> tuple[Point | None, str]:
        if cavity not in self._cavities[connector.id]:
            return None, "out-of-range"
        if connector.device:
            return Point(connector.id, cavity, 0), ""
        if harness in connector.halves:
            return Point(connector.id, cavity, connector.halves.index(harness)), ""
        return None, "wrong-harness" if harness else "no-harness"

    # -- circuits ------------------------------------------------------------------------------------------------
    def build(self, declared: Declared) -> tuple[Circuit, list[Wire]]:
        """The circuit of a declaration and its wires in the order written."""
        context = self.context
        common = context.common(declared)
        node, tree = declared.node, declared.tree_line.tree
        size: Size | None = None
        size_at = colour_at = common.at
        colour: str | None = None
        colour_word: Word | None = None
        for word in node.values[1:]:
            if word.kind == "NAME":
                if colour_word is not None:
                    context.wrong(tree.span(word), f"circuit {declared.id} has two colours on its line", "keep one")
                    continue
                colour_word, colour_at = word, tree.span(word)
                colour = context.colour(word, tree)
            elif word.kind == "QUANTITY":
                if read_quantity(word.text).dimension != "size":
                    context.wrong(
                        tree.span(word),
                        f"a circuit's line takes a size and a colour, not {word.text}",
                        "give lengths on the wires",
                    )
                    continue
                size, size_at = context.size(word, tree), tree.span(word)
        harness, class_, unknown = "", "", []
        for clause in node.clauses:
            keyword = clause.word.text
            if keyword == "in":
                harness = context.known(clause.values[0], tree, self.harnesses, "harness")
            elif keyword == "class":
                class_ = clause.values[0].text
            elif keyword in ("colour", "size", "length"):
                unknown.append(keyword)
        circuit = Circuit(
            *common.named,
            size=size,
            colour=colour,
            colour_written=colour_word,
            harness=harness,
            class_=class_,
            unknown=tuple(unknown),
        )
        base = (circuit, size_at, colour_at, tuple(unknown))
        wires = []
        for line in self._wire_lines(declared):
            assert isinstance(line.node, WireLine)
            wires.append(self._wire(line.node, line, *base))
        for statement, line in block_statements(declared):
            context.wrong(line.tree.span(statement), f"`{statement.word.text}` cannot stand in a circuit's block")
        return circuit, wires

    def _wire_lines(self, declared: Declared) -> list[Line]:
        """Wire lines with `replace` applied: a replaced segment keeps its place in the table."""
        lines = [line for line in declared.lines if isinstance(line.node, WireLine)]
        if not any(isinstance(line.node, WireLine) and line.node.prefix for line in lines):
            return lines
        kept: dict[str, Line] = {}
        plain: list[Line] = []
        for line in lines:
            node = line.node
            assert isinstance(node, WireLine)
            if node.prefix is None:
                plain.append(line)
            else:
                kept[node.label.text] = line
        done = []
        for line in plain:
            assert isinstance(line.node, WireLine)
            done.append(kept.pop(line.node.label.text, line))
        for label, line in kept.items():
            known = [p.node.label.text for p in plain if isinstance(p.node, WireLine)]
            assert isinstance(line.node, WireLine)
            self.context.missing(
                label, f"segment of circuit {declared.id} to replace", line.tree.span(line.node.label), known
            )
        return done

    def _wire(
        self,
        node: WireLine,
        line: Line,
        circuit: Circuit,
        size_at: Span,
        colour_at: Span,
        inherited_unknown: tuple[str, ...],
    ) -> Wire:
        tree, source = line.tree, line.tree.source
        size, colour, length = circuit.size, circuit.colour, None
        given: dict[str, Span] = {}
        for word in node.values:
            dimension, value = self._value(word, tree)
            if not dimension:
                continue
            if dimension in given:
                self.context.wrong(tree.span(word), f"a wire has one {dimension}", _ONE_OF[dimension])
                continue
            given[dimension] = Span(source, word.start, word.end)
            if dimension == "length":
                length = value
            elif dimension == "size":
                size, size_at = value, given[dimension]
            elif dimension == "colour":
                colour, colour_at = value, given[dimension]
        span = Span(source, node.start, node.end)
        said = self._clauses(node, tree, span) if node.clauses else _NOTHING_SAID
        harness = said.harness or circuit.harness
        own_colour = "colour" in given
        unknown = said.unknown
        core = self._core_of(said.core, node, tree) if said.core else None
        if core is not None:
            # A core that does not say its size or colour leaves what the circuit says.
            size, colour, own_colour = core.size or size, core.colour or colour, own_colour or core.colour is not None
            harness = harness or self.cables[said.core.rpartition(".")[0]].harness
        if inherited_unknown:
            known = {*given, *(("size", "colour") if core else ())}
            unknown = (*(fact for fact in inherited_unknown if fact not in known), *unknown)
        if unknown:
            size = None if "size" in unknown else size
            colour = None if "colour" in unknown else colour
        segment = node.label.text
        return Wire(
            wire_id(circuit.id, segment),
            circuit.id,
            segment,
            self.end(node.a, harness),
            self.end(node.b, harness),
            size,
            colour,
            length,
            harness,
            said.core,
            said.recoloured,
            unknown,
            colour_at,
            size_at,
            own_colour,
            Span(source, node.a.start, node.b.end),
            span,
            said.notes,
            line.fragment,
            said.words,
        )

    def _value(self, word: Word, tree: SyntaxTree) -> tuple[str, Any]:
        """What a word of a wire's line gives (`length` in m, `size`, `colour` or nothing), and the value."""
        if word.kind != "QUANTITY":
            return "colour", self.context.colour(word, tree)
        quantity = read_quantity(word.text)
        if quantity.dimension == "size":
            return "size", self.context.size(word, tree)
        if quantity.dimension != "length":
            self.context.wrong(tree.span(word), f"a wire takes a size and a length, not {quantity}")
            return "", None
        if quantity.value <= 0:
            self.context.wrong(tree.span(word), f"a wire cannot be {quantity} long")
            return "length", None
        return "length", quantity.value

    def _clauses(self, node: WireLine, tree: SyntaxTree, span: Span) -> _Said:
        harness = core = recoloured = ""
        unknown: tuple[str, ...] = ()
        words: Mapping[str, str] = _NO_WORDS
        others: list[tuple[Clause, SyntaxTree]] = []
        for clause in node.clauses:
            keyword, value = clause.word.text, clause.values[0]
            if keyword == "in":
                harness = self.context.known(value, tree, self.harnesses, "harness")
            elif keyword == "core":
                core = value.text
            elif keyword in ("colour", "size", "length"):
                unknown = (*unknown, keyword)
            elif keyword == "recoloured":
                recoloured = value.value
            elif keyword in ("type", "class"):
                words = {**words, keyword: value.text}
            else:
                others.append((clause, tree))
        notes = self.context.notes_and_waivers(others, span) if others else ()
        return _Said(harness, core, recoloured, unknown, words, notes)

    def _core_of(self, core: str, node: WireLine, tree: SyntaxTree) -> Core | None:
        cable_id, _, core_name = core.rpartition(".")
        cable = self.cables.get(cable_id)
        word = next(c.values[0] for c in node.clauses if c.word.text == "core")
        if cable is None:
            self.context.missing(cable_id or core, "cable", tree.span(word), self.cables)
            return None
        if core_name not in cable.cores:
            self.context.missing(core_name, f"core of cable {cable_id}", tree.span(word), cable.cores)
        return cable.cores.get(core_name)


def wire_id(circuit: str, segment: str) -> str:
    """`48` and `A` make `48A`; a hyphen stands between where the two would run together."""
    if circuit.isdigit() and segment.isalpha():
        return circuit + segment
    return f"{circuit}-{segment}"
