"""Where the hand goes: which item has to be got at for a point, what that costs, and where a probe reaches at all."""

from __future__ import annotations

from compiler.isolation.policy import Rules
from compiler.model.items import Point
from compiler.network.network import Network


class Access:
    """The places of one variant. A place is known by the id of the item that is got at: things in a fuse block by the
    block's, a device's plug by the device's."""

    def __init__(self, network: Network, rules: Rules) -> None:
        self.network = network
        self._default = rules("minutes", "access")

    def place(self, item: str) -> str:
        """Id of the item that is got at for an item."""
        variant = self.network.variant
        connector = variant.connectors.get(item)
        if connector is not None and connector.device and connector.place is None:
            item = connector.device
        device = variant.devices.get(item)
        if device is not None and device.block:
            block = variant.blocks.get(device.block)
            if block is not None and (device.place is None or device.place == block.place):
                return block.id
        bus = variant.buses.get(item)
        if bus is not None and bus.block:
            return bus.block
        return item

    def minutes(self, place: str) -> float:
        """Minutes of dismantling to get at a place."""
        found = self.network.variant.items.get(place)
        at = found.place if found is not None else None
        if at is None or at.access_min is None:
            return self._default
        return at.access_min

    def probed(self, point: Point) -> bool:
        """Whether a probe reaches a point of the circuit: not inside a device behind its plug, and not the metal
        itself."""
        variant = self.network.variant
        device = variant.devices.get(point.item)
        if device is not None:
            return point.terminal != "case" and variant.connector_of_terminal(device, point.terminal) is None
        connector = variant.connectors.get(point.item)
        if connector is not None:
            return connector.is_inline or point.half == 0
        return point.item in variant.items
