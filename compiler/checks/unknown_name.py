"""A name that stands for nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from compiler.assembly.names import nearest
from compiler.assembly.scenarios import FAULTS, STATES
from compiler.checks._ends import Adrift
from compiler.checks.base import Check, Subject
from compiler.model.variant import Unresolved, Variant
from compiler.standards.colours import builtin_tables
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

MOST_SHOWN = 12


class UnknownName(Check):
    """Page: pages/unknown-name.md."""

    name = "unknown-name"
    severity = Severity.ERROR
    family = "names and references"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        told: set[Span] = set()
        for name in subject.variant.unresolved:
            if name.at not in told and not self._follows(subject, name.name, name.at):
                told.add(name.at)
                yield self._unresolved(subject.variant, name)
        for end in subject.ends.adrift:
            if end.end.problem == "no-such-item" and not self._follows(subject, end.item, end.at):
                yield self._no_item(subject, end)
            elif end.end.problem == "no-such-terminal" and not self._maimed(subject, end):
                yield self._no_terminal(subject.variant, end)

    @staticmethod
    def _follows(subject: Subject, name: str, at: Span) -> bool:
        """Whether what the name stands for could not be read, which is reported already."""
        return not subject.complete or subject.unread.holds(name, at)

    @staticmethod
    def _maimed(subject: Subject, end: Adrift) -> bool:
        """Whether the device lost terminals to a fault in its own statement."""
        device = subject.variant.devices[end.item]
        return device.kind not in subject.variant.kinds or device.id in subject.unread.maimed

    def _unresolved(self, variant: Variant, name: Unresolved) -> Finding:
        says = name.says or f"no {name.sort} is called `{name.name}`"
        notes: tuple[Note, ...] = ()
        if gone := variant.omitted.get((name.sort, name.name)):
            says, notes = f"{name.sort} {name.name} is omitted in this variant", (Note(gone, "omitted here"),)
        return self.finding(name.at, says, notes=notes, mend=_mend(variant, name, bool(gone)))

    def _no_item(self, subject: Subject, end: Adrift) -> Finding:
        variant = subject.variant
        at = end.at._replace(end=end.at.start + len(end.item))
        if gone := variant.omitted.get(("item", end.item)):
            return self.finding(
                at,
                f"{end.item} is omitted in this variant, and wire {end.wire.id} ends at it",
                notes=(Note(gone, "omitted here"),),
                mend=f"omit the wire too: `omit wire {end.wire.id}`",
            )
        if end.item in variant.items:
            owner = "cable" if end.item in variant.cables else "fuse block"
            mend = f"say `core {end.item}.CORE` behind its ends" if owner == "cable" else "name the fuse, relay or bus"
            return self.finding(at, f"wire {end.wire.id} cannot end at {owner} {end.item} itself", mend=mend)
        inner = end.item.rpartition(".")[2]
        if inner in variant.connectors:
            mend = f"write `{inner}.{end.terminal}`: a connector is named without its component"
        elif near := subject.ends.guess(end.item):
            mend = f"did you mean `{near}.{end.terminal}`?" if end.terminal else f"did you mean `{near}`?"
        else:
            mend = "declare it, or end the wire elsewhere; if the sources do not say where it ends, write `?`"
        return self.finding(at, f"nothing that a wire can end at is called `{end.item}`", mend=mend)

    def _no_terminal(self, variant: Variant, end: Adrift) -> Finding:
        device = variant.devices[end.item]
        known = list(device.terminals)
        if len(device.connectors) == 1:
            cavities = variant.connectors[device.connectors[0]].cavities
            known = list(dict.fromkeys((*known, *cavities))) if len(cavities) <= MOST_SHOWN else known
        note = Note(device.at, f"{device.id} is declared here")
        if not end.terminal:
            says = f"wire {end.wire.id} does not say at which terminal of {device.id} it ends"
            return self.finding(end.at, says, notes=(note,), mend=_choice("its terminals are", known))
        near = nearest(end.terminal, known)
        mend = _choice("its terminals are", known)
        if near:
            mend = f"did you mean `{device.id}.{near}`?" + (f" {mend}" if len(known) <= MOST_SHOWN else "")
        return self.finding(
            end.at._replace(start=end.at.end - len(end.terminal)),
            f"{device.id} has no terminal {end.terminal}",
            notes=(note,),
            mend=mend or f"name the terminals of {device.id} in its line or block",
        )


def _mend(variant: Variant, name: Unresolved, gone: bool) -> str:
    if gone:
        return "take the name out here, or keep what it names"
    if name.near:
        return f"did you mean `{name.near}`?"
    groups: Mapping[str, Iterable[str]] = {
        "harness": variant.harnesses,
        "zone": variant.zones,
        "structure": ("chassis", *variant.structures),
        "bus": variant.buses,
        "cable": variant.cables,
        "option": variant.options,
        "state": STATES,
        "named state": variant.states,
        "fault": FAULTS,
        "colour table": (*variant.colour_tables, *builtin_tables()),
    }
    if name.sort in groups:
        known = list(groups[name.sort])
        listed = _choice("there are", known) if known else ""
        if name.sort in ("harness", "zone", "structure", "option"):
            declare = f"declare it: `{name.sort} {name.name} \"...\"`"
            return f"{declare}; {listed}" if listed else declare
        return listed or "declare it"
    if name.sort.startswith(("cavity of ", "core of cable ", "half of ", "position of ", "terminal or part of ")):
        owner = name.sort.rpartition(" ")[2]
        return _choice("there are", _inside(variant, name.sort, owner)) or "declare it, or take the name out"
    if name.sort.endswith((" to omit", " to replace", " to extend")):
        return "take the name out, or write it as in the fragment"
    return "name a component with positions" if name.sort == "switch" else "declare it, or take the name out"


def _inside(variant: Variant, sort: str, owner: str) -> list[str]:
    if sort.startswith("core"):
        cable = variant.cables.get(owner)
        return list(cable.cores) if cable else []
    if owner in variant.connectors:
        connector = variant.connectors[owner]
        return [half for half in connector.halves if half] if sort.startswith("half") else list(connector.cavities)
    device = variant.devices.get(owner)
    if device is None:
        return []
    if sort.startswith("position"):
        return list(device.positions)
    return list(dict.fromkeys((*device.terminals, *(part.label for part in device.parts if part.label))))


def _choice(words: str, names: list[str]) -> str:
    """`there are: a, b, c`, or nothing when there are none or too many to read."""
    return f"{words} {', '.join(names)}" if 0 < len(names) <= MOST_SHOWN else ""
