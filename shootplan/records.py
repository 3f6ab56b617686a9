"""
``dataclass`` for the program's many small records: the standard library's, made in a seventh of the time.

The standard decorator compiles seven functions for each class, about 0.4 ms; with two hundred classes that alone was a
quarter of a build. Here the one function that must be compiled, ``__init__``, waits for the first instance, and
comparison, hash and text are shared by all records. Records behave as standard dataclasses do: ``dataclasses.replace``,
``fields`` and ``is_dataclass`` work on them (``tests/unit/test_records.py`` holds the two side by side). Not offered,
because nobody here needs it: inheritance between records, ``InitVar``, ``init=False``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

__all__ = ["dataclass"]

if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    import dataclasses
    from operator import attrgetter

    _MISSING = dataclasses.MISSING
    _Field = dataclasses.Field

    def dataclass(cls=None, /, *, frozen=False, slots=False, kw_only=False, order=False):
        """Make a record of a class, with the meaning that ``dataclasses.dataclass`` gives to these options."""

        def made(plain):
            return _record(plain, frozen=frozen, slots=slots, kw_only=kw_only, order=order)

        return made if cls is None else made(cls)

    def _record(cls, *, frozen, slots, kw_only, order):
        space = dict(cls.__dict__)
        types = {name: text for name, text in space.get("__annotations__", {}).items() if not _is_class_var(text)}
        if any("_record_fields" in base.__dict__ for base in cls.__mro__[1:]):
            raise TypeError(f"{cls.__qualname__}: a record cannot be made of a record")
        told = {name: space.pop(name) for name in types if name in space}
        # A default stays readable on the class, as in the standard library, but never where a slot takes its place.
        if not slots:
            space.update({name: value for name, value in told.items() if not isinstance(value, _Field)})
        compared = tuple(name for name in types if _is_compared(told.get(name)))
        space["_record_fields"] = (types, told, kw_only)
        space["__dataclass_params__"] = _Params(frozen=frozen, order=order)
        space["__dataclass_fields__"] = _Fields()
        space.setdefault("__match_args__", () if kw_only else tuple(types))
        space["__init__"] = _first_init
        space["__repr__"] = space.get("__repr__", _repr)
        space["_record_key"] = staticmethod(_key(compared))
        if "__eq__" not in space:
            space["__eq__"] = _eq
            space["__hash__"] = (space.get("__hash__") or _hash) if frozen else None
        if order:
            space.update(__lt__=_lt, __le__=_le, __gt__=_gt, __ge__=_ge)
        if frozen:
            space.update(__setattr__=_refuse_set, __delattr__=_refuse_delete)
        if slots:
            space["__slots__"] = tuple(types)
            space.update(__getstate__=_getstate, __setstate__=_setstate)
        space.pop("__dict__", None)
        space.pop("__weakref__", None)
        made = type(cls)(cls.__name__, cls.__bases__, space)
        made.__qualname__ = cls.__qualname__
        return made

    def _is_class_var(text):
        return str(text).startswith(("ClassVar", "typing.ClassVar"))

    def _is_compared(told):
        return told.compare if isinstance(told, _Field) else True

    def _key(names):
        if not names:
            return lambda _: ()
        if len(names) > 1:
            return attrgetter(*names)
        get = attrgetter(names[0])
        return lambda record: (get(record),)

    def _first_init(self, *args, **kwargs):
        cls = type(self)
        cls.__init__ = _compiled_init(cls)
        cls.__init__(self, *args, **kwargs)

    def _compiled_init(cls):
        types, told, kw_only = cls._record_fields
        is_frozen = cls.__setattr__ is _refuse_set
        names, head, body = {"_MISSING": _MISSING, "_set": object.__setattr__}, ["self"], []
        if kw_only and types:
            head.append("*")
        for name in types:
            value = told.get(name, _MISSING)
            factory = value.default_factory if isinstance(value, _Field) else _MISSING
            value = value.default if isinstance(value, _Field) else value
            if factory is not _MISSING:
                names[f"_make_{name}"] = factory
                body.append(f"if {name} is _MISSING: {name} = _make_{name}()")
                value = _MISSING
                head.append(f"{name}=_MISSING")
            elif value is not _MISSING:
                names[f"_default_{name}"] = value
                head.append(f"{name}=_default_{name}")
            else:
                head.append(name)
            slot = cls.__dict__.get(name)
            if is_frozen and hasattr(slot, "__set__"):
                names[f"_set_{name}"] = slot.__set__
                body.append(f"_set_{name}(self, {name})")
            else:
                body.append(f"_set(self, {name!r}, {name})" if is_frozen else f"self.{name} = {name}")
        if hasattr(cls, "__post_init__"):
            body.append("self.__post_init__()")
        code = f"def __init__({', '.join(head)}):\n " + "\n ".join(body or ["pass"])
        exec(code, names)
        made = names["__init__"]
        made.__qualname__ = f"{cls.__qualname__}.__init__"
        return made

    class _Fields:
        """Makes ``__dataclass_fields__`` when somebody asks for it."""

        def __get__(self, _instance, cls):
            types, told, kw_only = cls._record_fields
            found = {}
            for name, text in types.items():
                value = told.get(name, _MISSING)
                item = value if isinstance(value, _Field) else dataclasses.field(default=value)
                item.name, item.type, item.kw_only, item._field_type = name, text, kw_only, dataclasses._FIELD
                found[name] = item
            cls.__dataclass_fields__ = found
            return found

    class _Params:
        """Makes ``__dataclass_params__`` when somebody asks for it: libraries that send records elsewhere do."""

        def __init__(self, **asked):
            self._asked = asked

        def __get__(self, _instance, cls):
            cls.__dataclass_params__ = dataclasses.make_dataclass("_", (), **self._asked).__dataclass_params__
            return cls.__dataclass_params__

    def _repr(self):
        types, told, _ = self._record_fields
        shown = (name for name in types if not (isinstance(told.get(name), _Field) and not told[name].repr))
        inside = ", ".join(f"{name}={getattr(self, name)!r}" for name in shown)
        return f"{type(self).__qualname__}({inside})"

    def _eq(self, other):
        if other.__class__ is self.__class__:
            return self._record_key(self) == self._record_key(other)
        return NotImplemented

    def _hash(self):
        return hash(self._record_key(self))

    def _lt(self, other):
        if other.__class__ is not self.__class__:
            return NotImplemented
        return self._record_key(self) < self._record_key(other)

    def _le(self, other):
        return (
            self._record_key(self) <= self._record_key(other) if other.__class__ is self.__class__ else NotImplemented
        )

    def _gt(self, other):
        if other.__class__ is not self.__class__:
            return NotImplemented
        return self._record_key(self) > self._record_key(other)

    def _ge(self, other):
        return (
            self._record_key(self) >= self._record_key(other) if other.__class__ is self.__class__ else NotImplemented
        )

    def _refuse_set(self, name, _value):
        raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")

    def _refuse_delete(self, name):
        raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")

    def _getstate(self):
        return [getattr(self, name) for name in self._record_fields[0]]

    def _setstate(self, state):
        for name, value in zip(self._record_fields[0], state, strict=True):
            object.__setattr__(self, name, value)
