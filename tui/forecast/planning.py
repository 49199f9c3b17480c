"""Planned uses: the list, and the dialog that enters or changes one."""

from collections.abc import Callable, Hashable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.forecast.plans import PlannedView
from stock.language import _
from stock.notation import show_day
from tui.drawing.bottle import Run
from tui.drawing.figures import ml, ml_exact, ml_of, short_day
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.name_field import NameField
from tui.widgets.rows import Cell, Heading, ListColumn
from tui.widgets.suggestions import AMOUNTS

DAYS = ("+3d", "+1w", "+2w", "+3w", "+4w", "+6w", "+8w", "+12w")


class PlanUse(BookingDialog[str]):
    """Enters a known need of a product on a day, or changes one."""

    GO: ClassVar[str] = _("Plan it")

    def __init__(
        self,
        names: Sequence[str],
        jobs: Sequence[str],
        *,
        product: str = "",
        before: PlannedView | None = None,
    ) -> None:
        super().__init__()
        self._names, self._jobs, self._before = names, jobs, before
        self._product = before.product if before is not None else product

    def head(self) -> str:
        """Whether it is new or changed."""
        return (
            _("Plan a use")
            if self._before is None
            else _("Change planned use {number}", number=self._before.number)
        )

    def fields(self) -> ComposeResult:
        """The product, the volume, the day, and the job."""
        before = self._before
        amount = f"{ml_exact(before.volume_ul)} ml" if before else ""
        day = show_day(before.needed_on) if before else ""
        yield Static(words(_("The forecast counts it beside the usual use; a mix for the job uses it up.")))
        yield NameField(
            _("Product"), value=self._product, example=_("a few letters"), offers=self._names, id="product"
        )
        yield Field(
            _("How much"),
            read=volume,
            unit="ml",
            value=amount,
            example=_("120 ml"),
            offers=AMOUNTS,
            id="amount",
        )
        yield Field(
            _("Needed on"), read=field_readers.day, value=day, example="2026-05-01", offers=DAYS, id="day"
        )
        job = before.job or "" if before else ""
        yield NameField(_("Job"), value=job, blank=True, example=_("none"), offers=self._jobs, id="job")

    def errand(self) -> Callable[[], str]:
        """Book the planned use, or replace the old one."""
        product, amount, day, job = (self.read(field) for field in ("product", "amount", "day", "job"))
        with self.reading(self.query_one("#product", Field)):
            product = field_readers.product(product)
        before, key = self._before, self.request

        def book() -> str:
            from stock.forecast import orders
            from stock.logbook.replanning import change_plan

            if before is None:
                answer = orders.plan_use(product, amount, day, job=job, key=key)
            else:
                answer = change_plan(before.number, product, amount, day, job=job, key=key)
            return _(
                "{product}: {volume_ml} ml planned for {needed_on}",
                product=answer["product"],
                volume_ml=ml_of(answer["volume_ml"]),
                needed_on=show_day(answer["needed_on"]),
            )

        return book


class Plans(Listing[PlannedView]):
    """Planned uses, the soonest first."""

    HEAD: ClassVar[str] = _("Planned use")
    EMPTY: ClassVar[str] = _("Nothing is planned: press n to enter a need.")
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn(_("needed"), 11), ListColumn(_("product")), ListColumn("", 10, right=True), ListColumn(_("job")),
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = bindings("plans")

    def __init__(self, product: str = "") -> None:
        super().__init__()
        self._product = product
        self._names: list[str] = []
        self._jobs: list[str] = []

    def read(self) -> Sequence[PlannedView | Heading]:
        from stock.forecast import plans
        from stock.shelf import jobs, products

        self._names = [row.name for row in products.everything()]
        self._jobs = [view.name for view in jobs.everything() if view.closed_on is None]
        return plans.listed(self.shell.as_of)

    def cells(self, item: PlannedView) -> Sequence[Cell]:
        """The day, the product, the volume, and the job."""
        ink = "quiet" if item.over else "ink"
        day = short_day(item.needed_on, self.shell.the_day)
        texts = (
            day,
            item.product,
            f"{ml(item.volume_ul)} ml",
            f"{item.job or ''}{_(' (over)') if item.over else ''}",
        )
        return tuple((Run(text, ink),) for text in texts)

    def ident(self, item: PlannedView) -> Hashable:
        return item.number

    def chosen(self, item: PlannedView) -> None:
        """Change the planned use."""
        self.ask(PlanUse(self._names, self._jobs, before=item))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for changing and dropping without a planned use."""
        del parameters
        return True if action not in ("change", "drop") or self.item is not None else None

    def action_new(self) -> None:
        """Enter a planned use."""
        self.ask(PlanUse(self._names, self._jobs, product=self._product))

    def action_change(self) -> None:
        """Change the selected planned use."""
        if self.item is not None:
            self.chosen(self.item)

    def action_drop(self) -> None:
        """Drop the selected planned use, because it is not needed any more."""
        from stock.logbook.undo import undo

        item = self.item
        if item is not None:
            self.ask(
                Ask(
                    _("Drop a planned use"),
                    _(
                        "{volume_ul} ml {product} for {needed_on}{job}: the forecast stops counting it.",
                        volume_ul=ml(item.volume_ul),
                        product=item.product,
                        needed_on=show_day(item.needed_on),
                        job=f", {item.job}" if item.job else "",
                    ),
                    go=_("Drop it"),
                    errand=lambda key: undo("planned_use", item.number, key=key),
                    said=_("{product}: the planned use is dropped", product=item.product),
                )
            )
