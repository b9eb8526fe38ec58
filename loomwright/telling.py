"""What is told on standard error, beside a result."""

from __future__ import annotations

import os
import sys


def tell(text: str) -> None:
    """Write text on standard error. Where that is full, it is lost; the work goes on, and its exit code counts."""
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        # What is still in the buffer must go somewhere, or each later line fails with it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stderr.fileno())
