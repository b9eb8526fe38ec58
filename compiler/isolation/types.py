"""What fault isolation speaks in: suspects, complaints, observations, tests, choices, trees. Plain values throughout.

Numbers in readings are volts against the battery's negative post, ohms with the power off, or a share of the rated
voltage (0 dead, 1 full). Minutes are minutes of a technician's work.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple, TypeAlias

from compiler.network.faults import Fault

Settings: TypeAlias = "tuple[tuple[str, str], ...]"
"""What is set, in order: switch, module output or relay and its position. Everything else is at rest."""


class TestKind(Enum):
    """What a technician can do to learn something."""

    __test__ = False  # nothing for pytest to collect

    LOOK = "look"  # does a load work, with switches set so; no tools
    CLICK = "click"  # does a relay pull in
    FUSE = "fuse"  # pull the fuse and look at its element
    VOLTS = "volts"  # volts at a point against the battery's negative post, power on
    OHMS = "ohms"  # ohms from a point to ground, power off, fuse pulled, perhaps a connector parted
    ACROSS = "across"  # ohms across one part that is unplugged, power off
    TERMINAL = "terminal"  # part the connector and look at both terminals of one cavity
    SWAP = "swap"  # swap a relay or bulb for one that works


class Suspect(NamedTuple):
    """One fault that one thing can have.

    number  its place in the list of suspects of a `Case`, from 0
    kind    the row of the table of weights: `wire-open`, `terminal-backed-out`, `fuse-open` ...
    fault   what is planted in a network
    item    id of the connector, splice, device, ground, or of the wire, where the hand goes
    half    which half of a connector's cavity (0 or 1), else -1
    part    what has it, in words: `wire 48B`, `terminal C40.7 body side`, `fuse F9`
    says    the fault in words: `terminal C40.7 body side backed out`
    repair  what to do about it, one sentence
    weight  how likely against others (relative, before anything was seen)
    """

    number: int
    kind: str
    fault: Fault
    item: str
    half: int
    part: str
    says: str
    repair: str
    weight: float


class Group(NamedTuple):
    """Suspects that no test within reach can tell apart, or that the same repair cures; the likeliest first.

    share    their probability together, given everything that was seen
    chained  what is left at the end of a search although some of it could be told apart if it stood alone: what one
             reads overlaps with what the next does, so that no answer parts them
    """

    suspects: tuple[Suspect, ...]
    share: float
    chained: bool = False

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts concerned, in words, each once."""
        return tuple(dict.fromkeys(suspect.part for suspect in self.suspects))


class Observation(NamedTuple):
    """Something seen or measured with things set so.

    subject  a device, part, terminal or place as in the source (`S21.tell-tale`, `C40.7`)
    words    `lit`, `dead`, `weak`, `energised` ..., or a reading: `above`, `11.5 V`
    """

    settings: Settings
    subject: str
    words: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.subject} {' '.join(self.words)}"


class Complaint(NamedTuple):
    """Where a search begins.

    id            short name, unique in a variant (`rear-screen-stays-cold-tell-tale-lit`, `R3-dead`, `code-B1234`)
    title         words for a heading
    settings      what is set to see it
    observations  what is seen then; may be empty for a trouble code
    sort          `source`, `code`, `dead`, `on`, `weak` or `fuse`
    subject       the load, fuse or code it is about
    within        for a trouble code: what the suspects are limited to, `circuit 48` or an item; else empty
    faults        for a trouble code: sorts of fault it says; empty: any
    """

    id: str
    title: str
    settings: Settings
    observations: tuple[Observation, ...]
    sort: str
    subject: str
    within: str = ""
    faults: tuple[str, ...] = ()


class Cleared(NamedTuple):
    """A part that is out of suspicion. `reason` is a sentence; `by` what was seen or measured, in words."""

    part: str
    item: str
    reason: str
    by: str


class Related(NamedTuple):
    """A load that shares something with the complaint's, worth a look before any tool is taken.

    test     the look itself, to be answered like any test
    shares   what it shares, in words, the most telling first: `fuse F14`, `ground G111`
    should   what it does on a sound vehicle: `lights`, `runs`, `stays out` ...
    tells    what each answer would tell: answer, and parts cleared or suspected then, in words
    """

    test: Test
    shares: tuple[str, ...]
    should: str
    tells: tuple[tuple[str, str], ...]


class Reading(NamedTuple):
    """A reading to expect, with its tolerance: from `low` to `high`.

    unit   `V`, `ohm`, `share` (of the rated voltage) or `seen` (a number for each thing that can be found; 1 is good)
    words  `11.4 to 12.6 V`, `lit`, `pulls in`, `above 20 kohm`
    """

    low: float
    high: float
    unit: str
    words: str

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


class Test(NamedTuple):
    """One thing to do.

    id          stable within a variant and complaint: `volts C40.7 body side`, `look E9.tail @ S10=side`
    place       the point or part in words, as shown: `C40.7 body side`
    item        id of the item to go to (for location figure and sheet), never empty
    settings    what is set for it
    power       False: battery disconnected
    words       the instruction, one or two sentences
    minutes     of the test itself; `access_min` more to get there the first time
    opens       ids of the items that have to be got at; each costs its access minutes once
    sound       what a sound vehicle reads
    """

    id: str
    kind: TestKind
    place: str
    item: str
    settings: Settings
    power: bool
    words: str
    minutes: float
    access_min: float
    opens: tuple[str, ...]
    sound: Reading

    @property
    def unit(self) -> str:
        return self.sound.unit


class Outcome(NamedTuple):
    """One answer that a test can give, as things stand.

    reading   what is read then; `good` whether it is what a sound vehicle reads
    share     how likely it is
    suspects  numbers of the suspects left after it
    """

    reading: Reading
    good: bool
    share: float
    suspects: tuple[int, ...]


class Choice(NamedTuple):
    """A test with its possible answers. Answers do not overlap; the good one comes first.

    bits     information to expect of it
    minutes  what it costs now, access included as far as it has not been paid
    """

    test: Test
    outcomes: tuple[Outcome, ...]
    bits: float
    minutes: float


class Event(NamedTuple):
    """One step of a search, enough to do it again.

    kind     `observe`, `answer` or `refuse`
    what     the test's id, or the subject seen
    words    the words seen; or the reading as a number, or the lowest and highest of the outcome that was chosen
    settings for what was seen
    """

    kind: str
    what: str
    words: tuple[str, ...] = ()
    settings: Settings = ()


class Conflict(NamedTuple):
    """Things seen that no single fault explains together: the smallest set of them, in words."""

    seen: tuple[str, ...]


class Pair(NamedTuple):
    """Two faults that together explain what no single one does, and their probability among the pairs found."""

    first: Suspect
    second: Suspect
    share: float


class Confirmation(NamedTuple):
    """A test that tells a fault, which alone explains the complaint, from its absence.

    faulty     what is read with the fault; `test.sound` without it
    otherwise  what follows from the latter, as a clause
    """

    test: Test
    faulty: Reading
    otherwise: str


class Answer(NamedTuple):
    """An answer in a tree: its reading, its probability there, and the number of the node that follows."""

    reading: Reading
    good: bool
    share: float
    node: int


@dataclass(frozen=True, slots=True)
class Node:
    """One node of a tree.

    number   its place in `Tree.nodes`
    test     what to do, None at a leaf
    minutes  cost of the test at this place, access included as far as it was not paid before
    answers  what may be read and what follows; empty at a leaf
    suspects numbers of the suspects at a leaf, likeliest first; empty elsewhere
    count    how many groups are left here
    key      the same for nodes, of whatever trees, from which on everything is the same
    """

    number: int
    test: Test | None
    minutes: float
    answers: tuple[Answer, ...]
    suspects: tuple[int, ...]
    count: int
    key: str


@dataclass(frozen=True, slots=True)
class Tree:
    """The whole way from a complaint to the repair. Nodes that are reached in several ways stand once.

    verify    the sentence that tells how to see the complaint, at the beginning and again after the repair
    related   symptoms to check first, without tools
    suspects  every suspect that explains the complaint
    groups    those that cannot be told apart, or need not be
    cleared   what the complaint itself clears
    nodes     node 0 is the first test
    tests     mean and largest number of tests; `minutes` likewise
    confirm   where node 0 is a leaf, a test that tells its faults from their absence, if there is one
    """

    complaint: Complaint
    verify: str
    related: tuple[Related, ...]
    suspects: tuple[Suspect, ...]
    groups: tuple[Group, ...]
    cleared: tuple[Cleared, ...]
    nodes: tuple[Node, ...]
    tests: tuple[float, int]
    minutes: tuple[float, float]
    confirm: Confirmation | None = None
