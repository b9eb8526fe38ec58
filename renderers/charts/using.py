"""How to use the pack: finding, following, reading."""

from __future__ import annotations

from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Bullets, Group, Paragraph
from renderers.tables import Run
from renderers.text import NOT_GIVEN, NOT_KNOWN, anchor


def _to(text: str, section: str) -> Run:
    return Run(text, anchor("section", section), page=True)


def _line(*pieces: str | Run) -> tuple[Run, ...]:
    return tuple(piece if isinstance(piece, Run) else Run(piece) for piece in pieces)


_FIND = Bullets(
    (
        _line("You know its name: look in the ", _to("alphabetical index", "index"), "."),
        _line("You have its number, or the number of a circuit: the second half of the index goes by number."),
        _line("You see a wire: find its colour under ", _to("colour codes", "colours"), " and the circuits that use it."),
        _line("You see a fuse: its slot is in the ", _to("fuse chart", "fuses"), ", with everything it feeds."),
        _line("You stand at the vehicle: the ", _to("locations", "locations"), " list what sits in each zone."),
    )
)

_FOLLOW = Bullets(
    (
        _line("Start on the ", _to("wiring sheet", "sheets"), " that the index gives. Supply is at the top, ground at the bottom."),
        _line("A wire is named by its circuit and its segment: 48B is segment B of circuit 48. The circuit stays the same from"
              " end to end; the segment changes at every connector and splice."),
        _line("Where a wire leaves a sheet, an arrow names the sheet and circuit where it goes on."),
        _line("At a connector, the ", _to("connector chart", "connectors"), " shows both halves of each cavity and where the wire"
              " on each half ends."),
        _line("For what else hangs on the same fuse, see the fuse chart; on the same ground, the ", _to("ground index", "grounds"), "."),
    ),
    numbered=True,
)  # fmt: skip

_READ = Bullets(
    (
        _line(f"{NOT_GIVEN}  The sources of this pack do not give it. It is not a value of zero, and it is not “none”."),
        _line(f"{NOT_KNOWN}  The author looked and could not find out."),
        _line("spare  No wire in this half of the cavity, and none is meant to be."),
        _line("plugged  A blind plug closes the cavity. Leave it in."),
        _line("no wire  This half has no wire though the other half may have one. Report it to the author."),
        _line("BK/WH  Base colour black, tracer white. A second tracer follows a second slash."),
        _line("Sizes stand in the system they are marked in: mm², AWG or SAE numbers. One is never turned into another."),
        _line("Access is the usual time in minutes to reach a point, from a closed vehicle."),
    )
)

_STEPS = Bullets(
    (
        _line("Verify the complaint yourself."),
        _line("Look for related symptoms: what else fails, and what still works?"),
        _line("List the probable causes: what do the failing parts share (fuse, ground, splice, connector)?"),
        _line("Localise: test first where the reading divides the causes well and access is easy."),
        _line("Isolate the fault to one wire, contact or part."),
        _line("Repair it, then verify again that everything on the same fuse and ground works."),
    ),
    numbered=True,
)

_SCREEN = Bullets(
    (
        _line("Choose a wire, or a row of a chart, and its circuit lights up on every sheet and in every chart. Esc puts it out."),
        _line("Press / to search by name, number, circuit or wire. Press ? for all keys."),
        _line("The pack needs no network and no server. Print prints the section that is open."),
    )
)


def _build(context: PackContext) -> Blocks:
    title = context.variant.header.title or context.variant.id
    lead = (
        f"This pack is the wiring section for {title}. Its charts and sheets are made from one source,"
        " so that they agree with each other. If the pack and the vehicle differ, trust the vehicle and tell the author."
    )
    groups = (
        ("Find a component", _FIND),
        ("Follow a circuit", _FOLLOW),
        ("Isolate a fault", _STEPS),
        ("Signs and words", _READ),
        ("On screen", _SCREEN),
    )
    return (
        Paragraph((Run(lead),)),
        *(Group(anchor("using", title), title, (block,)) for title, block in groups),
    )


CHART = Chart(20, "using", "How to use this pack", _build)
