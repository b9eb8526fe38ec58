"""`loomwright trace`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from compiler.circuit.trace import Step


@click.command("trace")
@click.argument("variant", type=click.Path(path_type=Path))
@click.argument("start", metavar="FROM")
@click.argument("end", metavar="[TO]", required=False)
@click.option("--format", "form", type=click.Choice(["terminal", "json"]), default="terminal", show_default=True)
def command(variant: Path, start: str, end: str | None, form: str) -> int:
    """Follow a circuit of VARIANT from FROM to TO, or to everything joined to FROM, cavity by cavity."""
    from compiler.assembly.assemble import assemble
    from compiler.assembly.library import Library
    from compiler.assembly.project import find_project
    from compiler.circuit.graph import Graph
    from compiler.circuit.names import UnknownPlaceError
    from compiler.circuit.trace import trace
    from loomwright.reports.clean import visible

    model = assemble(Library(find_project(variant)), variant).variant
    if model is None:
        raise click.ClickException(f"{variant.name} has no variant")
    try:
        found = trace(model, Graph(model), start, end)
    except UnknownPlaceError as error:
        raise click.UsageError(str(error)) from error
    rows = [_row(step) for leg in found.legs for step in leg.steps]
    if form == "json":
        click.echo(json.dumps({"from": start, "to": end, "steps": rows}, indent=2))
    elif not rows:
        click.echo(f"no way from {start}" + (f" to {end}" if end else ""))
    for row in rows if form == "terminal" else ():
        facts = "  ".join(value for key, value in row.items() if key not in ("from", "to") and value)
        click.echo(visible(f"{row['from']} -> {row['to']}  {facts}"))
    return 0


def _row(step: Step) -> dict[str, Any]:
    wire = step.wire
    return {
        "from": step.start.name,
        "to": step.end.name,
        "what": step.what.value,
        "wire": wire.id if wire else "",
        "size": str(wire.size) if wire and wire.size else "",
        "colour": (wire.colour or "") if wire else "",
        "length": f"{wire.length_m:g} m" if wire and wire.length_m is not None else "",
        "sheets": "sheet " + ", ".join(step.sheets) if step.sheets else "",
        "place": step.end.place,
    }
