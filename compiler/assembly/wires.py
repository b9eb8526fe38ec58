"""Circuits, wires and cables: what is inherited, what is said, and where each end lands."""

from __future__ import annotations

from collections.abc import Mapping

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.flatten import Line
from compiler.model.items import Cable, Circuit, Connector, Core, Device, End, Point, Wire
from compiler.standards.sizes import Size
from compiler.units import read_quantity
from grammar.source import Span
from grammar.tree import Clause, Statement, SyntaxTree, Word
from grammar.tree import Wire as WireLine

_NO_WORDS: Mapping[str, str] = {}


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
        context, tree = self.context, line.tree
        size, colour, length = circuit.size, circuit.colour, None
        own_colour = False
        harness = circuit.harness
        core = recoloured = ""
        unknown = inherited_unknown
        words: dict[str, str] | Mapping[str, str] = _NO_WORDS
        source = tree.source
        for word in node.values:
            if word.kind == "QUANTITY":
                quantity = read_quantity(word.text)
                if quantity.dimension == "length":
                    length = quantity.value
                elif quantity.dimension == "size":
                    size, size_at = context.size(word, tree), Span(source, word.start, word.end)
                else:
                    context.wrong(tree.span(word), f"a wire takes a size and a length, not {quantity}")
            else:
                if own_colour:
                    context.wrong(
                        tree.span(word),
                        "a wire has one colour",
                        "did you mean `in HARNESS` before this name?",
                    )
                    continue
                colour, own_colour = context.colour(word, tree), True
                colour_at = Span(source, word.start, word.end)
        notes: tuple[str, ...] = ()
        span = Span(source, node.start, node.end)
        if node.clauses:
            others: list[tuple[Clause, SyntaxTree]] = []
            for clause in node.clauses:
                keyword, value = clause.word.text, clause.values[0]
                if keyword == "in":
                    harness = context.known(value, tree, self.harnesses, "harness")
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
            if others:
                notes = context.notes_and_waivers(others, span)
        if core:
            size, colour, own_colour = self._from_core(core, node, tree, size, colour, own_colour)
        if unknown:
            if "size" in unknown:
                size = None
            if "colour" in unknown:
                colour = None
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
            core,
            recoloured,
            unknown,
            colour_at,
            size_at,
            own_colour,
            Span(source, node.a.start, node.b.end),
            span,
            notes,
            line.fragment,
            words,
        )

    def _from_core(
        self, core: str, node: WireLine, tree: SyntaxTree, size: Size | None, colour: str | None, own: bool
    ) -> tuple[Size | None, str | None, bool]:
        cable_id, _, core_name = core.rpartition(".")
        cable = self.cables.get(cable_id)
        word = next(c.values[0] for c in node.clauses if c.word.text == "core")
        if cable is None:
            self.context.missing(cable_id or core, "cable", tree.span(word), self.cables)
            return size, colour, own
        found = cable.cores.get(core_name)
        if found is None:
            self.context.missing(core_name, f"core of cable {cable_id}", tree.span(word), cable.cores)
            return size, colour, own
        return found.size, found.colour, True


def wire_id(circuit: str, segment: str) -> str:
    """`48` and `A` make `48A`; a hyphen stands between where the two would run together."""
    if circuit.isdigit() and segment.isalpha():
        return circuit + segment
    return f"{circuit}-{segment}"


def build_cable(context: Context, declared: Declared, harnesses: Mapping[str, object]) -> Cable:
    """The cable of a declaration."""
    common = context.common(declared)
    node, tree = declared.node, declared.tree_line.tree
    harness = next(
        (context.known(c.values[0], tree, harnesses, "harness") for c in node.clauses if c.word.text == "in"),
        "",
    )
    cores: dict[str, Core] = {}
    twists: list[tuple[str, ...]] = []
    for statement, line in block_statements(declared):
        if statement.rule == "core":
            core = _core(context, statement, line.tree)
            if core.name in cores:
                context.wrong(core.at, f"cable {declared.id} has two cores {core.name}")
            cores[core.name] = core
        elif statement.rule == "cable_twist":
            twists.append(tuple(word.text for word in statement.values))
            for word in statement.values:
                context.known(word, line.tree, cores, f"core of cable {declared.id}")
    return Cable(*common.named, common.place, harness=harness, cores=cores, twists=tuple(twists))


def _core(context: Context, statement: Statement, tree: SyntaxTree) -> Core:
    size: Size | None = None
    colour: str | None = None
    for word in statement.values[1:]:
        if word.kind == "QUANTITY":
            if read_quantity(word.text).dimension == "size":
                size = context.size(word, tree)
            else:
                context.wrong(tree.span(word), f"a core takes a size and a colour, not {word.text}")
        else:
            colour = context.colour(word, tree)
    name = statement.values[0].text
    return Core(name, size, colour, statement.word.text == "shield", tree.span(statement))
