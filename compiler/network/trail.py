"""The way current takes, or would take, between a source and a place, with the voltage along it."""

from __future__ import annotations

from heapq import heappop, heappush
from typing import TYPE_CHECKING, NamedTuple

from compiler.model.items import Behaviour

if TYPE_CHECKING:
    from compiler.network.meter import Meter

# What a feed or return passes: everything but the things that do the work.
PASSED = frozenset(
    {
        Behaviour.WIRE,
        Behaviour.CAVITY,
        Behaviour.JOIN,
        Behaviour.STRUCTURE,
        Behaviour.PROTECTION,
        Behaviour.CONTACT,
        Behaviour.RESISTOR,
        Behaviour.DIODE,
        Behaviour.DRIVER,
    }
)
_OPEN = 1000.0  # one open contact weighs more than any way round it
_RESISTOR = 5.0


class Step(NamedTuple):
    """One branch on the way, in the direction from the source: volts at either end (None: floating), whether it is
    open."""

    branch: int
    before: float | None
    after: float | None
    is_open: bool

    @property
    def lost(self) -> float:
        """Voltage lost in this step, V, without sign. An open step loses all that stands before it."""
        if self.is_open:
            return abs(self.before or 0.0) if self.after is None else abs((self.before or 0.0) - self.after)
        return 0.0 if self.before is None or self.after is None else abs(self.before - self.after)


def feed_trail(meter: Meter, node: int) -> list[Step]:
    """From the positive post of a source to a node, by the way with the fewest open contacts. Empty when there is
    none."""
    return _trail(meter, node, feed=True)


def return_trail(meter: Meter, node: int) -> list[Step]:
    """From the negative post of a source to a node, in that direction. Empty when there is none."""
    return _trail(meter, node, feed=False)


def _trail(meter: Meter, node: int, *, feed: bool) -> list[Step]:
    network, there = meter.network, meter.solution.problem.there
    of, conducting = network.of, meter.solution.conducting
    around: dict[int, list[int]] = {}
    starts: set[int] = set()
    for number, row in enumerate(network.branches):
        role = row.role
        if role is Behaviour.SOURCE and there[number]:
            starts.add(of[row.a] if feed else of[row.b])
        elif role in PASSED and row.element.ohm < _OPEN:
            around.setdefault(of[row.a], []).append(number)
            around.setdefault(of[row.b], []).append(number)
    # Metal joins everything; a feed that passes it is none.
    shut = {of[r.b] for r in network.branches if r.role is Behaviour.STRUCTURE} if feed else set()
    target = of[node]
    best: dict[int, tuple[float, int]] = {}
    queue: list[tuple[float, int, int]] = [(0.0, start, -1) for start in sorted(starts)]
    while queue:
        cost, here, by = heappop(queue)
        if here in best:
            continue
        best[here] = (cost, by)
        if here == target:
            break
        if here in shut and here not in starts:
            continue
        for number in around.get(here, ()):
            row = network.branches[number]
            a, b = of[row.a], of[row.b]
            other = a + b - here
            if other in best:
                continue
            if row.role is Behaviour.DIODE and (a == here) is not feed:
                continue
            step = 1.0 if there[number] and conducting[number] else _OPEN
            heappush(queue, (cost + step + (_RESISTOR if row.role is Behaviour.RESISTOR else 0.0), other, number))
    return _walked(meter, best, target)


def _walked(meter: Meter, best: dict[int, tuple[float, int]], target: int) -> list[Step]:
    if target not in best:
        return []
    of, rows = meter.network.of, meter.network.branches
    there, conducting = meter.solution.problem.there, meter.solution.conducting
    steps: list[Step] = []
    here = target
    while (number := best[here][1]) >= 0:
        row = rows[number]
        before = of[row.a] + of[row.b] - here
        is_open = not (there[number] and conducting[number])
        steps.append(Step(number, meter.volts_at(before), meter.volts_at(here), bool(is_open)))
        here = before
    return steps[::-1]
