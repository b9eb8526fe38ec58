"""Circuits put on sheets, so that an imported source can be published before an author has sorted it.

Circuits whose ids begin with the same two parts (`V.15B.SZS1090.` and `V.15B.SZS1034.`) stay together as far as a sheet
holds them; the order is that of the list. An author will put them where a technician looks for them.
"""

from __future__ import annotations

from collections.abc import Iterable

from compiler.exchange.draft import DraftCircuit, DraftSheet

WIRES_PER_SHEET = 24  # what a sheet holds and can still be read: our own measure
_NAMES_IN_TITLE = 4


def sheets(circuits: Iterable[DraftCircuit]) -> tuple[DraftSheet, ...]:
    """Sheets 1, 2, 3 ... on which every circuit stands once."""
    groups: dict[str, list[DraftCircuit]] = {}
    for circuit in circuits:
        groups.setdefault(family(circuit.id), []).append(circuit)
    bins: list[list[DraftCircuit]] = []
    for group in groups.values():
        whole = sum(len(circuit.wires) for circuit in group) <= WIRES_PER_SHEET
        for part in [group] if whole else [[circuit] for circuit in group]:
            room = WIRES_PER_SHEET - (sum(len(c.wires) for c in bins[-1]) if bins else WIRES_PER_SHEET)
            if sum(len(circuit.wires) for circuit in part) <= room:
                bins[-1].extend(part)
            else:
                bins.append(list(part))
    return tuple(
        DraftSheet(str(number), _title(group), tuple(circuit.id for circuit in group))
        for number, group in enumerate(bins, 1)
    )


def family(circuit: str) -> str:
    """What circuits that belong together have in common: the first two parts of an id with full stops."""
    return ".".join(circuit.split(".")[:2])


def _title(circuits: list[DraftCircuit]) -> str:
    names = list(dict.fromkeys(family(circuit.id) for circuit in circuits))
    if len(names) > _NAMES_IN_TITLE:
        return f"Circuits {names[0]} to {names[-1]}"
    return ("Circuit " if len(names) == 1 else "Circuits ") + ", ".join(names)
