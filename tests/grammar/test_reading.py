"""Files on disk: encodings, byte order marks, sizes, things that are no files."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from grammar.finding import Finding
from grammar.limits import FILE_SIZE
from grammar.parser import parse
from grammar.reading import read_source
from grammar.source import Source


def read(path: Path, data: bytes) -> Source | Finding:
    path.write_bytes(data)
    return read_source(path, "shown.loom")


def test_utf8_with_and_without_a_mark(tmp_path: Path) -> None:
    for data in (b"bus A  # f\xc3\xbcr\r\n", b"\xef\xbb\xbfbus A  # f\xc3\xbcr\r\n"):
        source = read(tmp_path / "a.loom", data)
        assert isinstance(source, Source)
        assert source.name == "shown.loom"
        assert source.text.encode() == data
        assert parse(source).findings == ()


def test_bytes_of_another_encoding_are_found_where_they_stand(tmp_path: Path) -> None:
    source = read(tmp_path / "a.loom", b'bus A\nbus B "f\xfcr"\nbus C\n')
    assert isinstance(source, Source)
    (finding,) = parse(source).findings
    assert finding.check == "syntax"
    assert finding.at is not None
    assert finding.at.position == (2, 9)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be", "utf-32-be"])
def test_wide_encodings_are_named(tmp_path: Path, encoding: str) -> None:
    found = read(tmp_path / "a.loom", "\ufeffbus A".encode(encoding))
    assert isinstance(found, Finding)
    assert encoding[:6].upper() in found.says


def test_too_large(tmp_path: Path) -> None:
    assert isinstance(read(tmp_path / "a.loom", b"#" * FILE_SIZE), Source)
    found = read(tmp_path / "a.loom", b"#" * (FILE_SIZE + 1))
    assert isinstance(found, Finding)
    assert found.check == "limit"


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.loom")
    for path in (tmp_path, tmp_path / "pipe.loom"):
        assert isinstance(read_source(path, "x"), Finding)


def test_a_missing_file_raises(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read_source(tmp_path / "none.loom", "x")
