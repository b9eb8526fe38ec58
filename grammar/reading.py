"""Bytes on disk to source text."""

from __future__ import annotations

import stat
from pathlib import Path

from grammar.finding import Finding, Severity
from grammar.limits import FILE_SIZE, limit
from grammar.source import Source, Span

_OTHER_ENCODINGS = ((b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"), (b"\x00\x00\xfe\xff", "UTF-32"))


def read_source(path: Path, name: str) -> Source | Finding:
    """The text of a file, or a finding if the file is too large, no plain file, or in another encoding.

    Bytes that are no UTF-8 become U+FFFD, which the parser reports where they stand; line ends stay as they are, so
    that offsets count the text as it is on disk. Raises OSError when the file cannot be read.
    """
    start = Span(Source(name, ""), 0, 0)
    if not stat.S_ISREG(path.stat().st_mode):
        return Finding("syntax", Severity.ERROR, "this is not a plain file", start)
    with path.open("rb") as file:
        data = file.read(FILE_SIZE + 1)
    if len(data) > FILE_SIZE:
        mend = "divide it into fragments and `use` them"
        return limit(f"the file is larger than {FILE_SIZE // 1024 // 1024} MiB", start, mend)
    for mark, encoding in _OTHER_ENCODINGS:
        if data.startswith(mark):
            return Finding("syntax", Severity.ERROR, f"the file is {encoding} text", start, (), "save it as UTF-8")
    return Source(name, data.decode("utf-8", "replace"))
