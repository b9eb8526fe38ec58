"""From typed rows to what the source will say. No wire end, colour, size or length gets lost on the way."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from compiler.exchange.draft import Draft, DraftCable, DraftCircuit, DraftCore, DraftFuse, DraftWire
from compiler.exchange.itemdraft import Drafted, draft_items
from compiler.exchange.loomtext import FUSE_BLOCK
from compiler.exchange.naming import Names, is_circuit, is_core, is_item, is_plain_word, is_segment
from compiler.exchange.problems import Remark, Sort
from compiler.exchange.sheeting import sheets
from compiler.exchange.wirelist import FuseRow, WireList, WireRow

_LETTERED = re.compile(r"(\d+)([A-Za-z]{1,2})")


class Wanted(NamedTuple):
    """What the lists do not say: id and title of the variant, harness, colour table, comment for the top."""

    variant: str
    title: str
    harness: str
    colours: str
    comment: tuple[str, ...] = ()


def draft(
    rows: WireList, wanted: Wanted, list_name: str, items_given: bool, notes: Iterable[str] = ()
) -> tuple[Draft, tuple[Remark, ...]]:
    """The draft of a source, and remarks on names and kinds that had to be settled.

    list_name    name of the wire list, for remarks
    items_given  whether there was a list of items
    notes        notes for the variant
    """
    drafted = draft_items(list_name, rows.wires, rows.items, items_given)
    wires = _Wires(rows.wires, drafted, list_name)
    circuits = wires.circuits()
    names = Names(is_item, (FUSE_BLOCK, *drafted.names.taken, *(cable.id for cable in wires.cables)))
    made = Draft(
        variant=wanted.variant,
        title=wanted.title,
        colours=wanted.colours,
        harness=wanted.harness,
        comment=wanted.comment,
        notes=tuple(notes),
        devices=drafted.devices,
        joints=drafted.joints,
        fuses=tuple(_fuse(fuse, names) for fuse in rows.fuses),
        cables=wires.cables,
        circuits=circuits,
        sheets=sheets(circuits),
    )
    return made, (*drafted.remarks, *wires.remarks)


def _fuse(row: FuseRow, names: Names) -> DraftFuse:
    name = names.name(row.fuse)
    notes = row.notes if name == row.fuse else (f"fuse {name} is called {row.fuse} in the list", *row.notes)
    return DraftFuse(name, row.title, row.rating, row.type, notes)


class _Wires:
    """Wires by circuit and cable."""

    def __init__(self, rows: tuple[WireRow, ...], drafted: Drafted, list_name: str) -> None:
        self.rows = rows
        self.drafted = drafted
        self.list_name = list_name
        self.remarks: list[Remark] = []
        self.cables: tuple[DraftCable, ...] = ()

    def circuits(self) -> tuple[DraftCircuit, ...]:
        """All circuits in the order of the list; `cables` is filled on the way."""
        names = Names(is_circuit)
        names.settle(row.circuit for row in self.rows if row.circuit)
        cable_names = Names(is_item, self.drafted.names.taken)
        cable_names.settle(row.cable for row in self.rows if row.cable)
        own: dict[str, str] = {}
        wires: dict[str, list[DraftWire]] = {}
        notes: dict[str, list[str]] = {}
        segments: dict[str, Names] = {}
        cores: dict[str, list[DraftCore]] = {}
        core_names: dict[str, Names] = {}
        for row in self.rows:
            circuit, wanted = self._circuit(row, names, own)
            if circuit not in wires:
                wires[circuit], segments[circuit] = [], Names(is_segment)
                notes[circuit] = self._renamed(row, "circuit", row.circuit, circuit) if row.circuit else []
            segment = segments[circuit].fresh(wanted)
            told = [] if segment == wanted else self._renamed(row, "wire", row.wire, segment)
            core = ""
            if row.cable:
                cable = cable_names.name(row.cable)
                core_name = core_names.setdefault(cable, Names(is_core)).fresh(row.wire)
                cores.setdefault(cable, []).append(DraftCore(core_name, row.size, row.colour))
                core = f"{cable}.{core_name}"
            wires[circuit].append(self._wire(row, segment, core, told))
        written = {cable_names.name(row.cable): row.cable for row in self.rows if row.cable}
        self.cables = tuple(
            DraftCable(cable, tuple(listed), () if (old := written[cable]) == cable else (f"called {old} in the list",))
            for cable, listed in cores.items()
        )
        return tuple(DraftCircuit(name, tuple(own_wires), tuple(notes[name])) for name, own_wires in wires.items())

    def _circuit(self, row: WireRow, names: Names, own: dict[str, str]) -> tuple[str, str]:
        """The circuit and the wished-for segment of a row. Without a circuit, `48A` is segment A of circuit 48."""
        if row.circuit:
            return names.name(row.circuit), row.wire
        lettered = _LETTERED.fullmatch(row.wire)
        base, segment = (lettered[1], lettered[2]) if lettered else (row.wire, "A")
        # A circuit of the same name that the list does give is another one.
        if base not in own:
            own[base] = names.fresh(base)
        return own[base], segment

    def _renamed(self, row: WireRow, what: str, written: str, name: str) -> list[str]:
        if written == name:
            return []
        says = f"{what} `{written}` is called {name}: the name is no legal one, or taken"
        self.remarks.append(Remark(Sort.RENAMED, self.list_name, row.line, "", written, says))
        return [f"{what} {name} is called {written} in the list"]

    def _wire(self, row: WireRow, segment: str, core: str, told: list[str]) -> DraftWire:
        notes = [*told, *row.notes]
        kind = row.type
        if kind and not is_plain_word(kind):
            notes.append(f"wire type in the list: {kind}")
            kind = ""
        a, b = self.drafted.ends.text(row.a), self.drafted.ends.text(row.b)
        return DraftWire(
            segment, a, b, row.size, row.colour, row.length, core, kind, tuple(dict.fromkeys(notes)), row.line
        )
