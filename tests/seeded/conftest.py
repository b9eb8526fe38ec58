"""The table of seeded defects, printed at the end of the run."""

from __future__ import annotations

from collections import Counter

import pytest

_SEEN: Counter[tuple[str, str]] = Counter()


@pytest.fixture
def record_seeded() -> Counter[tuple[str, str]]:
    """Counts by (planted fault, what was found); `planted` and `found` are counted beside the check names."""
    return _SEEN


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not _SEEN:
        return
    write = terminalreporter.write_line
    terminalreporter.section("seeded defects")
    write(f"{'planted':24} {'places':>6} {'found':>6}  findings beside the planted one")
    for name in sorted({name for name, _ in _SEEN}):
        beside = {check: n for (own, check), n in _SEEN.items() if own == name and check not in ("planted", "found")}
        words = ", ".join(f"{check} {n}" for check, n in sorted(beside.items())) or "none"
        write(f"{name:24} {_SEEN[name, 'planted']:6} {_SEEN[name, 'found']:6}  {words}")
