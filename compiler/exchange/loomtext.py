"""A draft as the text of a source, in canonical layout."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from compiler.exchange.draft import (
    Draft,
    DraftCable,
    DraftCircuit,
    DraftConnector,
    DraftDevice,
    DraftFuse,
    DraftJoint,
    DraftSheet,
    DraftWire,
)
from compiler.exchange.problems import WireListError
from grammar.limits import FILE_SIZE, FORBIDDEN
from grammar.source import Source

FUSE_BLOCK = "FUSES"
_PER_LINE = 12  # names on one line of a list
_UNIT = re.compile(r"[A-Za-z%°²0-9]+")


def quoted(text: str) -> str:
    """A text in quotes. What has no place in a source (controls, marks that turn the direction) becomes a blank."""
    plain = " ".join(FORBIDDEN.sub(" ", text).split())
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def loom_text(draft: Draft) -> str:
    """The source that says what the draft says, formatted. Raises WireListError when it would be too large for one."""
    from grammar.formatter import format_text

    text = "\n".join(_lines(draft)) + "\n"
    if len(text.encode()) > FILE_SIZE:
        raise WireListError(f"the source would be larger than {FILE_SIZE // 1024 // 1024} MiB; divide the list")
    return format_text(Source("imported", text))


def _lines(draft: Draft) -> Iterator[str]:
    for line in draft.comment:
        yield f"# {' '.join(FORBIDDEN.sub(' ', line).split())}".rstrip()
    if draft.comment:
        yield ""
    yield f"variant {draft.variant} {quoted(draft.title)} {{"
    yield f"  colours {draft.colours}"
    yield from _notes(draft.notes)
    yield "}"
    yield f"harness {draft.harness} {quoted('All wires of the list')}"
    yield ""
    for joint in draft.joints:
        yield _joint(joint, draft.harness)
    yield ""
    for device in draft.devices:
        yield from _device(device)
    if draft.fuses:
        yield ""
        yield f"fuse-block {FUSE_BLOCK} {quoted('Fuses of the list; what they feed is not given')} {{"
        for fuse in draft.fuses:
            yield _fuse(fuse)
        yield "}"
    for cable in draft.cables:
        yield ""
        yield from _cable(cable, draft.harness)
    for circuit in draft.circuits:
        yield ""
        yield from _circuit(circuit, draft.harness)
    yield ""
    for sheet in draft.sheets:
        yield from _sheet(sheet)


def _notes(notes: Iterable[str]) -> Iterator[str]:
    for note in notes:
        yield f"  note {quoted(note)}"


def _with_notes(line: str, notes: Sequence[str]) -> str:
    return " ".join([line, *(f"note {quoted(note)}" for note in notes)])


def _titled(line: str, title: str) -> str:
    return f"{line} {quoted(title)}" if title else line


def _joint(joint: DraftJoint, harness: str) -> str:
    line = _titled(f"{joint.kind} {joint.id}", joint.title)
    return _with_notes(f"{line} in {harness}" if joint.kind == "splice" else line, joint.notes)


def _device(device: DraftDevice) -> Iterator[str]:
    head = _titled(f"{device.kind} {device.id}", device.title)
    if not (device.terminals or device.connectors or device.notes):
        yield head
        return
    yield f"{head} {{"
    for connector in device.connectors:
        yield from _connector(connector)
    for line in terminal_lines(device.terminals):
        yield f"  terminals {line}"
    yield from _notes(device.notes)
    yield "}"


def _connector(connector: DraftConnector) -> Iterator[str]:
    head = f"  connector {connector.id} {len(connector.cavities)} cavities"
    body = []
    if connector.numbered:
        body += [f"numbered {line}" for line in name_lines(connector.cavities)]
    if connector.doubled:
        body += [f"doubled {line}" for line in name_lines(connector.doubled)]
    if connector.rest_spare:
        body.append("spare rest")
    body += [line.strip() for line in _notes(connector.notes)]
    if not body:
        yield head
        return
    yield f"{head} {{"
    for line in body:
        yield f"    {line}"
    yield "  }"


def runs(names: Sequence[str]) -> list[str]:
    """Names with whole numbers that follow each other drawn together: 1 2 3 4 7 is `1..4` and `7`."""
    found: list[str] = []
    start = 0
    while start < len(names):
        stop = start + 1
        while stop < len(names) and _follows(names[stop - 1], names[stop]):
            stop += 1
        run = names[start:stop]
        found += [f"{run[0]}..{run[-1]}"] if len(run) > 2 else list(run)
        start = stop
    return found


def _follows(first: str, second: str) -> bool:
    whole = all(name.isascii() and name.isdigit() and name == str(int(name)) for name in (first, second))
    return whole and int(second) == int(first) + 1 and int(second) < 1000


def name_lines(names: Sequence[str]) -> Iterator[str]:
    """Names as lists for several lines of a source."""
    drawn = runs(names)
    for start in range(0, len(drawn), _PER_LINE):
        yield " ".join(drawn[start : start + _PER_LINE])


def terminal_lines(names: Sequence[str]) -> Iterator[str]:
    """As `name_lines`, for a list in which a number before a unit (`3` before `A`) would be read as a quantity."""
    line: list[str] = []
    for name in runs(names):
        if line and (len(line) == _PER_LINE or _would_join(line[-1], name)):
            yield " ".join(line)
            line = []
        line.append(name)
    if line:
        yield " ".join(line)


def _would_join(first: str, second: str) -> bool:
    return first[-1].isdigit() and not second.isdigit() and _UNIT.fullmatch(second) is not None


def _fuse(fuse: DraftFuse) -> str:
    words = [_titled(f"  fuse {fuse.id}", fuse.title), fuse.rating, fuse.type]
    return _with_notes(" ".join(word for word in words if word), fuse.notes)


def _cable(cable: DraftCable, harness: str) -> Iterator[str]:
    yield f"cable {cable.id} in {harness} {{"
    for core in cable.cores:
        yield f"  core {core.name} {core.size or 'size ?'} {core.colour or 'colour ?'}"
    yield from _notes(cable.notes)
    yield "}"


def _circuit(circuit: DraftCircuit, harness: str) -> Iterator[str]:
    """A circuit; what most of its wires share stands on its line."""
    size = _shared(wire.size for wire in circuit.wires if not wire.core)
    colour = _shared(wire.colour for wire in circuit.wires if not wire.core)
    yield " ".join(word for word in (f"circuit {circuit.id}", size, colour, f"in {harness}") if word) + " {"
    for wire in circuit.wires:
        yield _with_notes(_wire(wire, size, colour), wire.notes)
    yield from _notes(circuit.notes)
    yield "}"


def _shared(values: Iterable[str | None]) -> str | None:
    """The value that all wires have, or that most of them have if it is the only one given."""
    counts = Counter(values)
    given = [value for value in counts if value is not None]
    return given[0] if len(given) == 1 else None


def _wire(wire: DraftWire, size: str | None, colour: str | None) -> str:
    """A wire line. What is not known is said to be so; what the circuit or the core gives is not said again."""
    words = [f"  {wire.segment} {wire.a} -- {wire.b}"]
    for name, own, shared in (("size", wire.size, size), ("colour", wire.colour, colour)):
        if own is None:
            words.append(f"{name} ?")
        elif own != shared and not wire.core:
            words.append(own)
    words.append(wire.length or "length ?")
    if wire.core:
        words.append(f"core {wire.core}")
    if wire.type:
        words.append(f"type {wire.type}")
    return " ".join(words)


def _sheet(sheet: DraftSheet) -> Iterator[str]:
    yield f"sheet {sheet.id} {quoted(sheet.title)} {{"
    for start in range(0, len(sheet.circuits), 4):
        yield f"  circuits {' '.join(sheet.circuits[start : start + 4])}"
    yield "}"
