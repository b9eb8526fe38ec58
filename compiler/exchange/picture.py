"""A PNG taken apart and put together again with nothing in it but its picture.

ISO/IEC 15948 (PNG, second edition): chunks in 5, kinds of picture in 11.2.2, Adam7 in 8.2, filters in 9.2.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from typing import NamedTuple

SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST_PIXELS = 8_000_000
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # by kind of colour
_DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
# Of each pass: the first column and line, and how far it is to the next.
_Passes = tuple[tuple[int, int, int, int], ...]
_WHOLE: _Passes = ((0, 0, 1, 1),)
_ADAM7: _Passes = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
_FILTERS = 5
_PALETTED, _GREY, _COLOURED = 3, 0, 2


class PictureError(Exception):
    """The PNG cannot be used; the message is why, in a few words."""


class Picture(NamedTuple):
    """A PNG as bytes, and its size in pixels."""

    data: bytes
    width: int
    height: int


def read_picture(data: bytes) -> Picture:
    """The picture of a PNG: its sums checked, its lines counted, all else left out. Raises PictureError."""
    held = _chunks(data)
    head = held.get(b"IHDR", b"")
    if len(head) != struct.calcsize(">IIBBBBB"):
        raise PictureError("the PNG is damaged")
    width, height, depth, colour, packing, filtering, interlaced = struct.unpack(">IIBBBBB", head)
    if not 0 < width * height <= MOST_PIXELS:
        raise PictureError(f"the PNG has no pixels or more than {MOST_PIXELS:,}")
    if depth not in _DEPTHS.get(colour, ()) or packing or filtering or interlaced not in (0, 1):
        raise PictureError("the PNG is damaged")
    bits = depth * _CHANNELS[colour]
    _check_lines(held[b"IDAT"], tuple(_lines(width, height, bits, _ADAM7 if interlaced else _WHOLE)))
    whole = b"".join(_chunk(kind, held[kind]) for kind in _kept(held, depth, colour))
    return Picture(SIGNATURE + whole, width, height)


def _chunks(data: bytes) -> dict[bytes, bytes]:
    """What the chunks hold, by their kind; what is in several is put together."""
    held: dict[bytes, list[bytes]] = {b"IDAT": []}
    at, last = len(SIGNATURE), b""
    while last != b"IEND":
        if at + 12 > len(data):
            raise PictureError("the PNG is cut short")
        size = struct.unpack_from(">I", data, at)[0]
        chunk = data[at : at + 12 + size]
        last = chunk[4:8]
        if len(chunk) != 12 + size or zlib.crc32(chunk[4:-4]) != struct.unpack(">I", chunk[-4:])[0]:
            raise PictureError("the PNG is damaged")
        held.setdefault(last, []).append(chunk[8:-4])
        at += len(chunk)
    return {kind: b"".join(parts) for kind, parts in held.items()}


def _lines(width: int, height: int, bits: int, passes: _Passes) -> Iterator[tuple[int, int]]:
    """Of each pass, how many lines it has and how many bytes each, the filter's before it counted."""
    for x, y, across, down in passes:
        wide, high = -(-(width - x) // across), -(-(height - y) // down)
        if wide > 0 and high > 0:
            yield high, 1 + (wide * bits + 7) // 8


def _check_lines(packed: bytes, lines: tuple[tuple[int, int], ...]) -> None:
    """Raises PictureError unless the data are all lines and not a byte more: a small file may unpack to any size."""
    most = sum(count * size for count, size in lines)
    unpacking = zlib.decompressobj()
    try:
        found = unpacking.decompress(packed, most + 1)
    except zlib.error as error:
        raise PictureError("the PNG is damaged") from error
    if not unpacking.eof or len(found) != most:
        raise PictureError("the PNG is damaged")
    at = 0
    for count, size in lines:
        if max(found[at : at + count * size : size]) >= _FILTERS:
            raise PictureError("the PNG is damaged")
        at += count * size


def _kept(held: dict[bytes, bytes], depth: int, colour: int) -> Iterator[bytes]:
    """The chunks that paint, in their order. Raises PictureError for a palette or a transparency that does not fit."""
    entries, rest = divmod(len(held.get(b"PLTE", b"")), 3)
    most = {_PALETTED: 2**depth, _COLOURED: 256}.get(colour, 0)
    clear = {_PALETTED: range(1, entries + 1), _GREY: (2,), _COLOURED: (6,)}.get(colour, ())
    if rest or entries > most or (colour == _PALETTED and not entries):
        raise PictureError("the PNG is damaged")
    yield b"IHDR"
    if entries:
        yield b"PLTE"
    if b"tRNS" in held:
        if len(held[b"tRNS"]) not in clear:
            raise PictureError("the PNG is damaged")
        yield b"tRNS"
    yield from (b"IDAT", b"IEND")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
