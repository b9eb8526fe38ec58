"""Ways that nobody meant: current that reaches a load whose own feed is off, backwards through loads that are fed
elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from compiler.model.items import Behaviour
from compiler.network.blocks import Blocks
from compiler.network.elements import Sort
from compiler.network.network import Network
from compiler.network.state import State, states_of
from compiler.network.ways import NO_WAY_OHM, WAY, WORK
from compiler.network.world import default

if TYPE_CHECKING:
    from compiler.network.columns import Flags
    from compiler.network.solve import Solution

_NOTHING_A = 1e-4
_STATES = 32  # for one mesh
_ALL_STATES = 100  # for one variant


@dataclass(frozen=True, slots=True)
class Sneak:
    """A sneak path.

    through  branches of the loads that current passes to get there
    state    what was set
    reached  branches of the loads that work by it although no closed way feeds them, with the volts across each
    """

    through: tuple[int, ...]
    state: State
    reached: tuple[tuple[int, float], ...]


def meshes(network: Network) -> list[list[int]]:
    """Sets of branches that hang between feeds in more than one way, loads among them.

    What is grounded at all times is left out, for current ends there. A vehicle in which every part has one feed
    has none.
    """
    live, grounded = network.always
    of, rows, root = network.of, network.branches, network.size
    numbers: list[int] = []
    ends: list[tuple[int, int]] = []
    for number, row in enumerate(rows):
        if row.element.sort is Sort.SOURCE or not (row.role in WORK or row.role in WAY):
            continue
        a, b = of[row.a], of[row.b]
        if a in grounded or b in grounded or row.element.ohm > NO_WAY_OHM:
            continue
        numbers.append(number)
        ends.append((root if a in live else a, root if b in live else b))
    blocks = Blocks(ends, root + 1, root)
    found = [[numbers[edge] for edge in edges] for edges in blocks.edges if len(edges) > 1]
    return [mesh for mesh in found if _can_sneak(network, mesh)]


def _can_sneak(network: Network, mesh: Sequence[int]) -> bool:
    """Whether current that passes a load of a mesh backwards would find another load: one between other potentials
    of the
    mesh, or one that hangs on it. A motor between two changeover contacts has none."""
    of, rows = network.of, network.branches
    joined: dict[int, int] = {}

    def root(node: int) -> int:
        while (above := joined.get(node, node)) != node:
            node = above
        return node

    inside = [n for n in mesh if rows[n].role not in WORK]
    for number in inside:
        row = rows[number]
        if not row.element.when and row.role is not Behaviour.PROTECTION:
            joined[root(of[row.a])] = root(of[row.b])
    pairs = {frozenset((root(of[rows[n].a]), root(of[rows[n].b]))) for n in mesh if rows[n].role in WORK}
    if len(pairs) != 1:
        return len(pairs) > 1
    nodes = {of[node] for n in mesh for node in (rows[n].a, rows[n].b)} - network.always.plus
    region = network.routes.region(nodes)
    own = set(mesh)
    return any(
        row.role in WORK and number not in own and (of[row.a] in region or of[row.b] in region)
        for number, row in enumerate(rows)
    )


def sneaks(network: Network) -> Iterator[Sneak]:
    """Sneak paths, at most one for a mesh and the loads passed in it.

    The graph gives the meshes; only where there is one is anything solved, in every state of the switches that have
    a say in
    it, or in some of them where these are too many. Loads the solver then.
    """
    left = _ALL_STATES
    found_meshes = meshes(network)
    looking = _Looking(network) if found_meshes else None
    for mesh in found_meshes:
        seen: set[tuple[int, ...]] = set()
        for state in _states(network, mesh):
            if left <= 0:
                return
            left -= 1
            assert looking is not None
            found = looking.look(mesh, state)
            if found is not None and found.through not in seen:
                seen.add(found.through)
                yield found


def _states(network: Network, mesh: Sequence[int]) -> Iterator[State]:
    """Settings of the switches that have a say in a mesh."""
    rows = network.branches
    nodes = [node for number in mesh for node in (rows[number].a, rows[number].b)]
    yield from states_of(network, network.routes.touching(nodes), _STATES)


class _Looking:
    """What is the same for every state that is looked at: which branches work, which are ways."""

    def __init__(self, network: Network) -> None:
        import numpy as np

        rows = network.branches
        self.network = network
        self.workers = np.asarray([n for n, r in enumerate(rows) if r.role in WORK and r.element.rated_v], np.int64)
        self.least = default("seen", "dead").value * np.asarray([rows[n].element.rated_v for n in self.workers])
        open_ways = [r.element.sort is not Sort.SOURCE and r.element.ohm < NO_WAY_OHM for r in rows]
        # A feed may pass a dropping resistor; what hangs on ground by a sender is not grounded.
        self.loose = np.asarray([o and r.role not in WORK for o, r in zip(open_ways, rows, strict=True)], np.bool_)
        self.tight = self.loose & np.asarray([r.role is not Behaviour.RESISTOR for r in rows], np.bool_)
        of = network.of
        self.posts = [of[r.a] for r in rows if r.role is Behaviour.SOURCE]
        self.metal = [of[r.b] for r in rows if r.role in (Behaviour.SOURCE, Behaviour.STRUCTURE)]

    def joined(self, solution: Solution, potentials: Sequence[int], ways: Flags) -> Flags:
        """Which potentials a closed way joins to one of some others."""
        import numpy as np

        from compiler.network.islands import islands_of

        problem = solution.problem
        plain = np.flatnonzero(solution.conducting[: len(ways)] & ways)
        labels = islands_of(problem.a[plain], problem.b[plain], problem.size)
        return np.isin(labels, labels[list(potentials)])

    def look(self, mesh: Sequence[int], state: State) -> Sneak | None:
        """The sneak path of a mesh in a state, if there is one."""
        import numpy as np

        from compiler.network.settle import settle

        solution = settle(self.network, state).solution
        problem, potential = solution.problem, solution.potential
        a, b = problem.a, problem.b
        volts = np.abs(potential[a[self.workers]] - potential[b[self.workers]])
        alive = problem.there[self.workers] & (np.nan_to_num(volts) >= self.least)
        if not alive.any():
            return None
        fed = self.joined(solution, self.posts, self.loose)
        stray = alive & ~(fed[a[self.workers]] | fed[b[self.workers]])
        if not stray.any():
            return None
        grounded = self.joined(solution, self.metal, self.tight)
        inside = np.intersect1d(self.workers, np.asarray(mesh, np.int64))
        ends_a, ends_b = a[inside], b[inside]
        # One that a closed contact grounds is not passed: its current ends there.
        passed = (fed[ends_a] != fed[ends_b]) & ~(grounded[ends_a] | grounded[ends_b])
        through = inside[passed & (np.abs(solution.currents[inside]) > _NOTHING_A)]
        if not len(through):
            return None
        reached = zip(self.workers[stray].tolist(), volts[stray].tolist(), strict=True)
        return Sneak(tuple(through.tolist()), state, tuple(reached))
