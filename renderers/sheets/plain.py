"""What drawings may know of the things in a variant: a copy of each without all else, and the same as one text.

Both go by one table, `_HIDDEN`: a fact that the copy has is in the text, and one that the text leaves out the copy has not.
So a drawing made of copies depends on nothing but their texts.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, TypeVar

from compiler.model.items import (
    Bus,
    Connector,
    Core,
    Device,
    End,
    Ground,
    Located,
    Named,
    Part,
    Place,
    Splice,
    Wire,
    Zone,
)
from compiler.model.variant import Header
from grammar.source import Source, Span
from grammar.tree import Word

T = TypeVar("T")
Thing = TypeVar("Thing", bound=Named)

NOWHERE = Span(Source("", ""), 0, 0)
NO_WORD = Word("NAME", "", 0, 0)

# Type -> what is hidden from drawings, with what stands in its place. Of a subclass what its bases hide, too.
_HIDDEN: Mapping[type, Mapping[str, object]] = {
    Named: {"at": NOWHERE, "span": NOWHERE, "notes": (), "fragment": ""},
    Connector: {"spare": {}, "plugged": {}, "doubled": {}, "spare_rest": False, "listed": (), "rows": ()},
    Core: {"at": NOWHERE, "size": None, "colour": None, "spare": False},
    End: {"written": NO_WORD, "problem": ""},
    Header: {"supply_v": 0.0, "options": (), "at": NOWHERE},
    Part: {"at": NOWHERE},
    Place: {"point": None, "access_min": None, "at": None},
    Wire: {
        "segment": "",
        "length_m": None,
        "harness": "",
        "recoloured": "",
        "colour_at": NOWHERE,
        "size_at": NOWHERE,
        "own_colour": False,
        "at": NOWHERE,
        "span": NOWHERE,
        "notes": (),
        "fragment": "",
        "words": {},
    },
    Word: {"start": 0, "end": 0},
    Zone: {"width": 0.0, "height": 0.0, "drawing": ""},
}

# The same of what is only named on a sheet, as the far end of an arrow.
_FAR: Mapping[type, Mapping[str, object]] = {
    Located: {"title": "", "place": None},
    Bus: {"block": ""},
    Connector: {"cavities": (), "halves": ("", ""), "pins": None},
    Device: {
        "kind": "",
        "terminals": (),
        "parts": (),
        "positions": (),
        "connectors": (),
        "block": "",
        "case": "",
        "ratings": {},
        "words": {},
        "size": None,
        "spare": frozenset(),
    },
    Ground: {"structure": ""},
    Splice: {"harness": ""},
}


def copy(value: T) -> T:
    """A value with what drawings may know of it, and nothing else."""
    done: T = _copy(value)
    return done


def outline(item: Thing) -> Thing:
    """Of a copy what is needed where a thing is only named: its id, the component behind a plug, the bus of a fuse."""
    kind: Any = type(item)
    done: Thing = _record(item, _hidden_far(kind))
    return done


def _copy(value: Any) -> Any:
    kind: Any = type(value)
    if _names(kind) is not None:
        return _record(value, hidden_in(kind))
    if isinstance(value, tuple):
        return tuple(map(_copy, value))
    if isinstance(value, Mapping):
        return {key: _copy(part) for key, part in value.items()}
    return value


def _record(value: Any, hidden: Mapping[str, object]) -> Any:
    kind: Any = type(value)
    return kind(*[hidden[n] if n in hidden else _copy(getattr(value, n)) for n in _names(kind) or ()])


def told(value: object) -> str:
    """All that a copy says, as one text: two values have one text only if their copies are alike.

    Raises TypeError for a value that has something in it that no drawing should see, such as a place in a source.
    """
    return json.dumps(_plain(value), ensure_ascii=True, separators=(",", ":"))


def _plain(value: Any) -> object:
    if value is None or isinstance(value, str | int | float):
        return value
    kind: Any = type(value)
    if issubclass(kind, Span | Source):
        raise TypeError(f"a drawing does not depend on where something stands: {value!r:.80}")
    if (names := _names(kind)) is not None:
        hidden = hidden_in(kind)
        return [_plain(getattr(value, name)) for name in names if name not in hidden]
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if isinstance(value, Mapping):
        return [[key, _plain(part)] for key, part in value.items()]
    if isinstance(value, frozenset):
        return sorted(value)
    raise TypeError(f"there is no text for a {kind.__name__}")


@cache
def _names(kind: Any) -> tuple[str, ...] | None:
    """The fields of a record, in the order in which it is made of them; None for what is no record."""
    if is_dataclass(kind):
        return tuple(field.name for field in fields(kind) if field.init)
    return getattr(kind, "_fields", None)


@cache
def hidden_in(kind: Any) -> Mapping[str, object]:
    """What drawings do not see of a type."""
    return _of(_HIDDEN, kind)


@cache
def _hidden_far(kind: Any) -> Mapping[str, object]:
    """What drawings do not see of a thing that is only named."""
    return {**_of(_HIDDEN, kind), **_of(_FAR, kind)}


def _of(table: Mapping[type, Mapping[str, object]], kind: type) -> dict[str, object]:
    """What a table says of a type and its bases."""
    return {name: value for base in kind.__mro__ for name, value in table.get(base, {}).items()}
