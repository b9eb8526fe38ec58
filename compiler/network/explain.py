"""Why a place reads what it reads: the way to it, and where on that way the voltage was lost."""

from __future__ import annotations

from typing import NamedTuple

from compiler.model.items import Behaviour, Connector, Ground, Part, Wire
from compiler.network.elements import AT_REST
from compiler.network.expect import Outcome
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.trail import Step, feed_trail, return_trail
from grammar.source import Span

_MOST = 3
WORTH_V = 0.05  # a loss below this is no answer to anything
_HALF = 0.5
TOO_MUCH = ("dead", "out", "stopped", "silent", "at-rest", "below")


class Loss(NamedTuple):
    """A place where voltage was lost, or where it gets through: where it is written, and what is read there."""

    at: Span
    says: str


def why(meter: Meter, outcome: Outcome) -> list[Loss]:
    """Why an outcome is not as it was said: how current gets there if there is too much, else where voltage was
    lost."""
    if outcome.fact.words[0] in TOO_MUCH:
        return way_through(meter, outcome)
    return losses(meter, outcome) or way_through(meter, outcome)


def losses(meter: Meter, outcome: Outcome) -> list[Loss]:
    """Where on the ways to what an outcome is about the voltage was lost, the greatest loss first. Empty when it is
    not."""
    found: list[Step] = []
    for node, feed in ends_of(meter, outcome):
        found += feed_trail(meter, node) if feed else return_trail(meter, node)
    unique = {step.branch: step for step in found if step.is_open or step.lost >= WORTH_V}
    opens = [step for step in unique.values() if step.is_open]
    # What is open decides; what is merely lossy counts where nothing is.
    steps = opens or sorted(unique.values(), key=lambda step: -step.lost)
    return [_loss(meter, step) for step in steps[:_MOST]]


def way_through(meter: Meter, outcome: Outcome) -> list[Loss]:
    """The contacts and fuses by which current gets to a place that should have none."""
    found: list[Loss] = []
    for node, feed in ends_of(meter, outcome):
        steps = feed_trail(meter, node) if feed else []
        if any(step.is_open for step in steps):
            continue
        for step in steps:
            row = meter.network.branches[step.branch]
            if row.role in (Behaviour.CONTACT, Behaviour.DRIVER) or row.element.when:
                found.append(
                    Loss(_span(meter.network, step.branch), f"gets through {meter.network.place(step.branch)}")
                )
    return found[-_MOST:]


def path_words(meter: Meter, outcome: Outcome) -> str:
    """The way from the source to what an outcome is about, by the names a person looks for: `BT1, F9, K7, C40.7`."""
    for node, feed in ends_of(meter, outcome):
        if feed and (steps := feed_trail(meter, node)):
            return ", ".join(dict.fromkeys(name for step in steps if (name := _short(meter.network, step.branch))))
    return ""


def ends_of(meter: Meter, outcome: Outcome, most: int | None = 1) -> list[tuple[int, bool]]:
    """Nodes to look at, each with whether its feed or its return is meant; of at most `most` loads in a device."""
    place, network = outcome.place, meter.network
    device = place.device
    if device is not None and (place.part is not None or place.name == device.id):
        loads = meter.loads(device, place.part)
        if loads:
            branches = [network.branches[load.branch] for load in loads]
            work = [row for row in branches if row.role is Behaviour.LOAD] or branches
            return [end for row in work[:most] for end in _sorted_ends(meter, row.a, row.b)]
    nodes = [node for point in place.points if (node := network.node(point)) is not None]
    return [(node, True) for node in nodes[-1:]]


def _sorted_ends(meter: Meter, a: int, b: int) -> list[tuple[int, bool]]:
    """The two ends of a load with their sense: the one that has the shorter way to a source's positive post is fed."""
    costs = [sum(1000 if s.is_open else 1 for s in feed_trail(meter, node)) or 10**9 for node in (a, b)]
    fed, back = (a, b) if costs[0] <= costs[1] else (b, a)
    return [(fed, True), (back, False)]


def _loss(meter: Meter, step: Step) -> Loss:
    network = meter.network
    name = network.place(step.branch)
    if not step.is_open:
        return Loss(_span(network, step.branch), f"{step.lost:.2f} V is lost in {name}")
    says = f"{name} is open"
    if network.branches[step.branch].role is Behaviour.DIODE:
        says = f"{name} blocks"
    if step.before is not None and step.before > _HALF:
        says += f": {step.before:.2f} V before it, {'nothing' if step.after is None else f'{step.after:.2f} V'} behind"
    if position := _position(meter, step):
        says += f"; {position}"
    return Loss(_span(network, step.branch), says)


def _position(meter: Meter, step: Step) -> str:
    """The position that keeps a contact open, and what a relay's coil gets."""
    network, positions = meter.network, meter.settled.positions
    row = network.branches[step.branch]
    for condition in row.element.when:
        position = positions.get(condition.subject, "")
        if position in condition.positions:
            continue
        coils = [coil for coil in network.coils if coil.device == condition.subject]
        if coils and position == AT_REST and condition.subject not in meter.settled.state.set:
            got = meter.across(coils[0].branch)
            gets = "no voltage" if got is None else f"{abs(got):.2f} V"
            return f"{condition.subject} is at rest, its coil gets {gets}"
        return f"{condition.subject} is at {position.replace('-', ' ')}"
    return ""


def _short(network: Network, branch: int) -> str:
    row = network.branches[branch]
    owner = row.owner
    if isinstance(owner, Connector):
        return f"{owner.id}.{network.graph.points[row.a].terminal}" if owner.is_inline else ""
    if isinstance(owner, Part):
        return row.device
    return owner.id if isinstance(owner, Ground) else ""


def _span(network: Network, branch: int) -> Span:
    row = network.branches[branch]
    owner = row.owner
    return (
        owner.at
        if isinstance(owner, Wire | Connector | Ground) or not row.device
        else network.variant.devices[row.device].at
    )
