"""The dialog that takes a delivery in; a new product is entered with it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input

from stock.grammar import in_full
from stock.language import _
from stock.notation import show_day
from stock.units import Microlitres
from tui.drawing.figures import ml
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field, such_as
from tui.widgets.lines_dialog import LinesDialog
from tui.widgets.name_field import NameDetail, NameField
from tui.widgets.rows import Cell

ROLES = ("paint", "clear", "reducer", "cleaner", "additive", "hardener")
SIZES = tuple(f"{size} ml" for size in (30, 60, 120, 240, 480, 1_000))
UNKNOWN = "unknown"
OPENED = ("today", "yesterday", UNKNOWN)
CAME = (_("in this delivery"), _("before the books began"))


def place_named(name: str) -> str:
    """The full name of a place; the place is made if it is new."""
    from stock.errors import NotFound
    from stock.shelf import places

    try:
        return str(places.find(name).name)
    except NotFound:
        return str(places.add(name).name)


def known_products() -> list[tuple[str, str, str]]:
    """Every product's name, role and recorded sizes."""
    from stock.shelf import products
    from stock.store.connection import connection
    from stock.store.models import Pack

    with connection():
        sizes: dict[int, list[str]] = {}
        for product, size in Pack.select(Pack.product, Pack.size_ul).order_by(Pack.size_ul).tuples():
            sizes.setdefault(product, []).append(f"{ml(size)} ml")
        return [
            (row.name, row.role, ", ".join(sizes.get(row.id, [])))
            for row in products.everything()
            if row.role in ROLES
        ]


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """One line of a delivery, as typed and as read; `fresh` holds the fields of a product that is new."""

    texts: dict[str, str]
    name: str
    came: dict[str, Any]
    fresh: dict[str, Any] | None = None


class Receive(LinesDialog[DeliveryLine]):
    """A delivery of several products and sizes, booked as one."""

    HEAD: ClassVar[str] = _("Receive a delivery")
    GO: ClassVar[str] = _("Put on the shelf")
    WHAT: ClassVar[str] = "bottle"
    TYPED: ClassVar[Sequence[str]] = (
        "product", "role", "color", "size", "many", "price", "best", "lot", "left", "opened",
    )  # fmt: skip

    def __init__(self, product: str = "", place: str = "") -> None:
        super().__init__()
        self._product = product
        self._place = place
        self._known: dict[str, tuple[str, str]] = {}
        self._knows = False
        self._sold_in = ""

    def of_line(self) -> ComposeResult:
        """Equal bottles of one product."""
        yield NameField(
            _("Product"),
            value=self._product,
            example=_("a few letters, or a new name"),
            new=True,
            id="product",
        )
        yield Field(_("Size"), read=volume, unit="ml", example=_("60 ml"), offers=SIZES, id="size")
        yield Field(_("How many"), read=_count, value="1", offers=[str(n) for n in range(1, 25)], id="many")
        yield Field(_("Price of each"), read=_money, blank=True, example=_("as on record"), id="price")
        yield Field(_("Best before"), read=_day, blank=True, example=_("2027-03-01, if printed"), id="best")
        yield Field(_("Lot"), blank=True, example=_("as on the label"), id="lot")
        yield Field(_("Left in each"), blank=True, example=_("full; or half, 22 ml, 40%"), id="left")
        yield Field(
            _("Open since"),
            read=_opened,
            blank=True,
            example=_("sealed; or a day, or unknown"),
            offers=OPENED,
            id="opened",
        )
        yield Field(
            _("Role"),
            value="paint",
            read=_role,
            offers=ROLES,
            id="role",
            hint=_("New here: {roles}.", roles=", ".join(ROLES)),
        )
        yield Field(_("Colour"), blank=True, example=such_as(_("navy or #2a6f97")), id="color")

    def of_all(self) -> ComposeResult:
        yield Field(
            _("Place"),
            blank=True,
            value=self._place,
            example=_("Steel cabinet"),
            id="place",
            hint=_("Of all of it."),
        )
        yield Field(_("It came"), value=CAME[0], read=_came, offers=CAME, id="came")
        yield Field(_("Belongs to"), blank=True, example=_("the studio"), id="owner")

    def cells(self, line: DeliveryLine) -> Sequence[Cell]:
        return (line.name, f"{line.came['count']} × {ml(line.came['size_ul'])} ml")

    def on_mount(self) -> None:
        """Read the products and places in a thread."""
        super().on_mount()
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)
        self._show_new(shown=False)
        self.query_one("#product", Field).input.focus()

    def _learn(self) -> None:
        from stock.shelf import places

        known, stand = known_products(), [place.name for place in places.everything()]
        self.app.call_from_thread(self._learned, known, stand)

    def _learned(self, known: list[tuple[str, str, str]], stand: list[str]) -> None:
        self._known = {name: (role, sizes) for name, role, sizes in known}
        self._knows = True
        field = self.query_one("#product", NameField)
        field.names.describe({name: NameDetail(note=role) for name, role, _ in known}, {})
        field.offer(list(self._known))
        self.query_one("#place", Field).offer(stand)
        self._hint()
        if self._to_restore is not None:
            self.take_draft(self._to_restore)

    def _show_new(self, *, shown: bool) -> None:
        for new in ("role", "color"):
            self.query_one(f"#{new}").display = shown

    @on(Field.Changed, "#product")
    def _hint(self) -> None:
        field = self.query_one("#product", NameField)
        name = field.meant
        known = self._known.get(name)
        new = bool(name.strip()) and known is None
        self._show_new(shown=new)
        if known is None:
            field.hint(_("A new product: fill in below what it is.") if new else "")
            return
        role, sizes = known
        field.hint(f"{name}, {role}{_('; sold in {sizes}', sizes=sizes) if sizes else ''}")
        size = self.query_one("#size", Field)
        size.offer(list(dict.fromkeys([*sizes.split(", "), *SIZES] if sizes else SIZES)))
        if sizes and size.text in ("", self._sold_in):
            size.text = self._sold_in = sizes.split(", ")[0]

    @property
    def started(self) -> bool:
        """Whether a product is named."""
        return bool(self.query_one("#product", Field).text.strip())

    def line(self) -> DeliveryLine:
        if not self.knows:  # a known product would be taken for a new one
            self.refuse(_("The products are still being read. Press the key again in a moment."))
            self.stay()
        name = self.read("product")
        fresh: dict[str, Any] | None = None
        if name not in self._known:
            fresh = {"name": name, "role": self.read("role")}
        read = self.line_of("size", "many", "price", "best", "lot", "opened")
        left = self.query_one("#left", Field)
        with self.reading(left):
            left_ul = left_in_each(left.text, read["size"], name if fresh is None else None)
        if fresh is not None:
            fresh["size"] = [f"{in_full(read['size'] / 1000)}ml"]
            color = self.query_one("#color", Field).text.strip()
            if color:
                fresh["color"] = color
        texts = {field: self.query_one(f"#{field}", Field).text for field in self.TYPED}
        came = {
            "product": name, "size_ul": read["size"], "count": read["many"], "lot": read["lot"] or "",
            "best_before": read["best"], "price_minor": read["price"], "left_ul": left_ul,
            "opened_on": None if read["opened"] == UNKNOWN else read["opened"],
            "opened_unknown": read["opened"] == UNKNOWN,
        }  # fmt: skip
        return DeliveryLine({**texts, "product": name}, name, came, fresh)

    @property
    def knows(self) -> bool:
        return self._knows

    @property
    def form(self) -> str:
        """There is one draft of a delivery, wherever it was begun."""
        return "delivery"

    def texts(self, line: DeliveryLine) -> dict[str, str]:
        return line.texts

    def put(self, line: DeliveryLine | None) -> None:
        texts = line.texts if line is not None else {"many": "1", "role": "paint"}
        for field in self.TYPED:
            self.query_one(f"#{field}", Field).text = texts.get(field, "")

    def errand(self) -> Callable[[], str]:
        """Book the delivery, after adding its new products."""
        from stock.shelf import deliveries, products
        from stock.store.connection import writing

        lines = self.every_line()
        place, key = self.read("place"), self.request
        owner, opening_stock = self.read("owner") or "", self.read("came") == CAME[1]

        def book() -> str:
            with writing():
                for fresh in {line.name: line.fresh for line in lines if line.fresh is not None}.values():
                    products.add(fresh)
                where = place_named(place) if place else None
                came = [
                    deliveries.Came(**line.came, place=where, owner=owner, opening_stock=opening_stock)
                    for line in lines
                ]
                bottles = deliveries.take_in(came, key=key)["bottles"]
            return _("On the shelf: {bottles}", bottles=", ".join(in_words(bottles)))

        return book

    @on(Input.Submitted)
    def _next(self, event: Input.Submitted) -> None:
        """In the product field, take the marked name and go on to the size; elsewhere book."""
        field = self.query_one("#product", NameField)
        if event.input is field.input and field.text != field.meant:
            event.stop()
            event.prevent_default()
            field.settle()
            self.query_one("#size", Field).input.focus()


def in_words(bottles: Sequence[dict[str, Any]]) -> list[str]:
    """`3 × 60 ml of Harbour Blue` for each kind of bottle that came."""
    many: dict[str, int] = {}
    for one in bottles:
        what = _("{size_ml} ml of {product}", size_ml=in_full(one["size_ml"]), product=one["product"])
        many[what] = many.get(what, 0) + 1
    return [f"{number} × {what}" for what, number in many.items()]


def _count(text: str) -> int:
    from stock.errors import BadInput

    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and 1 <= int(digits) <= 1_000):
        raise BadInput(
            _("{text!r} is no count of bottles", text=text[:20]),
            remedy=_("Write a whole number from 1 to 1,000"),
        )
    return int(digits)


def _came(text: str) -> str:
    from stock.errors import BadInput

    word = next((one for one in CAME if text.strip() and one.startswith(text.strip().casefold())), None)
    if word is None:
        raise BadInput(
            _("{text!r} says not how it came", text=text[:30]),
            remedy=_("Write {came}", came=_(" or ").join(CAME)),
        )
    return word


def _opened(text: str) -> Any:
    """A day, or that nobody knows it."""
    from stock.errors import BadInput
    from tui.opening import whose

    if text.strip().casefold() in (UNKNOWN, "not known", "?"):
        return UNKNOWN
    day = _day(text)
    if day > whose()[1]:
        raise BadInput(
            _("it can't have been opened on {day}, which is to come", day=show_day(day)),
            remedy=_("Write a past day, or unknown"),
        )
    return day


def left_in_each(text: str, size_ul: Microlitres, product: str | None) -> Microlitres | None:
    """What is left in a bottle; None for all of it."""
    from stock.bench import left_in
    from stock.store.connection import connection

    if not text.strip():
        return None
    with connection():
        return left_in.read(text, size_ul, product=product)


def _day(text: str) -> Any:
    from stock.units import day
    from tui.opening import whose

    return day(text, whose()[1])


def _money(text: str) -> int:
    from stock.shelf.studio import settings
    from stock.store.connection import connection
    from stock.units import money

    with connection():
        return money(text, settings().currency)


def _role(text: str) -> str:
    from stock.errors import BadInput

    role = text.strip().lower()
    if role not in ROLES:
        raise BadInput(
            _("{text!r} is no role", text=text[:20]), remedy=_("Write one of {roles}", roles=", ".join(ROLES))
        )
    return role
