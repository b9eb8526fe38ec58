"""A component whose insides the sources do not give: terminals only, nothing is assumed between them."""

from __future__ import annotations

from compiler.kinds.base import LOAD_RATINGS, Kind

KIND = Kind(
    name="component",
    title="component",
    letter="A",
    terminals=(),
    least=0,
    most=None,
    ratings=LOAD_RATINGS,
    as_part=False,
)
