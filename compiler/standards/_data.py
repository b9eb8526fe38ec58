"""Reading of the data files: on demand, each once."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

_FOLDER = Path(__file__).parent / "data"


@cache
def load(name: str) -> dict[str, Any]:
    """The tables of ``data/NAME.toml``. The caller must not change what it gets: it is shared.

    ``name`` must come from this package or from ``names``, never from a source file: it becomes a path.
    """
    import tomllib  # not at the top: importing a module of this package must stay nearly free

    with (_FOLDER / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


@cache
def names(folder: str) -> tuple[str, ...]:
    """Names of the data files in ``data/FOLDER``, sorted: a table is added by adding its file."""
    return tuple(sorted(path.stem for path in (_FOLDER / folder).glob("*.toml")))
