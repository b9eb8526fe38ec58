"""The thin edge of a tracer that is about as light as its base: on paper without colour it is not seen otherwise."""

from __future__ import annotations

from functools import lru_cache

from compiler.standards.swatches import contrast

# Least contrast at which a shape needs no edge (grade A: W3C Recommendation WCAG 2.1, success criterion 1.4.11 for
# graphical objects).
LEAST_CONTRAST = 3.0
LIGHT, DARK = "#FFFFFF", "#111111"


@lru_cache(maxsize=1024)
def edge_of(base: str, tracer: str) -> str:
    """The edge of a tracer on a base (`#RRGGBB`), light or dark, as it stands out from both; empty if it needs none."""
    if contrast(base, tracer) >= LEAST_CONTRAST:
        return ""
    return max((LIGHT, DARK), key=lambda edge: min(contrast(edge, base), contrast(edge, tracer)))
