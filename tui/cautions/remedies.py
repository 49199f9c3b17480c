"""What a key on the Cautions does about a finding: note what was missing, silence a rule, carry bottles."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.cautions.moves import Move
from tui.widgets.errand import Errand
from tui.widgets.fields import Field
from tui.widgets.room import words
from tui.widgets.say import count


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing that a sheet says and nobody has noted: its field, what is typed as, and where it is found."""

    name: str
    label: str
    example: str
    hint: str = ""


FLASH = Ask(
    "flash_point",
    "Flash point",
    "18C",
    "Section 9 of the safety data sheet, closed cup; `none` if it has none",
)
BOILS = Ask(
    "boiling_point", "Boiling point", "78C", "Section 9 of the safety data sheet, initial boiling point"
)
WATER = Ask("water", "Water", "60%", "Section 3, by weight")
SOLVENT = Ask("solvent", "Solvents", "ethanol=30%, acetone=5%", "Section 3, each with its share by weight")
OPENED = Ask("opened_life", "Good opened", "12mo")
SEALED = Ask("sealed_life", "Good unopened", "3y")
STORE = Ask("store_at", "Keeps at", "5C..35C")

MISSING: dict[str, tuple[Ask, ...]] = {
    "flash-point-unknown": (FLASH, BOILS, SOLVENT, WATER),
    "boiling-point-unknown": (BOILS,),
    "blend-burns-lower": (FLASH, BOILS),
    "composition-unknown": (SOLVENT, WATER),
    "age-unknown": (OPENED, SEALED),
}
"""What is asked for each finding about a product."""

OF_PLACES = ("place-temperature-unknown", "spraying-at-home")


def can_note(finding: Finding) -> bool:
    """Whether a dialog here can note what the finding misses."""
    return finding.code in MISSING or (finding.code in OF_PLACES and finding.place is not None)


class NoteProduct(Errand[str]):
    """What a product's sheets say and the books don't know yet."""

    GO = "Note it"

    def __init__(self, product: str, asked: Sequence[Ask]) -> None:
        super().__init__()
        self._product = product
        self._asked = asked

    def head(self) -> str:
        """Whose sheets."""
        return f"From the sheets of {self._product}"

    def fields(self) -> ComposeResult:
        """One field for each; what stays empty stays as it is."""
        yield Static(words("What you leave empty stays as it is."))
        for one in self._asked:
            yield Field(one.label, example=one.example, hint=one.hint, blank=True, id=one.name)

    def errand(self) -> Callable[[], str]:
        """Change the product."""
        given: dict[str, Any] = {one.name: self.read(one.name) for one in self._asked}
        given = {name: text for name, text in given.items() if text}
        if not given:
            self.refuse("Nothing was written, so nothing was noted.")
            self.stay()
        if "solvent" in given:
            given["solvent"] = [part.strip() for part in given["solvent"].split(",") if part.strip()]

        def note() -> str:
            from stock.shelf import products  # noqa: PLC0415

            products.change(self._product, given)
            return f"Noted for {self._product}: {', '.join(name.replace('_', ' ') for name in given)}"

        return note


class NotePlace(Errand[str]):
    """What kind of place it is and how cold it gets."""

    GO = "Note it"

    def __init__(self, place: str) -> None:
        super().__init__()
        self._place = place

    def head(self) -> str:
        """Which place."""
        return f"About {self._place}"

    def fields(self) -> ComposeResult:
        """Its coldest, its warmest, and what kind of rooms these are."""
        yield Static(words("What you leave empty stays as it is."))
        yield Field("Lowest", read=_temperature, example="5C", blank=True, id="low")
        yield Field("Highest", read=_temperature, example="30C", blank=True, id="high")
        yield Field("It is in a", example="home, workshop or spray_room", blank=True, id="premises")

    def errand(self) -> Callable[[], str]:
        """Change the place."""
        low, high, premises = self.read("low"), self.read("high"), self.read("premises")
        if low is None and high is None and not premises:
            self.refuse("Nothing was written, so nothing was noted.")
            self.stay()

        def note() -> str:
            from stock.shelf import places  # noqa: PLC0415

            places.change(self._place, low_mc=low, high_mc=high, premises=premises or None)
            return f"Noted for {self._place}"

        return note


def _temperature(text: str) -> int:
    from stock.units import temperature  # noqa: PLC0415

    return temperature(text)


class Silence(Errand[str]):
    """A rule is silenced for this studio, with a reason that is logged."""

    GO = "Silence it"

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self._finding = finding

    def head(self) -> str:
        """Which rule."""
        return f"Silence `{self._finding.code}`"

    def fields(self) -> ComposeResult:
        """What that means, and the reason."""
        told = (
            "No finding of this rule is shown any more, here or at the Bench, for any bottle. "
            f"The rule: {self._finding.source}. The reason is logged; "
            f"`ullage caution-rule restore {self._finding.code}` takes it back."
        )
        yield Static(words(told))
        yield Field("Because", example="all of it stands in the steel cabinet", id="reason")

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        reason = self.read("reason")

        def choose() -> str:
            from stock.cautions.choices import choose as log  # noqa: PLC0415

            log(self._finding.code, "silence", reason=reason or "")
            return f"Silenced: {self._finding.code}"

        return choose


class Carry(Errand[str]):
    """What to move where so that every place is right again; one key books all of it."""

    AUTO_FOCUS = "#go"
    HEAD: ClassVar[str] = "What to move where"

    def __init__(self, moves: Sequence[Move]) -> None:
        super().__init__()
        self._moves = moves
        self._possible = [move for move in moves if move.to is not None]

    def on_mount(self) -> None:
        """The list from its top; what the keys are stands on the border, too."""
        sheet = self.query_one("#sheet", VerticalScroll)
        sheet.border_subtitle = words(f"Enter  {self.go_word()}   Esc  Leave")
        self.call_after_refresh(sheet.scroll_home, animate=False)

    def go_word(self) -> str:
        """How many go."""
        return f"I carried {count(len(self._possible), 'bottle')}" if self._possible else "Nothing fits"

    def fields(self) -> ComposeResult:
        """The bottles that go the same way together, and why."""
        if not self._moves:
            yield Static(words("Every bottle may stay where it stands."))
        together: dict[tuple[str, str | None, str], list[str]] = {}
        for move in self._moves:
            way = (move.come_from, move.to, move.why)
            together.setdefault(way, []).append(f"{move.product} · {move.bottle}")
        for (come_from, to, why), bottles in together.items():
            where = f"{come_from} → {to}" if to else f"{come_from} → no place here fits"
            yield Static(words(where), classes="way")
            yield Static(words(f"{', '.join(bottles)}: {why}"), classes="move")

    def errand(self) -> Callable[[], str]:
        """Book each move."""
        if not self._possible:
            self.refuse("There is nothing to book.")
            self.stay()

        def carry() -> str:
            from stock.shelf.handling import move_bottle  # noqa: PLC0415

            for move in self._possible:
                move_bottle(str(move.bottle), str(move.to), key=f"{self.request}-{move.bottle}")
            return f"{count(len(self._possible), 'bottle')} moved"

        return carry
