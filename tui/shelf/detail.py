"""One bottle in full: drawn large, with everything in the books and every caution about it."""

from collections.abc import Sequence
from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.language import _
from tui.drawing.boards import MarkedBottle
from tui.drawing.figures import ml, short_day, since, span
from tui.drawing.severity import findings_text, sign
from tui.drawing.strips import shown
from tui.widgets.books_screen import show_text, words
from tui.widgets.gauge import Gauge
from tui.widgets.overlay import OverlaySheet, ReadingOverlay


def facts(one: MarkedBottle, today: date) -> list[tuple[str, str]]:
    """What the books hold about a bottle, as (heading, text)."""
    view = one.view
    unknown = _("not known: counts as long ago") if view.state == "open" else _("not yet")
    opened = f"{short_day(view.opened_on)}, {since(view.opened_on, today)}" if view.opened_on else unknown
    rows = [
        (_("bottle"), _("{label}, number {id}", label=view.label, id=view.id)),
        (
            _("holds"),
            _("{on_hand_ul} of {size_ul} ml", on_hand_ul=ml(view.on_hand_ul), size_ul=ml(view.size_ul)),
        ),
        (_("state"), _(view.state)),
        (_("received"), f"{short_day(view.received_on)}, {since(view.received_on, today)}"),
        (_("opened"), opened),
        (
            _("good until"),
            _("perhaps over: open since an unknown day")
            if view.perhaps_over
            else f"{short_day(view.good_until)}, {since(view.good_until, today)}"
            if view.good_until
            else _("unknown"),
        ),
        (_("place"), view.place or _("not noted")),
    ]
    if view.owner:
        rows.append((_("belongs to"), view.owner))
    if view.opening_stock:
        rows.append((_("came"), _("before the books began")))
    if view.lot:
        rows.append((_("lot"), view.lot))
    if view.left_of is not None:
        rows.append((_("left of"), _("mix {left_of}", left_of=view.left_of)))
    if view.frozen_on is not None:
        rows.append((_("frozen on"), short_day(view.frozen_on)))
    return rows


def one_line(one: MarkedBottle, today: date, findings: Sequence[Finding]) -> tuple[str, str]:
    """The bottle in two lines, where there is no room for more."""
    view = one.view
    opened = view.opened_on if view.state == "open" else None
    state = _("open {days}", days=span((today - opened).days)) if opened else _(view.state)
    good = (
        _("good until {good_until}", good_until=short_day(view.good_until))
        if view.good_until
        else _("shelf life unknown")
    )
    good = _("perhaps over, open since an unknown day") if view.perhaps_over else good
    first = _(
        "{label}  {product}: {on_hand_ul} of {size_ul} ml, {state}, {good}",
        label=view.label,
        product=view.product,
        on_hand_ul=ml(view.on_hand_ul),
        size_ul=ml(view.size_ul),
        state=state,
        good=good,
    )
    if findings:
        worst = findings[0]
        return first, f"{sign(worst)}: {worst.message}"
    return first, _(
        "{place}, received {received_on}",
        place=view.place or _("no place noted"),
        received_on=short_day(view.received_on),
    )


class BottlePane(VerticalScroll):
    """The selected bottle, beside the boards."""

    DEFAULT_CSS = """
    BottlePane { background: $ground; }
    BottlePane Static { height: auto; }
    BottlePane Gauge { margin: 1 0; }
    """

    def compose(self) -> ComposeResult:
        """Name, drawing, facts, cautions."""
        yield Static(id="name")
        yield Gauge(id="drawing")
        yield Static(id="facts")
        yield Static(id="findings")

    def on_mount(self) -> None:
        """Leave the focus on the boards."""
        self.can_focus = False

    def show(self, one: MarkedBottle | None, today: date, findings: Sequence[Finding]) -> None:
        """Show this bottle, or none."""
        gauge = self.query_one(Gauge)
        gauge.display = one is not None
        if one is None:
            for part in ("#name", "#facts", "#findings"):
                show_text(self.query_one(part, Static), "")
            return
        gauge.show(one.drawn)
        show_text(self.query_one("#name", Static), Content.styled(shown(one.view.product), "bold"))
        lines = [Content.assemble((f"{what:<11}", "$quiet"), shown(text)) for what, text in facts(one, today)]
        show_text(self.query_one("#facts", Static), Content("\n").join(lines))
        show_text(self.query_one("#findings", Static), Content.assemble("\n", findings_text(findings)))


class BottleSheet(ReadingOverlay[bool | None]):
    """One bottle in full as a sheet, where there is no room beside the boards; answers whether to weigh it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter", "dismiss", _("Close")),
        Binding("w", "dismiss(True)", _("Weigh")),
    ]

    def __init__(self, one: MarkedBottle, today: date, findings: Sequence[Finding]) -> None:
        super().__init__()
        self._one = one
        self._today = today
        self._findings = findings

    def compose(self) -> ComposeResult:
        """A sheet with the same content as the pane."""
        with OverlaySheet(id="sheet") as sheet:
            sheet.border_title = words(self._one.view.product)
            sheet.border_subtitle = words(_("w  weigh   Esc  close"))
            yield BottlePane()

    def on_mount(self) -> None:
        """Fill in the bottle."""
        self.query_one(BottlePane).show(self._one, self._today, self._findings)
