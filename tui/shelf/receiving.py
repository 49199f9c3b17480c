"""A delivery comes in: which paint, which size, how many; a product not known yet is made on the way."""

from collections.abc import Callable
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from tui.shelf.errands import volume
from tui.widgets.errand import Errand
from tui.widgets.fields import Field
from tui.widgets.room import words

ROLES = ("paint", "clear", "reducer", "cleaner", "additive", "hardener")


def place_named(name: str) -> str:
    """The place of that name, made if the books don't have it yet; its full name."""
    from stock.errors import NotFound  # noqa: PLC0415
    from stock.shelf import places  # noqa: PLC0415

    try:
        return str(places.find(name).name)
    except NotFound:
        return str(places.add(name).name)


def known_products() -> list[tuple[str, str, str]]:
    """Every product's name, role and sizes on record, for the lines beneath the field."""
    from stock.shelf import products  # noqa: PLC0415
    from stock.store.connection import connection  # noqa: PLC0415
    from stock.store.models import Pack  # noqa: PLC0415
    from tui.widgets.say import ml  # noqa: PLC0415

    with connection():
        sizes: dict[int, list[str]] = {}
        for product, size in Pack.select(Pack.product, Pack.size_ul).order_by(Pack.size_ul).tuples():
            sizes.setdefault(product, []).append(f"{ml(size)} ml")
        return [(row.name, row.role, ", ".join(sizes.get(row.id, []))) for row in products.everything()]


class Receive(Errand[str]):
    """A delivery of equal bottles of one product."""

    HEAD: ClassVar[str] = "Receive a delivery"
    GO: ClassVar[str] = "Put on the shelf"

    def __init__(self, product: str = "", place: str = "") -> None:
        super().__init__()
        self._product = product
        self._place = place
        self._known: list[tuple[str, str, str]] = []

    def fields(self) -> ComposeResult:
        """What came."""
        yield Field("Product", value=self._product, example="a few letters, or a new name", id="product")
        yield Field("Size", read=volume, example="60 ml", id="size")
        yield Field("How many", read=_count, value="1", id="many")
        yield Field("Best before", read=_day, blank=True, example="2027-03-01, if the label says", id="best")
        yield Field("Lot", blank=True, example="as on the label", id="lot")
        yield Field("Place", blank=True, value=self._place, example="Steel cabinet", id="place")
        yield Field("Role", value="paint", read=_role, id="role", hint=f"New here: {', '.join(ROLES)}.")
        yield Field("Colour", blank=True, example="#2a6f97", id="color")
        yield Static(words(""), id="price-note")

    def on_mount(self) -> None:
        """Learn which products there are."""
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)
        for new in ("role", "color"):
            self.query_one(f"#{new}").display = False
        self.query_one("#product", Field).input.focus()

    def _learn(self) -> None:
        known = known_products()
        self.app.call_from_thread(self._learned, known)

    def _learned(self, known: list[tuple[str, str, str]]) -> None:
        self._known = known
        self._hint()

    def _fitting(self) -> list[tuple[str, str, str]]:
        letters = self.query_one("#product", Field).text.casefold().split()
        exact = [one for one in self._known if one[0].casefold().split() == letters]
        return exact or [
            one for one in self._known if letters and all(part in one[0].casefold() for part in letters)
        ]

    @on(Field.Changed, "#product")
    def _hint(self) -> None:
        field = self.query_one("#product", Field)
        fitting = self._fitting()
        new = bool(field.text.strip()) and not fitting
        for part in ("role", "color"):
            self.query_one(f"#{part}").display = new
        if len(fitting) == 1:
            name, role, sizes = fitting[0]
            field.hint(f"{name}, {role}{f'; sold in {sizes}' if sizes else ''}")
            size = self.query_one("#size", Field)
            if sizes and not size.text:
                size.text = sizes.split(", ")[0]
        elif fitting:
            more = f" and {len(fitting) - 4} more" if len(fitting) > 4 else ""
            field.hint(", ".join(one[0] for one in fitting[:4]) + more)
        else:
            field.hint("A new product: say below what it is." if new else "")

    def errand(self) -> Callable[[], str]:
        """Book the delivery, making the product first where it is new."""
        from stock.shelf import deliveries, products  # noqa: PLC0415
        from stock.store.connection import writing  # noqa: PLC0415

        fitting = self._fitting()
        name = fitting[0][0] if len(fitting) == 1 else self.read("product")
        size, many, best, lot = (self.read(field) for field in ("size", "many", "best", "lot"))
        place, key = self.read("place"), self.request
        fresh: dict[str, Any] | None = None
        if not fitting:
            fresh = {"name": name, "role": self.read("role"), "size": [f"{size / 1000:g}ml"]}
            color = self.query_one("#color", Field).text.strip()
            if color:
                fresh["color"] = color

        def book() -> str:
            with writing():
                if fresh is not None:
                    products.add(fresh)
                answer = deliveries.receive(
                    name, size, count=many, lot=lot or "", best_before=best,
                    place=place_named(place) if place else None, key=key,
                )  # fmt: skip
            bottles = answer["bottles"]
            what = f"{bottles[0]['size_ml']:g} ml of {bottles[0]['product']}"
            return f"On the shelf: {len(bottles)} × {what}"

        return book

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        """Enter takes a single fitting product; everywhere else it books."""
        fitting = self._fitting()
        field = self.query_one("#product", Field)
        if event.input is field.input and len(fitting) == 1 and field.text != fitting[0][0]:
            event.stop()
            event.prevent_default()
            field.text = fitting[0][0]
            self.query_one("#size", Field).input.focus()


def _count(text: str) -> int:
    from stock.errors import BadInput  # noqa: PLC0415

    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and 1 <= int(digits) <= 1_000):
        raise BadInput(f"{text[:20]!r} is no count of bottles", remedy="Write a whole number from 1 to 1,000")
    return int(digits)


def _day(text: str) -> Any:
    from stock.units import day  # noqa: PLC0415
    from tui.opening import whose  # noqa: PLC0415

    return day(text, whose()[1])


def _role(text: str) -> str:
    from stock.errors import BadInput  # noqa: PLC0415

    role = text.strip().lower()
    if role not in ROLES:
        raise BadInput(f"{text[:20]!r} is no role", remedy=f"Write one of {', '.join(ROLES)}")
    return role
