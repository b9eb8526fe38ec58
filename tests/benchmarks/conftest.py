"""What benchmarks have in common."""

from __future__ import annotations

import gc
import resource
from collections.abc import Iterator

import pytest


@pytest.fixture
def without_collector() -> Iterator[None]:
    """As the command line does: a short run gains nothing from the cycle collector."""
    gc.collect()
    gc.disable()
    yield
    gc.enable()


def spent() -> float:
    """Processor seconds of this process and of those that it started and that have ended."""
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(use.ru_utime + use.ru_stime for use in both)
