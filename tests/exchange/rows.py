"""What a source says, read off the model: for comparing with lists, cell by cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from compiler.exchange.drafting import Wanted
from compiler.exchange.imported import Imported, import_wire_list
from compiler.exchange.proof import read_back
from compiler.exchange.wirelist import File
from compiler.model.items import End, Wire
from compiler.model.variant import Variant

HEADINGS = "wire circuit from_item from_cavity to_item to_cavity colour csa_mm2 length_mm".split()


class ModelRow(NamedTuple):
    """A wire of the model in the terms of a list; None and empty where not known. Length in millimetres."""

    wire: str
    circuit: str
    a: tuple[str, str]
    b: tuple[str, str]
    colour: str | None
    size: str | None
    length_mm: float | None


def as_csv(rows: Iterable[Sequence[str]], headings: Sequence[str] = HEADINGS, delimiter: str = ",") -> bytes:
    """A CSV file as bytes."""
    text = io.StringIO()
    writer = csv.writer(text, delimiter=delimiter, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerow(headings)
    writer.writerows(rows)
    return text.getvalue().encode()


def imported(wires: bytes, items: bytes | None = None, fuses: bytes | None = None, colours: str = "german") -> Imported:
    """A source made of lists."""
    return import_wire_list(
        File("wires.csv", wires),
        File("items.csv", items) if items is not None else None,
        File("fuses.csv", fuses) if fuses is not None else None,
        Wanted("V1", "Imported", "main", colours),
    )


def variant_of(text: str) -> Variant:
    """The model of a source that is read and assembled without findings."""
    assembled = read_back(text)
    assert assembled.findings == ()
    assert assembled.colour_problems == ()
    assert assembled.variant is not None
    assert assembled.variant.unresolved == ()
    return assembled.variant


def model_rows(text: str) -> list[ModelRow]:
    """Every wire of a source."""
    variant = variant_of(text)
    return [_row(wire) for wire in variant.wires]


def _row(wire: Wire) -> ModelRow:
    length = None if wire.length_m is None else round(wire.length_m * 1000, 6)
    size = str(wire.size) if wire.size else None
    return ModelRow(wire.segment, wire.circuit, _end(wire.a), _end(wire.b), wire.colour, size, length)


def _end(end: End) -> tuple[str, str]:
    if end.point is None:
        assert end.problem == "not-known"
        return ("", "")
    return (end.point.item, end.point.terminal)
