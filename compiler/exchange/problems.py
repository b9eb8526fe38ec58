"""What goes wrong when data from outside is read: an error when nothing can be done, remarks when most of it can."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple


class WireListError(Exception):
    """The data cannot be used at all; the message is one line for a person."""


class Sort(Enum):
    """What became of a cell or column that could not be taken over as it stands."""

    NOT_READ = "not read"  # kept in a note, and written as not known
    RENAMED = "renamed"  # carried under another name, the old one kept in a note
    ASSUMED = "assumed"  # the list leaves it open, and the source has to say something
    NOT_USED = "not used"  # the source has no place for it


class Remark(NamedTuple):
    """One thing that a person should look at.

    file    name of the list
    line    line in it from 1; 0 when the remark is on the file or a column as a whole
    column  heading of the column, or empty
    value   what stands there
    says    a sentence without place
    """

    sort: Sort
    file: str
    line: int
    column: str
    value: str
    says: str
