"""The complaints and trouble codes of a source with where they are declared, and what their searches come to."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

from compiler.model.items import Named

if TYPE_CHECKING:
    from collections.abc import Mapping

    from compiler.isolation.bench import Bench
    from compiler.isolation.testability import Figures
    from compiler.isolation.types import Complaint
    from compiler.network.electrical import Electrical


class Searches:
    """Worked out when first asked for. ValueError for a policy that isolation cannot use."""

    def __init__(self, electrical: Electrical, policy: Mapping[str, Any]) -> None:
        self.electrical, self.policy = electrical, policy

    @cached_property
    def bench(self) -> Bench:
        """What isolation works on."""
        from compiler.isolation.bench import Bench

        return Bench(self.electrical.network, self.policy, self.electrical.flows)

    @cached_property
    def declared(self) -> tuple[tuple[Named, Complaint], ...]:
        """Each declaration with its complaint. Without the trouble codes where one is about something unknown."""
        from compiler.network.network import CannotSolve

        bench = self.bench
        variant = bench.network.variant
        scenarios = [scenario for scenario in variant.scenarios if scenario.kind == "complaint"]
        found: list[tuple[Named, Complaint]] = [*zip(scenarios, bench.source_complaints, strict=True)]
        try:
            found += zip(variant.trouble_codes.values(), bench.codes, strict=True)
        except CannotSolve:
            return tuple(found)
        return tuple(found)

    @cached_property
    def figures(self) -> Figures:
        """How well they can be tested; those that have no single cause are left out."""
        from compiler.isolation.testability import testability
        from compiler.network.network import CannotSolve

        able = []
        for _, complaint in self.declared:
            try:
                self.bench.case(complaint)
            except CannotSolve:
                continue
            able.append(complaint)
        return testability(self.bench, tuple(able))
