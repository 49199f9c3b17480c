"""Booking a spreadsheet that was looked at: whole, or its good rows with the bad ones in a file to mend."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import BadInput
from stock.language import _
from tui.drawing.figures import count
from tui.logbook.files import Lengthy
from tui.logbook.incoming import REST
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, path

if TYPE_CHECKING:
    from stock.exchange.incoming import ImportPlan


class BookGood(Lengthy[str]):
    """Books the good rows of a file; the bad ones are written to a file to mend."""

    HEAD: ClassVar[str] = _("Book the good rows")

    def __init__(self, plan: "ImportPlan", address: str) -> None:
        super().__init__()
        self._plan, self._address = plan, address

    def fields(self) -> ComposeResult:
        """Where the bad rows go."""
        facts, source = self._plan.as_json(), self._plan.sheet.path
        good = facts["rows"] - facts["bad_count"]
        yield Static(
            words(
                _(
                    "{good} of {file} can be booked. {rest}",
                    good=count(good, "row"),
                    file=facts["file"],
                    rest=REST[facts["kind"]],
                )
            )
        )
        yield Field(
            _("Bad rows to"), read=path, value=str(source.with_name(f"{source.stem}-to-mend.csv")), id="bad-to",
            hint=_("A new file: the rows as they stand, each with its reason. Mend it, and take it in."),
        )  # fmt: skip

    def errand(self) -> Callable[[], str]:
        """Write the bad rows, then book the others."""
        file = Path(str(self.read("bad-to")))
        self._plan.wishes = replace(self._plan.wishes, take_good=True)

        def book() -> str:
            from stock.exchange import bad_file, incoming
            from stock.store import outputs

            bad = len(self._plan.bad.reasons)
            outputs.write([bad_file.output(self._plan, file)], self._address)
            booked = incoming.book(self._plan, on_progress=self.show_progress)
            return _(
                "Booked {rows} rows of {file}; {bad} in {name}",
                rows=booked["rows"] - bad,
                file=booked["file"],
                bad=count(bad, "bad row"),
                name=file.name,
            )

        return book


class BookIn(Lengthy[str]):
    """Books a spreadsheet that was looked at, whole or not at all."""

    HEAD: ClassVar[str] = _("Book the whole file")
    AUTO_FOCUS: ClassVar[str] = "#go"

    def __init__(self, plan: "ImportPlan") -> None:
        super().__init__()
        self._plan = plan

    def fields(self) -> ComposeResult:
        """What will be booked."""
        facts = self._plan.as_json()
        made = len(facts["new_products"]) + len(facts["new_places"])
        also = (
            _(
                " {made} will be added for it.",
                made=count(made, "product or place", "products and places"),
            )
            if made
            else ""
        )
        rest = REST[facts["kind"]]
        yield Static(
            words(
                _(
                    "{rows} of {file}.{also} {rest}",
                    rows=count(facts["rows"], "row"),
                    file=facts["file"],
                    also=also,
                    rest=rest,
                )
            )
        )
        again = Field(_("Book again"), value="no", offers=("no", "yes"), id="again")
        again.display = False
        yield again

    def errand(self) -> Callable[[], str]:
        """Book the file; a file that was booked before asks again."""
        again = self.query_one("#again", Field)
        self._plan.wishes = replace(self._plan.wishes, again=again.text.strip() == "yes")

        def book() -> str:
            from stock.exchange import incoming

            booked = incoming.book(self._plan, on_progress=self.show_progress)
            if booked.get("again"):
                self.app.call_from_thread(setattr, again, "display", True)
                raise BadInput(
                    _("this file was booked before; nothing was booked now"),
                    remedy=_("To book it a second time, write yes into Book again"),
                )
            if booked["kind"] == "products":
                return _(
                    "Added {products} of {file}",
                    products=count(booked["products"], "product"),
                    file=booked["file"],
                )
            if booked["kind"] == "terms":
                return _(
                    "Added {suppliers} of {file}",
                    suppliers=count(booked["suppliers"], "supplier"),
                    file=booked["file"],
                )
            back = _("select it and press u to take the whole file back")
            if booked["kind"] == "stock":
                return _(
                    "Booked {bottles} of {file}; {back}",
                    bottles=count(booked["bottles"], "bottle"),
                    file=booked["file"],
                    back=back,
                )
            return _(
                "Booked {mixes} of {file}; {back}",
                mixes=count(booked["mixes"], "past mix", "past mixes"),
                file=booked["file"],
                back=back,
            )

        return book
