"""SOURCE_DATE_EPOCH, the date that a build may give in its surroundings, when it is no number.

The specification (reproducible-builds.org, SOURCE_DATE_EPOCH 1.1, grade A) wants a build to fail then. Only a pack has
a date; but a library of numbers reads the variable as it is loaded and would stop every command.
"""

from __future__ import annotations

import os

_NAME = "SOURCE_DATE_EPOCH"
_refused: list[str] = []


def keep_apart() -> None:
    """Take a value out of the surroundings that is no date; an empty one counts as none."""
    if os.environ.get(_NAME) is None:
        return
    from renderers.dates import source_date

    if source_date() is None:
        value = os.environ.pop(_NAME)
        _refused[:] = [value] if value else []


def want_date() -> None:
    """Raises CannotRun where the surroundings give a value that is no date."""
    from loomwright.errors import CannotRun

    for value in _refused:
        raise CannotRun(
            f"{_NAME} is {value!r}: it must be whole seconds since 1970, such as 1767225600; unset it, or use --date"
        )
