"""Bytes to source text."""

from __future__ import annotations

from pathlib import Path

from grammar.finding import Finding, Severity
from grammar.source import Source, Span


def read_source(path: Path, name: str) -> Source | Finding:
    """The text of a file, or a finding if its bytes are no text. Raises OSError when it cannot be read."""
    data = path.read_bytes()
    try:
        return Source(name, data.decode("utf-8"))
    except UnicodeDecodeError as error:
        text = data.decode("utf-8", "replace")
        source = Source(name, text)
        at = len(data[: error.start].decode("utf-8", "replace"))
        return Finding("syntax", Severity.ERROR, "this file is not UTF-8 text", Span(source, at, at + 1))
