"""What a device's box shows, in columns: symbols side by side, each terminal over or under a pin of its own.

A terminal whose pin lies on the other edge, or is taken, gets a column of its own that runs through the row of symbols.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from compiler.circuit.graph import device_terminal
from compiler.model.items import Device, Part, Point
from renderers.sheets.box import BOTTOM, TOP, Context, Ends, Link, even, group_room, up, wished
from renderers.sheets.labels import SMALL, width
from renderers.sheets.symbols import Glyph, Style, symbol
from renderers.sheets.symbols.contacts import changeover
from renderers.sheets.symbols.operators import WIDE
from renderers.sheets.symbols.pins import pin

FACES = (TOP, BOTTOM)
STACK = 3.0  # between an upper and a lower symbol in one column
_ALL = 4  # parts up to which a device is shown whole
_ONE_WAY = ("diode", "led")  # symbols that point: turned upside down, where others only change their ends


@dataclass(slots=True)
class Terminal:
    """A terminal that the box shows. `connector` and `cavity` when a plug brings the wire to it."""

    name: str
    connector: str
    cavity: str
    links: tuple[list[Link], list[Link]] = field(default_factory=lambda: ([], []))

    @property
    def shown(self) -> str:
        """The name at the terminal: of the cavity where there is a plug."""
        return self.cavity or self.name


@dataclass(slots=True)
class Column:
    """A column of the box: a symbol, an upper and a lower one, or a bare way through for the net `through`.

    homes  (face, offset) -> terminal that stands there
    """

    glyphs: list[Glyph]
    homes: dict[tuple[int, int], Terminal] = field(default_factory=dict)
    through: str = ""
    axis: int = 0

    def pins(self, face: int) -> tuple[tuple[str, int], ...]:
        """Pins of its symbols on one side: terminal and offset from the axis."""
        return tuple(p for g in self.glyphs for p in (g.bottom if face else g.top))

    @property
    def height(self) -> float:
        """Height of its symbols."""
        return sum(g.height for g in self.glyphs) + STACK * max(0, len(self.glyphs) - 1)

    @property
    def linked(self) -> Glyph | None:
        """The symbol that a dashed line can join to others."""
        return next((g for g in self.glyphs if g.link), None)


class Columns:
    """The columns of one device on one page. `net` maps each terminal to its net inside the device."""

    def __init__(self, device: Device, unit: str, ends: Ends, context: Context) -> None:
        self.device = device
        self.context = context
        self.terminals: dict[str, Terminal] = {}
        for face, links in zip(FACES, (ends.top, ends.bottom), strict=True):
            for link in dict.fromkeys(links):
                for tip in link.tips:
                    if tip.unit == unit and tip.face == face and tip.point is not None:
                        self._terminal(tip.point).links[face].append(link)
        self.net = self._nets()
        self.columns: list[Column] = self._symbols()
        self._show_open_terminals()
        for terminal in self.terminals.values():
            wanted = [face for face in FACES if terminal.links[face]]
            for face in wanted or self._faces_of(terminal):
                self._give_home(terminal, face)
        self._mirror()
        self._complete_nets()
        self._sort()
        self.right = self._set_axes()

    def net_of(self, name: str) -> str:
        """The net that a terminal belongs to."""
        return self.net.get(name, name)

    # -- what is shown -------------------------------------------------------------------------------------------
    def _terminal(self, point: Point) -> Terminal:
        if point.item == self.device.id:
            return self.terminals.setdefault(point.terminal, Terminal(point.terminal, "", ""))
        name = device_terminal(self.device, point.item, point.terminal) or f"{point.item}.{point.terminal}"
        return self.terminals.setdefault(name, Terminal(name, point.item, point.terminal))

    def _nets(self) -> Mapping[str, str]:
        """Terminal -> net: traces join terminals."""
        parent: dict[str, str] = {}

        def root(name: str) -> str:
            while parent.get(name, name) != name:
                name = parent[name]
            return name

        for part in self.device.parts:
            if part.kind == "trace":
                for other in part.terminals[1:]:
                    a, b = root(part.terminals[0]), root(other)
                    if a != b:
                        parent[b] = a
        return {name: root(name) for name in (*self.device.terminals, *self.terminals)}

    def traced(self) -> set[str]:
        """Nets that a trace of the board makes."""
        return {self.net_of(t) for part in self.device.parts if part.kind == "trace" for t in part.terminals}

    def _used_parts(self) -> list[Part]:
        wired = {self.net_of(name) for name in self.terminals}
        parts = [p for p in self.device.parts if p.kind != "trace"]
        used = [p for p in parts if any(self.net_of(t) in wired for t in p.terminals)]
        return used if used or len(parts) > _ALL else parts

    def _symbols(self) -> list[Column]:
        parts = self._used_parts()
        columns: list[Column] = []
        paired: set[int] = set()
        for index, part in enumerate(parts):
            if index in paired:
                continue
            mate = next((n for n in range(index + 1, len(parts)) if self._changes_over(part, parts[n], parts)), None)
            if mate is not None:
                paired.add(mate)
                pair = sorted((part, parts[mate]), key=self.rests, reverse=True)
                columns.append(self._column(self._changeover(*pair), *pair))
            elif part.kind == "contact" and len(part.terminals) > 2:
                # One contact that joins several terminals: a blade each, from the first.
                first, *others = part.terminals
                columns += [
                    self._column(self._glyph(replace(part, terminals=(first, other))), part) for other in others
                ]
            else:
                columns.append(self._column(self._glyph(part), part))
        return columns

    def _column(self, glyph: Glyph, *parts: Part) -> Column:
        return Column([glyph._replace(parts=tuple(map(self.device.parts.index, parts)))])

    def rests(self, part: Part) -> bool:
        """Whether a contact is closed in the state that is drawn."""
        rest = self.device.positions[0] if self.device.positions else "at-rest"
        return part.kind == "contact" and (not part.when or rest in part.when)

    def _changes_over(self, one: Part, other: Part, parts: list[Part]) -> bool:
        """Whether two contacts of a relay are the two sides of one changeover contact."""
        if one.kind != "contact" or other.kind != "contact" or not self._is_relay():
            return False
        shared = set(one.terminals) & set(other.terminals)
        if len(one.terminals) != 2 or len(other.terminals) != 2 or len(shared) != 1:
            return False
        at = sum(p.kind == "contact" and bool(shared & set(p.terminals)) for p in parts)
        return at == 2 and self.rests(one) != self.rests(other)

    def _is_relay(self) -> bool:
        return any(p.kind == "coil" for p in self.device.parts)

    def _changeover(self, rest: Part, work: Part) -> Glyph:
        (common,) = set(rest.terminals) & set(work.terminals)
        ends = [next(t for t in p.terminals if t != common) for p in (rest, work)]
        glyph = changeover(common, ends[0], ends[1], self._pitch((*ends, common)))
        return glyph.flipped() if self._turn(glyph) > 0 else glyph

    def _pitch(self, names: tuple[str, ...]) -> int:
        rooms = [group_room(t.links[f], f) for n in names if (t := self.terminals.get(n)) for f in FACES if t.links[f]]
        return even(max([12, *rooms]))

    def _glyph(self, part: Part) -> Glyph:
        if part.kind == "pin":
            terminal = self.terminals.get(part.terminals[0])
            hangs = terminal is not None and bool(terminal.links[BOTTOM])
            return pin(part.terminals[0], part.role, part.title, hangs)
        words = part.title
        if part.kind == "contact":
            words = "" if self._is_relay() else ", ".join(part.when)
        elif part.kind == "coil":
            words = self._suppression()
        pitch = self._pitch(part.terminals) if len(part.terminals) > 2 or part.kind == "battery" else 24
        below = tuple(
            n for n in part.terminals if (t := self.terminals.get(n)) and t.links[BOTTOM] and not t.links[TOP]
        )
        style = Style(pitch, self.rests(part), words, below)
        glyph = symbol(part, style)
        if self._turn(glyph) <= 0:
            return glyph
        if len(part.terminals) == 2 and part.kind not in _ONE_WAY and len(glyph.top) == 1:
            return symbol(replace(part, terminals=part.terminals[::-1]), style)
        return glyph.flipped()

    def _suppression(self) -> str:
        return self.device.word("suppression")

    def _turn(self, glyph: Glyph) -> int:
        """How many more pins lie on the wrong side than on the right one."""
        turn = 0
        for face in FACES:
            for name, _ in glyph.bottom if face else glyph.top:
                terminal = self.terminals.get(name)
                if terminal is not None:
                    turn += bool(terminal.links[1 - face]) - bool(terminal.links[face])
        return turn

    def _show_open_terminals(self) -> None:
        """Show a terminal of each net that shown symbols end at, though no wire reaches it on this page."""
        device, variant = self.device, self.context.variant
        shown = {self.net_of(name) for name in self.terminals}
        drawn = [name for c in self.columns for f in FACES for name, _ in c.pins(f)]
        by_net: dict[str, list[str]] = {}
        for name in device.terminals:
            by_net.setdefault(self.net_of(name), []).append(name)
        for name in dict.fromkeys(drawn):
            net = self.net_of(name)
            if net in shown:
                continue
            choice: list[tuple[bool, str, tuple[str, str]]] = []
            for other in [name, *by_net.get(net, ())]:
                plug = variant.connector_of_terminal(device, other)
                if device.connectors and plug is None and other != "case":
                    continue
                point = Point(*plug, 0) if plug else Point(device.id, other, 0)
                choice.append((not variant.wires_at(point), other, plug or ("", "")))
            if choice:
                _, other, (connector, cavity) = min(choice, key=lambda c: c[0])
                self.terminals.setdefault(other, Terminal(other, connector, cavity))
                shown.add(net)

    def _faces_of(self, terminal: Terminal) -> list[int]:
        if terminal.name == "case":
            return [BOTTOM]
        net = self.net_of(terminal.name)
        for face in (BOTTOM, TOP):
            if any(self.net_of(name) == net for c in self.columns for name, _ in c.pins(face)):
                return [face]
        return [BOTTOM]

    # -- where it stands -----------------------------------------------------------------------------------------
    def _give_home(self, terminal: Terminal, face: int) -> None:
        net = self.net_of(terminal.name)
        for exact in (True, False):
            for column in self.columns:
                for name, dx in column.pins(face):
                    same = name == terminal.name if exact else self.net_of(name) == net
                    if same and (face, dx) not in column.homes:
                        column.homes[face, dx] = terminal
                        return
        other = next((c for c in self.columns if c.through == net and (face, 0) not in c.homes), None)
        if other is None:
            other = Column([], through=net)
            beside = [i for i, c in enumerate(self.columns) if self._touches(c, net)]
            self.columns.insert(beside[0] if beside else len(self.columns), other)
        other.homes[face, 0] = terminal

    def _touches(self, column: Column, net: str) -> bool:
        return any(self.net_of(n) == net for f in FACES for n, _ in column.pins(f))

    def faces(self, net: str) -> set[int]:
        """Sides of the row on which a net has pins or terminals."""
        found = {f for c in self.columns for f in FACES if any(self.net_of(n) == net for n, _ in c.pins(f))}
        return found | {f for c in self.columns for (f, _), t in c.homes.items() if self.net_of(t.name) == net}

    def _mirror(self) -> None:
        """Turn symbols whose pins stand the other way round than their wires come from left for right."""
        for column in self.columns:
            if len(column.glyphs) != 1:
                continue
            turn = 0
            for face in FACES:
                rows = sorted((dx, t.links[face]) for (f, dx), t in column.homes.items() if f == face)
                wishes = [w for _, links in rows if (w := wished(links, self.context.wish)) is not None]
                turn += sum((b > a) - (b < a) for a, b in pairwise(wishes))
            if turn < 0:
                column.glyphs[0] = column.glyphs[0].mirrored()
                column.homes = {(face, -dx): t for (face, dx), t in column.homes.items()}

    def _complete_nets(self) -> None:
        """Give a way through the row to each net that has ends both above and below it."""
        names = [*self.terminals, *(n for c in self.columns for f in FACES for n, _ in c.pins(f))]
        for net in dict.fromkeys(self.net_of(n) for n in names):
            if len(self.faces(net)) == 2 and not any(c.through == net for c in self.columns):
                beside = [i for i, c in enumerate(self.columns) if self._touches(c, net)]
                self.columns.insert(beside[-1] + 1 if beside else len(self.columns), Column([], through=net))

    def _wish(self, column: Column) -> float | None:
        return wished([k for t in column.homes.values() for links in t.links for k in links], self.context.wish)

    def _sort(self) -> None:
        """Put columns in the order that the wires wish; plugs stay together; lone upper and lower pins share a column."""
        last = 0.0
        keys: list[float] = []
        for column in self.columns:
            wish = self._wish(column)
            last = wish if wish is not None else last
            keys.append(last)
        plugs = [next((t.connector for t in c.homes.values()), "") for c in self.columns]
        mean = {
            plug: sum(k for k, p in zip(keys, plugs, strict=True) if p == plug) / plugs.count(plug) for plug in plugs
        }
        several = len(self.device.connectors) > 1
        order = sorted(
            range(len(keys)),
            key=lambda i: (mean[plugs[i]], plugs[i], keys[i], i) if several else (keys[i], i),
        )
        self.columns = self._stacked([self.columns[i] for i in order])

    def _stacked(self, columns: list[Column]) -> list[Column]:
        done: list[Column] = []
        free: list[Column] = []
        for column in columns:
            lone = len(column.glyphs) == 1 and len([f for f in FACES if column.pins(f)]) == 1
            if not lone:
                done.append(column)
                continue
            face = BOTTOM if column.pins(BOTTOM) else TOP
            plug = next((t.connector for t in column.homes.values()), "")
            mate = next((c for c in free if not c.pins(face) and plug in {t.connector for t in c.homes.values()}), None)
            if mate is None:
                free.append(column)
                done.append(column)
            else:
                free.remove(mate)
                mate.glyphs += column.glyphs
                mate.homes.update(column.homes)
        return done

    def _set_axes(self) -> int:
        """Give every column its axis; the right end of the body is the answer."""
        x = 0
        last: dict[int, str] = {}
        room = WIDE + 11 if self.device.kind == "switch" else 0.0
        for column in self.columns:
            left = max([6.0, *(g.left + 2 for g in column.glyphs)])
            right = max([6.0, *(g.right + 2 for g in column.glyphs)])
            if room and column.linked:
                left, room = max(left, room), 0.0
            before = 0.0
            for (face, dx), terminal in column.homes.items():
                half = width(terminal.shown, SMALL) / 2 + 2 if terminal.connector else 4.0
                left = max(left, half - dx)
                links = terminal.links[face]
                name = half if terminal.connector else width(terminal.shown, SMALL) + 5
                wires = group_room(links, face) - (5.0 if face == BOTTOM else 6.0) if links else 0.0
                right = max(right, dx + max(name, wires))
                if terminal.connector and last.get(face) != terminal.connector:
                    before = max(before, width(terminal.connector, SMALL, True) + 4)
                    last[face] = terminal.connector
            x += up(before)
            column.axis = x + up(left)
            x = column.axis + up(right)
        return x
