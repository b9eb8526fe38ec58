"""Whether a declaration holds a name that stands for nothing, which is told where it is written and not again."""

from __future__ import annotations

from compiler.model.items import Named
from compiler.model.variant import Variant


def misnamed(variant: Variant, declared: Named) -> bool:
    """Whether any name in a declaration could not be resolved."""
    span = declared.span
    return any(row.at.source is span.source and span.start <= row.at.start < span.end for row in variant.unresolved)
