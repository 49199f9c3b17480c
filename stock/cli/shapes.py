"""JSON Schema documents (draft 2020-12) of the commands' answers, made from the types in `answers`."""

import inspect
import types
from collections.abc import Mapping
from typing import (
    Any,
    Literal,
    NotRequired,
    Required,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

from stock.cli.answers import ANSWERS
from stock.cli.streams import SCHEMA

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NAMES = {str: "string", int: "integer", float: "number", bool: "boolean", type(None): "null"}

Document = dict[str, Any]


def answer(command: str) -> Document:
    """The schema of a command's answer with `--json`.

    Args:
        command: its words, as `order list`.
    Raises:
        KeyError: the command answers nothing in JSON.
    """
    types_of = _Definitions()
    shapes = [types_of.add(each) for each in ANSWERS[command]]
    for name in {shape["$ref"].rpartition("/")[2] for shape in shapes}:
        types_of.found[name] = _numbered(types_of.found[name])
    return {
        "$schema": DIALECT,
        "title": f"ullage {command} --json",
        **(shapes[0] if len(shapes) == 1 else {"anyOf": shapes}),
        "$defs": dict(sorted(types_of.found.items())),
    }


def every_answer() -> Document:
    """The schemas of all commands in one document: each stands in `$defs` under the command's words."""
    return {"$schema": DIALECT, "$defs": {command: answer(command) for command in sorted(ANSWERS)}}


def _numbered(shape: Document) -> Document:
    """The schema of a whole answer, which begins with the number of its shape."""
    return {
        **shape,
        "properties": {"schema": {"const": SCHEMA}, **shape["properties"]},
        "required": ["schema", *shape["required"]],
    }


class _Definitions:
    """The definitions of the types in an answer, by their names.

    Attributes:
        found: their schemas.
    """

    def __init__(self) -> None:
        self.found: dict[str, Document] = {}

    def add(self, shape: Any) -> Document:
        """A reference to a type; defines the type at its first use."""
        name = shape.__name__.removesuffix("Shape")
        if name not in self.found:
            self.found[name] = {}  # it may hold itself
            self.found[name] = self._object(shape)
        return {"$ref": f"#/$defs/{name}"}

    def _object(self, shape: Any) -> Document:
        hints: Mapping[str, Any] = get_type_hints(shape, include_extras=True)
        said = inspect.getdoc(shape) if shape.__doc__ else None
        return {
            **({"description": said} if said else {}),
            "type": "object",
            "properties": {key: self.schema(hint) for key, hint in hints.items()},
            "required": [key for key in hints if key in shape.__required_keys__],
        }

    def schema(self, hint: Any) -> Document:
        """The schema of a type.

        Raises:
            TypeError: the type has no schema yet.
        """
        origin, within = get_origin(hint), get_args(hint)
        if is_typeddict(hint):
            return self.add(hint)
        if hint is object:
            return {}
        if origin in (NotRequired, Required):
            return self.schema(within[0])
        if origin is Literal:
            return {"enum": list(within)}
        if origin in (Union, types.UnionType):
            return {"anyOf": [self.schema(each) for each in within]}
        if origin is list:
            return {"type": "array", "items": self.schema(within[0])}
        if origin is dict:
            return {"type": "object", "additionalProperties": self.schema(within[1])}
        if hasattr(hint, "__metadata__"):
            return {**self.schema(hint.__origin__), "format": hint.__metadata__[0]}
        if hint not in NAMES:
            raise TypeError(f"no schema for {hint}")
        return {"type": NAMES[hint]}
