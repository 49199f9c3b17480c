"""What to do about an error or a finding: plain words, and as data the commands and options that they name.

A remedy is a text in which each command stands in backticks; the command line and JSON use it as it is. A screen
reads its `parts` and names a key, or a field, in the place of a command or an option.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from stock.language import _

_SAFE = frozenset("-_./:=,@%+")
_SPECIAL = frozenset('"\\$`!')


class Do:
    """A command with its arguments, such as `undo` with `mix` and `3`.

    Args:
        action: the command, with its verb where it has one: `bottle discard`.
        arguments: its further words, unquoted. Words in capitals are for a person to fill in, names in braces are
            filled in by `Remedy.filled`.
    """

    __slots__ = ("action", "arguments")

    def __init__(self, action: str, *arguments: object) -> None:
        self.action = action
        self.arguments = tuple(str(each) for each in arguments)

    @property
    def line(self) -> str:
        """What is typed behind `ullage`, quoted for a shell."""
        return " ".join((self.action, *(quoted(word) for word in self.arguments)))

    def __str__(self) -> str:
        return f"`ullage {self.line}`"

    def filled(self, values: Mapping[str, Any]) -> "Do":
        """A copy with names in braces filled in; a tuple becomes several words."""
        words: list[object] = []
        for word in self.arguments:
            value = values.get(word[1:-1]) if word[:1] == "{" else None
            words += value if isinstance(value, tuple) else [word.format_map(values)]
        return Do(self.action, *words)


class Option:
    """An option of the command that was refused; on a screen, a field of the form.

    Args:
        name: the option without its hyphens.
        value: what may be given, as an example or in capitals; empty for an option without a value, or any value.
    """

    __slots__ = ("name", "value")

    def __init__(self, name: str, value: str = "") -> None:
        self.name = name
        self.value = value

    def __str__(self) -> str:
        return f"with `--{self.name}{' ' * bool(self.value)}{quoted(self.value) if self.value else ''}`"

    def filled(self, values: Mapping[str, Any]) -> "Option":
        """A copy with names in braces filled in."""
        return Option(self.name, self.value.format_map(values))


Part = str | Do | Option


class Remedy(str):
    """What to do, as text for the command line, and as parts for a screen.

    Args:
        parts: words, commands and options in their order; a remedy among them brings its own parts.
    """

    parts: tuple[Part, ...]

    def __new__(cls, *parts: Part) -> "Remedy":
        """Join the parts to one text."""
        flat: list[Part] = []
        for part in parts:
            flat += part.parts if isinstance(part, Remedy) else [part]
        made = super().__new__(cls, "".join(map(str, flat)))
        made.parts = tuple(flat)
        return made

    def filled(self, values: Mapping[str, Any]) -> "Remedy":
        """The remedy of a rule with names in braces filled in.

        Args:
            values: the value of each name; a tuple gives several words of a command.
        """
        if "{" not in self:
            return self
        return Remedy(
            *(
                part.format_map(values) if isinstance(part, str) else part.filled(values)
                for part in self.parts
            )
        )

    def with_arguments(self, other: Mapping[str, str]) -> "Remedy":
        """The remedy with some arguments of its commands replaced, such as a name by `NAME`."""
        return Remedy(
            *(
                Do(part.action, *(other.get(word, word) for word in part.arguments))
                if isinstance(part, Do)
                else part
                for part in self.parts
            )
        )


def written(remedy: str | list[Any]) -> Remedy | None:
    """Read a remedy of a rule file: a text, or a list of parts. None if it is neither.

    A part is a text, a command such as `{do = "bottle discard", with = ["{bottle}"]}`, or an option such as
    `{option = "with", value = "A:B=1:1"}`.
    """
    parts: list[Part] = []
    for part in [remedy] if isinstance(remedy, str) else remedy:
        match part:
            case str():
                parts.append(_(part))
            case {"do": str(action), "with": [*words]} if len(part) == 2 and _are_texts(words):
                parts.append(Do(action, *words))
            case {"do": str(action)} if len(part) == 1:
                parts.append(Do(action))
            case {"option": str(name), "value": str(value)} if len(part) == 2:
                parts.append(Option(name, value))
            case {"option": str(name)} if len(part) == 1:
                parts.append(Option(name))
            case _:
                return None
    return Remedy(*parts)


def _are_texts(words: list[Any]) -> bool:
    return all(isinstance(word, str) for word in words)


@lru_cache(maxsize=1_024)
def quoted(word: str) -> str:
    """A word quoted for a shell, if it needs quotes."""
    if word and all(letter.isalnum() or letter in _SAFE for letter in word):
        return word
    if not _SPECIAL.intersection(word):
        return f'"{word}"'
    import shlex  # only for odd names

    return shlex.quote(word)
