"""What the chosen policy allows in front of a wire, for the checks that set fuses against wires."""

from __future__ import annotations

from collections.abc import Sequence

from compiler.assembly.names import nearest
from compiler.checks._words import amperes, rounded_down
from compiler.checks.base import Subject
from compiler.circuit.feeds import Protection
from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Wire
from compiler.standards.fuses import fuse_type
from compiler.standards.protection import Policy, policies, policy
from compiler.standards.sizes import Size, nominal_mm2, read_size, sae_metric_names
from grammar.finding import Note

SETTING = "protection"
DEFAULT_POLICY = "33cfr183-105c"

_AT_THE_TERMINAL = frozenset({Behaviour.CAVITY, Behaviour.JOIN})
_HOW = {
    "interpolated": "between two rows of the table",
    "below the table": "below the table's first row",
    "above the table": "above the table's last row",
}
# Vehicle cable comes in even numbers.
_GAUGES = ("4/0", "3/0", "2/0", "1/0", "1", *(str(number) for number in range(2, 31, 2)))


def chosen_policy(subject: Subject) -> Policy:
    """The policy that the project's setting `protection` names. Raises ValueError for one that there is not."""
    name = subject.policy(SETTING, DEFAULT_POLICY)
    if name not in policies():
        near = nearest(name, policies())
        hint = f"did you mean {near}?" if near else f"there are {', '.join(policies())}"
        raise ValueError(f"policy {SETTING}: no policy is called {name!r}; {hint}")
    return policy(name)


def rating_of(protection: Protection) -> float | None:
    """The rating in A of a fuse or breaker; None for a fusible link and where none is given."""
    if protection.part.kind == "fusible-link":
        return None
    return protection.part.ratings.get("current")


def wires_at_load(graph: Graph, protection: Protection) -> tuple[Wire, ...]:
    """The wires that end at the load terminal, reached over cavities and inner joints but over no other wire."""
    found: dict[Wire, None] = {}
    nodes = [protection.load]
    for node in nodes:  # grows while it runs
        for edge in graph.around[node]:
            owner = graph.owners[edge]
            if isinstance(owner, Wire):
                found[owner] = None
            elif graph.behaviours[edge] in _AT_THE_TERMINAL and (other := graph.other(edge, node)) not in nodes:
                nodes.append(other)
    return tuple(found)


def allowed_a(rule: Policy, protection: Protection, size: Size) -> float:
    """The largest rating in A that the policy allows this device in front of a wire of a size."""
    limits = rule.limits(size)
    return limits.largest_breaker_a if protection.part.kind == "breaker" else limits.largest_fuse_a


def basis(rule: Policy, sizes: Sequence[Size]) -> Note:
    """Where the limits come from, on what they hold, and whether the sizes stand in the table."""
    derived = [
        f"; {size} lies {_HOW[how]} and is taken by conductor area"
        for size in dict.fromkeys(sizes)
        if (how := rule.limits(size).how) in _HOW
    ]
    return Note(None, f"limit by {rule.source}; it holds for: {rule.basis}{''.join(derived)}")


def named(protection: Protection) -> str:
    """The device with its rating, in words: `fuse F9 of 25 A`."""
    rating = rating_of(protection)
    of = "" if rating is None else f" of {amperes(rating)}"
    return f"{protection.part.kind.replace('-', ' ')} {protection.device.id}{of}"


def remedy(rule: Policy, protection: Protection, size: Size) -> str:
    """What would hold: a rating that is made, or a wire of the same size system that is large enough."""
    limit, rating = allowed_a(rule, protection, size), rating_of(protection) or 0.0
    made = [r for r in _ratings(protection) if r <= limit]
    largest = amperes(max(made)) if made else rounded_down(limit)
    larger = next((s for s in _series(size) if allowed_a(rule, protection, s) >= rating), None)
    wire = f", or make the wire {larger} or larger" if larger else ""
    return f"fit a {protection.part.kind} of {largest} or less as {protection.device.id}{wire}"


def _ratings(protection: Protection) -> Sequence[float]:
    type_ = protection.device.word("type")
    # What breakers are made in differs by maker.
    return fuse_type(type_).ratings if type_ and protection.part.kind == "fuse" else ()


def _series(size: Size) -> list[Size]:
    """The sizes of a size's own system from it upwards, thin to thick."""
    if size.system == "mm2":
        series = [read_size(f"{area:g}", "mm2") for area in nominal_mm2()]
    elif size.system == "AWG":
        series = [read_size(gauge, "AWG") for gauge in _GAUGES]
    else:
        series = [read_size(number, "SAE") for number in sae_metric_names()]
    return sorted((s for s in series if s.area_mm2 > size.area_mm2), key=lambda s: s.area_mm2)
