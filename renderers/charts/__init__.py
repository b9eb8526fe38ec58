"""Charts. `charts()` finds every module of this folder that defines `CHART`: a new chart is one new file."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module

from renderers.charts.base import Chart


@cache
def charts() -> tuple[Chart, ...]:
    """All charts in the order of the pack. Raises ValueError when two share an id."""
    found: dict[str, Chart] = {}
    for info in pkgutil.iter_modules(__path__):
        if info.name == "base":
            continue
        chart: Chart = import_module(f"{__name__}.{info.name}").CHART
        if chart.id in found:
            raise ValueError(f"two charts have the id {chart.id}")
        found[chart.id] = chart
    return tuple(sorted(found.values(), key=lambda chart: (chart.order, chart.id)))
