"""Our `NamedTuple` makes what typing's makes of the same class statement."""

import copy
import inspect
import pickle
import typing

import pytest

from stock.named_tuples import NamedTuple


class Ours(NamedTuple):
    """A shade."""

    name: str
    parts: "list[int]"
    depth: int = 3

    @property
    def doubled(self):
        return self.depth * 2

    @classmethod
    def plain(cls):
        return cls("plain", [])


class Theirs(typing.NamedTuple):
    """A shade."""

    name: str
    parts: "list[int]"
    depth: int = 3

    @property
    def doubled(self):
        return self.depth * 2

    @classmethod
    def plain(cls):
        return cls("plain", [])


def kinds(count):
    body = "".join(f"    f{number}: int\n" for number in range(count))
    spaces = []
    for maker in (NamedTuple, typing.NamedTuple):
        space = {"NamedTuple": maker, "__name__": __name__}
        exec(f"class Kind(NamedTuple):\n    'Fields.'\n{body}", space)
        spaces.append(space["Kind"])
    return spaces


def said(do):
    """What a call gives or says; a class's own name is all that may differ."""
    try:
        return str(do()).replace("Theirs", "Ours")
    except Exception as error:
        return type(error).__name__, str(error).replace("Theirs", "Ours")


@pytest.mark.parametrize(
    "do",
    [
        lambda kind: kind("teal", [1]),
        lambda kind: kind(parts=[1], name="teal", depth=4),
        lambda kind: kind(*("teal", [1]), depth=9).doubled,
        lambda kind: kind.plain(),
        lambda kind: kind("teal"),
        lambda kind: kind("teal", [1], 2, 3),
        lambda kind: kind("teal", [1], shade=2),
        lambda kind: kind("teal", [1])._replace(name="rust"),
        lambda kind: kind("teal", [1])._asdict(),
        lambda kind: kind._make(("teal", [1], 2)),
        lambda kind: kind._fields,
        lambda kind: kind.__match_args__,
        lambda kind: kind.__doc__,
        lambda kind: list(inspect.signature(kind).parameters),
        lambda kind: kind("teal", [1]) == ("teal", [1], 3),
        lambda kind: hash(kind("teal", ())) == hash(("teal", (), 3)),
        lambda kind: pickle.loads(pickle.dumps(kind("teal", [1]))),
        lambda kind: copy.deepcopy(kind("teal", [1])),
        lambda kind: hasattr(kind("teal", [1]), "__dict__"),
        lambda kind: setattr(kind("teal", [1]), "name", "rust"),
        typing.get_type_hints,
    ],
)
def test_it_does_what_typings_does(do):
    assert said(lambda: do(Ours)) == said(lambda: do(Theirs))


@pytest.mark.parametrize("wrong", [("teal", [1]), ("teal", [1], 2, 3)])
def test_it_is_not_made_of_more_or_fewer_values(wrong):
    with pytest.raises(TypeError):
        Ours._make(wrong)
    with pytest.raises(ValueError, match="shade"):
        Ours.plain()._replace(shade=3)


def test_it_can_have_any_number_of_fields():
    for count in range(40):
        ours, theirs = kinds(count)
        values = range(count)
        assert repr(ours(*values)) == repr(theirs(*values))
        assert ours(**{f"f{number}": number for number in values}) == tuple(values)
        for wrong in (range(count + 1), range(count - 1)) if count else (range(1),):
            with pytest.raises(TypeError):
                ours(*wrong)


def test_a_field_without_a_default_stands_first():
    with pytest.raises(TypeError, match="default"):

        class Wrong(NamedTuple):
            depth: int = 3
            name: str
