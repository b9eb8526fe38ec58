"""The items of a variant. All immutable; `at` is the place a finding points to, `span` the whole statement.

Items are themselves, not their fields: two are equal only if they are the same object, so that they can be keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple

from grammar.source import Span
from grammar.tree import Word

if TYPE_CHECKING:
    from compiler.standards.sizes import Size


class Point(NamedTuple):
    """An electrical place at which a wire can end or a probe can reach.

    item      id of a connector, device, splice, ground or bus
    terminal  cavity or terminal name; empty for splice, ground and bus
    half      0 or 1: which half of a connector (0 is the first harness named, or the harness side of a component
              connector); 0 for everything else
    """

    item: str
    terminal: str
    half: int = 0

    def __str__(self) -> str:
        return f"{self.item}.{self.terminal}" if self.terminal else self.item


class Waiver(NamedTuple):
    """`allow CHECK "reason"` and the stretch of source it covers: the statement it stands on.

    also  further stretches: a waiver in an extension covers what the extension adds and the item it extends
    """

    check: str
    reason: str
    at: Span
    covers: Span
    also: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a thing sits: zone id, point in the zone's outline (None if not said), words, minutes of dismantling."""

    zone: str
    point: tuple[float, float] | None
    words: str
    access_min: float | None
    at: Span | None


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """What all items have: id, title, places in the source, notes of the author, fragment it came from (or empty)."""

    id: str
    title: str
    at: Span
    span: Span
    notes: tuple[str, ...]
    fragment: str


@dataclass(frozen=True, slots=True, eq=False)
class Zone(Named):
    """A zone with its outline (units of the drawing, width by height) and drawing file, relative to the project."""

    width: float
    height: float
    drawing: str


@dataclass(frozen=True, slots=True, eq=False)
class Harness(Named):
    """One wiring harness of the vehicle."""


@dataclass(frozen=True, slots=True, eq=False)
class Structure(Named):
    """Metal that grounds bolt to. `chassis` exists without being declared."""


@dataclass(frozen=True, slots=True, eq=False)
class Option(Named):
    """An option of the vehicle line."""


@dataclass(frozen=True, slots=True, eq=False)
class Located(Named):
    """An item with a place. `place` is None when the source does not say."""

    place: Place | None


@dataclass(frozen=True, slots=True, eq=False)
class FuseBlock(Located):
    """A fuse block; its devices name it in `Device.block`."""


@dataclass(frozen=True, slots=True, eq=False)
class Bus(Located):
    """A bus bar or stud: one potential. `block` is the fuse block's id or empty."""

    block: str


@dataclass(frozen=True, slots=True, eq=False)
class Splice(Located):
    """A splice in a harness (empty when not said)."""

    harness: str


@dataclass(frozen=True, slots=True, eq=False)
class Ground(Located):
    """A ground point bolted to a structure."""

    structure: str


@dataclass(frozen=True, slots=True, eq=False)
class Connector(Located):
    """A connector.

    cavities  names in face order
    halves    the two harness ids of an in-line connector; (``""``, ``""``) for a component connector
    device    id of the device that carries the other half, or empty for an in-line connector
    spare, plugged, doubled
              cavity name -> set of halves (0, 1) it holds for
    spare_rest  every cavity that no wire reaches is spare
    rows        cavities in each row from the top, on the mating side of half 0; empty when not said
    pins        the half (0, 1) with the pins, the other has the sockets; None when not said
    """

    cavities: tuple[str, ...]
    halves: tuple[str, str]
    device: str
    spare: Mapping[str, frozenset[int]]
    plugged: Mapping[str, frozenset[int]]
    doubled: Mapping[str, frozenset[int]]
    spare_rest: bool
    listed: tuple[tuple[str, Span], ...]
    rows: tuple[int, ...]
    pins: int | None

    @property
    def is_inline(self) -> bool:
        return not self.device

    def half_name(self, half: int) -> str:
        """`body side` for a half of an in-line connector, `harness side` or `component side` for the other kind."""
        if self.device:
            return "component side" if half else "harness side"
        return f"{self.halves[half]} side"

    def contacts(self, half: int) -> str:
        """`pins` or `sockets`, or nothing when the source does not say."""
        return "" if self.pins is None else "pins" if half == self.pins else "sockets"


class Behaviour(IntEnum):
    """What a stretch of circuit does to current, as far as a search needs to know."""

    WIRE = 0
    CAVITY = 1  # the contact between the two halves of a cavity
    JOIN = 2  # bus, trace, bolted ground: one potential
    STRUCTURE = 3  # ground bolted to metal
    PROTECTION = 4  # fuse, breaker, fusible link
    CONTACT = 5  # switch or relay contact
    RESISTOR = 6  # passes current on to something else: dropping resistor, gauge in front of a sender
    LOAD = 7  # where the work is done
    COIL = 8  # relay coil
    DIODE = 9  # from its first to its second terminal
    SOURCE = 10  # battery, alternator: first terminal positive, second negative
    DRIVER = 11  # module output or input, towards its supply or ground pin
    BLOCK = 12  # no direct current: capacitor, sensor, data, unknown insides


class Stretch(NamedTuple):
    """What a part does between two of its terminals."""

    a: str
    b: str
    behaviour: Behaviour


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Something inside a device.

    kind       registry name (`coil`, `lamp`, `contact` ...)
    terminals  device terminals it stands on
    label      its name in references (`S21.tell-tale`), may be empty
    title      the words in quotes
    ratings    base units: power, voltage, current, resistance ...; a second value of a kind as power-2
    when       positions in which a contact is closed (empty: always); for a relay `energised` or `at-rest`
    role       pin role of a module
    suppression  what stands across a coil: `with-diode`, `with-resistor`, or empty
    """

    kind: str
    terminals: tuple[str, ...]
    label: str
    title: str
    ratings: Mapping[str, float]
    when: tuple[str, ...]
    role: str
    stretches: tuple[Stretch, ...]
    at: Span
    suppression: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Device(Located):
    """A component.

    kind       registry name or a kind declared in source
    terminals  names; with several component connectors `C201.7`
    ratings    as for Part
    words      named words of its kind (`slot`, `type`, `colour`, `operated-by` ...)
    size       conductor size (fusible link)
    bus        the bus that terminal 1 sits on (`from`), or empty
    case       structure that terminal `case` is bolted to, or empty
    spare      terminals marked spare
    """

    kind: str
    terminals: tuple[str, ...]
    parts: tuple[Part, ...]
    positions: tuple[str, ...]
    connectors: tuple[str, ...]
    block: str
    bus: str
    case: str
    ratings: Mapping[str, float]
    words: Mapping[str, Word]
    size: Size | None
    spare: frozenset[str]

    def word(self, name: str) -> str:
        """The value of a named word, or empty."""
        found = self.words.get(name)
        return found.text if found else ""

    @property
    def is_protective(self) -> bool:
        return any(s.behaviour is Behaviour.PROTECTION for part in self.parts for s in part.stretches)


class End(NamedTuple):
    """A wire end. `point` is None when it cannot be placed; `problem` then says why.

    problem: empty, `not-known`, `no-such-item`, `no-such-terminal`, `out-of-range`, `wrong-harness`, `no-harness`
    """

    written: Word
    point: Point | None
    problem: str


@dataclass(frozen=True, slots=True, eq=False)
class Wire:
    """One wire segment.

    size, colour (canonical code such as `BK/WH`), length_m: None when not given;
    unknown: which of `size`, `colour`, `length` the source says are not known.
    colour_at, size_at: where the fact was written (the circuit's line if inherited).
    """

    id: str
    circuit: str
    segment: str
    a: End
    b: End
    size: Size | None
    colour: str | None
    length_m: float | None
    harness: str
    core: str
    recoloured: str
    unknown: tuple[str, ...]
    colour_at: Span
    size_at: Span
    own_colour: bool
    at: Span
    span: Span
    notes: tuple[str, ...]
    fragment: str
    words: Mapping[str, str]

    @property
    def ends(self) -> tuple[End, End]:
        return (self.a, self.b)


@dataclass(frozen=True, slots=True, eq=False)
class Circuit(Named):
    """A circuit: what its wires share. `colour`, `size`, `unknown` as for Wire; `class_` the voltage-drop class."""

    size: Size | None
    colour: str | None
    colour_written: Word | None
    harness: str
    class_: str
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Core:
    """One core (or the shield) of a cable; `spare` when the source says that nothing uses it."""

    name: str
    size: Size | None
    colour: str | None
    is_shield: bool
    at: Span
    spare: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Cable(Located):
    """A multi-core cable; `twists` are groups of core names."""

    harness: str
    cores: Mapping[str, Core]
    twists: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Twist(Named):
    """Wires twisted together, by wire id."""

    wires: tuple[Word, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Sheet(Named):
    """A wiring sheet; `id` is its number as written. Lists hold the words, so that findings can point at them."""

    system: str
    circuits: tuple[tuple[Word, Span], ...]
    components: tuple[tuple[Word, Span], ...]
    see: tuple[tuple[Word, Span], ...]


class Fact(NamedTuple):
    """`S21 on`, `C40.7 above 11.5 V`: what is named, then the words of state; `at` the whole fact."""

    subject: str
    words: tuple[str, ...]
    at: Span


@dataclass(frozen=True, slots=True, eq=False)
class NamedState(Named):
    """A named state of the vehicle, known by its title.

    set     positions set, those of the states it builds on among them; each subject once
    sheets  sheets to publish in this state; the words, so that findings can point at them
    builds_on  names of the states that it sets, as written
    """

    set: tuple[Fact, ...]
    sheets: tuple[tuple[Word, Span], ...]
    builds_on: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Scenario(Named):
    """An expectation (`kind` is `expect`) or complaint: states set, and what follows or was seen.

    set     positions set, those of named states among them; each subject once, what is said last counts
    states  names of the states that it sets, as written
    """

    kind: str
    set: tuple[Fact, ...]
    seen: tuple[Fact, ...]
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class TroubleCode(Named):
    """A trouble code: what it is about (`circuit` and id, or an item) and the fault it says (open, short ...)."""

    about: str
    subject: str
    fault: str
