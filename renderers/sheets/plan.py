"""Which wires stand on which sheet.

Declared sheets take the circuits that they name. A circuit on several sheets is drawn in full on none of them: each
sheet leaves out the branches that serve only components of the others, and shows arrows there. Circuits that no sheet
names get sheets of the tool's own, numbered `U` and the first circuit of the group, so that a number changes only when
its own group does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.text import natural_key


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """A sheet before it is cut into pages: number, title, system, wires, components named besides."""

    number: str
    title: str
    system: str
    wires: tuple[Wire, ...]
    components: tuple[str, ...]


def plan_sheets(variant: Variant) -> list[SheetPlan]:
    """The sheets of a variant in order: the declared ones, then the tool's own."""
    plans: list[SheetPlan] = []
    for sheet in variant.sheets.values():
        circuits = dict.fromkeys(word.text for word, _ in sheet.circuits)
        plans.append(
            SheetPlan(
                sheet.id,
                sheet.title,
                sheet.system,
                tuple(w for c in circuits for w in variant.wires_of_circuit(c)),
                tuple(word.text for word, _ in sheet.components),
            )
        )
    plans += _own_sheets(variant, {w.id for plan in plans for w in plan.wires})
    return _without_strangers(variant, plans)


def unit_of(variant: Variant, point: Point) -> str:
    """What a point belongs to on a sheet: device, splice, ground, bus, or one cavity of an in-line connector."""
    connector = variant.connectors.get(point.item)
    if connector is None:
        return point.item
    return f"{point.item}.{point.terminal}" if connector.is_inline else connector.device


def _own_sheets(variant: Variant, placed: set[str]) -> list[SheetPlan]:
    """Sheets for circuits that no sheet names: circuits that meet in a component, splice or cavity stand together."""
    left = [c for c in variant.circuits if any(w.id not in placed for w in variant.wires_of_circuit(c))]
    parent = {circuit: circuit for circuit in left}

    def root(circuit: str) -> str:
        while parent[circuit] != circuit:
            circuit = parent[circuit]
        return circuit

    seen: dict[str, str] = {}
    for circuit in left:
        for wire in variant.wires_of_circuit(circuit):
            for end in wire.ends:
                if end.point is None or end.point.item in variant.grounds or end.point.item in variant.buses:
                    continue
                first = seen.setdefault(unit_of(variant, end.point), circuit)
                a, b = root(first), root(circuit)
                parent[b] = a
    groups: dict[str, list[str]] = {}
    for circuit in left:
        groups.setdefault(root(circuit), []).append(circuit)
    plans = []
    for group in groups.values():
        group.sort(key=natural_key)
        title = next((t for c in group if (t := variant.circuits[c].title)), "") or f"Circuit {group[0]}"
        wires = tuple(w for c in group for w in variant.wires_of_circuit(c) if w.id not in placed)
        plans.append(SheetPlan(f"U{group[0]}", title, "", wires, ()))
    return sorted(plans, key=lambda plan: natural_key(plan.number))


def _without_strangers(variant: Variant, plans: list[SheetPlan]) -> list[SheetPlan]:
    """Leave out the branches of shared circuits that serve only what other sheets show."""
    kept: list[dict[str, Wire]] = [{w.id: w for w in plan.wires} for plan in plans]
    on: dict[str, list[int]] = {}
    for index, wires in enumerate(kept):
        for wire_id in wires:
            on.setdefault(wire_id, []).append(index)
    homes: list[set[str]] = []
    for plan, wires in zip(plans, kept, strict=True):
        own = [w for w in wires.values() if len(on[w.id]) == 1]
        homes.append({u for w in own for u in _units(variant, w)} | set(plan.components))
    stay = {*variant.grounds, *variant.buses}
    stay.update(d.id for d in variant.devices.values() if d.is_protective or d.kind in ("battery", "alternator"))
    changed = True
    while changed:
        changed = False
        for index, wires in enumerate(kept):
            count: dict[str, int] = {}
            for wire in wires.values():
                for unit in _units(variant, wire):
                    count[unit] = count.get(unit, 0) + 1
            for wire in list(wires.values()):
                if len(on[wire.id]) < 2:
                    continue
                ends = [u for u in _units(variant, wire) if count[u] == 1 and u not in stay and u not in homes[index]]
                if any(_goes(u, wire, index, on, homes, variant) for u in ends):
                    del wires[wire.id]
                    on[wire.id].remove(index)
                    for unit in _units(variant, wire):
                        count[unit] -= 1
                    changed = True
    # A sheet of which nothing would be left shows what it was told to show.
    return [
        replace(plan, wires=tuple(w for w in plan.wires if w.id in wires)) if wires or plan.components else plan
        for plan, wires in zip(plans, kept, strict=True)
    ]


def _goes(unit: str, wire: Wire, index: int, on: dict[str, list[int]], homes: list[set[str]], variant: Variant) -> bool:
    """Whether a wire that ends a branch on one of its sheets can be left to another: one where its component is at
    home, else the first."""
    others = [i for i in on[wire.id] if i != index]
    if unit not in variant.devices:
        return bool(others)
    return any(unit in homes[i] for i in others) or (unit not in homes[index] and min(others) < index)


def _units(variant: Variant, wire: Wire) -> Iterable[str]:
    return dict.fromkeys(unit_of(variant, e.point) for e in wire.ends if e.point is not None)
