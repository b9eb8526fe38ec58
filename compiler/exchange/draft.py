"""What a source will say, before it is text: legal names, one entry for each statement. Any reader can make one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class DraftConnector(NamedTuple):
    """A component connector.

    numbered    its cavities are not simply 1 to their number
    rest_spare  some of them have no wire
    """

    id: str
    cavities: tuple[str, ...]
    numbered: bool
    doubled: tuple[str, ...]
    rest_spare: bool
    notes: tuple[str, ...]


class DraftDevice(NamedTuple):
    """A device, with its own terminals (`CONNECTOR.CAVITY` where it has several connectors)."""

    kind: str
    id: str
    title: str
    terminals: tuple[str, ...]
    connectors: tuple[DraftConnector, ...]
    notes: tuple[str, ...]


class DraftJoint(NamedTuple):
    """A splice or a ground (`kind`)."""

    kind: str
    id: str
    title: str
    notes: tuple[str, ...]


class DraftFuse(NamedTuple):
    """A fuse; `rating` (`7.5 A`) and `type` may be empty."""

    id: str
    title: str
    rating: str
    type: str
    notes: tuple[str, ...]


class DraftCore(NamedTuple):
    """A core of a cable; `size` and `colour` None where not known."""

    name: str
    size: str | None
    colour: str | None


class DraftCable(NamedTuple):
    """A cable and its cores."""

    id: str
    cores: tuple[DraftCore, ...]
    notes: tuple[str, ...]


class DraftWire(NamedTuple):
    """One wire line. Ends as written in the source, `?` for an end not known; `size`, `colour`, `length` None likewise.

    core  `CABLE.CORE` or empty; size and colour are then the core's
    row   line of the list it comes from
    """

    segment: str
    a: str
    b: str
    size: str | None
    colour: str | None
    length: str | None
    core: str
    type: str
    notes: tuple[str, ...]
    row: int


class DraftCircuit(NamedTuple):
    """A circuit and its wires."""

    id: str
    wires: tuple[DraftWire, ...]
    notes: tuple[str, ...]


class DraftSheet(NamedTuple):
    """A sheet and the circuits on it."""

    id: str
    title: str
    circuits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A whole source.

    comment  lines for the top of the file
    colours  name of a built-in colour table
    harness  id of the one harness that all wires are in
    """

    variant: str
    title: str
    colours: str
    harness: str
    comment: tuple[str, ...]
    notes: tuple[str, ...]
    devices: tuple[DraftDevice, ...]
    joints: tuple[DraftJoint, ...]
    fuses: tuple[DraftFuse, ...]
    cables: tuple[DraftCable, ...]
    circuits: tuple[DraftCircuit, ...]
    sheets: tuple[DraftSheet, ...]
