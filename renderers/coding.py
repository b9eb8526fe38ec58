"""Plain values as JSON and back, by their declared types: named tuples, frozen dataclasses, enumerations, literals,
tuples, and mappings, in their order."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

Decoder = Callable[[Any], Any]


def encoded(value: object) -> bytes:
    """A value as JSON."""
    return json.dumps(_plain(value), ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def decoded(kind: type, data: bytes) -> Any:
    """The value of a type that `encoded` wrote. Raises ValueError for anything else."""
    try:
        return _decoder(kind)(json.loads(data))
    except (KeyError, TypeError, RecursionError) as error:
        raise ValueError(f"this is no {kind.__name__}: {error}") from error


def _plain(value: object) -> object:
    if isinstance(value, Enum):
        return value.value
    if is_dataclass(value) and not isinstance(value, type):
        return [_plain(getattr(value, field.name)) for field in fields(value)]
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if isinstance(value, Mapping):
        return [[_plain(key), _plain(part)] for key, part in value.items()]
    return value


@cache
def _decoder(kind: Any) -> Decoder:
    if get_origin(kind) is tuple:
        return _tuple(get_args(kind))
    if get_origin(kind) is Mapping:
        pairs = _decoder(tuple[tuple[get_args(kind)], ...])  # type: ignore[misc]
        return lambda data: dict(pairs(data))
    if get_origin(kind) in (Union, UnionType):
        (inner,) = (part for part in get_args(kind) if part is not NoneType)
        return lambda data: None if data is None else _decoder(inner)(data)
    if get_origin(kind) is Literal:
        return lambda data: _one_of(get_args(kind), data)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind
    if isinstance(kind, type) and (is_dataclass(kind) or hasattr(kind, "_fields")):
        return _record(kind)
    return lambda data: _exactly(kind, data)


def _tuple(kinds: tuple[Any, ...]) -> Decoder:
    if kinds[-1:] == (...,):
        each = _decoder(kinds[0])
        return lambda data: tuple(map(each, data))
    own = [_decoder(kind) for kind in kinds]
    return lambda data: tuple(decode(part) for decode, part in zip(own, data, strict=True))


def _record(kind: type) -> Decoder:
    own = [_decoder(hint) for hint in get_type_hints(kind).values()]
    return lambda data: kind(*(decode(part) for decode, part in zip(own, data, strict=True)))


def _one_of(words: tuple[Any, ...], data: Any) -> Any:
    if data not in words:
        raise TypeError(f"{data!r} is none of {words}")
    return data


def _exactly(kind: type, data: Any) -> Any:
    wanted = (int, float) if kind is float else (kind,)
    if type(data) not in wanted:
        raise TypeError(f"{data!r} is no {kind.__name__}")
    return kind(data)
