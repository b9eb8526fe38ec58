"""The fault universe: what can be wrong with each branch of a network, with words, a repair, and a weight."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from compiler.isolation.guards import Guards
from compiler.isolation.policy import Rules
from compiler.isolation.types import Suspect
from compiler.model.items import Behaviour, Connector, Ground, Part, Wire
from compiler.network.faults import Fault, FaultSort
from compiler.network.network import Branch, Network

_OPEN, _HIGH, _GROUND = FaultSort.OPEN, FaultSort.RESISTANCE, FaultSort.TO_GROUND
_LAMPS = frozenset({"lamp", "headlamp"})


class Sort(NamedTuple):
    """One way in which a thing fails: row of the table of weights, what is planted, and words."""

    kind: str
    sort: FaultSort
    says: str
    repair: str


_JOIN = "Renew the wire, or mend it with a joint."
_WIRE = (
    Sort("wire-open", _OPEN, "open", _JOIN),
    Sort("wire-resistance", _HIGH, "of high resistance", _JOIN),
    Sort("wire-short", _GROUND, "shorted to ground", f"Find where it touches metal and keep it clear there. {_JOIN}"),
)
_LEG = (
    Sort("splice-open", _OPEN, "open", "Make the joint anew and seal it."),
    Sort("splice-resistance", _HIGH, "of high resistance", "Make the joint anew and seal it."),
)
_TERMINAL = (
    Sort("terminal-backed-out", _OPEN, "backed out", "Push the terminal in until it locks, or renew it."),
    Sort("terminal-corroded", _HIGH, "corroded or loose", "Renew the terminal and its mate; look for water."),
)
_GROUND_BOLT = (
    Sort("ground-open", _OPEN, "off", "Bolt it down on bare metal."),
    Sort("ground-corroded", _HIGH, "corroded or loose", "Clean to bare metal, bolt down, protect."),
)
_CASE = (
    Sort("case-open", _OPEN, "without ground", "Bolt the case down on bare metal."),
    Sort("case-corroded", _HIGH, "badly grounded", "Clean the seat of the case to bare metal."),
)
_FUSE = (
    Sort("fuse-open", _OPEN, "open", "Fit a fuse of the same rating; if it opens again, look for the short."),
    Sort("fuse-resistance", _HIGH, "of high resistance", "Renew the fuse; clean and tighten its clips."),
)
_LINK = (
    Sort("link-open", _OPEN, "open", "Fit a link of the same size and length; find out why it opened."),
    Sort("link-resistance", _HIGH, "of high resistance", "Renew the link."),
)
_CONTACT = (
    Sort("contact-stuck-open", FaultSort.STUCK_OPEN, "does not close", "Renew it."),
    Sort("contact-burnt", _HIGH, "burnt", "Renew it."),
    Sort("contact-stuck-closed", FaultSort.STUCK_CLOSED, "does not open", "Renew it."),
)
_OUTPUT = (
    Sort("output-stuck-off", FaultSort.STUCK_OPEN, "does not switch on", "Renew the module."),
    Sort("output-stuck-on", FaultSort.STUCK_CLOSED, "does not switch off", "Renew the module."),
)
_INSIDE = (
    Sort("inside-open", _OPEN, "open", "Renew it."),
    Sort("inside-resistance", _HIGH, "of high resistance", "Renew it."),
)
_COIL = (
    Sort("coil-open", _OPEN, "open", "Renew it."),
    Sort("coil-resistance", _HIGH, "of high resistance", "Renew it."),
)
_LAMP = (
    Sort("lamp-open", _OPEN, "burnt out", "Renew the bulb."),
    Sort("load-resistance", _HIGH, "weak", "Renew the bulb; clean its holder."),
)
_LOAD = (
    Sort("load-open", _OPEN, "open", "Renew it."),
    Sort("load-resistance", _HIGH, "of high resistance", "Renew it."),
)


def suspects_of(
    network: Network, branches: Iterable[int], rules: Rules, ohm_of: dict[int, float], guards: Guards
) -> tuple[Suspect, ...]:
    """Every fault of these branches. `ohm_of` gives, by branch, the ohm that a high resistance there adds; `guards`
    what a short may have opened."""
    found: list[Suspect] = []
    for number in branches:
        for sort, item, half, part in _ways(network, number):
            fault = Fault(sort.sort, part, ohm_of[number] if sort.sort is _HIGH else 0.0, number)
            weight = rules("weight", sort.kind)
            if weight > 0:
                says = f"{part} {sort.says}"
                repair = f"{sort.repair}{guards(item)}" if sort.sort is _GROUND else sort.repair
                found.append(Suspect(len(found), sort.kind, fault, item, half, part, says, repair, weight))
    return tuple(found)


def _ways(network: Network, number: int) -> Iterator[tuple[Sort, str, int, str]]:
    """How a branch fails: the sort, the item where the hand goes, the half of a connector or -1, and the part."""
    row = network.branches[number]
    owner, name = row.owner, network.place(number)
    if isinstance(owner, Wire):
        yield from ((sort, owner.id, -1, name) for sort in _WIRE)
        for end in dict.fromkeys(p for p in (owner.a.point, owner.b.point) if p and p.item in network.variant.splices):
            yield from ((sort, end.item, -1, f"joint of wire {owner.id} in splice {end.item}") for sort in _LEG)
    elif isinstance(owner, Connector):
        cavity = network.graph.points[row.a].terminal
        for half in (0, 1):
            part = f"terminal {owner.id}.{cavity} {owner.half_name(half)}"
            yield from ((sort, owner.id, half, part) for sort in _TERMINAL)
    elif isinstance(owner, Ground):
        yield from ((sort, owner.id, -1, name) for sort in _GROUND_BOLT)
    elif row.role is Behaviour.STRUCTURE:
        yield from ((sort, row.device, -1, name) for sort in _CASE)
    elif isinstance(owner, Part):
        yield from ((sort, row.device, -1, name) for sort in _inside(row, owner))


def _inside(row: Branch, part: Part) -> tuple[Sort, ...]:
    match row.role:
        case Behaviour.PROTECTION:
            return _LINK if part.kind == "fusible-link" else _FUSE
        case Behaviour.CONTACT:
            return _CONTACT if row.element.when else _INSIDE
        case Behaviour.DRIVER:
            return _OUTPUT if row.element.when and row.element.sort == 0 else ()
        case Behaviour.COIL:
            return _COIL
        case Behaviour.LOAD:
            return _LAMP if part.kind in _LAMPS else _LOAD
        case Behaviour.JOIN | Behaviour.RESISTOR:
            return _INSIDE
        case Behaviour.DIODE:
            return _INSIDE[:1]
        case _:
            return ()
