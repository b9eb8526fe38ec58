"""Which thing of the old issue is which thing of the new one.

Ids come first. What is left over on both sides is the same thing under another id when nothing else can be meant: the
passes below are tried in turn, and each pairs only what has exactly one partner. All of them read the same forwards and
backwards, so that a comparison turned round gives the same pairs.

A thing     1. the same id
            2. the same wires at the same terminals (a zone, harness or fuse block: the same things in it)
            3. the same title and place (a zone, harness, structure, colour, sheet, test or complaint: the same title)
An option   the same id
A wire      1. the same id and the same two ends
            2. the same two ends, colour and size
            3. the same id
            4. the same two ends
            5. the same segment of a circuit that has a new number
A circuit   the same id, or, where either number is in one issue only: its wires are the wires of that one circuit and
            of no other, and make up at least half of either
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from compiler.changes.inventory import Inventory, Record

# Sorts that a wire end or another record may name by id, in the order in which they are paired.
_ITEMS = (
    "offer", "colour", "zone", "harness", "structure", "block", "bus", "device", "connector", "splice", "ground",
    "cable", "twist", "sheet", "state", "expect", "complaint", "trouble-code",
)  # fmt: skip
_BY_TITLE = frozenset({"zone", "harness", "structure", "sheet", "cable", "twist"})

Key = Hashable | None


def text(record: Record, fact: str) -> str:
    """A fact as text, empty when it is not given."""
    value = record.get(fact, "")
    return value if isinstance(value, str) else ""


def texts(record: Record, fact: str) -> tuple[str, ...]:
    """A fact as a list of texts, empty when it is not given."""
    value = record.get(fact, ())
    return value if isinstance(value, tuple) else ()


@dataclass(eq=False)
class Side:
    """One of the two inventories, with its lookups."""

    inventory: Inventory

    def of(self, sort: str) -> Mapping[str, Record]:
        """The records of a sort."""
        return self.inventory.things[sort]

    @cached_property
    def wires_of_circuit(self) -> Mapping[str, tuple[str, ...]]:
        return _grouped((text(wire, "circuit"), key) for key, wire in self.of("wire").items())

    @cached_property
    def wires_at(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """Item -> (terminal, wire id) of the wires that end there; a component also through its plugs."""
        found: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for key, wire in self.of("wire").items():
            for end in (text(wire, "a"), text(wire, "b")):
                item, terminal = self.parted(end)
                found[item].append((terminal, key))
                device = text(self.of("connector").get(item, {}), "device")
                if device:
                    found[device].append((self._end(end).removeprefix(f"{device}."), key))
        return {item: tuple(wires) for item, wires in found.items()}

    @cached_property
    def items(self) -> Mapping[str, str]:
        """Id of an item that a wire end may name -> its sort."""
        return {key: sort for sort in ("bus", "device", "connector", "splice", "ground") for key in self.of(sort)}

    def parted(self, end: str) -> tuple[str, str]:
        """Item and terminal of a wire end; the terminal is empty for what has none."""
        if end in self.items:
            return end, ""
        item, _, terminal = end.rpartition(".")
        # The terminal of a component with several plugs has a full stop of its own.
        while item and item not in self.items and "." in item:
            item, _, more = item.rpartition(".")
            terminal = f"{more}.{terminal}"
        return (item, terminal) if item in self.items else (end, "")

    @cached_property
    def ends(self) -> Mapping[str, tuple[str, str]]:
        """Wire -> its two ends. A cavity of a component's only plug is that terminal of the component."""
        wires = self.of("wire")
        return {key: (self._end(text(wire, "a")), self._end(text(wire, "b"))) for key, wire in wires.items()}

    def _end(self, end: str) -> str:
        item, terminal = self.parted(end)
        device = text(self.of("connector").get(item, {}), "device")
        if device and len(texts(self.of("device").get(device, {}), "connectors")) == 1:
            return f"{device}.{terminal}"
        return end

    @cached_property
    def sheets_of_circuit(self) -> Mapping[str, tuple[str, ...]]:
        return _grouped(
            (circuit, key) for key, sheet in self.of("sheet").items() for circuit in texts(sheet, "circuits")
        )

    @cached_property
    def circuits_in(self) -> Mapping[str, tuple[str, ...]]:
        """Code of a colour -> circuits that have it in a wire, as base or tracer."""
        wires = self.of("wire").values()
        return _grouped((code, text(wire, "circuit")) for wire in wires for code in text(wire, "colour").split("/"))

    @cached_property
    def _sheets_by_component(self) -> Mapping[str, tuple[str, ...]]:
        return self._sheets_by("components")

    def _sheets_by(self, fact: str) -> dict[str, tuple[str, ...]]:
        return _grouped((name, key) for key, sheet in self.of("sheet").items() for name in texts(sheet, fact))

    def sheets_of(self, circuits: Iterable[str], items: Iterable[str]) -> set[str]:
        """The sheets on which circuits and items stand."""
        found = {sheet for circuit in circuits for sheet in self.sheets_of_circuit.get(circuit, ())}
        for item in items:
            found.update(self._sheets_by_component.get(item, ()), self.wired_on(item))
        return found

    def homes(self, device: str) -> set[str]:
        """The sheets that draw a component for certain: those that name it, or have one of its circuits to themselves.
        Of a circuit of several sheets each leaves out branches that serve components at home on another."""
        found = set(self._sheets_by_component.get(device, ()))
        for _, key in self.wires_at.get(device, ()):
            sheets = self.sheets_of_circuit.get(text(self.of("wire")[key], "circuit"), ())
            found.update(sheets if len(sheets) == 1 else ())
        return found

    def within(self, sort: str, key: str) -> tuple[str, ...]:
        """The items of which a sheet says that they stand in a zone, a harness (connectors name it) or a fuse block."""
        if sort == "harness":
            connectors = self.of("connector").items()
            return tuple(name for name, record in connectors if key in texts(record, "harnesses"))
        pairs = (name.partition(" ") for name in self.held.get((sort, key), ()) if sort in ("zone", "block"))
        return tuple(sorted(name for kind, _, name in pairs if kind not in ("sheet", "wire")))

    def wired_on(self, item: str) -> set[str]:
        """The sheets on which an item, or what is in a fuse block, stands at a wire."""
        inside = (name.partition(" ")[2] for name in self.held.get(("block", item), ()))
        at = (key for one in (item, *inside) for _, key in self.wires_at.get(one, ()))
        circuits = {text(self.of("wire")[key], "circuit") for key in at}
        return {sheet for circuit in circuits for sheet in self.sheets_of_circuit.get(circuit, ())}

    @cached_property
    def held(self) -> Mapping[tuple[str, str], frozenset[str]]:
        """(`zone`, `harness`, `structure` or `block`, id) -> what is in it."""
        found: dict[tuple[str, str], set[str]] = defaultdict(set)
        for sort, records in self.inventory.things.items():
            for key, record in records.items():
                for holder in ("zone", "harness", "structure", "block"):
                    if name := text(record, holder):
                        found[holder, name].add(f"{sort} {key}")
        return {name: frozenset(held) for name, held in found.items()}


def _grouped(pairs: Iterable[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for name, key in pairs:
        found[name][key] = None
    return {name: tuple(keys) for name, keys in found.items()}


@dataclass(eq=False)
class Matched:
    """The pairs. `pairs[sort]` maps an old id to the new one; a thing that is not in it was added or removed."""

    old: Side
    new: Side
    pairs: dict[str, dict[str, str]] = field(default_factory=dict)

    def now(self, sort: str, key: str) -> str:
        """The new id of an old thing, or its old id when it is gone."""
        return self.pairs[sort].get(key, key)

    def item_now(self, key: str) -> str:
        """The new id of an old item of any sort."""
        sort = self.old.items.get(key) or ("block" if key in self.old.of("block") else "")
        return self.pairs[sort].get(key, key) if sort else key

    @cached_property
    def renamed(self) -> bool:
        """Whether anything bears another id."""
        return any(old != new for pairs in self.pairs.values() for old, new in pairs.items())

    def ends_now(self, wire: str) -> tuple[str, str]:
        """The ends of an old wire, named as the new issue names them."""
        a, b = self.old.ends[wire]
        return self.end_now(a), self.end_now(b)

    def end_now(self, end: str) -> str:
        """An end of an old wire, named as the new issue names it."""
        item, terminal = self.old.parted(end)
        now = self.item_now(item)
        return f"{now}.{terminal}" if terminal else now


def match(old: Inventory, new: Inventory) -> Matched:
    """Pair the things of two inventories."""
    found = Matched(Side(old), Side(new))
    for sort in _ITEMS:
        found.pairs[sort] = _items(found, sort)
    found.pairs["wire"] = _wires(found)
    found.pairs["circuit"] = _circuits(found)
    _segments(found)
    return found


def _pair(pairs: dict[str, str], old: Mapping[str, Key], new: Mapping[str, Key]) -> None:
    """Add the pairs of equal keys (None is no key) that one thing alone has on either side, among what is left."""
    taken = set(pairs.values())
    left = _only(key for key in old.items() if key[0] not in pairs)
    right = _only(key for key in new.items() if key[0] not in taken)
    pairs.update((mine, right[key]) for key, mine in left.items() if key in right)


def _only(things: Iterator[tuple[str, Key]]) -> dict[Key, str]:
    found: dict[Key, list[str]] = defaultdict(list)
    for name, key in things:
        if key is not None:
            found[key].append(name)
    return {key: names[0] for key, names in found.items() if len(names) == 1}


def _keys(side: Side, sort: str, key: Callable[[str, Record], Key]) -> dict[str, Key]:
    return {name: key(name, record) for name, record in side.of(sort).items()}


def _items(matched: Matched, sort: str) -> dict[str, str]:
    old, new = matched.old, matched.new
    pairs = {key: key for key in old.of(sort) if key in new.of(sort)}

    def used(side: Side) -> Callable[[str, Record], Key]:
        def key(name: str, record: Record) -> Key:
            if sort in ("offer", "colour"):
                return None  # no wire ends there, nothing is in it
            if sort in ("state", "expect", "complaint"):
                return (frozenset(texts(record, "set")), frozenset(texts(record, "seen")))
            if sort == "sheet":
                return frozenset(texts(record, "circuits")) or None
            if sort == "twist":
                return frozenset(texts(record, "wires")) or None
            return side.held.get((sort, name)) or frozenset(side.wires_at.get(name, ())) or None

        return key

    def titled(zones: Mapping[str, str]) -> Callable[[str, Record], Key]:
        def key(_: str, record: Record) -> Key:
            title = text(record, "title")
            if not title or sort == "offer":
                return None
            if sort in _BY_TITLE:
                return title
            zone = text(record, "zone")
            place = (zones.get(zone, zone), text(record, "point"), text(record, "where"))
            return (text(record, "kind"), title, place, text(record, "fault"), text(record, "subject"))

        return key

    _pair(pairs, _keys(old, sort, used(old)), _keys(new, sort, used(new)))
    _pair(pairs, _keys(old, sort, titled(matched.pairs.get("zone", {}))), _keys(new, sort, titled({})))
    return pairs


def _wires(matched: Matched) -> dict[str, str]:
    old, new = matched.old, matched.new
    pairs: dict[str, str] = {}
    mine = {name: _run(matched.ends_now(name)) for name in old.of("wire")}
    theirs = {name: _run(ends) for name, ends in new.ends.items()}

    def each(key: Callable[[str, frozenset[str] | None, Record], Key]) -> None:
        _pair(
            pairs,
            {name: key(name, mine[name], wire) for name, wire in old.of("wire").items()},
            {name: key(name, theirs[name], wire) for name, wire in new.of("wire").items()},
        )

    each(lambda name, ends, _: ends and (name, ends))
    each(lambda _, ends, wire: ends and (ends, wire.get("colour"), wire.get("size")))
    each(lambda name, _, __: name)
    each(lambda _, ends, __: ends)
    return pairs


def _run(ends: tuple[str, str]) -> frozenset[str] | None:
    """Two ends, whichever is written first; None where one is not known: two unknown ends are not the same place."""
    return None if "?" in ends else frozenset(ends)


def _circuits(matched: Matched) -> dict[str, str]:
    old, new = matched.old, matched.new
    pairs = {key: key for key in old.of("circuit") if key in new.of("circuit")}
    to: dict[str, list[str]] = defaultdict(list)
    back: dict[str, list[str]] = defaultdict(list)
    for mine, theirs in matched.pairs["wire"].items():
        before, after = text(old.of("wire")[mine], "circuit"), text(new.of("wire")[theirs], "circuit")
        to[before].append(after)
        back[after].append(before)
    for before, numbers in to.items():
        now = numbers[0]
        if before in new.of("circuit") or now in old.of("circuit") or {*numbers} != {now} or {*back[now]} != {before}:
            continue
        most = max(len(old.wires_of_circuit[before]), len(new.wires_of_circuit[now]))
        if before in old.of("circuit") and now in new.of("circuit") and 2 * len(numbers) >= most:
            pairs[before] = now
    return pairs


def _segments(matched: Matched) -> None:
    old, new, circuits = matched.old, matched.new, matched.pairs["circuit"]

    def segment(wire: Record, circuit: str) -> Key:
        return (circuit, text(wire, "segment"))

    _pair(
        matched.pairs["wire"],
        _keys(old, "wire", lambda _, wire: segment(wire, circuits.get(text(wire, "circuit"), ""))),
        _keys(new, "wire", lambda _, wire: segment(wire, text(wire, "circuit"))),
    )
