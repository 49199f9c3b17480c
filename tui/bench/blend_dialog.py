"""The dialog in which a blend of two reducers is picked, with the way it is written beside it."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import BadInput, UllageError
from stock.language import _
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.name_field import NameField

PARTS = tuple(str(parts) for parts in (1, 2, 3, 4, 5, 10))


def _parts(text: str) -> int:
    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and 0 < int(digits[:9]) <= 1_000):
        raise BadInput(
            _("{text!r} is no number of parts", text=text[:20]), remedy=_("Write a whole number from 1")
        )
    return int(digits)


class PickBlend(BookingDialog[str]):
    """Picks two reducers and their parts, and hands them to the form as `A:B=1:1`; books nothing."""

    HEAD: ClassVar[str] = _("A blend of two reducers")
    GO: ClassVar[str] = _("Fill in the form")

    def __init__(self, reducers: Sequence[str]) -> None:
        super().__init__()
        self._reducers = reducers

    def fields(self) -> ComposeResult:
        """The reducers, each with its parts."""
        for number, ordinal in enumerate((_("One"), _("Other"))):
            yield NameField(
                ordinal, example=_("a few letters"), offers=self._reducers,
                id=f"name-{number}",
            )  # fmt: skip
            yield Field(_("its parts"), read=_parts, value="1", offers=PARTS, id=f"parts-{number}")
        yield Static(id="will")

    def _blend(self, names: Sequence[str], parts: Sequence[int]) -> str:
        return f"{':'.join(names)}={':'.join(str(each) for each in parts)}"

    @on(Field.Changed)
    def _typed(self) -> None:
        """Show how the blend is written once it can be read."""
        names = [self.query_one(f"#name-{number}", Field).meant.strip() for number in range(2)]
        try:
            parts = [self.query_one(f"#parts-{number}", Field).read() for number in range(2)]
        except UllageError:
            parts = []
        text = (
            _("The field then holds {names}", names=self._blend(names, parts)) if all(names) and parts else ""
        )
        self.query_one("#will", Static).update(words(text))

    def errand(self) -> Callable[[], str]:
        """The blend as it is written."""
        from stock.shelf import products

        names = [self.read(f"name-{number}") for number in range(2)]
        parts = [self.read(f"parts-{number}") for number in range(2)]

        def written() -> str:
            found = [products.find(name) for name in names]
            for product in found:
                if product.role not in ("reducer", "cleaner"):
                    raise BadInput(
                        _("{name} is a {role}, not a reducer", name=product.name, role=_(product.role)),
                        remedy=_("Pick a reducer"),
                    )
            if found[0].id == found[1].id:
                raise BadInput(
                    _("{name} can't be blended with itself", name=found[0].name),
                    remedy=_("Pick two reducers"),
                )
            return self._blend([product.name for product in found], parts)

        return written
