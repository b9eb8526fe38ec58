"""The date that the surroundings of a build may give."""

from __future__ import annotations

import os

_MOST_DIGITS = 11  # of seconds: no calendar of ours knows years of more than four figures


def source_date() -> int | None:
    """The time that SOURCE_DATE_EPOCH gives (reproducible-builds.org specification), or None. Up to the year 5138."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return int(epoch) if epoch.isascii() and epoch.isdigit() and len(epoch) <= _MOST_DIGITS else None
