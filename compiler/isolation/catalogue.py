"""Every test within reach for some suspects, with what each suspect would make it read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from compiler.isolation.access import Access
from compiler.isolation.policy import Rules
from compiler.isolation.rows import Rows
from compiler.isolation.types import Reading, Settings, Suspect, Test, TestKind
from compiler.isolation.words import (
    DEAD,
    OPEN_OHM,
    WEAK,
    WORKS,
    ohms_reading,
    seen_reading,
    share_reading,
    verbs,
    volts_reading,
)
from compiler.model.items import Behaviour, Connector, Part, Wire
from compiler.network.faults import FaultSort
from compiler.network.places import point_name

if TYPE_CHECKING:
    from compiler.network.columns import Reals

_GOOD = 1.0
_DEVICE_TEST = frozenset({Behaviour.CONTACT, Behaviour.RESISTOR, Behaviour.JOIN, Behaviour.DIODE, Behaviour.DRIVER})
_BULBS = frozenset({"lamp", "headlamp"})


class Entry(NamedTuple):
    """A test and its columns: for each suspect the lowest and highest reading; the last is that of a sound vehicle.

    labels  for things found rather than measured: number -> words
    kind    kind of the load looked at, for its verbs
    branch  the load looked at, else -1
    """

    test: Test
    low: Reals
    high: Reals
    labels: Mapping[float, str]
    kind: str
    branch: int = -1

    def reading(self, low: float, high: float, open_ohm: float) -> Reading:
        """A range of readings in words."""
        if self.labels:
            return seen_reading(low, high, self.labels)
        if self.test.unit == "share":
            return share_reading(low, high, self.kind)
        if self.test.unit == "ohm":
            return ohms_reading(low, high, open_ohm)
        return volts_reading(low, high)


class Catalogue:
    """Makes entries for the suspects of `rows`, whose last row is a sound vehicle."""

    def __init__(self, rows: Rows, settings: Settings, access: Access, rules: Rules) -> None:
        self.rows, self.settings, self.access, self.rules = rows, settings, access, rules
        self.network = access.network
        self.open_ohm = rules("tolerance", "open_ohm")
        self._suspects = rows.suspects[:-1]

    # -- making entries ------------------------------------------------------------------------------------------
    def entry(
        self,
        kind: TestKind,
        name: str,
        place: str,
        items: Sequence[str],
        words: str,
        ranges: tuple[Reals, Reals],
        unit: str,
        *,
        settings: Settings | None = None,
        labels: Mapping[float, str] | None = None,
        load: str = "",
        minutes: float | None = None,
        reach: bool = True,
    ) -> Entry:
        opens = tuple(dict.fromkeys(self.access.place(item) for item in items)) if reach else ()
        low, high = ranges
        access = sum(self.access.minutes(place_) for place_ in opens)
        own = self.rules("minutes", kind.value) if minutes is None else minutes
        settings = self.settings if settings is None else settings
        power = kind not in (TestKind.OHMS, TestKind.ACROSS)
        blank = Reading(0.0, 0.0, unit, "")
        test = Test(name, kind, place, items[0], settings, power, words, own, access, opens, blank)
        entry = Entry(test, low, high, labels or {}, load)
        sound = entry.reading(float(low[-1]), float(high[-1]), self.open_ohm)
        return entry._replace(test=test._replace(sound=sound))

    def volts_range(self, volts: Reals) -> tuple[Reals, Reals]:
        fixed = self.rules("tolerance", "volts") + self.rules("tolerance", "vehicle")
        slack = fixed + self.rules("tolerance", "volts_share") * np.abs(volts)
        return volts - slack, volts + slack

    def ohms_range(self, ohm: Reals) -> tuple[Reals, Reals]:
        """Everything from some kilohm up is open."""
        slack = self.rules("tolerance", "ohms") + self.rules("tolerance", "ohms_share") * ohm
        is_open = ohm >= self.open_ohm
        return np.where(is_open, self.open_ohm, np.maximum(ohm - slack, 0.0)), np.where(
            is_open, OPEN_OHM * 10, ohm + slack
        )

    def share_range(self, share: Reals) -> tuple[Reals, Reals]:
        slack = self.rules("tolerance", "share") + self.rules("tolerance", "vehicle") / self.network.world.nominal_v
        low, high = np.zeros(len(share)), np.full(len(share), DEAD[1])
        for start, end in (WEAK, WORKS):
            low[share - slack >= start] = start
            high[share + slack >= start] = end
        return low, high

    # -- power on ------------------------------------------------------------------------------------------------
    def volts(self, nodes: Iterable[int]) -> Iterator[Entry]:
        """Volts at every point among some nodes that a probe reaches."""
        points = self.network.graph.points
        reached = [n for n in nodes if n < len(points) and self.access.probed(points[n])]
        self.rows.look_up(self.settings, reached)
        for node in reached:
            name = point_name(self.network, points[node])
            ranges = self.volts_range(self.rows.volts(self.settings, node))
            words = f"Measure the voltage at {name} against the battery's negative post."
            yield self.entry(TestKind.VOLTS, f"volts {name}", name, [points[node].item], words, ranges, "V")

    def clicks(self, relays: Iterable[str]) -> Iterator[Entry]:
        """Whether relays pull in."""
        labels = {1.0: "pulls in", 0.0: "does not move"}
        for relay in relays:
            inside = self.rows.energised(self.settings, relay).astype(np.float64)
            if not inside[-1]:  # good is what a sound vehicle does
                labels_now = {1.0: "stays at rest", 0.0: "pulls in"}
                inside = 1.0 - inside
            else:
                labels_now = labels
            words = f"Lay a finger on {relay} while things are set so: does it pull in?"
            yield self.entry(
                TestKind.CLICK, f"click {relay}", relay, [relay], words, (inside, inside), "seen", labels=labels_now
            )

    def fuses(self, fuses: Iterable[int]) -> Iterator[Entry]:
        """Whether fuses are whole."""
        for fuse in fuses:
            whole = 1.0 - self.rows.fuse_open(fuse).astype(np.float64)
            device = self.network.branches[fuse].device
            part = self.network.place(fuse)
            words = f"Pull {part} and look at its element."
            labels = {1.0: "whole", 0.0: "open"}
            yield self.entry(
                TestKind.FUSE, f"fuse {device}", device, [device], words, (whole, whole), "seen", labels=labels
            )

    def look(self, load: int, settings: Settings, name: str, words: str, extra: str, minutes: float) -> Entry:
        """Whether a load works with things set so. `extra` tells the settings where they are not the complaint's."""
        row = self.network.branches[load]
        assert isinstance(row.owner, Part)
        ranges = self.share_range(self.rows.share(settings, load))
        test = f"look {name}{extra}"
        made = self.entry(
            TestKind.LOOK, test, name, [row.device], words, ranges, "share",
            settings=settings, load=row.owner.kind, minutes=minutes, reach=False,
        )  # fmt: skip
        return made._replace(branch=load)

    # -- parts ---------------------------------------------------------------------------------------------------
    def parts(self) -> Iterator[Entry]:
        """Tests of one suspected part by itself."""
        by_branch: dict[int, list[int]] = {}
        for number, suspect in enumerate(self._suspects):
            by_branch.setdefault(suspect.fault.branch, []).append(number)
        devices: dict[str, list[int]] = {}
        for branch, numbers in by_branch.items():
            row = self.network.branches[branch]
            if isinstance(row.owner, Wire):
                yield self._wire(branch, row.owner)
            elif isinstance(row.owner, Connector):
                yield self._terminals(row.owner, self.network.graph.points[row.a].terminal, numbers)
            elif row.role is Behaviour.LOAD and isinstance(row.owner, Part) and row.owner.kind not in _BULBS:
                yield self._across_load(branch)
            elif row.device and row.role in _DEVICE_TEST | {Behaviour.COIL, Behaviour.LOAD}:
                devices.setdefault(row.device, []).extend(numbers)
        for device, numbers in devices.items():
            yield self._device(device, numbers)

    def _found(self, numbers: Iterable[int], value: float = 0.0) -> Reals:
        found = np.full(self.rows.count, _GOOD)
        found[list(numbers)] = value
        return found

    def _measured(self, branch: int, own: float) -> Reals:
        """Ohms across a branch by itself under each fault."""
        ohm = np.full(self.rows.count, own)
        for number, suspect in enumerate(self._suspects):
            if suspect.fault.branch == branch:
                if suspect.fault.sort is FaultSort.OPEN:
                    ohm[number] = OPEN_OHM
                elif suspect.fault.sort is FaultSort.RESISTANCE:
                    ohm[number] += suspect.fault.ohm
        return ohm

    def _wire(self, branch: int, wire: Wire) -> Entry:
        name = f"wire {wire.id}"
        ends = [end.point for end in wire.ends if end.point is not None]
        where = " and ".join(point_name(self.network, point) for point in ends)
        words = f"Battery off. Free {name} at both ends, {where}, and measure its resistance."
        ranges = self.ohms_range(self._measured(branch, self.network.branches[branch].element.ohm))
        items = [point.item for point in ends]
        return self.entry(TestKind.ACROSS, f"across {name}", name, items, words, ranges, "ohm")

    def _across_load(self, branch: int) -> Entry:
        row = self.network.branches[branch]
        name = self.network.place(branch)
        element = row.element
        words = (
            f"Battery off. Unplug {row.device} and measure {name} between its terminals {element.a} and {element.b}."
        )
        ranges = self.ohms_range(self._measured(branch, element.cold_ohm or element.ohm))
        return self.entry(TestKind.ACROSS, f"across {name}", name, [row.device], words, ranges, "ohm")

    def _terminals(self, connector: Connector, cavity: str, numbers: Sequence[int]) -> Entry:
        name = f"{connector.id}.{cavity}"
        labels = {_GOOD: "both terminals in place and clean"}
        found = np.full(self.rows.count, _GOOD)
        for number in numbers:
            suspect = self._suspects[number]
            value = float(2 + 2 * suspect.half + (suspect.fault.sort is FaultSort.RESISTANCE))
            labels[value] = f"{connector.half_name(suspect.half)} {'corroded or loose' if value % 2 else 'backed out'}"
            found[number] = value
        words = f"Part {connector.id} and look at both terminals of cavity {cavity}; tug at their wires."
        return self.entry(
            TestKind.TERMINAL, f"terminal {name}", name, [connector.id], words, (found, found), "seen", labels=labels
        )

    def _device(self, device: str, numbers: Sequence[int]) -> Entry:
        found = self._found(numbers)
        item = self.network.variant.devices[device]
        if item.kind == "relay" or any(part.kind in _BULBS for part in item.parts):
            what = "relay" if item.kind == "relay" else "bulb of"
            words = f"Swap {what} {device} for one that works: is the complaint gone?"
            labels = {1.0: "no change", 0.0: "the complaint is gone"}
            return self.entry(
                TestKind.SWAP, f"swap {device}", device, [device], words, (found, found), "seen", labels=labels
            )
        words = f"Battery off. Unplug {device} and measure between its terminals in every position."
        labels = {1.0: "as it should", 0.0: "not as it should"}
        return self.entry(
            TestKind.ACROSS, f"across {device}", device, [device], words, (found, found), "seen", labels=labels
        )


def healthy(network_branch: int, number: int) -> Suspect:
    """A row that changes nothing: a sound vehicle among the suspects."""
    from compiler.network.faults import Fault

    fault = Fault(FaultSort.RESISTANCE, "nothing", 0.0, network_branch)
    return Suspect(number, "", fault, "", -1, "", "nothing wrong", "", 0.0)


def looks(kind: str) -> str:
    """A question about a kind of load."""
    said = verbs(kind)
    return f"{said.works}, {said.weak} or {said.dead}"
