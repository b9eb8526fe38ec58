"""The shape of a device: its symbols side by side, joined to its terminals on the upper and lower edge.

Symbols stand in one row. Between the upper edge and the row lies one channel, between the row and the lower edge another;
both are routed like the channels of a sheet. A terminal stands over a pin of its own; where that cannot be, it gets a
column of its own through the row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from compiler.circuit.graph import device_terminal
from compiler.model.items import Device, Part, Point
from renderers.sheets.box import (
    BOTTOM,
    LABEL_ROOM,
    TOP,
    Box,
    Context,
    Ends,
    Line,
    Link,
    Mark,
    even,
    fitted,
    group_ports,
    group_room,
    lines_ink,
    lines_size,
    see,
    up,
    wished,
)
from renderers.sheets.ink import Rect, Shape, Words, line, moved
from renderers.sheets.inner import channel_ink
from renderers.sheets.labels import SMALL, width
from renderers.sheets.route import Net, route
from renderers.sheets.rows import HALVES, ROW
from renderers.sheets.symbols import Glyph, Style, marks, symbol
from renderers.sheets.symbols.pins import pin
from renderers.sheets.units import Unit

NAME_ZONE = 9.5
TRACK = 5.0


@dataclass(slots=True)
class Terminal:
    """A terminal that the box shows. `connector` and `cavity` when a plug brings the wire to it."""

    name: str
    connector: str
    cavity: str
    links: tuple[list[Link], list[Link]] = field(default_factory=lambda: ([], []))

    @property
    def shown(self) -> str:
        return self.cavity or self.name


@dataclass(slots=True)
class Column:
    """A column of the box: a symbol, or a bare way through. `homes`: (face, offset) -> terminal that stands there."""

    glyph: Glyph | None
    homes: dict[tuple[int, int], Terminal] = field(default_factory=dict)
    through: str = ""
    axis: int = 0

    def pins(self, face: int) -> tuple[tuple[str, int], ...]:
        if self.glyph is None:
            return ()
        return self.glyph.bottom if face else self.glyph.top


def device_box(unit: Unit, ends: Ends, context: Context) -> Box:
    """The shape of a device with the parts and terminals that this page uses."""
    return _Composer(context.variant.devices[unit.item], unit, ends, context).compose()


class _Composer:
    def __init__(self, device: Device, unit: Unit, ends: Ends, context: Context) -> None:
        self.device = device
        self.context = context
        self.box = Box(unit.key, device.id, "device")
        self.terminals: dict[str, Terminal] = {}
        for face, links in ((TOP, ends.top), (BOTTOM, ends.bottom)):
            for link in links:
                for tip in link.tips:
                    if tip.unit == unit.key and tip.face == face and tip.point is not None:
                        found = self._terminal(tip.point).links[face]
                        if link not in found:
                            found.append(link)
        self.net = self._nets()
        self.columns: list[Column] = []

    # -- what is shown -------------------------------------------------------------------------------------------
    def _terminal(self, point: Point) -> Terminal:
        device = self.device
        if point.item == device.id:
            name, connector, cavity = point.terminal, "", ""
        else:
            connector, cavity = point.item, point.terminal
            name = device_terminal(device, connector, cavity) or f"{connector}.{cavity}"
        return self.terminals.setdefault(name, Terminal(name, connector, cavity))

    def _nets(self) -> Mapping[str, str]:
        """Terminal -> net inside the device: traces join terminals."""
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
        names = [*self.device.terminals, *self.terminals]
        return {name: root(name) for name in names}

    def _used_parts(self) -> list[Part]:
        wired = {self.net.get(name, name) for name in self.terminals}
        parts = [p for p in self.device.parts if p.kind != "trace"]
        used = [p for p in parts if any(self.net.get(t, t) in wired for t in p.terminals)]
        return used if used or len(parts) > 4 else parts

    def _style(self, part: Part) -> Style:
        device = self.device
        rooms = [group_room(t.links[BOTTOM], BOTTOM) for n in part.terminals if (t := self.terminals.get(n))]
        pitch = even(max([12, *(r for r in rooms if len(part.terminals) > 2 or part.kind == "battery")]))
        if part.kind == "contact":
            rest = device.positions[0] if device.positions else "at-rest"
            closed = not part.when or rest in part.when
            relay = any(p.kind == "coil" for p in device.parts)
            return Style(pitch, closed, "" if relay else ", ".join(part.when))
        words = part.title if part.kind != "coil" else ""
        return Style(pitch, words=words)

    def _glyph(self, part: Part) -> Glyph:
        if part.kind == "pin":
            glyph = pin(part.terminals[0], part.role, part.title)
        else:
            glyph = symbol(part, self._style(part))
        turn = 0
        for face in (TOP, BOTTOM):
            for name, _ in glyph.bottom if face else glyph.top:
                terminal = self.terminals.get(name)
                if terminal is not None:
                    turn += bool(terminal.links[1 - face]) - bool(terminal.links[face])
        return glyph.flipped() if turn > 0 else glyph

    # -- columns -------------------------------------------------------------------------------------------------
    def _make_columns(self) -> None:
        parts = self._used_parts()
        self.columns = [Column(self._glyph(part)) for part in parts]
        for name in [t for part in parts for t in part.terminals]:
            # A terminal of a shown part is shown though no wire reaches it here.
            if name not in self.terminals and name in self.device.terminals and len(self.device.parts) <= 4:
                found = self.context.variant.connector_of_terminal(self.device, name)
                connector, cavity = found or ("", "")
                self.terminals[name] = Terminal(name, connector, cavity)
        for terminal in self.terminals.values():
            wanted = [face for face in (TOP, BOTTOM) if terminal.links[face]]
            for face in wanted or self._faces_of(terminal):
                self._give_home(terminal, face)

    def _faces_of(self, terminal: Terminal) -> list[int]:
        for face in (BOTTOM, TOP):
            if any(name == terminal.name for c in self.columns for name, _ in c.pins(face)):
                return [face]
        return []

    def _give_home(self, terminal: Terminal, face: int) -> None:
        net = self.net.get(terminal.name, terminal.name)
        for exact in (True, False):
            for column in self.columns:
                for name, dx in column.pins(face):
                    same = name == terminal.name if exact else self.net.get(name, name) == net
                    if same and (face, dx) not in column.homes:
                        column.homes[face, dx] = terminal
                        return
        other = next((c for c in self.columns if c.through == net and (face, 0) not in c.homes), None)
        if other is None:
            other = Column(None, through=net)
            after = [
                i for i, c in enumerate(self.columns) if any(n == terminal.name for f in (0, 1) for n, _ in c.pins(f))
            ]
            self.columns.insert(after[-1] + 1 if after else len(self.columns), other)
        other.homes[face, 0] = terminal

    def _complete_nets(self) -> None:
        """Give a way through the row to each net that has ends both above and below it."""
        for net in dict.fromkeys(
            self.net.get(n, n)
            for n in [*self.terminals, *(p for c in self.columns for f in (0, 1) for p, _ in c.pins(f))]
        ):
            faces = set()
            for column in self.columns:
                for face in (TOP, BOTTOM):
                    if any(self.net.get(n, n) == net for n, _ in column.pins(face)):
                        faces.add(face)
                    if any(f == face and self.net.get(t.name, t.name) == net for (f, _), t in column.homes.items()):
                        faces.add(face)
            if len(faces) == 2 and not any(c.through == net for c in self.columns):
                self.columns.append(Column(None, through=net))

    def _sort_columns(self) -> None:
        wishes: list[float | None] = [
            wished([k for t in c.homes.values() for links in t.links for k in links], self.context.wish)
            for c in self.columns
        ]
        if not self.context.wish:
            wishes = [None] * len(self.columns)
        last = 0.0
        keys: list[tuple[float, int]] = []
        for index, wish in enumerate(wishes):
            last = wish if wish is not None else last
            keys.append((last, index))
        if len(self.device.connectors) > 1:
            by_plug: dict[str, list[float]] = {}
            plugs = [self._plug(c) for c in self.columns]
            for plug, key in zip(plugs, keys, strict=True):
                by_plug.setdefault(plug, []).append(key[0])
            mean = {plug: sum(v) / len(v) for plug, v in by_plug.items()}
            order = sorted(range(len(keys)), key=lambda i: (mean[plugs[i]], plugs[i], keys[i]))
        else:
            order = sorted(range(len(keys)), key=lambda i: keys[i])
        self.columns = [self.columns[i] for i in order]

    @staticmethod
    def _plug(column: Column) -> str:
        return next((t.connector for t in column.homes.values()), "")

    def _set_axes(self) -> int:
        """Give every column its axis; the right end of the body is the answer."""
        x = 0
        last: dict[int, str] = {}
        for column in self.columns:
            glyph = column.glyph
            left = max(6.0, glyph.left + 2 if glyph else 6.0)
            right = max(6.0, glyph.right + 2 if glyph else 6.0)
            before = 0.0
            for (face, dx), terminal in column.homes.items():
                half = width(terminal.shown, SMALL) / 2 + 2 if terminal.connector else 4
                left = max(left, half - dx)
                links = terminal.links[face]
                name = width(terminal.shown, SMALL) + 5 if not terminal.connector else half
                right = max(
                    right,
                    dx + max(name, group_room(links, face) - 5.0 if face == BOTTOM and links else 6.0 * len(links)),
                )
                if face == TOP and len(links) > 1:
                    right = max(right, dx + 12.0 * (len(links) - 1) + 6)
                if terminal.connector and last.get(face) != terminal.connector:
                    before = max(before, width(terminal.connector, SMALL, True) + 4)
                    last[face] = terminal.connector
            x += up(before)
            column.axis = x + up(left)
            x = column.axis + up(right)
        return x

    # -- drawing -------------------------------------------------------------------------------------------------
    def compose(self) -> Box:
        self._make_columns()
        self._complete_nets()
        self._sort_columns()
        box, columns = self.box, self.columns
        right = max(self._set_axes(), 24)
        plugs = {
            face: any(t.connector for c in columns for (f, _), t in c.homes.items() if f == face) for face in (0, 1)
        }
        bare = {
            face: any(not t.connector for c in columns for (f, _), t in c.homes.items() if f == face) for face in (0, 1)
        }
        channels = [route(self._channel(face)) for face in (TOP, BOTTOM)]
        body_top = ROW if plugs[TOP] else 2.0
        zone = [(NAME_ZONE if bare[f] else 3.0) + TRACK * channels[f].tracks for f in (TOP, BOTTOM)]
        row_top = body_top + zone[TOP]
        row_high = max([10.0, *(c.glyph.height for c in columns if c.glyph)])
        row_low = row_top + row_high
        body_low = row_low + zone[BOTTOM]
        left = min([0, *(c.axis for c in columns)])
        box.ink.append(Rect(left, body_top, right - left, body_low - body_top, 0.9, "#FFFFFF"))
        for column in columns:
            self._draw_column(column, row_top, row_low)
        names = (NAME_ZONE if bare[TOP] else 3.0, NAME_ZONE if bare[BOTTOM] else 3.0)
        box.ink += channel_ink(channels[TOP], body_top, row_top, body_top + names[TOP], TRACK)
        box.ink += channel_ink(channels[BOTTOM], row_low, body_low, row_low + 1.0, TRACK)
        self._link_blades(row_top, row_low)
        low = self._draw_terminals(body_top, body_low)
        words = self._words(body_low - body_top + 14)
        wide, high = lines_size(words)
        box.ink += lines_ink(words, right + 4, body_top)
        box.width = even(right + 4 + wide + 7)
        has_labels = any(p.face == BOTTOM for p in box.ports)
        box.height = max(low + (LABEL_ROOM if has_labels else 2), body_top + high)
        return box

    def _channel(self, face: int) -> list[Net]:
        edge: dict[str, set[int]] = {}
        row: dict[str, set[int]] = {}
        for column in self.columns:
            for (f, dx), terminal in column.homes.items():
                if f == face:
                    edge.setdefault(self.net.get(terminal.name, terminal.name), set()).add(column.axis + dx)
            for name, dx in column.pins(face):
                row.setdefault(self.net.get(name, name), set()).add(column.axis + dx)
            if column.through:
                row.setdefault(column.through, set()).add(column.axis)
        nets = []
        for key in dict.fromkeys([*edge, *row]):
            a, b = tuple(sorted(edge.get(key, ()))), tuple(sorted(row.get(key, ())))
            if len(a) + len(b) > 1:
                nets.append(Net(key, a, b) if face == TOP else Net(key, b, a))
        return nets

    def _draw_column(self, column: Column, top: float, low: float) -> None:
        ink = self.box.ink
        if column.glyph is None:
            ends = [f for f, _ in column.homes]
            net = column.through
            both = any(self.net.get(n, n) == net for c in self.columns for n, _ in c.pins(BOTTOM)) or any(
                self.net.get(t.name, t.name) == net
                for c in self.columns
                for (f, _), t in c.homes.items()
                if f == BOTTOM
            )
            upper = any(self.net.get(n, n) == net for c in self.columns for n, _ in c.pins(TOP)) or TOP in ends
            upper = upper or any(
                self.net.get(t.name, t.name) == net for c in self.columns for (f, _), t in c.homes.items() if f == TOP
            )
            if both and upper:
                ink.append(line((column.axis, top), (column.axis, low)))
            return
        glyph = column.glyph
        if not glyph.bottom:
            y = top
        elif not glyph.top:
            y = low - glyph.height
        else:
            y = top + (low - top - glyph.height) / 2
        ink += moved(glyph.ink, column.axis, y)
        for face in (TOP, BOTTOM):
            for _, dx in column.pins(face):
                a, b = (top, y) if face == TOP else (y + glyph.height, low)
                if b - a > 0.01:
                    ink.append(line((column.axis + dx, a), (column.axis + dx, b)))

    def _link_blades(self, top: float, low: float) -> None:
        """The dashed line of what moves together: a coil and its contacts, the contacts of one switch."""
        spots = []
        for column in self.columns:
            glyph = column.glyph
            if glyph is not None and glyph.link is not None:
                y = top + (low - top - glyph.height) / 2 + glyph.link[1]
                spots.append((column.axis + glyph.link[0], y))
        if len(spots) > 1:
            spots.sort()
            y = min(s[1] for s in spots)
            self.box.ink.append(line((spots[0][0], y), (spots[-1][0], y), width=0.6, dash="2.2 1.6"))

    def _draw_terminals(self, top: float, low: float) -> float:
        box = self.box
        deepest = low
        for face in (TOP, BOTTOM):
            shown: dict[str, float] = {}
            homes = sorted(
                ((c.axis + dx, t) for c in self.columns for (f, dx), t in c.homes.items() if f == face),
                key=lambda h: h[0],
            )
            edge = top if face == TOP else low
            for x, terminal in homes:
                links = sorted(terminal.links[face], key=lambda k: (self.context.wish.get(k.key, 0.0), k.key))
                ports = group_ports(links, face, x, edge)
                last = float(ports[-1].x) if ports else float(x)
                ink: list[Shape] = []
                if terminal.name == "case" and self.device.case and not links:
                    ink += [*marks.chassis(x, edge + 4), line((x, edge), (x, edge + 4))]
                    deepest = max(deepest, edge + 9)
                elif terminal.connector:
                    y = edge - ROW if face == TOP else edge
                    ports = [p._replace(y=y if face == TOP else y + ROW) for p in ports]
                    half = max(6.0, width(terminal.shown, SMALL) / 2 + 2)
                    ink.append(Rect(x - half, y, last - x + 2 * half, ROW, 0.8, HALVES[0]))
                    ink.append(Words(x, y + ROW - 3, terminal.shown, SMALL, False, "middle"))
                    shown.setdefault(terminal.connector, x - half)
                    deepest = max(deepest, y + ROW)
                else:
                    ink += marks.terminal(x, edge, last)
                    y = edge + 8.2 if face == TOP else edge - 3.2
                    ink.append(Words(x + 2.8, y, terminal.shown, SMALL))
                box.ports += ports
                where = (
                    f"{terminal.connector}.{terminal.cavity}"
                    if terminal.connector
                    else f"{self.device.id}.{terminal.name}"
                )
                box.marks.append(Mark(where, tuple(ink)))
            for plug, left in shown.items():
                base = edge - 3 if face == TOP else edge + ROW - 3
                box.ink.append(Words(left - 2, base, plug, SMALL, True, "end"))
        return deepest

    def _words(self, high: float) -> list[Line]:
        device, variant = self.device, self.context.variant
        more: list[str] = []
        block = variant.blocks.get(device.block)
        if block is not None:
            slot = device.word("slot")
            more.append(f"in {block.id}" + (f", slot {slot}" if slot else ""))
        place = variant.place_of(device)
        if place and not (block and block.place == device.place):
            more.append(place)
        more += see(list(self.context.sheets_of_item(device.id)))
        return fitted(device.id, device.title, more, high)
