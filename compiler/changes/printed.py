"""Facts of an inventory as printed: quantities with their units, lists with blanks, a place in words."""

from __future__ import annotations

from collections.abc import Collection

from compiler.changes.change import TITLED
from compiler.changes.inventory import RATING, UNKNOWN, Record, Value
from compiler.changes.matching import text, texts
from compiler.changes.quantities import quantity_text

_QUOTED = frozenset({"title", "notes", "where", "reason"})
_LISTED = frozenset({"set", "seen", "cores", "twisted", "options"})


def printed(fact: str, value: Value | None) -> str:
    """A fact as printed; empty when it is not given."""
    if value is None:
        return ""
    if isinstance(value, float):
        return quantity_text(fact.removeprefix(RATING), value)
    if isinstance(value, str):
        if value == UNKNOWN:
            return "not known"
        return f'"{value}"' if fact in _QUOTED else value
    if fact in _QUOTED:
        return ", ".join(f'"{one}"' for one in value)
    if fact == "harnesses":
        return " -- ".join(value)
    return (", " if fact in _LISTED else " ").join(value)


def place_text(record: Record, *, worded: bool = True) -> str:
    """A place: zone, point, and with `worded` its words. Empty when there is none."""
    zone, point, where = (text(record, fact) for fact in ("zone", "point", "where"))
    if not worded:
        where = ""
    return " ".join(filter(None, (zone, f"({point})" if point else "", f'"{where}"' if where else "")))


def ratings_text(record: Record, only: Collection[str] | None = None) -> str:
    """The ratings of a component, by their names; with `only`, those facts among them."""
    names = sorted(name for name in record if name.startswith(RATING) and (only is None or name in only))
    return ", ".join(printed(name, record[name]) for name in names)


def wire_text(record: Record) -> str:
    """A wire as it would stand in a list: ends, size, colour, length, harness."""
    ends = f"{text(record, 'a')} -- {text(record, 'b')}"
    size, colour, harness = text(record, "size"), text(record, "colour"), text(record, "harness")
    length = printed("length", record.get("length"))
    facts = (f"{size} {colour}".strip(), length, f"in {harness}" if harness else "")
    return ", ".join(filter(None, (ends, *facts)))


def thing_text(sort: str, record: Record) -> str:
    """What is worth saying of a thing that came or went."""
    if sort == "wire":
        return wire_text(record)
    said = [ratings_text(record)]
    if sort == "device":
        said = [printed("size", record.get("size")), *said, text(record, "word type")]
        slot, bus = text(record, "word slot"), text(record, "bus")
        block = text(record, "block")
        said += [f"slot {slot}" if slot else "", f"in {block}" if block else "", f"from {bus}" if bus else ""]
    if sort == "connector":
        harnesses = texts(record, "harnesses")
        said = [f"{len(texts(record, 'cavities'))} cavities", " -- ".join(harnesses)]
    if sort in ("splice", "cable") and (harness := text(record, "harness")):
        said.append(f"in {harness}")
    if sort == "ground" and (structure := text(record, "structure")):
        said.append(f"on {structure}")
    if sort == "sheet":
        said = [("circuits " + " ".join(texts(record, "circuits"))).strip()]
    if sort in TITLED:
        settings = printed("set", texts(record, "set"))
        said = [
            f"{settings}: {printed('seen', texts(record, 'seen'))}"
            if settings
            else printed("seen", texts(record, "seen"))
        ]
    if sort == "trouble-code":
        said = [text(record, "subject"), text(record, "fault")]
    if sort == "twist":
        said = [printed("wires", texts(record, "wires"))]
    if sort == "colour" and (tracer := text(record, "tracer")):
        said.append(f"standard tracer {tracer}")
    if place := place_text(record):
        said.append(f"at {place}")
    return ", ".join(filter(None, said))
