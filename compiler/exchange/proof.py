"""The proof that a text says what its draft says: it is read back, assembled, and compared wire by wire."""

from __future__ import annotations

from pathlib import Path

from compiler.assembly.assemble import Assembled, assemble_parsed
from compiler.assembly.library import Library
from compiler.assembly.project import Project, Settings
from compiler.exchange.draft import Draft, DraftWire
from compiler.model.items import End, Point, Wire
from compiler.model.variant import Variant
from compiler.standards.sizes import read_size
from compiler.units import read_quantity
from grammar.parser import parse
from grammar.source import Source


class NotProved(Exception):  # noqa: N818 - says what is not so
    """The text does not say what the draft says. A mistake of ours, never of the list."""


def read_back(text: str) -> Assembled:
    """The model of a source that stands alone, and findings on the way."""
    root = Path("/")
    library = Library(Project(root, Settings()))
    return assemble_parsed(library, root / "imported.loom", parse(Source("imported.loom", text)))


def prove(draft: Draft, text: str) -> None:
    """Raises NotProved with the first thing that differs between the draft and the model of the text."""
    assembled = read_back(text)
    variant = assembled.variant
    if variant is None:
        raise NotProved("the text has no variant")
    for finding in assembled.findings:
        raise NotProved(f"the text is not clean: {finding.at}: {finding.says}")
    for problem in assembled.colour_problems:
        raise NotProved(f"the text has a colour that cannot be read: {problem.says}")
    for duplicate in variant.duplicates:
        raise NotProved(f"{duplicate.sort} {duplicate.id} is there twice")
    for missing in variant.unresolved:
        raise NotProved(f"{missing.sort} {missing.name} is not there")
    _compare(draft, variant)


def _compare(draft: Draft, variant: Variant) -> None:
    found = {(wire.circuit, wire.segment): wire for wire in variant.wires}
    expected = {(circuit.id, wire.segment): wire for circuit in draft.circuits for wire in circuit.wires}
    if list(found) != list(expected) or len(found) != len(variant.wires):
        raise NotProved("the wires are not those of the draft")
    for key, wanted in expected.items():
        said = told(found[key], variant)
        if said != _wanted(wanted):
            raise NotProved(f"wire {'-'.join(key)} says {said}, not {_wanted(wanted)}")
    ids = [item.id for item in draft.devices]
    ids += [connector.id for device in draft.devices for connector in device.connectors]
    ids += [item.id for item in draft.joints]
    ids += [item.id for item in draft.cables]
    ids += [item.id for item in draft.fuses]
    for item in ids:
        if item not in variant.items:
            raise NotProved(f"{item} is not there")
    for device in draft.devices:
        for connector in device.connectors:
            if variant.connectors[connector.id].cavities != connector.cavities:
                raise NotProved(f"connector {connector.id} has other cavities")


# Ends, size, colour, length in metres.
Told = tuple[str, str, str | None, str | None, float | None]


def told(wire: Wire, variant: Variant) -> Told:
    """What a wire of the model says, with ends as a source writes them."""
    a, b = (_end(end, variant) for end in wire.ends)
    return (a, b, str(wire.size) if wire.size else None, wire.colour, wire.length_m)


def _end(end: End, variant: Variant) -> str:
    point: Point | None = end.point
    if point is None:
        return "?" if end.problem == "not-known" else f"{end.written.text} ({end.problem})"
    return str(point) if point.item in variant.items else f"{point} (nowhere)"


def _wanted(wire: DraftWire) -> Told:
    size = read_quantity(wire.size) if wire.size else None
    length = read_quantity(wire.length).value if wire.length else None
    return (wire.a, wire.b, str(read_size(size.number, size.unit)) if size else None, wire.colour, length)
