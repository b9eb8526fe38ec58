"""Items of a list, and what wires say of them, as devices, connectors, splices and grounds."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from compiler.exchange.draft import DraftConnector, DraftDevice, DraftJoint
from compiler.exchange.naming import Names, is_item, is_listable, is_terminal
from compiler.exchange.problems import Remark, Sort, WireListError
from compiler.exchange.wirelist import MAX_CAVITIES, EndCell, ItemRow, WireRow

_JOINTS = ("splice", "ground")


@dataclass(slots=True)
class Item:
    """An item as the lists show it.

    wired    cavity as written -> number of wire ends in it
    unnamed  wire ends at the item that name no cavity
    """

    written: str
    kind: str
    title: str = ""
    cavities: int | None = None
    component: str = ""
    notes: list[str] = field(default_factory=list)
    wired: dict[str, int] = field(default_factory=dict)
    unnamed: int = 0


class Drafted(NamedTuple):
    """Devices and joints, what a wire end is called in the source, and what a person should look at."""

    devices: tuple[DraftDevice, ...]
    joints: tuple[DraftJoint, ...]
    ends: Ends
    names: Names
    remarks: tuple[Remark, ...]


class Ends:
    """What the source calls a wire end. One without a cavity gets a terminal of its own each time it is asked for."""

    def __init__(self) -> None:
        self.by_cell: dict[EndCell, str] = {}
        self.unnamed: dict[str, list[str]] = {}

    def text(self, cell: EndCell) -> str:
        """The wire end, `?` where the list gives no item."""
        if not cell.item:
            return "?"
        found = self.by_cell.get(cell)
        return found if found is not None else self.unnamed[cell.item].pop(0)


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """A key that puts 2 before 10 and 1A before 1B."""
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in re.findall(r"\d+|\D+", name))


def draft_items(list_name: str, wires: Iterable[WireRow], rows: Iterable[ItemRow], given: bool) -> Drafted:
    """The items that the source declares.

    list_name  for remarks
    given      whether there is a list of items at all: without one, a missing item is no surprise
    """
    return _Drafting(list_name, tuple(wires), tuple(rows), given).run()


def _can_list(item: Item) -> bool:
    """Whether the terminals of an item can stand in a list of its own, without a connector that numbers them."""
    return all(is_listable(cavity) or not is_terminal(cavity) for cavity in item.wired)


class _Drafting:
    def __init__(self, list_name: str, wires: tuple[WireRow, ...], rows: tuple[ItemRow, ...], given: bool) -> None:
        self.list_name = list_name
        self.remarks: list[Remark] = []
        self.items: dict[str, Item] = {}
        for row in rows:
            known = Item(row.item, row.kind, row.title, row.cavities, row.component, list(row.notes))
            self.items[row.item] = known
        listed = len(self.items)
        for wire in wires:
            for end in (wire.a, wire.b):
                self._use(end)
        self._judge_unlisted(listed, given)
        self.ends = Ends()

    def _use(self, end: EndCell) -> None:
        if not end.item:
            return
        item = self.items.setdefault(end.item, Item(end.item, ""))
        if end.cavity:
            item.wired[end.cavity] = item.wired.get(end.cavity, 0) + 1
        else:
            item.unnamed += 1

    def _remark(self, sort: Sort, value: str, says: str) -> None:
        self.remarks.append(Remark(sort, self.list_name, 0, "", value, says))

    def _judge_unlisted(self, listed: int, given: bool) -> None:
        """A kind for items that only the wires name."""
        unlisted = list(self.items.values())[listed:]
        for item in unlisted:
            if item.wired:
                item.kind = "component"
            else:
                item.kind = "splice" if item.unnamed > 1 else "ring-terminal"
                item.notes.append(f"the lists do not say what it is; taken as a {item.kind.replace('-', ' ')}")
            if given:
                says = f"{item.written} is in no list of items; taken as a {item.kind}"
                self._remark(Sort.ASSUMED, item.written, says)
        if unlisted and not given:
            counts = Counter(item.kind for item in unlisted)
            told = ", ".join(f"{count} as {kind}" for kind, count in sorted(counts.items()))
            self._remark(Sort.ASSUMED, "", f"without a list of items their kinds are not known; taken: {told}")

    # -- names ---------------------------------------------------------------------------------------------------
    def run(self) -> Drafted:
        names = Names(is_item)
        joints = [item for item in self.items.values() if item.kind in _JOINTS]
        others = [item for item in self.items.values() if item.kind not in _JOINTS]
        names.settle(item.written for item in others)
        groups: dict[str, list[Item]] = {}
        for item in others:
            groups.setdefault(item.component or f"\0{item.written}", []).append(item)
        devices = [self._device(group, names) for group in groups.values()]
        # `A.1` must not be both a splice and terminal 1 of A: the splice gives way.
        taken = frozenset(self.ends.by_cell.values())
        joint_names = Names(lambda name: is_item(name) and name not in taken, names.taken)
        joint_names.settle(item.written for item in joints)
        drafted = [self._joint(item, joint_names) for item in joints]
        return Drafted(tuple(devices), tuple(drafted), self.ends, joint_names, tuple(self.remarks))

    def _renamed(self, what: str, written: str, name: str) -> list[str]:
        """A note and a remark if the name had to change."""
        if written == name:
            return []
        self._remark(Sort.RENAMED, written, f"{what} `{written}` is called {name}: the name is no legal one, or taken")
        return [f"{what} {name} is called {written} in the list"]

    # -- splices and grounds -------------------------------------------------------------------------------------
    def _joint(self, item: Item, names: Names) -> DraftJoint:
        name = names.name(item.written)
        notes = [*self._renamed(item.kind, item.written, name), *item.notes]
        if len(item.wired) > 1:
            told = " ".join(sorted(item.wired, key=natural))
            notes.append(f"cavities in the list: {told}")
            says = f"{item.kind} {name} has no cavities in a source; all its wires join there"
            self._remark(Sort.NOT_USED, told, says)
        for cavity in item.wired:
            self.ends.by_cell[EndCell(item.written, cavity)] = name
        self.ends.by_cell[EndCell(item.written, "")] = name
        return DraftJoint(item.kind, name, item.title, tuple(notes))

    # -- devices -------------------------------------------------------------------------------------------------
    def _device(self, group: list[Item], names: Names) -> DraftDevice:
        first = group[0]
        if len(group) == 1 and first.kind != "connector" and _can_list(first):
            return self._plain(first, names.name(first.written))
        written = first.component or f"{names.name(first.written)}-unit"
        name = names.fresh(written)
        notes = self._renamed("component", written, name) if first.component else []
        connectors = []
        terminals: list[str] = []
        for item in group:
            connector, wired = self._connector(item, names.name(item.written))
            connectors.append(connector)
            alone = len(group) == 1 and all(map(is_listable, wired))
            terminals += wired if alone else [f"{connector.id}.{cavity}" for cavity in wired]
            if item.title and item.title != first.title:
                notes.append(f"connector {connector.id}: {item.title}")
        return DraftDevice("component", name, first.title, tuple(terminals), tuple(connectors), tuple(notes))

    def _plain(self, item: Item, name: str) -> DraftDevice:
        """A device whose terminals the wires name."""
        kind = "ring-terminal" if item.kind == "ring-terminal" and len(item.wired) <= 1 else "component"
        notes = [*self._renamed("item", item.written, name), *item.notes]
        if item.kind == "ring-terminal" and kind == "component":
            notes.append("a ring terminal with several cavities in the list")
        if item.cavities and kind == "component":
            notes.append(f"cavities in the list: {item.cavities}")
        if kind == "ring-terminal" and not item.wired:
            # One place is all that a ring terminal has: nothing is assumed by ending there.
            self.ends.by_cell[EndCell(item.written, "")] = f"{name}.1"
            return DraftDevice(kind, name, item.title, (), (), tuple(notes))
        terminals, more = self._terminals(item, name)
        if kind == "ring-terminal" and not item.unnamed:
            terminals = () if terminals == ("1",) else terminals
        elif kind == "ring-terminal":
            kind = "component"
        return DraftDevice(kind, name, item.title, terminals, (), (*notes, *more))

    def _terminals(self, item: Item, name: str) -> tuple[tuple[str, ...], list[str]]:
        """The terminals that the wires of an item name, ends noted; and notes on renamed ones."""
        names = Names(lambda cavity: is_terminal(cavity) and is_listable(f"{name}.{cavity}"))
        written = sorted(item.wired, key=natural)
        names.settle(written)
        notes: list[str] = []
        for cavity in written:
            notes += self._renamed(f"terminal of {name}", cavity, names.name(cavity))
            self.ends.by_cell[EndCell(item.written, cavity)] = f"{name}.{names.name(cavity)}"
        unnamed = [names.fresh(f"unnamed-{number}") for number in range(1, item.unnamed + 1)]
        if unnamed:
            self.ends.unnamed[item.written] = [f"{name}.{terminal}" for terminal in unnamed]
            says = f"{len(unnamed)} wire ends at {name} name no cavity; each got a terminal, {unnamed[0]} onward"
            self._remark(Sort.ASSUMED, item.written, says)
            notes.append(f"terminals called unnamed are not named in the list ({len(unnamed)})")
        return (*(names.name(cavity) for cavity in written), *unnamed), notes

    def _connector(self, item: Item, name: str) -> tuple[DraftConnector, list[str]]:
        """A connector and the cavities in which wires end."""
        notes = [*self._renamed("connector", item.written, name), *item.notes]
        wired, more = self._terminals(item, name)
        notes += more
        if len(wired) > MAX_CAVITIES:
            raise WireListError(f"{self.list_name}: {item.written} has wires in more than {MAX_CAVITIES} cavities")
        doubled = tuple(
            self.ends.by_cell[EndCell(item.written, cavity)].rpartition(".")[2]
            for cavity in sorted(item.wired, key=natural)
            if item.wired[cavity] > 1
        )
        count = item.cavities or 0
        by_number = tuple(str(number) for number in range(1, count + 1))
        if not wired:
            count = count or 1
            if not item.cavities:
                notes.append("the list does not say how many cavities it has")
            by_number = tuple(str(number) for number in range(1, count + 1))
            return DraftConnector(name, by_number, False, (), True, tuple(notes)), []
        if set(wired) <= set(by_number):
            rest = len(wired) < count
            return DraftConnector(name, by_number, False, doubled, rest, tuple(notes)), list(wired)
        if count and count != len(wired):
            says = f"{name} has {count} cavities in the list of items; wires are in {len(wired)}, otherwise numbered"
            self._remark(Sort.ASSUMED, item.written, says)
            notes.append(f"cavities in the list of items: {count}")
        return DraftConnector(name, wired, True, doubled, False, tuple(notes)), list(wired)
