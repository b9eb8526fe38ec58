"""Conductors side by side: two or more between the same two ends share what passes, by their resistance."""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

from compiler.model.items import Behaviour
from compiler.network.network import Network

_CONDUCTORS = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN, Behaviour.PROTECTION})


class Share(NamedTuple):
    """The part of a current that one of several rows takes, and one branch of each of these rows."""

    part: float
    rows: tuple[int, ...]


def shares(network: Network) -> dict[int, Share]:
    """Every branch that has another row of conductors beside it. A row is what nothing else is joined to on its way."""
    of, rows = network.of, network.branches
    around: dict[int, list[int]] = defaultdict(list)
    for number, branch in enumerate(rows):
        around[of[branch.a]].append(number)
        around[of[branch.b]].append(number)

    def conducts(number: int) -> bool:
        return rows[number].role in _CONDUCTORS and not rows[number].element.when

    def passed(node: int) -> bool:
        return len(around[node]) == 2 and all(map(conducts, around[node]))

    found: dict[tuple[int, int], list[tuple[int, ...]]] = defaultdict(list)
    seen: set[int] = set()
    for node, numbers in list(around.items()):
        for first in numbers if not passed(node) else ():
            if first in seen or not conducts(first):
                continue
            line, at = [first], of[rows[first].a] + of[rows[first].b] - node
            while passed(at):
                line.append(next(n for n in around[at] if n != line[-1]))
                at = of[rows[line[-1]].a] + of[rows[line[-1]].b] - at
            seen.update(line)
            if at != node:
                found[min(node, at), max(node, at)].append(tuple(line))
    made: dict[int, Share] = {}
    for lines in found.values():
        siemens = [1 / _ohm(network, row) for row in lines]
        for row, own in zip(lines, siemens, strict=True) if len(lines) > 1 else ():
            made.update(dict.fromkeys(row, Share(own / sum(siemens), tuple(other[0] for other in lines))))
    return made


def _ohm(network: Network, line: tuple[int, ...]) -> float:
    return max(sum(network.branches[n].element.ohm for n in line), network.world.ohm("least"))
