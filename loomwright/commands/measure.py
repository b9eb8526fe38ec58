"""`loomwright measure`."""

from __future__ import annotations

import sys
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loomwright.commands.output import colour_option, format_option, look

if TYPE_CHECKING:
    from compiler.network.faults import Fault
    from compiler.network.network import Network


@click.command("measure")
@click.argument("variant", type=click.Path(path_type=Path))
@click.argument("places", metavar="[AT]...", nargs=-1)
@click.option("--state", "states", multiple=True, metavar="NAME", help="Set what a state of the source sets.")
@click.option("--set", "settings", multiple=True, metavar="NAME=POSITION", help="Move a switch, hold a relay.")
@click.option("--open", "opens", multiple=True, metavar="PLACE", help="Plant an open.")
@click.option("--short", "shorts", multiple=True, metavar="PLACE", help="Plant a short: across a load, else to ground.")
@click.option("--ohms", "resistances", multiple=True, metavar="PLACE=OHM", help="Plant a resistance in line.")
@click.option(
    "--between", nargs=2, multiple=True, metavar="PLACE PLACE", help="Read ohms between two places, power off."
)
@click.option("--fuses-hold", is_flag=True, help="Leave fuses whole, whatever they carry.")
@click.option("--temperature", type=click.FloatRange(-60, 200), default=20.0, metavar="C", help="Of the conductors.")
@format_option("readings are")
@colour_option
def command(
    variant: Path,
    places: tuple[str, ...],
    states: tuple[str, ...],
    settings: tuple[str, ...],
    opens: tuple[str, ...],
    shorts: tuple[str, ...],
    resistances: tuple[str, ...],
    between: tuple[tuple[str, str], ...],
    fuses_hold: bool,
    temperature: float,
    form: str,
    colour: str,
) -> int:
    """Show what a meter reads.

    AT is a cavity (each half is read), a terminal, a component, a wire, a splice or a circuit of VARIANT. Without
    AT: what the sources give, the fuses carry and which relays are in. What is not set is at rest; --set counts
    after --state. A place that nothing ties to the battery reads `floating`. A fuse that carries twice its rating
    opens, and what is read is read after that.
    """
    from compiler.network.measure import measure
    from compiler.network.network import CannotSolve
    from compiler.network.settle import settle
    from compiler.network.state import find_state, settings_of, state_of
    from loomwright.errors import CannotRun

    if isnan(temperature):
        raise CannotRun("--temperature: give a number of degrees Celsius from -60 to 200")
    network = _network(variant, temperature)
    try:
        made = [setting for name in states for setting in settings_of(find_state(network.variant, name).set)]
        state = state_of(network, [*made, *(_pair(text, "NAME=POSITION") for text in settings)])
        faults = _faults(opens, shorts, resistances)
        settled = settle(network, state, faults, thorough=True, fuses_hold=fuses_hold)
        measured = measure(network, settled, places, between)
    except CannotSolve as error:
        raise CannotRun(str(error)) from error
    if form == "json":
        from loomwright.reports.measured import measured_json

        sys.stdout.write(measured_json(network.variant, measured))
    else:
        from loomwright.reports.measured import write_measured

        write_measured(measured, sys.stdout, look(sys.stdout, colour))
    return 0


def _network(path: Path, temperature: float) -> Network:
    """The network of the variant in a file. What is wrong in the source is told, and measured round."""
    from compiler.circuit.graph import Graph
    from compiler.network.network import Network
    from compiler.network.world import World
    from loomwright.commands.models import model_of

    model = model_of(path, "measured")
    return Network(Graph(model), World(model.header.supply_v, temperature))


def _faults(opens: tuple[str, ...], shorts: tuple[str, ...], resistances: tuple[str, ...]) -> list[Fault]:
    from compiler.network.faults import Fault, FaultSort

    faults = [Fault(FaultSort.OPEN, place) for place in opens]
    faults += [Fault(FaultSort.SHORT, place) for place in shorts]
    for text in resistances:
        place, value = _pair(text, "PLACE=OHM")
        faults.append(Fault(FaultSort.RESISTANCE, place, _ohm(value)))
    return faults


def _pair(text: str, form: str) -> tuple[str, str]:
    from loomwright.errors import CannotRun

    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise CannotRun(f"{text}: write it as {form}")
    return name.strip(), value.strip()


def _ohm(text: str) -> float:
    """A resistance in ohm: `5`, `5 ohm`, `200 mohm`."""
    from compiler.units import read_quantity
    from loomwright.errors import CannotRun

    for form in (text, f"{text} ohm"):
        try:
            quantity = read_quantity(form)
        except ValueError:
            continue
        if quantity.dimension == "resistance" and quantity.value >= 0:
            return quantity.value
    raise CannotRun(f"{text}: not a resistance; write for example 5, 200 mohm or 1.5 kohm")
