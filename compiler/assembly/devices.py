"""Devices: kinds, terminals, parts, pins; and kinds declared in source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from compiler.assembly.collect import Declared
from compiler.assembly.context import Context, block_statements
from compiler.assembly.flatten import Line
from compiler.kinds.base import COMMON_WORDS, Kind
from compiler.model.items import Behaviour, Device, Part, Stretch
from compiler.standards.sizes import Size
from compiler.units import read_quantity
from grammar.source import Source, Span
from grammar.tree import Clause, Statement, SyntaxTree, Word

_BODY_WORDS = ("positions", "terminals", "spare")


class Heading(NamedTuple):
    """What a device or part line says besides id and title."""

    terminals: tuple[Word, ...]
    ratings: dict[str, float]
    words: dict[str, Word]
    size: Size | None
    titles: tuple[Word, ...]
    when: tuple[str, ...]


def slug(text: str) -> str:
    """A title as a name: lower case, words joined by hyphens (`Tell-tale` -> `tell-tale`)."""
    return re.sub(r"[^\w]+", "-", text.casefold()).strip("-_")


def grid(word: str) -> tuple[str, ...] | None:
    """The names a range stands for: `1..4`, `A1..C8` (rows by columns), `L1..L4`. None if it is not a range."""
    match = re.fullmatch(r"([A-Za-z]*)(\d{1,6})\.\.([A-Za-z]*)(\d{1,6})", word)
    if not match:
        return None
    row_a, col_a, row_b, col_b = match[1], int(match[2]), match[3], int(match[4])
    if col_b < col_a or col_b - col_a > 1000:
        return None
    columns = range(col_a, col_b + 1)
    if row_a == row_b:
        return tuple(f"{row_a}{column}" for column in columns)
    if len(row_a) == len(row_b) == 1 and row_a < row_b and row_a.isupper() == row_b.isupper():
        rows = [chr(code) for code in range(ord(row_a), ord(row_b) + 1)]
        return tuple(f"{row}{column}" for row in rows for column in columns)
    return None


class DeviceBuilder:
    """Builds the devices of a variant."""

    def __init__(self, context: Context, kinds: Mapping[str, Kind], declared_kinds: Mapping[str, Declared]) -> None:
        self.context = context
        self.kinds = kinds
        self.declared_kinds = declared_kinds
        self._default_blocks: dict[str, tuple[tuple[Statement, ...], SyntaxTree]] = {}
        items = context.collected.space("item")
        self._buses: Mapping[str, object] = {i: d for i, d in items.items() if d.node.rule == "bus"}
        self._structures: Mapping[str, object] = {"chassis": None, **context.collected.space("structure")}

    def build(self, declared: Declared, connectors: tuple[str, ...]) -> Device:
        """The device of a declaration; `connectors` are the ids of its component connectors."""
        context = self.context
        common = context.common(declared)
        node, tree = declared.node, declared.tree_line.tree
        kind_name = node.word.text
        kind = self.kinds.get(kind_name)
        template = self.declared_kinds.get(kind_name)
        if kind is None or not (kind.as_device or template):
            known = [name for name, k in self.kinds.items() if k.as_device]
            says = f"`{kind_name}` is no kind of device and no statement"
            context.missing(kind_name, "kind", tree.span(node.word), [*known, *_STATEMENT_WORDS], says)
            kind = self.kinds["component"]
        if not node.values or node.values[0].kind != "NAME":
            context.wrong(tree.span(node), f"`{kind_name}` takes an id")
        head = self._heading(node.values[1:], kind, tree)
        parts: list[Part] = []
        named: list[str] = [word.text for word in head.terminals]
        positions: list[str] = []
        spare: list[str] = []
        body = block_statements(declared)
        if template is not None:
            body = [*block_statements(template), *body]
        elif kind.default_parts and not any(s.rule == "part" for s, _ in body):
            body = [*self._default_body(kind), *body]
        for statement, line in body:
            word = statement.word.text
            if word == "positions":
                positions += _listed(statement)
            elif word == "terminals":
                named += [name for listed in _listed(statement) for name in (grid(listed) or (listed,))]
            elif word == "spare":
                spare += [name for listed in _listed(statement) for name in (grid(listed) or (listed,))]
            elif statement.rule == "part":
                part = self._part(statement, line, declared.id)
                if part is not None:
                    parts.append(part)
            else:
                context.wrong(line.tree.span(statement), f"`{word}` cannot stand in a device's block")
        case = head.words.get("case")
        own = self._own_part(
            kind, tuple(named), case is not None, head, tree.span(node.values[0] if node.values else node)
        )
        if own is not None and not any(p.kind == kind.name for p in parts):
            parts.insert(0, own)
        terminals = dict.fromkeys([*(own.terminals if own and not named else ()), *named])
        for part in parts:
            terminals.update(dict.fromkeys(part.terminals))
        if case is not None:
            terminals["case"] = None
        terminals.update(dict.fromkeys(spare))
        bus = head.words.get("from")
        known_positions = tuple(positions) or self._relay_positions(parts) or kind.settings
        self._positions_asked(body, declared.id, known_positions)
        return Device(
            *common.named,
            common.place,
            kind=kind_name,
            terminals=tuple(terminals),
            parts=tuple(_with_drivers(parts)),
            positions=known_positions,
            connectors=connectors,
            block=declared.inside,
            bus=context.known(bus, tree, self._buses, "bus") if bus else "",
            case=context.known(case, tree, self._structures, "structure") if case else "",
            ratings=head.ratings,
            words=head.words,
            size=head.size,
            spare=frozenset(spare),
        )

    @staticmethod
    def _relay_positions(parts: list[Part]) -> tuple[str, ...]:
        return ("at-rest", "energised") if any(part.kind == "coil" for part in parts) else ()

    def _positions_asked(self, body: list[tuple[Statement, Line]], owner: str, positions: tuple[str, ...]) -> None:
        """`when` needs a word behind it, and a device with positions; which of them it names is a check's question."""
        for statement, line in body:
            words = statement.values
            asked = next((index for index, word in enumerate(words, 1) if word.kind == "WHEN"), 0)
            if asked == len(words) and asked:
                mend = "name one, or take `when` out"
                self.context.wrong(line.tree.span(words[-1]), "`when` names no position", mend)
            for word in words[asked:] if asked and not positions else ():
                says = f"{owner} has no positions, and so no position {word.text}"
                self.context.missing(word.text, f"position of {owner}", line.tree.span(word), (), says)

    def _own_part(self, kind: Kind, named: tuple[str, ...], cased: bool, head: Heading, at: Span) -> Part | None:
        """The part that a simple device is made of (a lamp's filament, a fuse's element)."""
        if kind.most is None or kind.body or kind.name in self.declared_kinds:
            return None
        terminals = named or kind.terminals
        if cased and "case" not in terminals:
            # The case takes the place of the last terminal where the source leaves it out.
            terminals = (*named, "case") if named else (*kind.terminals[: max(1, len(kind.terminals) - 1)], "case")
        if not kind.least <= len(terminals) <= (kind.most or len(terminals)):
            count = kind.least if kind.least == kind.most else f"{kind.least} to {kind.most}"
            self.context.wrong(
                at,
                f"a {kind.title} has {count} terminals, not {len(terminals)}",
                f"name its terminals, for example {' '.join(kind.terminals)}",
            )
            return None
        return Part(kind.name, terminals, "", "", head.ratings, (), "", kind.stretches(terminals), at)

    def _heading(self, values: tuple[Word, ...], kind: Kind, tree: SyntaxTree) -> Heading:
        context = self.context
        terminals: list[Word] = []
        ratings: dict[str, float] = {}
        words: dict[str, Word] = {}
        titles: list[Word] = []
        when: list[str] = []
        size: Size | None = None
        choices = {word: name for name, options in kind.choices.items() for word in options}
        known_words = (*kind.words, *COMMON_WORDS)
        index = 0
        after_when = False
        while index < len(values):
            word = values[index]
            index += 1
            if word.kind == "STRING":
                titles.append(word)
            elif word.kind == "WHEN":
                after_when = True
            elif word.kind == "QUANTITY":
                quantity = read_quantity(word.text)
                names = kind.ratings.get(quantity.dimension, ())
                free = next((name for name in names if name not in ratings), None)
                if free is None:
                    takes = ", ".join(sorted(kind.ratings)) or "no rating"
                    context.wrong(
                        tree.span(word),
                        f"a {kind.title} has no {quantity.dimension} to give here",
                        f"it takes: {takes}",
                    )
                elif quantity.dimension == "size":
                    size = context.size(word, tree)
                    ratings[free] = 0.0
                else:
                    ratings[free] = quantity.value
            elif word.kind == "UNKNOWN":
                words.setdefault("?", word)
            elif after_when:
                when.append(word.text)
            elif word.text in choices:
                words[choices[word.text]] = word
            elif word.text in known_words and index < len(values) and values[index].kind in ("NAME", "UNKNOWN"):
                words[word.text] = values[index]
                index += 1
            else:
                terminals.append(word)
        ratings.pop("size", None)
        return Heading(tuple(terminals), ratings, words, size, tuple(titles), tuple(when))

    def _part(self, statement: Statement, line: Line, owner: str) -> Part | None:
        context, tree = self.context, line.tree
        name = statement.word.text
        kind = self.kinds.get(name)
        if kind is None or not kind.as_part:
            known = [n for n, k in self.kinds.items() if k.as_part]
            says = f"`{name}` is no part that a device can have"
            context.missing(name, "part", tree.span(statement.word), [*known, *_BODY_WORDS], says)
            return None
        head = self._heading(statement.values, kind, tree)
        terminals = tuple(dict.fromkeys(word.text for word in head.terminals))
        if kind.name == "headlamp" or terminals == ():
            terminals = terminals or kind.terminals
        if len(terminals) < kind.least or (kind.most is not None and len(terminals) > kind.most):
            count = str(kind.least) if kind.least == kind.most else f"at least {kind.least}"
            context.wrong(tree.span(statement), f"`{name}` stands between {count} terminals, {len(terminals)} given")
            return None
        title = head.titles[0].value if head.titles else ""
        context.notes_and_waivers([(clause, tree) for clause in statement.clauses], tree.span(statement))
        role = head.words["role"].text if "role" in head.words else ""
        if name == "pin" and not role:
            context.wrong(
                tree.span(statement),
                f"pin {terminals[0]} of {owner} has no role",
                "say " + ", ".join(kind.choices["role"]),
            )
        return Part(
            name,
            terminals,
            slug(title),
            title,
            head.ratings,
            head.when,
            role,
            kind.stretches(terminals),
            tree.span(statement),
            head.words["suppression"].text if "suppression" in head.words else "",
        )

    def _default_body(self, kind: Kind) -> list[tuple[Statement, Line]]:
        found = self._default_blocks.get(kind.name)
        if found is None:
            from grammar.parser import parse

            text = f"kind default {{\n{kind.default_parts}\n}}\n"
            tree = parse(Source(f"built-in {kind.name}", text)).tree
            block = tree.lines[0]
            assert isinstance(block, Statement)
            assert block.block is not None
            lines = tuple(n for n in block.block.lines if isinstance(n, Statement))
            found = self._default_blocks[kind.name] = (lines, tree)
        lines, tree = found
        return [(statement, Line(statement, tree, "")) for statement in lines]


def _listed(statement: Statement) -> list[str]:
    """The names of a list. `1A` and `3 A` read as currents; in a list they are one name and two."""
    return [name for value in statement.values for name in value.text.split()]


def _with_drivers(parts: list[Part]) -> list[Part]:
    """Give module pins their ways: outputs from the supply pins, switched grounds to the ground pins."""
    supplies = [p.terminals[0] for p in parts if p.role == "supply"]
    grounds = [p.terminals[0] for p in parts if p.role == "ground"]
    if not supplies and not grounds:
        return parts
    done: list[Part] = []
    for part in parts:
        own = part.terminals[0] if part.terminals else ""
        ways: list[Stretch] = []
        if part.role == "pull-up-input":
            # A resistor, not an output: whatever takes the wire to ground does not ground the module's supply.
            ways = [Stretch(supply, own, Behaviour.RESISTOR) for supply in supplies]
        elif part.role in ("high-side", "sensor-supply", "output"):
            ways = [Stretch(supply, own, Behaviour.DRIVER) for supply in supplies]
        elif part.role in ("low-side", "sensor-ground"):
            ways = [Stretch(own, ground, Behaviour.DRIVER) for ground in grounds]
        elif part.role == "supply":
            ways = [Stretch(own, ground, Behaviour.LOAD) for ground in grounds[:1]]
        done.append(replace(part, stretches=tuple(ways)) if ways else part)
    return done


def template_kind(declared: Declared, component: Kind) -> Kind:
    """The kind that a `kind` statement declares: terminals and parts come from its block at each use."""
    title = next((w.value for w in declared.node.values[1:2] if w.kind == "STRING"), declared.id)
    return replace(component, name=declared.id, title=title.lower(), page="", letter="A")


_STATEMENT_WORDS = (
    "variant use option omit replace extend zone harness structure colours kind fuse-block bus splice ground connector"
    " cable twist circuit sheet state expect complaint trouble-code when note"
).split()

__all__ = ["Clause", "DeviceBuilder", "grid", "slug", "template_kind"]
