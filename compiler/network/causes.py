"""Which statements of the source have a say in what a place reads, so that one fault is not told twice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property

from compiler.model.items import Behaviour, Connector, Ground, Wire
from compiler.network.elements import AT_REST, Condition
from compiler.network.expect import Outcome
from compiler.network.explain import TOO_MUCH, WORTH_V, ends_of
from compiler.network.meter import Meter
from compiler.network.network import Network
from compiler.network.trail import PASSED, Step, feed_trail, return_trail
from compiler.network.ways import WORK
from grammar.source import Span


def involved(meter: Meter, outcome: Outcome) -> Iterator[Span]:
    """The statements in which the cause of an outcome may lie: of what is open or loses voltage on its way, of the
    coils of relays that should have closed it, and of all that hangs together with it and has no way to a source."""
    device = outcome.place.device
    if device is not None:
        yield device.span
    search = _Search(meter, everything=outcome.fact.words[0] in TOO_MUCH)
    yield from search.spans(ends_of(meter, outcome, most=None))
    for branch in outcome.place.branches:
        row = meter.network.branches[branch]
        yield from search.coils(row.element.when)
        if row.role is Behaviour.PROTECTION and outcome.reading.endswith(" A"):
            yield from search.behind(branch)


class _Search:
    def __init__(self, meter: Meter, *, everything: bool) -> None:
        self.meter = meter
        self.network: Network = meter.network
        self.everything = everything
        self._relays: set[str] = set()

    def spans(self, ends: list[tuple[int, bool]]) -> Iterator[Span]:
        """Statements behind some nodes, each with whether its feed or its return is meant."""
        for node, feed in ends:
            steps = feed_trail(self.meter, node) if feed else return_trail(self.meter, node)
            yield from self._around_of(node, feed, closed=bool(steps))
            for step in self._worth(steps):
                yield from self._of_branch(step.branch)
                yield from self._behind(step)

    def _worth(self, steps: list[Step]) -> list[Step]:
        if self.everything:
            return steps
        return [step for step in steps if step.is_open] or [step for step in steps if step.lost >= WORTH_V]

    def _of_branch(self, number: int) -> Iterator[Span]:
        row = self.network.branches[number]
        variant, owner = self.network.variant, row.owner
        if isinstance(owner, Wire | Connector | Ground):
            yield owner.span
        elif row.device:
            yield variant.devices[row.device].span

    def _behind(self, step: Step) -> Iterator[Span]:
        """What keeps a step open: the coil of its relay, or what has opened its fuse."""
        network, settled = self.network, self.meter.settled
        row = network.branches[step.branch]
        if step.branch in settled.blown:
            for node in (row.a, row.b):
                yield from self._around_of(node, True)
        if step.is_open:
            yield from self.coils(row.element.when)

    def coils(self, conditions: Iterable[Condition]) -> Iterator[Span]:
        """Relays at rest among those that conditions speak of, and what keeps their coils from pulling in."""
        network, positions = self.network, self.meter.settled.positions
        for subject in {condition.subject for condition in conditions} - self._relays:
            coils = [coil for coil in network.coils if coil.device == subject]
            if not coils or positions.get(subject) != AT_REST:
                continue
            self._relays.add(subject)
            yield network.variant.devices[subject].span
            for coil in coils:
                winding = network.branches[coil.branch]
                for node in (winding.a, winding.b):
                    yield from self.spans([(node, True), (node, False)])

    def behind(self, number: int) -> Iterator[Span]:
        """All that a fuse feeds: what lies behind it, relays on the way, and how the loads there return."""
        start = self.network.of[self.network.branches[number].b]
        for other in self._flood(start, self.network.always.metal, lambda branch: branch != number):
            further = self.network.branches[other]
            yield from self._of_branch(other)
            yield from self.coils(further.element.when)
            if further.role in WORK:
                yield from self.spans([(further.a, False), (further.b, False)])

    def _around_of(self, node: int, feed: bool, *, closed: bool = False) -> Iterator[Span]:
        """Statements of all that hangs together with a node and has no way to a source; the circuits of its wires too,
        as the wire that should lead on may end nowhere at all."""
        circuits = self.network.variant.circuits
        for number in self._reached(node, feed, closed=closed):
            yield from self._of_branch(number)
            owner = self.network.branches[number].owner
            if isinstance(owner, Wire) and owner.circuit in circuits:
                yield circuits[owner.circuit].span

    def _reached(self, node: int, feed: bool, *, closed: bool) -> Iterator[int]:
        """Branches around a node without passing a load, or a contact that is open where only those that are closed
        count. Nothing where a source is reached at all times."""
        solution = self.meter.solution
        live, metal = self.network.always
        start = self.network.of[node]
        if start not in live | metal:
            conducts = solution.problem.there & solution.conducting
            yield from self._flood(start, metal if feed else live, lambda n: not closed or bool(conducts[n]))

    def _flood(self, start: int, shut: frozenset[int], passes: Callable[[int], bool]) -> Iterator[int]:
        of, rows = self.network.of, self.network.branches
        seen, queue = {start}, [start]
        while queue:
            here = queue.pop()
            for number in filter(passes, self._around[here]):
                yield number
                row = rows[number]
                other = of[row.a] + of[row.b] - here
                if row.role in PASSED and other not in seen and other not in shut:
                    seen.add(other)
                    queue.append(other)

    @cached_property
    def _around(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        of = self.network.of
        for number, row in enumerate(self.network.branches):
            if row.role in PASSED or row.role in WORK or row.role is Behaviour.SOURCE:
                found[of[row.a]].append(number)
                found[of[row.b]].append(number)
        return found
