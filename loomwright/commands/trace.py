"""`loomwright trace`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from loomwright.commands.output import colour_option, format_option, look


@click.command("trace")
@click.argument("variant", type=click.Path(path_type=Path))
@click.argument("start", metavar="FROM")
@click.argument("end", metavar="[TO]", required=False)
@format_option("the way is")
@colour_option
def command(variant: Path, start: str, end: str | None, form: str, colour: str) -> int:
    """Follow a circuit of VARIANT, cavity by cavity, across connectors and sheets.

    FROM and TO are a terminal or cavity (K7.87, C40.7, or C40.7@body for one half), a component, splice, ground, wire
    (48B) or circuit (48). With TO: the way between the two, contacts taken as closed; exit code 1 when there is none.
    Without TO: all that is at one potential with FROM.
    """
    from compiler.circuit.graph import Graph
    from compiler.circuit.names import UnknownPlaceError
    from compiler.circuit.trace import trace
    from loomwright.commands.models import model_of
    from loomwright.errors import CannotRun

    model = model_of(variant, "traced")
    try:
        found = trace(model, Graph(model), start, end)
    except UnknownPlaceError as error:
        raise CannotRun(str(error)) from error
    if form == "json":
        from loomwright.reports.traced_json import traced_json

        sys.stdout.write(traced_json(model, found))
    else:
        from loomwright.reports.traced import write_trace

        colours, width = look(sys.stdout, colour)
        write_trace(found, sys.stdout, colour=colours, width=width)
    return 0 if found.legs else 1
