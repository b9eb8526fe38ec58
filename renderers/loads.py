"""The load summary: what can flow at one time through every fuse, bus, wire, cavity and ground, and on what basis."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from compiler.network.distribution import FeedWay, bolt_loads, bus_loads, feed_ways, wire_loads
from compiler.network.electrical import Electrical
from compiler.network.flows import Flows
from compiler.network.summary import FuseLoad, Load, cavity_loads, fuse_loads
from renderers.text import NOT_GIVEN, number

ABOUT = "≈"
OVER = "‡"


class Loads:
    """The load summary of a variant; worked out when it is first asked for."""

    def __init__(self, electrical: Electrical) -> None:
        self._electrical = electrical

    @property
    def flows(self) -> Flows:
        return self._electrical.flows

    @cached_property
    def fuses(self) -> Mapping[str, FuseLoad]:
        """By device id; of a device with several fuses the one with the greatest load."""
        found: dict[str, FuseLoad] = {}
        for load in fuse_loads(self.flows):
            before = found.get(load.device.id)
            if before is None or before.load.amperes < load.load.amperes:
                found[load.device.id] = load
        return found

    @cached_property
    def grounds(self) -> Mapping[str, Load]:
        """By ground: what comes back by the wires under its bolt."""
        return bolt_loads(self.flows)

    @cached_property
    def buses(self) -> Mapping[str, Load]:
        return bus_loads(self.flows)

    @cached_property
    def wires(self) -> Mapping[str, Load]:
        return wire_loads(self.flows)

    @cached_property
    def cavities(self) -> Mapping[tuple[str, str], Load]:
        return cavity_loads(self.flows)

    @cached_property
    def ways(self) -> Mapping[str, FeedWay]:
        return feed_ways(self.flows)

    @cached_property
    def basis(self) -> str:
        """On what the figures rest, in words."""
        volts = number(self._electrical.network.world.nominal_v)
        return (
            "Loads are the greatest that can flow at one time: everything counts as switched on that no switch or relay"
            f" position excludes, at the rated power or current of each load, at its rated voltage or else {volts} V."
            " A load that more than one fuse can feed counts for each of them, and once in each figure."
            " Conductors side by side between the same two ends share what passes, by their resistance."
            " Inrush is not in them, nor what modules and parts of unknown insides draw beyond their ratings."
            f" {ABOUT} stands before a figure in which a load without a given rating is counted at a usual value,"
            f" {NOT_GIVEN} where nothing draws a current that can be reckoned."
        )
