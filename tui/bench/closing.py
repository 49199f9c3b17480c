"""Dialogs for an open mix: a flow time, and its close."""

from collections.abc import Callable
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.grammar import in_full
from stock.language import _
from stock.units import Microlitres
from tui.bench.form import NEEDLES
from tui.drawing.figures import ml_of
from tui.drawing.sentences import by_keys
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field, such_as
from tui.widgets.suggestions import AMOUNTS

CUPS = (
    "iso2431-3",
    "iso2431-4",
    "iso2431-5",
    "iso2431-6",
    "din-4",
    "ford-3",
    "ford-4",
    "zahn-1",
    "zahn-2",
    "shell-1",
)
SECONDS = tuple(str(seconds) for seconds in range(20, 80, 2))
WARMTHS = tuple(f"{degrees}C" for degrees in range(15, 31))
HUMIDITIES = tuple(f"{percent}%" for percent in range(30, 85, 5))


def _pressures() -> tuple[str, ...]:
    return tuple(f"{in_full(tenths / 10)} bar" for tenths in range(8, 31))


class NoteCupTime(BookingDialog[str]):
    """Notes a flow cup's time of an open mix."""

    HEAD: ClassVar[str] = _("A flow cup's time")
    GO: ClassVar[str] = _("Note it")

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def head(self) -> str:
        return _("A flow cup's time of mix {id}", id=self._mix.id)

    def fields(self) -> ComposeResult:
        """Cup, seconds, temperature, and whether this time is the paint's target."""
        yield Field(
            _("Cup"),
            read=_cup,
            example=such_as(_("iso2431-4")),
            offers=CUPS,
            id="cup",
            hint=_("ford-4, zahn-2, din-4, shell-1 …"),
        )
        yield Field(_("Seconds"), read=_seconds, example="42", offers=SECONDS, id="seconds")
        yield Field(_("Liquid at"), read=_temperature, blank=True, example="21C", offers=WARMTHS, id="at")
        yield Field(
            _("Its target"),
            read=_yes,
            value="no",
            offers=("no", "yes"),
            id="target",
            hint=_("yes: thin this paint to this time from now on"),
        )

    def errand(self) -> Callable[[], str]:
        from stock.bench import cup_times, viscosity

        cup, seconds, at = self.read("cup"), self.read("seconds"), self.read("at")
        target, mix = self.read("target"), self._mix

        def note() -> str:
            reading = viscosity.read(cup, seconds, at_mc=at)
            noted = cup_times.note_reading(mix.id, reading, liquid_mc=at)
            if target:
                cup_times.note_target(mix.main_paint.product, reading, liquid_mc=at)
                return _(
                    "{reading}: the target of {product} from now on",
                    reading=viscosity.show(reading),
                    product=mix.main_paint.product,
                )
            return "; ".join([viscosity.show(reading), *map(by_keys, noted.words)])

        return note


OUTCOMES = ("good", "thick", "thin", "ruined")


def _outcome(text: str) -> str:
    from stock.errors import BadInput

    word = text.strip().lower()
    fitting = [one for one in OUTCOMES if word and one.startswith(word)]
    if len(fitting) != 1:
        raise BadInput(
            _("{text!r} is not an outcome", text=text[:20]),
            remedy=_("Write one of {outcomes}", outcomes=", ".join(OUTCOMES)),
        )
    return fitting[0]


def _kept(text: str) -> bool:
    from stock.errors import BadInput

    word = text.strip().lower()
    if not word or not ("keep".startswith(word) or "throw".startswith(word)):
        raise BadInput(
            _("{text!r} is neither keep nor throw", text=text[:20]), remedy=_("Write keep or throw")
        )
    return "keep".startswith(word)


class CloseMix(BookingDialog[str]):
    """Closes a mix: its outcome, and what to do with what is left."""

    HEAD: ClassVar[str] = _("Close a mix")
    GO: ClassVar[str] = _("Close it")

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def head(self) -> str:
        return _("How did mix {id} spray?", id=self._mix.id)

    def fields(self) -> ComposeResult:
        yield Static(words(f"{self._mix.words}: {self._mix.reduction or _('no paint')}."))
        yield Field(_("Outcome"), read=_outcome, value="good", offers=OUTCOMES, id="outcome")
        yield Field(
            _("Left over"),
            read=volume,
            unit="ml",
            blank=True,
            example=_("nothing"),
            offers=AMOUNTS,
            id="left",
        )
        yield Field(
            _("Keep it"),
            read=_kept,
            value="throw",
            offers=("keep", "throw"),
            id="keep",
            hint=_("keep: in a labelled jar; or throw"),
        )
        yield Field(_("Needle"), read=_needle, blank=True, example=_("as mixed"), offers=NEEDLES, id="needle")
        yield Field(
            _("Pressure"),
            read=_pressure,
            blank=True,
            example=_("1.5 bar"),
            offers=_pressures(),
            id="pressure",
        )
        yield Field(_("Room"), read=_temperature, blank=True, example="21C", offers=WARMTHS, id="warmth")
        yield Field(
            _("Humidity"), read=_humidity, blank=True, example="45%", offers=HUMIDITIES, id="humidity"
        )
        yield Field(_("Words"), blank=True, example=_("what to know next time"), id="note")

    def errand(self) -> Callable[[], str]:
        from stock.bench.closing import Ending, close

        left, keep = self.read("left") or 0, self.read("keep")
        ending = Ending(
            outcome=self.read("outcome"), left_ul=Microlitres(left), keep=keep and left > 0,
            needle_um=self.read("needle"), pressure_pa=self.read("pressure"), room_mc=self.read("warmth"),
            humidity_milli=self.read("humidity"), note=self.read("note") or "",
        )  # fmt: skip
        number, key = self._mix.id, self.request

        def book() -> str:
            answer = close(number, ending, key=key)
            kept = answer["kept"]
            rest = (
                _(
                    "; {on_hand_ml} ml kept in jar {label}",
                    on_hand_ml=ml_of(kept["on_hand_ml"]),
                    label=kept["label"],
                )
                if kept
                else ""
            )
            return _(
                "Mix {number} is closed: {outcome}{rest}", number=number, outcome=answer["outcome"], rest=rest
            )

        return book


def _needle(text: str) -> int:
    from stock.units import needle

    return needle(text)


def _pressure(text: str) -> int:
    from stock.units import pressure

    return pressure(text)


def _temperature(text: str) -> int:
    from stock.units import temperature

    return temperature(text)


def _humidity(text: str) -> int:
    from stock.units import percent

    return percent(text, what=_("humidity"))


def _cup(text: str) -> Any:
    from stock.bench.viscosity import cup

    return cup(text)


def _seconds(text: str) -> float:
    from stock.bench.viscosity import seconds

    return seconds(text)


def _yes(text: str) -> bool:
    from stock.errors import BadInput

    word = text.strip().lower()
    if not word or not ("yes".startswith(word) or "no".startswith(word)):
        raise BadInput(_("{text!r} is neither yes nor no", text=text[:20]), remedy=_("Write yes or no"))
    return "yes".startswith(word)
