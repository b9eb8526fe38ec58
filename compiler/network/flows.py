"""Who draws what through which wire: every load with its feed, its return, and what must be set for it to work.

This is the reckoning a designer does by hand: rated currents along the branches of a tree. It needs no solver, so
checks of a whole vehicle stay quick, and every figure in a finding can be added up on paper. `consumers` has each
load with its way of fewest contacts, `ways` with all of them: what may pass a fuse or a wire is summed over these.
What then really flows in a state is for the solved network to say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from compiler.model.items import Behaviour, Device, Part, Point, Wire
from compiler.network.alternatives import Alternatives
from compiler.network.blocks import Blocks
from compiler.network.elements import ENERGISED, Sort
from compiler.network.greatest import greatest
from compiler.network.needs import joined, loosest
from compiler.network.network import Network
from compiler.network.parallel import Share, shares
from compiler.network.shortest import Shortest
from compiler.network.ways import NO_WAY_OHM, WAY, WORK
from compiler.network.world import default

_JOINED = frozenset({Behaviour.WIRE, Behaviour.CAVITY, Behaviour.JOIN})
# A push switch may be pressed by a lid as well as by a finger.
_BY_PEOPLE = frozenset({"", "hand", "rotary", "key", "pedal"})
_UNRECKONED = frozenset({Behaviour.RESISTOR, Behaviour.DIODE, Behaviour.DRIVER})
_FAR = 1 << 30
_MOST_WAYS = 64  # of one load
_MOST_NEEDS = 8  # of one way: by how many other ways its relays can be moved

Need = Mapping[str, frozenset[str]]
"""What must be set: subject -> the positions that will do."""


@dataclass(frozen=True, slots=True, eq=False)
class Consumer:
    """A load or coil with its ways.

    branch   number in the network; `device` and `part` whose it is
    amperes  what it draws at its rated voltage; `assumed` when its rating is not given
    feed     branches from the source to it, `back` from the source's negative post to its other terminal
    need     what must be set for current to run, relays and what moves them included
    fuse     the last protective device on its feed, -1 where there is none
    """

    branch: int
    device: Device
    part: Part
    amperes: float
    assumed: bool
    feed: tuple[int, ...]
    back: tuple[int, ...]
    need: Need
    fuse: int

    @property
    def name(self) -> str:
        """`E5.stop`, `R3`."""
        several = len(self.device.parts) > 1 and self.part.label
        return f"{self.device.id}.{self.part.label}" if several else self.device.id


class Flows:
    """The consumers of a network, and sums over them."""

    def __init__(self, network: Network) -> None:
        self.network = network
        of, rows = network.of, network.branches
        sources = [row for row in rows if row.role is Behaviour.SOURCE]
        plus = {of[row.a] for row in sources}
        metal = {of[row.b] for row in sources}
        grounds = [n for n, row in enumerate(rows) if row.role is Behaviour.STRUCTURE]
        ways = [
            n
            for n, row in enumerate(rows)
            if row.role in WAY and row.element.sort is not Sort.SOURCE and row.element.ohm < NO_WAY_OHM
        ]
        self.structures = frozenset(of[rows[n].b] for n in grounds)
        index = network.graph.index
        self._studs = frozenset(
            of[index[point]] for ground in network.variant.grounds if (point := Point(ground, "", 0)) in index
        )
        self._roots = plus | metal | self.structures
        live, grounded = network.always
        self._ways = ways
        self._feed = Shortest(network, plus - metal, grounded, ways, feed=True)
        self._back = Shortest(network, metal, live, [*ways, *grounds], feed=False)
        self._needs: dict[str, Need | None] = {}
        self._moved: dict[str, tuple[Need, ...]] = {}
        self._worst: dict[tuple[int, ...], tuple[float, tuple[Consumer, ...], tuple[Consumer, ...]]] = {}
        sources.sort(key=lambda row: bool(row.element.when))  # batteries first: machines only run at times
        posts, ends = [of[row.a] for row in sources], [of[row.b] for row in sources]
        self._feeds = Alternatives(network, ways, live, grounded, posts, out=True)
        self._backs = Alternatives(network, (*ways, *grounds), grounded, live, ends, out=False)

    # -- consumers -----------------------------------------------------------------------------------------------
    @cached_property
    def consumers(self) -> tuple[Consumer, ...]:
        """Every load and coil that has a feed and a return which can be made at one time, in source order."""
        found = []
        for number, row in enumerate(self.network.branches):
            if row.role in WORK and isinstance(row.owner, Part):
                consumer = self._consumer(number)
                if consumer is not None:
                    found.append(consumer)
        return tuple(found)

    def _ends(self, number: int) -> tuple[int, int] | None:
        """The fed and the returning end of a branch, the way with the fewest contacts; None where it has no such
        ends."""
        of, row = self.network.of, self.network.branches[number]
        a, b = of[row.a], of[row.b]
        feed, back = self._feed.cost, self._back.cost
        ways = [(feed.get(a, _FAR) + back.get(b, _FAR), a, b)]
        if row.element.sort is not Sort.DIODE:
            ways.append((feed.get(b, _FAR) + back.get(a, _FAR), b, a))
        cost, fed, returning = min(ways)
        return (fed, returning) if cost < _FAR else None

    def _consumer(self, number: int) -> Consumer | None:
        network = self.network
        row = network.branches[number]
        ends = self._ends(number)
        element = row.element
        if ends is None or not element.rated_v:
            return None
        feed, back = self._feed.trail(ends[0]), self._back.trail(ends[1])
        need = self._need((number, *feed, *back), frozenset())
        if need is None:
            return None
        assert isinstance(row.owner, Part)
        amperes = (element.rated_v - element.volts) / element.ohm
        fuses = [n for n in feed if network.branches[n].role is Behaviour.PROTECTION]
        device = network.variant.devices[row.device]
        fuse = fuses[-1] if fuses else -1
        return Consumer(number, device, row.owner, amperes, element.assumed, feed, back, need, fuse)

    def _need(self, branches: Iterable[int], asking: frozenset[str]) -> Need | None:
        """What must be set for all these branches to conduct; None where it cannot be."""
        found: dict[str, frozenset[str]] = {}
        for number in branches:
            for subject, positions in self.network.branches[number].element.when:
                if not _joined(found, {subject: positions}):
                    return None
                if ENERGISED in positions and subject in self._coils and subject not in asking:
                    moving = self._moving(subject, asking)
                    if moving is not None and not _joined(found, moving):
                        return None
        return found

    def _moving(self, relay: str, asking: frozenset[str]) -> Need | None:
        """What must be set for a relay's coil; None where its coil cannot be fed by what is known."""
        if relay not in self._needs:
            number = self._coils[relay]
            ends = self._ends(number)
            need: Need | None = None
            if ends is not None:
                branches = (*self._feed.trail(ends[0]), *self._back.trail(ends[1]))
                need = self._need(branches, asking | {relay})
            if asking:
                return need
            self._needs[relay] = need
        return self._needs[relay]

    @cached_property
    def _coils(self) -> dict[str, int]:
        """Relay -> its first coil."""
        found: dict[str, int] = {}
        for coil in self.network.coils:
            found.setdefault(coil.device, coil.branch)
        return found

    # -- all ways ------------------------------------------------------------------------------------------------
    @cached_property
    def ways(self) -> tuple[Consumer, ...]:
        """Every load and coil once for each way on which it can be fed and return, the ways of one together. A way
        on which resistors leave it dead is none."""
        first = {consumer.branch: consumer for consumer in self.consumers}
        found: list[Consumer] = []
        for number, row in enumerate(self.network.branches):
            if row.role in WORK and isinstance(row.owner, Part) and row.element.rated_v:
                least = default("seen", "dead").value * row.element.rated_v / row.element.ohm
                own = [self._fed_by(number, *way) for way in self._ways_of(number, frozenset())]
                own = [consumer for consumer in own if consumer.amperes >= least]
                found += own or [first[number]] if number in first else own
        return tuple(found)

    def _fed_by(self, number: int, feed: tuple[int, ...], back: tuple[int, ...], need: Need) -> Consumer:
        """A consumer on one of its ways; a resistor on it takes its part of the voltage."""
        rows = self.network.branches
        row = rows[number]
        element, owner = row.element, row.owner
        assert isinstance(owner, Part)
        ohm = element.ohm + sum(rows[n].element.ohm for n in (*feed, *back) if rows[n].role is Behaviour.RESISTOR)
        fuse = next((n for n in reversed(feed) if rows[n].role is Behaviour.PROTECTION), -1)
        device = self.network.variant.devices[row.device]
        amperes = (element.rated_v - element.volts) / ohm
        if element.pull_in_v:  # while its coil draws, a relay is not at rest
            need = joined(dict(need), {device.id: frozenset((ENERGISED,))}) or need
        return Consumer(number, device, owner, amperes, element.assumed, feed, back, need, fuse)

    def _ways_of(self, number: int, asking: frozenset[str]) -> list[tuple[tuple[int, ...], tuple[int, ...], Need]]:
        """The feeds and returns of a branch that can be there at one time, with what must be set for each."""
        of, row = self.network.of, self.network.branches[number]
        a, b = of[row.a], of[row.b]
        found: list[tuple[tuple[int, ...], tuple[int, ...], Need]] = []
        for fed, returning in ((a, b), (b, a)) if row.element.sort is not Sort.DIODE else ((a, b),):
            feeds, backs = self._feeds.to(fed), self._backs.to(returning)
            several = len(feeds) > 1 or len(backs) > 1
            pairs = sorted((i + j, i, j) for i in range(len(feeds)) for j in range(len(backs)))
            for _, i, j in pairs[:_MOST_WAYS]:
                (feed, one), (back, other) = feeds[i], backs[j]
                if joined(one, other) is None or (several and self._meet(feed, back)):
                    continue
                found += ((feed, back, need) for need in self._needs_of((number, *feed, *back), asking))
        return found[:_MOST_WAYS]

    def _meet(self, feed: tuple[int, ...], back: tuple[int, ...]) -> bool:
        """Whether a feed and a return have a potential in common: then current passes the consumer by."""
        of, rows = self.network.of, self.network.branches
        one, other = ({of[end] for n in way for end in (rows[n].a, rows[n].b)} for way in (feed, back))
        return not one.isdisjoint(other)

    def _needs_of(self, branches: Iterable[int], asking: frozenset[str]) -> tuple[Need, ...]:
        """What must be set for all these branches to conduct: once for each way in which the relays among them can be
        moved; nothing where it cannot be."""
        need: dict[str, frozenset[str]] = {}
        relays: dict[str, None] = {}
        for number in branches:
            for subject, positions in self.network.branches[number].element.when:
                if not _joined(need, {subject: positions}):
                    return ()
                if ENERGISED in positions and subject in self._coils and subject not in asking:
                    relays[subject] = None
        found: list[dict[str, frozenset[str]]] = [need]
        for relay in relays:
            if moving := self._all_moving(relay, asking):
                both = (joined(one, dict(more)) for one in found for more in moving)
                found = loosest(one for one in both if one is not None)[:_MOST_NEEDS]
        return tuple(found)

    def _all_moving(self, relay: str, asking: frozenset[str]) -> tuple[Need, ...]:
        """What must be set for a relay's coil, for each of its ways."""
        if asking:
            ways = self._ways_of(self._coils[relay], asking | {relay})
            return tuple(loosest(dict(need) for *_, need in ways))
        if relay not in self._moved:
            ways = self._ways_of(self._coils[relay], frozenset({relay}))
            self._moved[relay] = tuple(loosest(dict(need) for *_, need in ways))
        return self._moved[relay]

    def fed_terminal(self, consumer: Consumer) -> str:
        """The terminal of a consumer that its feed comes to; empty where either may be fed."""
        of, row = self.network.of, self.network.branches[consumer.branch]
        feed, back = self._feed.cost, self._back.cost
        fed = [
            terminal
            for terminal, own, other in (
                (row.element.a, of[row.a], of[row.b]),
                (row.element.b, of[row.b], of[row.a]),
            )
            if own in feed and other in back
        ]
        return fed[0] if len(fed) == 1 else ""

    @cached_property
    def charging(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """Each alternator's output (a branch), and the branches between the battery's positive post and it."""
        rows, of = self.network.branches, self.network.of
        sources = [(n, row) for n, row in enumerate(rows) if row.role is Behaviour.SOURCE]
        posts = {of[row.a] for _, row in sources if not row.element.when}
        machines = [(n, row) for n, row in sources if row.element.when and row.element.sort is Sort.SOURCE]
        if not posts or not machines:
            return ()
        tree = Shortest(self.network, posts, self.network.always.metal, self._ways, feed=True)
        return tuple((n, tree.trail(of[row.a])) for n, row in machines if of[row.a] in tree.by)

    # -- shorts --------------------------------------------------------------------------------------------------
    def is_fed(self, potential: int) -> bool:
        """Whether a feed reaches a potential."""
        return potential in self._feed.by

    def feed_trail(self, potential: int) -> tuple[int, ...]:
        """Branches from the source to a potential that a feed reaches."""
        return self._feed.trail(potential)

    @cached_property
    def behind_fuses(self) -> tuple[tuple[int, int, float], ...]:
        """Potential, the last fuse in front of it, and the ohm from the source to it, for every potential behind a fuse
        that can be reckoned: no resistor or diode on the way, every wire known by size and length, nothing that cannot
        be set."""
        rows, of = self.network.branches, self.network.of
        state: dict[int, tuple[int, float] | None] = {}
        found: list[tuple[int, int, float]] = []
        for potential, by in self._feed.by.items():  # in the order reached: the one before is known
            if by < 0:
                state[potential] = (-1, 0.0)
                continue
            row = rows[by]
            before = state[of[row.a] + of[row.b] - potential]
            if before is None or row.element.assumed or row.role in _UNRECKONED:
                state[potential] = None
                continue
            fuse = by if row.role is Behaviour.PROTECTION else before[0]
            state[potential] = (fuse, before[1] + row.element.ohm)
            if fuse >= 0:
                found.append((potential, fuse, before[1] + row.element.ohm))
        return tuple(found)

    @cached_property
    def metal_return_ohm(self) -> float | None:
        """The least resistance from any structure to a source's negative post, ohm; None where no known way joins
        them."""
        rows = self.network.branches
        ways = [self._back.trail(node) for node in self.structures if node in self._back.by]
        sums = [sum(rows[n].element.ohm for n in way) for way in ways if not any(rows[n].element.assumed for n in way)]
        return min(sums, default=None)

    # -- sums ----------------------------------------------------------------------------------------------------
    @cached_property
    def by_fuse(self) -> dict[int, list[Consumer]]:
        """Branch of a protective device -> the consumers that it is the last one in front of, each on the way of
        fewest contacts."""
        return _by_fuse(self.consumers)

    @cached_property
    def loads_of_fuse(self) -> dict[int, list[Consumer]]:
        """The same over all ways: what each protective device is the last one in front of in some state."""
        return _by_fuse(self.ways)

    @cached_property
    def fed_through(self) -> dict[int, list[Consumer]]:
        """Branch of a wire -> the consumers fed through it in some state, once for each way."""
        return self._through(lambda consumer: consumer.feed)

    @cached_property
    def returning_through(self) -> dict[int, list[Consumer]]:
        """Branch of a wire -> the consumers whose current returns through it in some state, as far as the bolted
        ground."""
        return self._through(self.own_return)

    @cached_property
    def passing(self) -> dict[int, list[Consumer]]:
        """Branch -> the consumers whose current passes it in some state, on their way or back to the bolted ground."""
        found: dict[int, list[Consumer]] = defaultdict(list)
        for consumer in self.ways:
            for number in (*consumer.feed, *self.own_return(consumer)):
                found[number].append(consumer)
        return dict(found)

    @cached_property
    def shares(self) -> dict[int, Share]:
        """Branches with others beside them, and which part of the current each takes."""
        return shares(self.network)

    @cached_property
    def meshed(self) -> frozenset[int]:
        """Branches of wires that have another beside them: how current divides between them is not for a sum to say."""
        of, rows = self.network.of, self.network.branches
        numbers = [n for n, row in enumerate(rows) if row.role in _JOINED]
        root = self.network.size
        at = [root if potential in self._roots else potential for potential in of]
        blocks = Blocks([(at[rows[n].a], at[rows[n].b]) for n in numbers], root + 1, root)
        return frozenset(numbers[edge] for edges in blocks.edges if len(edges) > 1 for edge in edges)

    def feeds_fuses(self, branch: int, consumers: Iterable[Consumer]) -> bool:
        """Whether several fuses hang on a branch that feeds these consumers, or a fuse and something else."""
        return len({c.fuse if c.fuse in c.feed[c.feed.index(branch) :] else -1 for c in consumers}) > 1

    def own_return(self, consumer: Consumer) -> tuple[int, ...]:
        """The part of a return between the consumer and the vehicle's metal; all of it where it passes no metal."""
        for place in range(len(consumer.back) - 1, 0, -1):
            if self._leaves_bolt(consumer.back, place):
                return consumer.back[place:]
        return consumer.back

    def _leaves_bolt(self, back: tuple[int, ...], place: int) -> bool:
        """Whether the branch at a place of a return begins, seen from the battery, at a bolted ground or at metal."""
        of, one, two = self.network.of, self.network.branches[back[place - 1]], self.network.branches[back[place]]
        shared = {of[one.a], of[one.b]} & {of[two.a], of[two.b]}
        return bool(shared & (self._studs | self.structures))

    def _through(self, ways: Callable[[Consumer], tuple[int, ...]]) -> dict[int, list[Consumer]]:
        found: dict[int, list[Consumer]] = defaultdict(list)
        rows = self.network.branches
        for consumer in self.ways:
            for number in ways(consumer):
                if isinstance(rows[number].owner, Wire):
                    found[number].append(consumer)
        return dict(found)

    def at_rest(self, consumer: Consumer) -> bool:
        """Whether a consumer works with everything off: what people move is in its first position, and what the vehicle
        moves (doors, pressures, temperatures) may be in any."""
        known, devices = self.network.positions, self.network.variant.devices
        for subject, positions in consumer.need.items():
            rest = known.get(subject, ("",))
            device = devices.get(subject)
            if device is not None and device.word("operated-by") not in _BY_PEOPLE:
                if not positions.issuperset(rest):
                    return False
            elif rest[0] not in positions:
                return False
        return True

    def with_it(self, one: Consumer, other: Consumer) -> bool:
        """Whether another consumer works when what one needs is set and the rest is at rest."""
        known = self.network.positions
        for subject, positions in other.need.items():
            have = one.need.get(subject)
            if have is None:
                if known.get(subject, ("",))[0] not in positions:
                    return False
            elif not have & positions:
                return False
        return True

    def worst(self, consumers: Iterable[Consumer]) -> tuple[float, tuple[Consumer, ...]]:
        """The most that these can draw at one time, A, and which of them do: what one switch excludes never adds up,
        and a consumer with several ways counts once."""
        asked = tuple(consumers)
        key = tuple(map(id, asked))
        if key not in self._worst:
            taken = greatest(asked)
            self._worst[key] = (sum(consumer.amperes for consumer in taken), taken, asked)
        return self._worst[key][:2]


def _by_fuse(consumers: Iterable[Consumer]) -> dict[int, list[Consumer]]:
    found: dict[int, list[Consumer]] = defaultdict(list)
    for consumer in consumers:
        found[consumer.fuse].append(consumer)
    return dict(found)


def _joined(have: dict[str, frozenset[str]], more: Need) -> bool:
    """Add needs to others; False, and nothing changed, where the two exclude each other."""
    both: dict[str, frozenset[str]] = {}
    for subject, positions in more.items():
        left = have[subject] & positions if subject in have else positions
        if not left:
            return False
        both[subject] = left
    have.update(both)
    return True
