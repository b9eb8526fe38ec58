"""A last test where one cause is left before any was done: a reading that tells this fault from a sound vehicle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from compiler.isolation.catalogue import Catalogue, Entry
from compiler.isolation.types import Confirmation, Suspect, TestKind
from compiler.isolation.words import OPEN_OHM
from compiler.model.items import Behaviour, Point, Wire
from compiler.network.elements import AT_REST
from compiler.network.faults import FaultSort
from compiler.network.places import point_name

if TYPE_CHECKING:
    from compiler.isolation.case import Case

_TAKEN_OUT = frozenset({"fuse", "relay"})  # to part a wire from its holder
_SHORT, _STUCK = FaultSort.TO_GROUND, FaultSort.STUCK_CLOSED


def confirmation(case: Case) -> Confirmation | None:
    """The cheapest test that every fault of a case answers otherwise than a sound vehicle does, of the part at fault by
    itself if there is one. None where no such test is within reach."""
    make = Catalogue(case.rows, case.settings, case.bench.access, case.rules)
    parts = list(make.parts())
    vague = [entry for entry in parts if entry.test.kind is TestKind.ACROSS and entry.test.unit == "seen"]
    plain = (entry for entry in parts if entry not in vague)
    for entries in (_alone(make, case.suspects), plain, _others(case, make), vague):
        telling = [entry for entry in entries if _apart(entry)]
        if telling:
            best = min(telling, key=lambda entry: entry.test.minutes + entry.test.access_min)
            low, high = float(best.low[:-1].min()), float(best.high[:-1].max())
            faulty = best.reading(low, high, make.open_ohm)._replace(low=low, high=high)
            return Confirmation(best.test, faulty, _else(case.suspects, best))
    return None


def _apart(entry: Entry) -> bool:
    """Whether a reading of one of the faults cannot be that of a sound vehicle."""
    low, high = entry.low, entry.high
    return bool(((high[:-1] < low[-1]) | (low[:-1] > high[-1])).all())


def _alone(make: Catalogue, suspects: Sequence[Suspect]) -> Iterator[Entry]:
    """Of shorts, ohms from the wires to ground; of one contact that does not open, ohms across it."""
    branches = list(dict.fromkeys(suspect.fault.branch for suspect in suspects))
    sorts = {suspect.fault.sort for suspect in suspects}
    if sorts == {_SHORT}:
        yield from _to_ground(make, [w for n in branches if isinstance(w := make.network.branches[n].owner, Wire)])
    elif sorts == {_STUCK} and len(branches) == 1 and make.network.branches[branches[0]].role is Behaviour.CONTACT:
        yield from _across_contact(make, branches[0])


def _to_ground(make: Catalogue, wires: Sequence[Wire]) -> Iterator[Entry]:
    """Ohms to ground from wires that are free of everything else: none where one is spliced to a wire that is not among
    them."""
    variant, known = make.network.variant, {wire.id for wire in wires}
    ends = dict.fromkeys(end.point for wire in wires for end in wire.ends if end.point is not None)
    joints = [point for point in ends if point.item in variant.splices]
    if any(wire.id not in known for point in joints for wire in variant.wires_at(point)):
        return
    outer = [point for point in ends if point not in joints and point._replace(half=1 - point.half) not in ends]
    if not outer or any(wire.id not in known for point in outer for wire in variant.wires_at(point)):
        return
    name = f"{'wire' if len(wires) == 1 else 'wires'} {_and([wire.id for wire in wires])}"
    free, probe = _freed(make, name, outer)
    words = f"Battery off. {free}, and measure the resistance from {probe} to ground."
    ohm = np.full(make.rows.count, make.network.world.ohm("short"))
    ohm[-1] = OPEN_OHM
    items = [point.item for point in outer]
    yield make.entry(TestKind.OHMS, f"ohms {name}", probe, items, words, make.ohms_range(ohm), "ohm")


def _freed(make: Catalogue, wires: str, outer: Sequence[Point]) -> tuple[str, str]:
    """How wires are parted from all that they end at, in words, and where the meter is then held."""
    variant = make.network.variant
    ways: dict[str, dict[str, Point]] = {"unplug": {}, "part": {}, "take out": {}, f"free {wires} at": {}}
    unplug, part, take, free = ways.values()
    for point in outer:
        plug, device = variant.connectors.get(point.item), variant.devices.get(point.item)
        if plug is not None:
            (unplug if plug.device else part)[point.item] = point
        elif device is not None and device.kind in _TAKEN_OUT:
            take[point.item] = point
        else:
            free[point_name(make.network, point)] = point
    told = ", ".join(f"{way} {_and(list(names))}" for way, names in ways.items() if names)
    probed = next(iter((*unplug.values(), *part.values(), *take.values())), None)
    probe = point_name(make.network, probed) if probed else f"the end of {wires}"
    return f"{told[0].upper()}{told[1:]}", probe


def _and(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _across_contact(make: Catalogue, branch: int) -> Iterator[Entry]:
    """Ohms across a contact with its device unplugged, in a position in which it is open and nothing else of the device
    joins its terminals."""
    network = make.network
    row = network.branches[branch]
    device, (subject, positions) = row.device, row.element.when[0]
    rest = AT_REST if subject in network.moved else network.positions[subject][0]
    position = AT_REST if subject in network.moved else dict(make.settings).get(subject, rest)
    joined = {row.a}
    inside = [r for n, r in enumerate(network.branches) if n != branch and r.device == device]
    for _ in inside:
        joined |= {end for r in inside if {r.a, r.b} & joined for end in (r.a, r.b)}
    if subject != device or len(row.element.when) > 1 or position in positions or row.b in joined:
        return
    a, b = row.element.a, row.element.b
    still = "" if subject in network.moved else f" set it to {position}"
    words = f"Battery off. Unplug {device},{still} and measure between its terminals {a} and {b}."
    ohm = np.full(make.rows.count, row.element.ohm)
    ohm[-1] = OPEN_OHM
    name = network.place(branch)
    yield make.entry(TestKind.ACROSS, f"across {name}", name, [device], words, make.ohms_range(ohm), "ohm")


def _others(case: Case, make: Catalogue) -> Iterator[Entry]:
    """Fuses, and volts at the ends of what is at fault, on the plug where it ends behind one."""
    rows = case.network.branches
    at_fault = sorted({suspect.fault.branch for suspect in case.suspects})
    yield from make.fuses(branch for branch in at_fault if branch in case.network.ratings)
    ends = {node for n in at_fault for node in (rows[n].a, rows[n].b)}
    plugs = {end for row in rows if row.role is Behaviour.CAVITY and {row.a, row.b} & ends for end in (row.a, row.b)}
    yield from make.volts(sorted(ends | plugs))


def _else(suspects: Sequence[Suspect], entry: Entry) -> str:
    """What it means when a sound vehicle's reading is found."""
    if entry.test.kind is TestKind.OHMS and all(suspect.fault.sort is _SHORT for suspect in suspects):
        return "the short is not in the wire, but inside something that it was parted from"
    return "the cause is none that this chart considers"
