"""Fusible links and the wire they protect: four gauge numbers smaller (common practice)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from compiler.standards import _data
from compiler.standards.grades import Grade, as_grade
from compiler.standards.sizes import Size, gauge_number, nominal_mm2, steps_between

Fit = Literal["fits", "too thick", "too thin"]

_METRES_PER_INCH = 0.0254


@dataclass(frozen=True, slots=True)
class LinkRule:
    """The rule with its source. Lengths in m; ``repair`` are notes for the technician."""

    steps: int
    source: str
    grade: Grade
    usual_length_m: float
    longest_m: float
    repair: tuple[str, ...]


@cache
def link_rule() -> LinkRule:
    """The rule for fusible links."""
    rule = _data.load("links")["rule"]
    return LinkRule(
        rule["steps"],
        rule["source"],
        as_grade(rule["grade"]),
        rule["usual_length_in"] * _METRES_PER_INCH,
        rule["longest_length_in"] * _METRES_PER_INCH,
        tuple(rule["repair"]),
    )


def link_fit(link: Size, wire: Size) -> Fit | None:
    """How a link suits the wire it protects; None when the two are in different systems.

    AWG and SAE: exactly four gauge numbers smaller. mm2: an area ratio of 3.5 to 5 gauge numbers (2.24 to
    3.17 to 1). A link too thick lets the wire burn; one too thin opens in use.
    """
    if link.system != wire.system:
        return None
    steps = steps_between(wire, link)
    if steps is not None:
        wanted = link_rule().steps
        return "fits" if steps == wanted else "too thick" if steps < wanted else "too thin"
    least, largest = _metric_band()
    ratio_steps = _area_steps(wire.area_mm2, link.area_mm2)
    return "fits" if least <= ratio_steps <= largest else "too thick" if ratio_steps < least else "too thin"


def link_fits(link: Size, wire: Size) -> bool | None:
    """Whether a link is sized to its wire; None when different systems make them not comparable."""
    fit = link_fit(link, wire)
    return None if fit is None else fit == "fits"


def expected_link(wire: Size) -> str:
    """The link for a wire, in the wire's own system: ``14 AWG`` -> ``18 AWG``, ``2 mm2`` -> ``0.8 mm2``.

    For mm2: the published pair; else the size of the metric series nearest to the rule; else the bare area.
    """
    number = gauge_number(wire)
    if number is not None:
        wanted = number + link_rule().steps
        return f"{wanted if wanted > 0 else f'{1 - wanted}/0'} {wire.system}"
    paired = {pair["wire"]: pair["link"] for pair in _data.load("links")["metric"]["pairs"]}
    if wire.name in paired:
        return f"{paired[wire.name]} mm2"
    least, largest = _metric_band()
    wanted_steps = link_rule().steps
    near = [area for area in nominal_mm2() if least <= _area_steps(wire.area_mm2, area) <= largest]
    if near:
        best = min(near, key=lambda area: abs(_area_steps(wire.area_mm2, area) - wanted_steps))
        return f"{best:g} mm2"
    bare = float(f"{wire.area_mm2 / 2 ** (wanted_steps / 3):.2g}")
    return f"{bare:g} mm2"


def _metric_band() -> tuple[float, float]:
    metric = _data.load("links")["metric"]
    return float(metric["least_steps"]), float(metric["largest_steps"])


def _area_steps(wire_mm2: float, link_mm2: float) -> float:
    """Gauge numbers between two areas: three double the area."""
    return 3 * math.log2(wire_mm2 / link_mm2)
