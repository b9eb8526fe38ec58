"""What the systems of a generated vehicle share: ids, zones, fuse blocks, in-line connectors, grounds, sheets."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from random import Random

ZONES = {
    "front": ("Front", 200, 60),
    "bay": ("Engine bay", 200, 140),
    "cab": ("Cab", 240, 140),
    "tail": ("Tail", 220, 100),
}
# The zone next to each zone on the way to the other: harnesses meet only there.
_NEXT = {("cab", "tail"): "tail", ("tail", "cab"): "cab", ("bay", "front"): "front", ("front", "bay"): "bay"}
_NEXT |= {("cab", "bay"): "bay", ("cab", "front"): "bay", ("bay", "cab"): "cab", ("bay", "tail"): "cab"}
_NEXT |= {("front", "cab"): "bay", ("front", "tail"): "bay", ("tail", "bay"): "cab", ("tail", "front"): "cab"}
_LIVE = tuple(
    f"{base}/{tracer}"
    for base in ("RD", "YE", "GN", "BU", "VT", "OG", "GY", "WH", "BN", "PK")
    for tracer in ("BK", "WH", "RD", "YE", "BU", "GN")
    if base != tracer
)
_CAVITIES = 60
_FUSES = 30
_ON_GROUND = 6
_CIRCUITS_ON_SHEET = 9
_MOST_EXPECTATIONS = 12
_OPTION = "WORK-PACK"


def _segment(number: int) -> str:
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


class Inline:
    """An in-line connector between two harnesses, filled cavity by cavity."""

    def __init__(self, name: str, a: str, b: str, place: str) -> None:
        self.name, self.a, self.b, self.place = name, a, b, place
        self.used = 0

    def text(self) -> str:
        """Its statement, with the cavities that stayed empty marked as spare."""
        head = f'connector {self.name} "{self.a.title()} to {self.b}" {_CAVITIES} cavities'
        head += f" {self.a} -- {self.b} {self.place}"
        spare = " ".join(str(n) for n in range(self.used + 1, _CAVITIES + 1))
        return f"{head} {{\n  spare {spare}\n}}" if spare else head


class Circuit:
    """A circuit in the making."""

    def __init__(self, vehicle: Vehicle, number: str, title: str, words: str, harness: str) -> None:
        self.vehicle, self.number, self.harness = vehicle, number, harness
        self.head = " ".join(f'circuit {number} "{title}" {words}'.split(" ")).strip() + f" in {harness} {{"
        self.lines: list[str] = []

    def wire(self, a: str, b: str, harness: str = "", rest: str = "") -> None:
        """One segment from end `a` to end `b`, in another harness than the circuit's if one is named."""
        length = self.vehicle.random.randint(3, 40) / 10
        line = f"{_segment(len(self.lines)):<2} {a:<10} -- {b:<10} {length} m"
        if harness and harness != self.harness:
            line += f"  in {harness}"
        self.lines.append(f"{line}  {rest}".rstrip())
        self.vehicle.wires += 1

    def run(self, a: str, zone_a: str, b: str, zone_b: str) -> None:
        """Segments from `a` in one zone to `b` in another, through the in-line connectors between."""
        zone, end = zone_a, a
        while zone != zone_b:
            beyond = _NEXT[zone, zone_b]
            cavity = self.vehicle.cavity(zone, beyond)
            self.wire(end, cavity, zone)
            zone, end = beyond, cavity
        self.wire(end, b, zone)

    def done(self) -> None:
        """Write the circuit down."""
        body = "".join(f"\n  {line}" for line in self.lines)
        self.vehicle.add("circuits", f"{self.head}{body}\n}}")
        self.vehicle.on_sheet.append(self.number)


class Vehicle:
    """The vehicle in the making; `text` gives its source. `wires` counts the wires so far."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.wires = 0
        self.on_sheet: list[str] = []
        self._numbers: dict[str, int] = {}
        self._parts: dict[str, list[str]] = {"cables": [], "splices": [], "devices": [], "circuits": [], "sheets": []}
        self._expectations: list[str] = []
        self._inline: dict[frozenset[str], Inline] = {}
        self._all_inline: list[Inline] = []
        self._grounds: dict[str, tuple[str, int]] = {}
        self._ground_lines: list[str] = []
        self._blocks: list[tuple[str, str, list[str]]] = []
        self._power: list[str] = []
        self._power_circuits: list[str] = []
        self._optional = False
        self._last: dict[str, str] = {}
        self._battery()

    # ---- shared things --------------------------------------------------------------------------------------------

    def new_id(self, letter: str) -> str:
        """The next free id with this letter."""
        self._numbers[letter] = self._numbers.get(letter, 0) + 1
        return f"{letter}{self._numbers[letter]}"

    def place(self, zone: str) -> str:
        """A random place in a zone, as words of the language."""
        _, width, height = ZONES[zone]
        x, y = self.random.randint(2, width - 2), self.random.randint(2, height - 2)
        side = self.random.choice(("behind", "below", "beside"))
        text = f'at {zone} ({x}, {y}) "{side} panel {self.random.randint(1, 40)}"'
        return f"{text} access {self.random.randint(1, 15)} min"

    def add(self, section: str, text: str) -> None:
        """Put a statement in a section; in an optional system it counts only with the option."""
        inner = text.replace("\n", "\n  ")
        self._parts[section].append(f"when {_OPTION} {{\n  {inner}\n}}" if self._optional else text)

    def device(self, kind: str, letter: str, title: str, words: str, zone: str, body: str) -> str:
        """A device with `words` for its terminals and ratings and `body` behind its place; returns its id."""
        name = self.new_id(letter)
        # What follows a device's place on its line ends with its block; `operated-by` may stand there too.
        text = f'{kind} {name} "{title}" {words}'.rstrip() + f" {self.place(zone)}{body}"
        self._last[name] = text
        self.add("devices", text)
        return name

    def last_of(self, name: str) -> str:
        """The statement of a device."""
        return self._last[name]

    def splice(self, title: str, zone: str) -> str:
        """A splice in the harness of a zone."""
        name = self.new_id("SP")
        self.add("splices", f'splice {name} "{title}" in {zone} {self.place(zone)}')
        return name

    def ground(self, zone: str) -> str:
        """A ground point in a zone that has room for one more wire."""
        name, used = self._grounds.get(zone, ("", _ON_GROUND))
        if used >= _ON_GROUND:
            name, used = self.new_id("G"), 0
            self._ground_lines.append(f'ground {name} "{ZONES[zone][0]} ground {name}" on chassis {self.place(zone)}')
        self._grounds[zone] = name, used + 1
        return name

    def cavity(self, a: str, b: str) -> str:
        """A free cavity of an in-line connector between two harnesses."""
        key = frozenset((a, b))
        inline = self._inline.get(key)
        if inline is None or inline.used == _CAVITIES:
            a, b = sorted(key)
            inline = self._inline[key] = Inline(self.new_id("C"), a, b, self.place(a))
            self._all_inline.append(inline)
        inline.used += 1
        return f"{inline.name}.{inline.used}"

    def circuit(
        self, title: str, size: str, harness: str, *, ground: bool = False, colour: str | None = None
    ) -> Circuit:
        """A new circuit; give its wires, then call `done`."""
        if colour is None:
            colour = "BK" if ground else self.random.choice(_LIVE)
        self._numbers["circuit"] = self._numbers.get("circuit", 9) + 1
        return Circuit(self, str(self._numbers["circuit"]), title, f"{size} {colour}".strip(), harness)

    def fuse(self, title: str, rating: int) -> str:
        """A new fuse in the newest fuse block; returns its load terminal."""
        if not self._blocks or len(self._blocks[-1][2]) == _FUSES:
            self._new_block()
        name = self.new_id("F")
        bus, fuses = self._blocks[-1][1:]
        line = f'fuse {name:<4} "{title}" slot {len(fuses) + 1:<2} {rating} A blade from {bus}'
        fuses.append(f"when {_OPTION} {{ {line} }}" if self._optional else line)
        return f"{name}.2"

    def expect(self, title: str, setting: str, outcome: str) -> None:
        """A wiring test, while there are few."""
        if len(self._expectations) < _MOST_EXPECTATIONS and not self._optional:
            number = len(self._expectations) + 1
            self._expectations.append(f'expect "{title} {number}" {{\n  set  {setting}\n  then {outcome}\n}}')

    @contextmanager
    def system(self, *, optional: bool) -> Iterator[None]:
        """One system; its circuits share a sheet with those of its neighbours, but an optional one's do not."""
        if optional:
            self._sheet()
        self._optional = optional
        yield
        if optional or len(self.on_sheet) >= _CIRCUITS_ON_SHEET:
            self._sheet()
        self._optional = False

    def _sheet(self) -> None:
        if self.on_sheet:
            name = self.new_id("")
            lines = f'  system   "{self.random.choice(("Lighting", "Body", "Comfort", "Work"))}"\n'
            lines += f"  circuits {' '.join(self.on_sheet)}"
            self.add("sheets", f'sheet {int(name) + 9} "Sheet {name}" {{\n{lines}\n}}')
            self.on_sheet.clear()

    # ---- power ----------------------------------------------------------------------------------------------------

    def _battery(self) -> None:
        waiver = 'allow unfused-feed "on the battery itself"'
        self._power += [
            f'battery BT1 "Battery" 12.6 V 90 Ah 5 mohm {self.place("bay")}',
            f'bus STUD1 "Battery post" {self.place("bay")}',
            f'circuit 1 "Battery cable" 35 mm2 RD in bay {{\n  {waiver}\n  A  BT1.+ -- STUD1  0.15 m\n}}',
        ]
        ground = self.new_id("G")
        self._ground_lines.append(f'ground {ground} "Battery ground" on chassis {self.place("bay")}')
        self._power.append(f'circuit 2 "Battery ground" 35 mm2 BK in bay {{\n  A  BT1.- -- {ground}  0.4 m\n}}')
        self._power_circuits += ["1", "2"]
        self.wires += 2

    def _new_block(self) -> None:
        number = len(self._blocks) + 1
        block, bus, link = f"FB{number}", f"BUS{number}", f"FL{number}"
        circuit = f"P{number}"
        cavity = self.cavity("bay", "cab")
        wires = f"  A  {link}.2 -- {cavity}  1.2 m\n  B  {cavity} -- {bus}  0.8 m  in cab"
        colour = self.random.choice(_LIVE)
        self._power += [
            f'fusible-link {link} "Link {number}" 4 mm2 0.15 m from STUD1 {self.place("bay")}',
            f'circuit {circuit} "Feed to {block}" 10 mm2 {colour} in bay {{\n{wires}\n}}',
        ]
        self._power_circuits.append(circuit)
        self._blocks.append((block, bus, []))
        self.wires += 2

    # ---- text -----------------------------------------------------------------------------------------------------

    def text(self) -> str:
        """The whole variant."""
        self._sheet()
        header = 'variant V1 "Sandpiper utility truck, generated" {\n  series "Sandpiper"\n  model-year 2027\n'
        header += f"  supply 12.6 V\n  options {_OPTION}\n}}\n" if _OPTION in self._joined() else "  supply 12.6 V\n}\n"
        lines = [header]
        if f"options {_OPTION}" in header:
            lines.append(f'option {_OPTION} "Work pack"')
        lines += [f'zone {zone} "{title}" {width} by {height}' for zone, (title, width, height) in ZONES.items()]
        lines += [f'harness {zone} "{title} harness"' for zone, (title, _, _) in ZONES.items()]
        lines += [self._block(*block, self.place("cab")) for block in self._blocks]
        lines += [inline.text() for inline in self._all_inline]
        lines += self._ground_lines + self._power
        for section in self._parts.values():
            lines += section
        blocks = " ".join(block for block, _, _ in self._blocks)
        lines.append(
            f'sheet 9 "Power distribution" {{\n  system "Power"\n  circuits {" ".join(self._power_circuits)}\n'
            f"  components STUD1 BT1 {blocks}\n}}"
        )
        return "\n".join([*lines, *self._expectations]) + "\n"

    def _joined(self) -> str:
        return "\n".join(line for _, _, fuses in self._blocks for line in fuses)

    @staticmethod
    def _block(name: str, bus: str, fuses: list[str], place: str) -> str:
        body = "".join(f"\n  {fuse}" for fuse in fuses)
        return f'fuse-block {name} "Fuse block {name}" {place} {{\n  bus {bus} "Feed {name}"{body}\n}}'
