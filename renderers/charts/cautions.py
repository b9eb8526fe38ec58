"""Cautions, whole."""

from __future__ import annotations

from renderers.cautions import EVERY_PAGE, all_cautions
from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Paragraph
from renderers.tables import Run


def _build(_: PackContext) -> Blocks:
    lead = f"Read these before any work. Every page repeats in short: “{EVERY_PAGE}”"
    return (Paragraph((Run(lead),)), *all_cautions())


CHART = Chart(10, "cautions", "Cautions", _build)
