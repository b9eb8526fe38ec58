"""Circuits and wires that came, went or bear another number; circuits that were split, merged or traded wires."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from compiler.changes.change import Action, Change
from compiler.changes.matching import Side, text
from compiler.changes.order import listed, natural
from compiler.changes.printed import wire_text
from compiler.changes.told import Told, whole_change

Pairs = list[tuple[str, str]]


def tell_circuits(told: Told) -> None:
    """Statements about circuits and wires as a whole. Facts of a wire that both issues have are told elsewhere."""
    matched = told.matched
    moved: dict[tuple[str, str], Pairs] = defaultdict(list)
    for old, new in sorted(matched.pairs["wire"].items(), key=lambda pair: natural(pair[1])):
        before, after = text(matched.old.of("wire")[old], "circuit"), text(matched.new.of("wire")[new], "circuit")
        if old != new or before != after:
            moved[before, after].append((old, new))
    for (before, after), wires in sorted(moved.items(), key=lambda item: (natural(item[0][1]), natural(item[0][0]))):
        if matched.pairs["circuit"].get(before) == after:
            if before == after:
                _renumbered(told, before, wires)
        else:
            _traded(told, before, after, wires)
    for before, after in matched.pairs["circuit"].items():
        if before != after:
            _renamed(told, before, after, moved[before, after])
    _whole(told, matched.old, set(matched.pairs["wire"]), matched.pairs["circuit"], "removed")
    _whole(told, matched.new, set(matched.pairs["wire"].values()), _back(matched.pairs["circuit"]), "added")


def _back(pairs: Mapping[str, str]) -> dict[str, str]:
    return {new: old for old, new in pairs.items()}


def _side_by_side(wires: Pairs) -> tuple[str, str]:
    """The ids before and after, each in the place of the other."""
    pairs = sorted(wires, key=lambda pair: natural(pair[0]))
    return " ".join(old for old, _ in pairs), " ".join(new for _, new in pairs)


def _renumbered(told: Told, circuit: str, wires: Pairs) -> None:
    told.add(
        Change(
            "wire-renamed", "renamed", "wire", tuple(old for old, _ in wires), tuple(new for _, new in wires), "wire",
            "", "id", "now called", *_side_by_side(wires),
        ),
        circuits=[circuit],
    )  # fmt: skip


def _renamed(told: Told, before: str, after: str, wires: Pairs) -> None:
    title = text(told.matched.new.of("circuit")[after], "title")
    told.add(
        Change(
            "circuit-renamed", "renamed", "circuit", (before,), (after,), "circuit", title,
            noun="number", verb="now called", old=before, new=after, parts=tuple(wires),
        ),
        circuits=[after],
    )  # fmt: skip


def _traded(told: Told, before: str, after: str, wires: Pairs) -> None:
    """Wires of one circuit that belong to another now."""
    old, new = told.matched.old.of("circuit"), told.matched.new.of("circuit")
    if after not in old and before in new:
        what, verb = "circuit-split", "split off as another circuit"
    elif before not in new and after in old:
        what, verb = "circuit-merged", "merged into another circuit"
    else:
        what, verb = "circuit-wires", "wires given to another circuit"
    title = text(new.get(after, {}), "title")
    told.add(
        Change(
            what, "changed", "circuit", (before,), (after,), "circuit", title,
            "wires", verb, *_side_by_side(wires), parts=tuple(wires),
        ),
        circuits=[before, after],
    )  # fmt: skip


def _whole(told: Told, side: Side, kept: set[str], pairs: Mapping[str, str], action: Action) -> None:
    """Circuits, with their wires, and single wires that are on this side only."""
    for circuit, record in side.of("circuit").items():
        wires = side.wires_of_circuit.get(circuit, ())
        if circuit in pairs or any(wire in kept for wire in wires):
            continue
        said = f"{len(wires)} wires: {listed(wires)}" if len(wires) != 1 else _one(side, wires[0])
        parts = tuple(("", wire) if action == "added" else (wire, "") for wire in sorted(wires, key=natural))
        change = whole_change("circuit", circuit, record, action, said if wires else "")
        told.add(replace(change, parts=parts), circuits=[circuit])
    for wire, record in side.of("wire").items():
        circuit = text(record, "circuit")
        others = side.wires_of_circuit[circuit]
        if wire in kept or (circuit not in pairs and not any(other in kept for other in others)):
            continue
        told.add(whole_change("wire", wire, record, action, wire_text(record)), circuits=[circuit])


def _one(side: Side, wire: str) -> str:
    return f"{wire} {wire_text(side.of('wire')[wire])}"
