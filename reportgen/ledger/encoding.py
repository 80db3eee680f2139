"""Frozen dataclasses to plain JSON values and back, by their fields alone.

Knows fields, tuples, mappings, dates, arrays and None. Refuses to know any particular record, and refuses a field
that a record does not have: a value that nobody reads would be a value silently lost.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import types
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

import numpy as np

from reportgen.problems import ReportgenError

T = TypeVar("T")
Outsource = Callable[[Any], str | None]
Resolve = Callable[[Any, str], Any]


class NotDecodable(ReportgenError):
    """Stored values do not make the record they are said to be; the text says which field and why."""


def _inside(_: Any) -> None:
    """Keep the value in its owner."""


def to_plain(value: Any, outsource: Outsource = _inside) -> Any:
    """What JSON can hold of a dataclass or any value inside one.

    A field that is None, and None by default, is left out. `outsource` may answer with a key for a value inside; the
    key then stands in its place. Errors: TypeError for a value without a plain form, ValueError for one that is no
    number.
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{value} cannot be stored")
    if value is None or isinstance(value, bool | int | str | float):
        return float(value) if isinstance(value, float) else value
    if isinstance(value, dt.date):
        return value.isoformat()
    return _parts(value.tolist() if isinstance(value, np.ndarray) else value, outsource)


def _parts(value: Any, outsource: Outsource) -> Any:
    """The plain form of what has parts."""

    def part(item: Any) -> Any:
        key = outsource(item)
        return to_plain(item, outsource) if key is None else key

    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        pairs = ((field, getattr(value, field.name)) for field in dataclasses.fields(value))
        return {field.name: part(item) for field, item in pairs if item is not None or field.default is not None}
    if isinstance(value, Mapping) and all(isinstance(key, str) for key in value):
        return {key: part(item) for key, item in value.items()}
    if isinstance(value, Mapping):
        return [[to_plain(key), part(item)] for key, item in sorted(value.items())]
    if isinstance(value, tuple | list):
        return [part(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no plain form")


def from_plain(wanted: type[T], plain: Any, resolve: Resolve | None = None) -> T:
    """The value of type `wanted` that `to_plain` made `plain` of; `resolve(type, key)` fetches outsourced values.

    Errors: NotDecodable for an unknown or a missing field, or a value of another type.
    """
    return cast(T, _decoded(wanted, plain, resolve, _name(wanted)))


def _name(wanted: Any) -> str:
    return str(getattr(wanted, "__name__", wanted))


@lru_cache
def _hints(wanted: type) -> Mapping[str, Any]:
    return get_type_hints(wanted)


def _decoded(wanted: Any, plain: Any, resolve: Resolve | None, place: str) -> Any:
    origin, arguments = get_origin(wanted), get_args(wanted)
    if origin in (Union, types.UnionType):
        (other,) = (one for one in arguments if one is not type(None))
        return None if plain is None else _decoded(other, plain, resolve, place)
    if dataclasses.is_dataclass(wanted) or origin is tuple:
        if isinstance(plain, str) and resolve is not None:
            return resolve(wanted, plain)
        return _fields(wanted, plain, resolve, place) if origin is None else _tuple(arguments, plain, resolve, place)
    if origin is np.ndarray:
        return np.array([_simple(float, item, place) for item in _list(plain, place)], dtype=np.float64)
    if origin is not None:
        return _mapping(arguments, plain, resolve, place)
    return _simple(wanted, plain, place)


def _simple(wanted: Any, plain: Any, place: str) -> Any:
    if wanted is dt.date and isinstance(plain, str):
        try:
            return dt.date.fromisoformat(plain)
        except ValueError:
            raise NotDecodable(f"{place}: {plain!r} is no date") from None
    allowed = (int, float) if wanted is float else (wanted,)
    if type(plain) not in allowed:
        raise NotDecodable(f"{place}: {plain!r} stands where {_name(wanted)} is expected")
    return plain


def _list(plain: Any, place: str) -> Sequence[Any]:
    if not isinstance(plain, list):
        raise NotDecodable(f"{place}: {plain!r} stands where a list is expected")
    return plain


def _fields(wanted: Any, plain: Any, resolve: Resolve | None, place: str) -> Any:
    if not isinstance(plain, dict):
        raise NotDecodable(f"{place}: {plain!r} stands where its fields are expected")
    hints, fields = _hints(wanted), dataclasses.fields(wanted)
    if unknown := sorted(set(plain) - {field.name for field in fields}):
        raise NotDecodable(f"{place} has no field {', '.join(unknown)}; another version of the program stored it")
    given = {
        field.name: _decoded(hints[field.name], plain[field.name], resolve, f"{place}.{field.name}")
        for field in fields
        if field.name in plain
    }
    missing = dataclasses.MISSING
    needed = (field for field in fields if field.default is missing and field.default_factory is missing)
    if absent := [field.name for field in needed if field.name not in given]:
        raise NotDecodable(f"{place} lacks {', '.join(absent)}")
    return wanted(**given)


def _tuple(arguments: tuple[Any, ...], plain: Any, resolve: Resolve | None, place: str) -> tuple[Any, ...]:
    items = _list(plain, place)
    if arguments[-1] is Ellipsis:
        arguments = (arguments[0],) * len(items)
    if len(items) != len(arguments):
        raise NotDecodable(f"{place}: {len(items)} values stand where {len(arguments)} are expected")
    return tuple(_decoded(one, item, resolve, place) for one, item in zip(arguments, items, strict=True))


def _mapping(arguments: tuple[Any, ...], plain: Any, resolve: Resolve | None, place: str) -> Mapping[Any, Any]:
    key_type, value_type = arguments
    keyed_by_text = isinstance(plain, dict) and (key_type is str or not plain)
    pairs: list[Any] = list(plain.items()) if keyed_by_text else list(_list(plain, place))
    if any(len(pair) != 2 for pair in pairs):
        raise NotDecodable(f"{place}: pairs of a key and a value are expected")
    return {
        _decoded(key_type, key, None, place): _decoded(value_type, item, resolve, f"{place}[{key}]")
        for key, item in pairs
    }
