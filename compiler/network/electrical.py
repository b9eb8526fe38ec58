"""What the electrical checks share: the network of a variant, and its scenarios run once."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from compiler.circuit.graph import Graph
from compiler.network.flows import Flows
from compiler.network.network import CannotSolve, Network
from compiler.network.world import World

if TYPE_CHECKING:
    from compiler.model.items import Scenario
    from compiler.network.expect import Ran


class Electrical:
    """The network of a variant as the project's settings have it, and what several checks want of it.

    policy  `conductor-temperature` (degrees Celsius, default 20) and `rated-voltage` (V, default the nominal 12 or 24)
    """

    def __init__(self, graph: Graph, policy: Mapping[str, object]) -> None:
        self._graph = graph
        self.temperature_c = number(policy, "conductor-temperature", 20.0)
        self.rated_v = number(policy, "rated-voltage", 0.0)
        self._ran: dict[int, Ran | CannotSolve] = {}

    @cached_property
    def network(self) -> Network:
        """The network; made when it is first asked for."""
        supply = self._graph.variant.header.supply_v
        return Network(self._graph, World(supply, self.temperature_c, nominal_v=self.rated_v or None))

    @cached_property
    def has_battery(self) -> bool:
        """Whether there is anything to compute with. Asked of the model, so that nothing is built for a mere wire
        list."""
        return any(device.kind == "battery" for device in self._graph.variant.devices.values())

    @cached_property
    def flows(self) -> Flows:
        """Every load with its feed, its return and what it needs."""
        return Flows(self.network)

    def ran(self, scenario: Scenario) -> Ran | CannotSolve:
        """A scenario, run; or why it cannot be. Loads the solver."""
        from compiler.network.expect import run_scenario

        key = id(scenario)
        if key not in self._ran:
            try:
                self._ran[key] = run_scenario(self.network, scenario)
            except CannotSolve as error:
                self._ran[key] = error
        return self._ran[key]


def number(policy: Mapping[str, object], name: str, default: float) -> float:
    """A policy that is a number. Raises ValueError, as every policy of a wrong type does."""
    value = policy.get(name, default)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"policy {name}: {value!r} is not a number")
    return float(value)
