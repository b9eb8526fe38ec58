"""What hangs together at all times: potentials that are always live, and potentials that are always grounded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import Behaviour

if TYPE_CHECKING:
    from compiler.network.network import Network

_JOINED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN, Behaviour.STRUCTURE, Behaviour.CONTACT})


class Always(NamedTuple):
    """Potentials joined to a positive post by wires and fuses, and to metal or a negative post by wires. A
    potential that is
    both counts as grounded: it is a dead short, which other checks tell."""

    plus: frozenset[int]
    metal: frozenset[int]


def always(network: Network) -> Always:
    """What is live and what is grounded in every state."""
    of, rows = network.of, network.branches
    sources = [row for row in rows if row.role is Behaviour.SOURCE]
    bolted = [of[row.b] for row in rows if row.role is Behaviour.STRUCTURE]
    metal = _closure(network, {*bolted, *(of[row.b] for row in sources)}, _JOINED, frozenset())
    posts = {of[row.a] for row in sources} - metal
    return Always(_closure(network, posts, _JOINED | {Behaviour.PROTECTION}, metal), metal)


def _closure(
    network: Network, starts: Iterable[int], passed: frozenset[Behaviour], shut: frozenset[int]
) -> frozenset[int]:
    """Potentials joined to the starts at all times, no other in `shut` entered."""
    around: dict[int, list[int]] = defaultdict(list)
    of = network.of
    for row in network.branches:
        if row.role in passed and not row.element.when:
            around[of[row.a]].append(of[row.b])
            around[of[row.b]].append(of[row.a])
    seen = set(starts)
    queue = list(seen)
    while queue:
        for other in around[queue.pop()]:
            if other not in seen and other not in shut:
                seen.add(other)
                queue.append(other)
    return frozenset(seen)
