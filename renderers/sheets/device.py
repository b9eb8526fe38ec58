"""The shape of a device: its symbols in a row, joined to its terminals on the upper and lower edge.

Between the upper edge and the row lies one channel, between the row and the lower edge another; both are routed like the
channels of a sheet.
"""

from __future__ import annotations

from compiler.model.items import Device
from renderers.sheets.box import (
    BOTTOM,
    TOP,
    Box,
    Context,
    Ends,
    Mark,
    Symbol,
    Unit,
    even,
    fitted,
    group_ports,
    lines_ink,
    lines_size,
    pointer_of,
)
from renderers.sheets.columns import FACES, Column, Columns, Terminal
from renderers.sheets.guide import guide_ink, guide_size
from renderers.sheets.ink import Blade, Rect, Shape, Words, line, moved
from renderers.sheets.inline import HALVES, ROW
from renderers.sheets.inner import channel_ink
from renderers.sheets.labels import SMALL, width
from renderers.sheets.route import Net, route
from renderers.sheets.symbols import Glyph, marks
from renderers.sheets.symbols.operators import operator
from renderers.sheets.units import sits_on_bus
from renderers.sheets.wire_label import label_height

NAME_ZONE = 9.5
TRACK = 5.0


def device_box(unit: Unit, ends: Ends, context: Context) -> Box:
    """The shape of a device with the parts and terminals that this page uses."""
    return _Composer(context.variant.devices[unit.item], unit, ends, context).compose()


def protective_facts(device: Device) -> str:
    """What a fuse, breaker or link is: rating and type, or size; empty for other devices and where nothing is given."""
    if not device.is_protective:
        return ""
    rating = device.ratings.get("current")
    return " ".join(t for t in (f"{rating:g} A" if rating else "", device.word("type"), str(device.size or "")) if t)


class _Composer:
    def __init__(self, device: Device, unit: Unit, ends: Ends, context: Context) -> None:
        self.device = device
        self.context = context
        self.box = Box(unit.key, device.id, "device")
        self.plan = Columns(device, unit.key, ends, context)
        self.columns = self.plan.columns
        self.joins: list[Shape] = []  # what leads from terminals to symbols
        self.pins: list[tuple[str, float, float]] = []  # where symbols take it over
        self.body = (0.0, 0.0)  # upper and lower edge

    def compose(self) -> Box:
        """Lay the rows out from the top and draw them."""
        box, columns = self.box, self.columns
        right = max(self.plan.right, 24)
        homes = {face: [t for c in columns for (f, _), t in c.homes.items() if f == face] for face in FACES}
        names = {f: NAME_ZONE if any(not t.connector for t in homes[f]) else 3.0 for f in FACES}
        channels = {f: route(self._channel(f)) for f in FACES}
        body_top = ROW if any(t.connector for t in homes[TOP]) else 2.0
        row_top = body_top + names[TOP] + TRACK * channels[TOP].tracks
        row_low = row_top + max([10.0, *(c.height for c in columns)])
        body_low = row_low + names[BOTTOM] + TRACK * channels[BOTTOM].tracks
        self.body = (body_top, body_low)
        box.ink.append(Rect(0, body_top, right, body_low - body_top, 0.9, "#FFFFFF"))
        linked = max([0.0, *(g.height for c in columns if (g := c.linked))])
        for column in columns:
            self._draw_column(column, row_top, row_low, linked)
        bold = self.plan.traced() if self.device.kind == "printed-circuit" else set()
        self.joins += channel_ink(channels[TOP], body_top, row_top, body_top + names[TOP], TRACK, bold)
        self.joins += channel_ink(channels[BOTTOM], row_low, body_low, row_low + 1.0, TRACK, bold)
        box.ink += self.joins
        self._link_blades(row_top + (row_low - row_top - linked) / 2)
        low = self._draw_terminals(body_top, body_low)
        wide, high = self._draw_words(right + 4, body_top, body_low - body_top + 20)
        box.width = even(right + 4 + wide + 7)
        hanging = [k for t in homes[BOTTOM] for k in t.links[BOTTOM]]
        box.height = max(low + (label_height(hanging) or 2), body_top + high)
        return box

    def _channel(self, face: int) -> list[Net]:
        """The nets of the channel between one edge and the row of symbols."""
        plan = self.plan
        edge: dict[str, set[int]] = {}
        row: dict[str, set[int]] = {}
        for column in self.columns:
            for (f, dx), terminal in column.homes.items():
                if f == face:
                    edge.setdefault(plan.net_of(terminal.name), set()).add(column.axis + dx)
            for name, dx in column.pins(face):
                row.setdefault(plan.net_of(name), set()).add(column.axis + dx)
            if column.through and len(plan.faces(column.through)) == 2:
                row.setdefault(column.through, set()).add(column.axis)
        nets = []
        for key in dict.fromkeys([*edge, *row]):
            a, b = tuple(sorted(edge.get(key, ()))), tuple(sorted(row.get(key, ())))
            if len(a) + len(b) > 1:
                nets.append(Net(key, a, b) if face == TOP else Net(key, b, a))
        return nets

    def _draw_column(self, column: Column, top: float, low: float, linked: float) -> None:
        if column.through and len(self.plan.faces(column.through)) == 2:
            self.joins.append(line((column.axis, top), (column.axis, low)))
        for glyph in column.glyphs:
            y = _height_of(glyph, top, low, linked)
            self.box.symbols.append(self._symbol(glyph, tuple(moved(glyph.ink, column.axis, y))))
            for face, a, b in ((TOP, top, y), (BOTTOM, low, y + glyph.height)):
                for name, dx in glyph.bottom if face else glyph.top:
                    x = float(column.axis + dx)
                    self.pins.append((name, x, b))
                    if abs(b - a) > 0.01:
                        self.joins.append(line((x, a), (x, b)))

    def _link_blades(self, top: float) -> None:
        """The dashed line of what moves together: a coil and its contacts, or the contacts of a switch and its mark."""
        linked = [(c.axis, g, g.link) for c in self.columns if (g := c.linked) is not None and g.link]
        if not linked:
            return
        linked.sort(key=lambda row: row[0])
        y = top + min(link[1] for _, _, link in linked)
        # The line's ends as drawn, and when the blades at them have moved.
        left, right = ((axis + link[0], axis + (g.swung or link)[0]) for axis, g, link in (linked[0], linked[-1]))
        if self.device.kind == "switch":
            left = (linked[0][0] - 10.0,) * 2
            self.box.ink += moved(operator(self.device.word("operated-by")), left[0], y)
        elif len(linked) == 1:
            return
        rest, other = (((a, y), (b, y)) for a, b in zip(left, right, strict=True))
        mover = next((g for _, g, _ in reversed(linked) if g.swung), linked[-1][1])
        self.box.symbols.insert(0, self._symbol(mover, (Blade(rest, other, 0.6, "2.2 1.6"),)))

    def _symbol(self, glyph: Glyph, ink: tuple[Shape, ...]) -> Symbol:
        drawn = ("closed" if self.plan.rests(self.device.parts[glyph.parts[0]]) else "open") if glyph.swung else ""
        return Symbol(self.device.id, glyph.parts, ink, drawn)

    def _draw_terminals(self, top: float, low: float) -> float:
        """Draw terminals and their names, and set the ports; the lowest ink is the answer."""
        deepest = low
        for face in FACES:
            edge = low if face else top
            plugs: dict[str, float] = {}
            homes = [(c.axis + dx, t) for c in self.columns for (f, dx), t in c.homes.items() if f == face]
            for x, terminal in sorted(homes, key=lambda home: home[0]):
                deepest = max(deepest, self._draw_terminal(terminal, face, x, edge, plugs))
            for plug, left in plugs.items():
                y = edge + ROW - 3 if face else edge - 3
                self.box.ink.append(Words(left - 2, y, plug, SMALL, True, "end"))
        return deepest

    def _draw_terminal(self, terminal: Terminal, face: int, x: int, edge: float, plugs: dict[str, float]) -> float:
        box, wish = self.box, self.context.wish
        links = sorted(terminal.links[face], key=lambda k: (wish.get(k.key, 0.0), k.key))
        ports = group_ports(links, face, x, edge)
        last = float(ports[-1].x) if ports else float(x)
        point = f"{self.device.id}.{terminal.name}"
        ink: list[Shape] = []
        low = edge + 2
        if terminal.name == "case" and self.device.case and not links:
            ink += [*marks.chassis(x, edge + 4), line((x, edge), (x, edge + 4))]
            low = edge + 9
        elif terminal.connector:
            point = f"{terminal.connector}.{terminal.cavity}"
            y = edge if face else edge - ROW
            ports = [p._replace(y=y + ROW if face else y) for p in ports]
            half = max(6.0, width(terminal.shown, SMALL) / 2 + 2)
            ink.append(Rect(x - half, y, last - x + 2 * half, ROW, 0.8, HALVES[0]))
            ink.append(Words(x, y + ROW - 3, terminal.shown, SMALL, False, "middle"))
            plugs.setdefault(terminal.connector, x - half)
            low = y + ROW
        else:
            ink += marks.terminal(x, edge, last)
            ink.append(Words(x + 2.8, edge - 3.2 if face else edge + 8.2, terminal.shown, SMALL))
        box.ports += ports
        box.marks.append(Mark(point, tuple(ink)))
        return low

    def _draw_words(self, x: float, y: float, high: float) -> tuple[float, float]:
        """Id, title, place and pointers beside the body, and a relay's guide under them; width and height of it all."""
        device, variant = self.device, self.context.variant
        more = [facts] if (facts := protective_facts(device)) else []
        block = variant.blocks.get(device.block)
        if block is not None:
            slot = device.word("slot")
            more.append(f"in {block.id}" + (f", slot {slot}" if slot else ""))
        if device.bus in variant.buses and not sits_on_bus(variant, device):
            more.append(f"{device.terminals[0]} on {device.bus}")
        place = variant.place_of(device)
        if place and not (block and block.place == device.place):
            more.append(place)
        words = fitted(device.id, device.title, more, high, self.context.pointer_of_item(device.id))
        self.box.ink += lines_ink(words, x, y)
        self.box.pointer = pointer_of(device.id, words, x, y)
        wide, tall = lines_size(words)
        guide = guide_size(device) if len(self.columns) > 1 else None
        if guide is not None:
            self.box.ink += guide_ink(device, x, y + tall + 3)
            wide, tall = max(wide, guide[0]), tall + 4 + guide[1]
        return wide, tall


def _height_of(glyph: Glyph, top: float, low: float, linked: float) -> float:
    """Where a symbol's upper edge lies in the row: those that a dashed line joins all at one height."""
    if not glyph.bottom:
        return top
    if not glyph.top:
        return low - glyph.height
    return top + (low - top - (linked if glyph.link else glyph.height)) / 2
