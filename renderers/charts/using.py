"""How to use the pack: finding, following, isolating, reading its signs."""

from __future__ import annotations

import re
from collections.abc import Iterator

from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Bullets, Group, Leaf, Paragraph
from renderers.swatches import wire_colour
from renderers.tables import Column, Row, Run, Table, cell
from renderers.text import NOT_GIVEN, NOT_KNOWN, anchor, natural_key
from renderers.worked import worked

# One line a point; `[words|section]` leads to a section.
_FIND = """
You know its name: look in the [alphabetical index|index].
You have its id, or the number of a circuit: the second and third part of the index go by these.
You see a wire: find its colour under [colour codes|colours], and there the circuits that wear it.
You see a fuse: its slot is in the [fuse charts|fuses], with everything it feeds.
You see a sign on a sheet that you do not know: it is among the [symbols|symbols].
You stand at the vehicle: [component locations|locations] lists what sits in each zone.
"""
_FOLLOW = """
Start on the [wiring sheet|sheets] that the index gives. Supply is at the top, ground at the bottom.
A wire is named by circuit and segment{example}. The segment changes at connectors and splices.
Where a wire leaves a sheet, an arrow names the sheet where it goes on.
At a connector, the [connector chart|connectors] shows both halves of each cavity and where the wire on each half ends.
How a fuse is supplied is in the [power distribution|power]; what a ground takes, in the [ground distribution|returns].
What else hangs on the same fuse is in the [fuse charts|fuses]; on the same ground, in the [ground index|grounds].
"""
# Order of work as in the six-step method of NEETS module 19, in our own words.
_ISOLATE = """
Verify the complaint yourself.
Look for related symptoms: what else fails, and what still works?
List the probable causes: what do the failing parts share? A fuse, a ground, a splice, a connector?
Localise: test first where the reading divides the causes well and access is easy.
Isolate the fault to one wire, contact or part.
Repair it, then verify again that everything on the same fuse and ground works.
"""
_CHARTED = """
Look first under [fault isolation|isolation]: where the complaint or trouble code has a chart of its own, go by that.
"""
_SCREEN = """
Choose a wire, or a row of a chart: its circuit lights up on every sheet and in every chart. Esc puts it out.
Press / to search by name, number, circuit or wire. Press ? for all keys.
The pack needs no network and no server. The browser’s print command prints the section that is open.
"""
_SIGNS = (
    (NOT_GIVEN, "The sources of this pack do not give it. It is not a value of zero, and it does not mean “none”."),
    ("(empty)", "There is none: no fuse in front, no ground wire, no bus."),
    (NOT_KNOWN, "The author looked for it and could not find out."),
    ("spare", "No wire in this half of the cavity, and none is meant to be."),
    ("plugged", "A blind plug closes the cavity. Leave it in."),
    ("no wire", "This half has no wire and is not marked spare. Tell the author."),
    ("mm², AWG, SAE", "Three systems of wire size. A size stands in its own and is never turned into another."),
    ("Access, min", "The usual time in minutes to reach a point, starting from a closed vehicle."),
    ("≈", "Before a load: one of the loads in it has no given rating and is counted at a usual value."),
    ("Sheet 12, 12 (2) C4", "Sheet 12; zone C4 of the frame of its second page. Each series numbers its sheets anew."),
    ("22 C4+E2", "Sheet 22, drawn at two places: in zone C4 and in zone E2 of its frame."),
    ("p. 12", "A page of this pack on paper: it stands at the foot of every page, and is never a sheet’s number."),
)  # fmt: skip
_LINK = re.compile(r"\[([^|\]]+)\|([a-z]+)\]")


def _points(text: str, *, numbered: bool = False) -> Bullets:
    return Bullets(tuple(tuple(_runs(line)) for line in text.strip().splitlines()), numbered)


def _runs(line: str) -> list[Run]:
    runs: list[Run] = []
    at = 0
    for match in _LINK.finditer(line):
        if match.start() > at:
            runs.append(Run(line[at : match.start()]))
        runs.append(Run(match[1], anchor("section", match[2]), page=True))
        at = match.end()
    if at < len(line):
        runs.append(Run(line[at:]))
    return runs


def _signs(context: PackContext) -> Table:
    columns = (Column("sign", "Sign", "id", 40), Column("meaning", "Meaning", "text", 140))
    signs = list(_SIGNS)
    at = next(place for place, (sign, _) in enumerate(signs) if sign.startswith("mm²"))
    signs[at:at] = _two_coloured(context)
    return Table("signs", "", columns, tuple(Row((cell(sign), cell(meaning))) for sign, meaning in signs))


def _two_coloured(context: PackContext) -> Iterator[tuple[str, str]]:
    """The colour code of the first wire with one tracer, explained; none where no wire has one."""
    for wire in sorted(context.variant.wires, key=lambda wire: natural_key(wire.id)):
        colour = wire_colour(wire.colour, context.variant.colours) if wire.colour else None
        if wire.colour and colour and colour.tracer and not colour.second:
            words = f"Base colour {colour.base.name}, tracer {colour.tracer.name}."
            yield wire.colour, f"{words} A second tracer follows a second slash."
            return


def _example(context: PackContext) -> str:
    """A wire of this variant whose name shows its circuit and segment, so that the example is true of it."""
    for circuit in sorted(context.variant.circuits, key=natural_key):
        for wire in context.variant.wires_of_circuit(circuit)[1:]:
            if wire.segment and wire.id == f"{circuit}{wire.segment}":
                return f": {wire.id} is segment {wire.segment} of circuit {circuit}"
    return ""


def _lookup(context: PackContext) -> tuple[Leaf, ...]:
    """A lookup worked through on a load of this variant: from its name to its fuse, its ground and its cavities."""
    found = worked(context)
    return (Bullets(found, numbered=True),) if found else ()


def _build(context: PackContext) -> Blocks:
    title = context.variant.header.title or context.variant.id
    lead = (
        f"This pack is the wiring section for {title}. Its charts and sheets are made from one source, so that they"
        " agree with each other. If the pack and the vehicle differ, trust the vehicle and tell the author."
    )
    groups: tuple[tuple[str, Leaf], ...] = (
        ("Find a component", _points(_FIND)),
        *(("A lookup, worked through", leaf) for leaf in _lookup(context)),
        ("Follow a circuit", _points(_FOLLOW.replace("{example}", _example(context)), numbered=True)),
        ("Isolate a fault", _points((_CHARTED if _charted(context) else "") + _ISOLATE.lstrip(), numbered=True)),
        ("Signs and words", _signs(context)),
        ("On screen", _points(_SCREEN)),
    )
    return (
        Paragraph((Run(lead),)),
        *(Group(anchor("using", title), title, (block,)) for title, block in groups),
    )


def _charted(context: PackContext) -> bool:
    """Whether the pack may have fault charts."""
    variant, wish = context.variant, context.around.faults
    declared = bool(variant.trouble_codes) or any(scenario.kind == "complaint" for scenario in variant.scenarios)
    return wish == "loads" or (wish == "source" and declared)


CHART = Chart(20, "using", "How to use this pack", _build)
