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
from compiler.network.world import default

if TYPE_CHECKING:
    from compiler.network.settle import Settled

_WORK = frozenset({Behaviour.LOAD, Behaviour.COIL})
_WAY = frozenset(
    {
        Behaviour.WIRE,
        Behaviour.CAVITY,
        Behaviour.JOIN,
        Behaviour.PROTECTION,
        Behaviour.CONTACT,
        Behaviour.RESISTOR,
        Behaviour.DIODE,
        Behaviour.DRIVER,
    }
)
# A feed may pass a dropping resistor; what hangs on ground by a sender is not grounded.
_LOOSE = _WORK
_TIGHT = _WORK | {Behaviour.RESISTOR}
_NO_WAY_OHM = 20_000.0
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
        if row.element.sort is Sort.SOURCE or not (row.role in _WORK or row.role in _WAY):
            continue
        a, b = of[row.a], of[row.b]
        if a in grounded or b in grounded or row.element.ohm > _NO_WAY_OHM:
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

    inside = [n for n in mesh if rows[n].role not in _WORK]
    for number in inside:
        row = rows[number]
        if not row.element.when and row.role is not Behaviour.PROTECTION:
            joined[root(of[row.a])] = root(of[row.b])
    pairs = {frozenset((root(of[rows[n].a]), root(of[rows[n].b]))) for n in mesh if rows[n].role in _WORK}
    if len(pairs) != 1:
        return len(pairs) > 1
    nodes = {of[node] for n in mesh for node in (rows[n].a, rows[n].b)} - network.always.plus
    region = network.routes.region(nodes)
    own = set(mesh)
    return any(
        row.role in _WORK and number not in own and (of[row.a] in region or of[row.b] in region)
        for number, row in enumerate(rows)
    )


def sneaks(network: Network) -> Iterator[Sneak]:
    """Sneak paths, at most one for a mesh and the loads passed in it.

    The graph gives the meshes; only where there is one is anything solved, in every state of the switches that have
    a say in
    it, or in some of them where these are too many. Loads the solver then.
    """
    left = _ALL_STATES
    for mesh in meshes(network):
        seen: set[tuple[int, ...]] = set()
        for state in _states(network, mesh):
            if left <= 0:
                return
            left -= 1
            found = _look(network, mesh, state)
            if found is not None and found.through not in seen:
                seen.add(found.through)
                yield found


def _states(network: Network, mesh: Sequence[int]) -> Iterator[State]:
    """Settings of the switches that have a say in a mesh."""
    rows = network.branches
    nodes = [node for number in mesh for node in (rows[number].a, rows[number].b)]
    yield from states_of(network, network.routes.touching(nodes), _STATES)


def _look(network: Network, mesh: Sequence[int], state: State) -> Sneak | None:
    """The sneak path of a mesh in a state, if there is one."""
    from compiler.network.meter import Meter
    from compiler.network.settle import settle

    settled = settle(network, state)
    meter, least = Meter(settled), default("seen", "dead").value
    rows, of = network.branches, network.of
    alive = [
        (number, abs(volts))
        for number in _workers(network)
        if settled.solution.problem.there[number]
        and (volts := meter.across(number)) is not None
        and abs(volts) >= least * rows[number].element.rated_v
    ]
    sources = [row.a for row in rows if row.role is Behaviour.SOURCE]
    fed = _joined(settled, sources, _LOOSE)
    reached = [(n, volts) for n, volts in alive if not (fed[of[rows[n].a]] or fed[of[rows[n].b]])]
    if not reached:
        return None
    grounded = _joined(settled, [row.b for row in rows if row.role in (Behaviour.SOURCE, Behaviour.STRUCTURE)], _TIGHT)
    through = []
    for number in mesh:
        a, b = of[rows[number].a], of[rows[number].b]
        # One that a closed contact grounds is not passed: its current ends there.
        passed = rows[number].role in _WORK and fed[a] != fed[b] and not (grounded[a] or grounded[b])
        if passed and abs(meter.amperes(number)) > _NOTHING_A:
            through.append(number)
    return Sneak(tuple(through), state, tuple(reached)) if through else None


def _workers(network: Network) -> list[int]:
    return [n for n, row in enumerate(network.branches) if row.role in _WORK and row.element.rated_v]


_NOTHING_A = 1e-4


def _joined(settled: Settled, nodes: Sequence[int], stops: frozenset[Behaviour]) -> list[bool]:
    """Which potentials a closed way joins to one of some nodes; parts in `stops` are no way."""
    import numpy as np

    from compiler.network.islands import islands_of

    network, solution = settled.network, settled.solution
    problem = solution.problem
    count = len(network.branches)
    way = (
        row.role not in stops and row.element.sort is not Sort.SOURCE and row.element.ohm < _NO_WAY_OHM
        for row in network.branches
    )
    plain = solution.conducting.copy()
    plain[:count] &= np.fromiter(way, np.bool_, count)
    labels = islands_of(problem.a[plain], problem.b[plain], problem.size)
    wanted = {int(labels[network.of[node]]) for node in nodes}
    return [int(label) in wanted for label in labels]
