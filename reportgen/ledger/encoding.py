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
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from reportgen.problems import ReportgenError

T = TypeVar("T")
Outsource = Callable[[Any], str | None]
Resolve = Callable[[Any, str], Any]
Decode = Callable[[Any, Resolve | None], Any]


class NotDecodable(ReportgenError):
    """Stored values do not make the record they are said to be; the text says which field and why."""


def _inside(_: Any) -> None:
    """Keep the value in its owner."""


def to_plain(value: Any, outsource: Outsource = _inside) -> Any:
    """What JSON can hold of a dataclass or any value inside one.

    A field that is None, and None by default, is left out. `outsource` may answer with a key for a value inside that has parts;
    the key then stands in its place. Errors: TypeError for a value without a plain form, ValueError for one that is no
    number.
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{value} cannot be stored")
    if value is None or isinstance(value, bool | int | str | float):
        return float(value) if isinstance(value, float) else value
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, np.generic):
        return to_plain(value.item(), outsource)
    return _parts(value.tolist() if isinstance(value, np.ndarray) else value, outsource)


def _parts(value: Any, outsource: Outsource) -> Any:
    """The plain form of what has parts."""

    def part(item: Any) -> Any:
        key = outsource(item)
        return to_plain(item, outsource) if key is None else key

    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        found: dict[str, Any] = {}
        for name, by_default in _fields_of(type(value)):
            item = getattr(value, name)
            if item is not None or not by_default:
                found[name] = item if _as_it_stands(item) else part(item)
        return found
    if isinstance(value, Mapping) and all(isinstance(key, str) for key in value):
        return {key: part(item) for key, item in value.items()}
    if isinstance(value, Mapping):
        return [[to_plain(key), part(item)] for key, item in sorted(value.items())]
    if isinstance(value, tuple | list):
        return [item if _as_it_stands(item) else part(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no plain form")


def _as_it_stands(item: Any) -> bool:
    """True for what is its own plain form: most values are figures or words."""
    kind = type(item)
    return kind is str or kind is int or kind is bool or (kind is float and math.isfinite(item))


@cache
def _fields_of(kind: type) -> tuple[tuple[str, bool], ...]:
    """The fields of a dataclass, and whether each is None by default."""
    return tuple((field.name, field.default is None) for field in dataclasses.fields(kind))


def from_plain(wanted: type[T], plain: Any, resolve: Resolve | None = None) -> T:
    """The value of type `wanted` that `to_plain` made `plain` of; `resolve(type, key)` fetches outsourced values.

    Errors: NotDecodable for an unknown or a missing field, or a value of another type.
    """
    try:
        return cast(T, _decoder(cast(Any, wanted))(plain, resolve))
    except _Misfit as misfit:
        raise NotDecodable(f"{_name(wanted)}{misfit.place}{misfit.what}") from None
    except RecursionError:
        raise NotDecodable(f"{_name(wanted)} is nested too deeply") from None


class _Misfit(Exception):
    """A value that does not fit; its place grows on the way out, so that nothing is spent where all fits."""

    def __init__(self, what: str, place: str = "") -> None:
        self.what, self.place = what, place

    def inside(self, place: str) -> _Misfit:
        return _Misfit(self.what, place + self.place)


def _name(wanted: Any) -> str:
    return str(getattr(wanted, "__name__", wanted))


def _stands(plain: Any, expected: str) -> _Misfit:
    return _Misfit(f": {repr(plain)[:60]} stands where {expected} is expected")


_ARRAYS = (np.ndarray, get_origin(NDArray[Any]))
"""Either names an array: from numpy 2.5 on the alias is told as itself."""


@cache
def _decoder(wanted: Any) -> Decode:
    """What makes a value of this type, found once for each type."""
    origin, arguments = get_origin(wanted), get_args(wanted)
    if origin in (Union, types.UnionType, Literal):
        return _optional((wanted,) if origin is Literal else arguments)
    if origin is tuple:
        return _resolved(wanted, _tuple(arguments))
    if origin in _ARRAYS:
        return _array
    if origin is not None:
        return _mapping(*arguments)
    if dataclasses.is_dataclass(wanted):
        return _resolved(wanted, _fields(wanted))
    return _simple(wanted)


def _optional(arguments: tuple[Any, ...]) -> Decode:
    """One type, or several lists of words, and perhaps None."""
    others = [one for one in arguments if one is not type(None)]
    if all(get_origin(one) is Literal for one in others):
        inner = _literal([word for one in others for word in get_args(one)])
    else:
        (other,) = others
        inner = _decoder(other)
    if len(others) == len(arguments):
        return inner
    return lambda plain, resolve: None if plain is None else inner(plain, resolve)


def _literal(allowed: Sequence[Any]) -> Decode:
    def decode(plain: Any, _: Resolve | None) -> Any:
        if plain not in allowed:
            raise _stands(plain, f"one of {', '.join(map(str, allowed))}")
        return plain

    return decode


def _simple(wanted: Any) -> Decode:
    allowed = (int, float) if wanted is float else (wanted,)

    def decode(plain: Any, _: Resolve | None) -> Any:
        if type(plain) not in allowed:
            raise _stands(plain, _name(wanted))
        return plain

    return _date if wanted is dt.date else decode


def _date(plain: Any, _: Resolve | None) -> dt.date:
    if not isinstance(plain, str):
        raise _stands(plain, "date")
    try:
        return dt.date.fromisoformat(plain)
    except ValueError:
        raise _Misfit(f": {plain[:60]!r} is no date") from None


def _array(plain: Any, _: Resolve | None) -> np.ndarray[Any, np.dtype[np.float64]]:
    try:
        found = np.array(_list(plain))
    except ValueError:  # rows of several lengths
        raise _stands(plain, "an array of numbers") from None
    if found.size and found.dtype.kind not in "if":
        raise _stands(plain, "an array of numbers")
    return found.astype(np.float64)


def _list(plain: Any) -> list[Any]:
    if not isinstance(plain, list):
        raise _stands(plain, "a list")
    return plain


def _resolved(wanted: Any, inner: Decode) -> Decode:
    def decode(plain: Any, resolve: Resolve | None) -> Any:
        if isinstance(plain, str) and resolve is not None:
            return resolve(wanted, plain)
        return inner(plain, resolve)

    return decode


def _fields(wanted: Any) -> Decode:
    hints, missing = get_type_hints(wanted), dataclasses.MISSING
    fields = dataclasses.fields(wanted)
    decoders = {field.name: _decoder(hints[field.name]) for field in fields}
    plainly = {name: _as_it_is(hints[name]) for name in decoders}
    needed = [field.name for field in fields if field.default is missing and field.default_factory is missing]

    def decode(plain: Any, resolve: Resolve | None) -> Any:
        if not isinstance(plain, dict):
            raise _stands(plain, "an object with its fields")
        given = {}
        for name, value in plain.items():
            if name not in decoders:
                raise _Misfit(f" has no field {name[:60]}; another version of the program stored it")
            if type(value) in plainly[name]:
                given[name] = value
                continue
            try:
                given[name] = decoders[name](value, resolve)
            except _Misfit as misfit:
                raise misfit.inside(f".{name}") from None
        if absent := [name for name in needed if name not in given]:
            raise _Misfit(f" lacks {', '.join(absent)}")
        return wanted(**given)

    return decode


@cache
def _as_it_is(wanted: Any) -> frozenset[type]:
    """The types of plain values that stand for themselves where one of type `wanted` is expected: most fields are figures or words."""
    if get_origin(wanted) in (Union, types.UnionType):
        return frozenset().union(*[_as_it_is(one) for one in get_args(wanted)])  # of one type, and perhaps None
    if wanted is float:
        return frozenset((int, float))
    return frozenset((wanted,)) if wanted in (int, str, bool, type(None)) else frozenset()


def _tuple(arguments: tuple[Any, ...]) -> Decode:
    decoders = [_decoder(one) for one in arguments if one is not Ellipsis]
    of_any_length = arguments[-1] is Ellipsis
    plainly = _as_it_is(arguments[0]) if of_any_length else frozenset()

    def decode(plain: Any, resolve: Resolve | None) -> tuple[Any, ...]:
        items = _list(plain)
        if of_any_length:
            if plainly.issuperset(map(type, items)):
                return tuple(items)
            each = decoders[0]
            return tuple([each(item, resolve) for item in items])
        if len(items) != len(decoders):
            raise _Misfit(f": {len(items)} values stand where {len(decoders)} are expected")
        return tuple([one(item, resolve) for one, item in zip(decoders, items, strict=True)])

    return decode


def _mapping(key_type: Any, value_type: Any) -> Decode:
    decode_key, decode_value = _decoder(key_type), _decoder(value_type)

    def decode(plain: Any, resolve: Resolve | None) -> Mapping[Any, Any]:
        keyed_by_text = isinstance(plain, dict) and (key_type is str or not plain)
        pairs: list[Any] = list(plain.items()) if keyed_by_text else list(_list(plain))
        if any(not isinstance(pair, list | tuple) or len(pair) != 2 for pair in pairs):
            raise _Misfit(": pairs of a key and a value are expected")
        return {decode_key(key, None): decode_value(item, resolve) for key, item in pairs}

    return decode
