"""Cells that many charts share, so that one fact reads the same on every page."""

from __future__ import annotations

from collections.abc import Iterable

from compiler.model.items import Connector, Device, End, Located, Point, Wire
from compiler.network.summary import FuseLoad, Load
from compiler.standards.sizes import Size
from renderers.context import PackContext
from renderers.loads import ABOUT, OVER
from renderers.swatches import wire_swatch
from renderers.tables import Cell, Run, cell, listed, runs_cell
from renderers.text import NOT_GIVEN, NOT_KNOWN, anchor, exact, natural_key, number


def absent(known_unknown: bool = False) -> Cell:
    """The cell of a fact that the sources do not give (dash) or say is not known (question mark)."""
    return cell(NOT_KNOWN if known_unknown else NOT_GIVEN, mark="absent")


def or_absent(text: str) -> Cell:
    """The text, or the dash of what is not given."""
    return cell(text) if text else absent()


def item_runs(context: PackContext, item: str, *, named: bool = False) -> tuple[Run, ...]:
    """An item by id, linked to where it is described; with its name beside it if asked."""
    runs = (Run(item, context.home(item)),)
    found = context.variant.items.get(item)
    return (*runs, Run(f" {found.title}", muted=True)) if named and found and found.title else runs


def items_cell(context: PackContext, items: Iterable[Located], *, named: bool = True) -> Cell:
    """Several items as a list."""
    return runs_cell(listed(item_runs(context, item.id, named=named) for item in items))


def circuit_runs(context: PackContext, circuit: str, *, named: bool = False) -> tuple[Run, ...]:
    """A circuit by number, with its title if asked."""
    runs = (Run(circuit, anchor("circuit", circuit)),)
    found = context.variant.circuits.get(circuit)
    return (*runs, Run(f" {found.title}", muted=True)) if named and found and found.title else runs


def circuits_cell(context: PackContext, circuits: Iterable[str], *, named: bool = True) -> Cell:
    """Several circuits as a list, each once, sorted."""
    ids = sorted(set(circuits), key=natural_key)
    return runs_cell(listed(circuit_runs(context, circuit, named=named) for circuit in ids))


def sheets_cell(sheets: Iterable[str]) -> Cell:
    """Sheet numbers, linked."""
    return runs_cell(listed((Run(sheet, anchor("sheet", sheet)),) for sheet in sheets))


def harness_cell(context: PackContext, name: str) -> Cell:
    """A harness by its title, without the word that heads the column."""
    harness = context.variant.harnesses.get(name)
    return cell(harness.title.removesuffix(" harness") or harness.id) if harness else absent()


def wire_cell(wire: Wire) -> Cell:
    """A wire's id, linked to its row in the wire list."""
    return cell(wire.id, anchor("wire", wire.id))


def colour_cell(context: PackContext, wire: Wire) -> Cell:
    """A wire's colour code with its swatch."""
    if wire.colour is None:
        return absent("colour" in wire.unknown)
    return Cell((Run(wire.colour),), wire_swatch(wire.colour, context.variant.colours))


def size_text(size: Size) -> str:
    """A size as printed, in the system it was written in."""
    return f"{size.name} mm²" if size.system == "mm2" else str(size)


def size_cell(wire: Wire) -> Cell:
    """A wire's size."""
    return absent("size" in wire.unknown) if wire.size is None else cell(size_text(wire.size))


def length_cell(wire: Wire) -> Cell:
    """A wire's length in metres."""
    return absent("length" in wire.unknown) if wire.length_m is None else cell(exact(wire.length_m))


def point_runs(context: PackContext, point: Point, *, named: bool = True) -> tuple[Run, ...]:
    """A point: the cavity of a connector linked to its row, anything else to where the item is described."""
    item = context.variant.items.get(point.item)
    if isinstance(item, Connector):
        run = Run(str(point), anchor("cavity", str(point)))
        if item.device in context.variant.devices:
            item = context.variant.devices[item.device]
    else:
        run = Run(str(point), context.home(point.item))
    return (run, Run(f" {item.title}", muted=True)) if named and item and item.title else (run,)


def end_cell(context: PackContext, end: End, *, named: bool = True) -> Cell:
    """A wire end. An end that cannot be placed is printed as written: the checks say why, a page does not guess."""
    if end.point is not None:
        return runs_cell(point_runs(context, end.point, named=named))
    if end.problem == "not-known":
        return absent(known_unknown=True)
    return cell(end.written.text, mark="absent")


def other_end(wire: Wire, point: Point) -> End:
    """The end of a wire that is not at a point; of a wire from a point to itself, the second."""
    return wire.b if wire.a.point == point else wire.a


def place_cell(context: PackContext, item: Located) -> Cell:
    """Where an item sits, in words; a part of a fuse block where the block sits."""
    held = context.place_of(item)
    words = context.variant.place_of(held)
    if not words:
        return absent()
    zone = held.place.zone if held.place else ""
    lead = f"{held.id}, " if held is not item and not _carries(held, item) else ""
    return runs_cell((*((Run(lead, ""),) if lead else ()), Run(words, anchor("zone", zone))))


def _carries(held: Located, item: Located) -> bool:
    return isinstance(held, Device) and item.id in held.connectors


def access_cell(context: PackContext, item: Located) -> Cell:
    """Minutes of dismantling to reach an item."""
    place = context.place_of(item).place
    if place is None or place.access_min is None:
        return absent()
    return cell(number(place.access_min))


def load_cell(load: Load | None) -> Cell:
    """A load in amperes; a dash where nothing is reckoned."""
    if load is None or not load.known:
        return absent()
    machine = f" ({load.machine})" if load.machine else ""
    return cell(f"{ABOUT if load.assumed else ''}{amperes(load.amperes)}{machine}")


def margin_cell(load: FuseLoad | None) -> Cell:
    """What the rating leaves, in amperes, marked where it leaves less than nothing; a dash where either is not
    known."""
    if load is None or load.margin_a is None or not load.rating_a:
        return absent()
    return cell(f"{amperes(load.margin_a).replace('-', '−')}{f' {OVER}' if is_over(load) else ''}")


def is_over(load: FuseLoad) -> bool:
    """Whether a load is above the rating, by what is printed of it."""
    return load.margin_a is not None and amperes(load.margin_a).startswith("-")


def load_notes(loads: Iterable[FuseLoad | None]) -> tuple[str, ...]:
    """What a table says of marks at the loads in it."""
    known = [load for load in loads if load is not None]
    notes = []
    if any(is_over(load) for load in known):
        notes.append(
            f"{OVER} All that hangs behind this fuse can together draw more than its rating. With all of it on for long"
            " the fuse may open, and nothing need be wrong with the wires."
        )
    charging = [load for load in known if load.load.machine]
    if any(load.load.known for load in charging):
        notes.append(
            "An alternator in brackets: the figure is its rated output, which passes here on its way to the battery."
        )
    notes += [
        f"{load.device.id} carries the charging current of {load.load.machine}, whose rated output is not given."
        for load in charging
        if not load.load.known
    ]
    return tuple(notes)


def amperes(value: float) -> str:
    """Amperes to a tenth, small ones to a hundredth: ratings carry no more."""
    digits = 0 if abs(value) >= 99.95 else 1 if abs(value) >= 0.995 else 2
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def basis_runs() -> tuple[Run, ...]:
    """Where it is said on what loads are reckoned."""
    return (
        Run(" Loads are reckoned as said in the "),
        Run("fuse charts", anchor("section", "fuses"), page=True),
        Run("."),
    )
