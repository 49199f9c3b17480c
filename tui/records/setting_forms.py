"""The forms of settings: of the studio, of this screen, and of this bench."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual.widgets import Static

from stock import language
from stock.language import _
from stock.notation import show_day
from tui.dialogs.record_form import RecordForm
from tui.widgets.books_screen import words

ABOUT_SCALE = _(
    "Where the scale of this bench is plugged in, for every studio on this machine; w on the Shelf weighs."
)
ABOUT_LANGUAGE = _(
    "The language of messages on this machine, for every studio opened here. ULLAGE_LANGUAGE comes before it."
)
ACCEPTED_SCALE = _("As /dev/ttyUSB0, COM3,2400,7e1 or hid for a USB scale; empty for none.")


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One setting: its kind, key, label, present value, and what it is about."""

    kind: str
    key: str
    label: str
    value: str
    about: Any


class SettingForm(RecordForm):
    """Changes one setting."""

    GO: ClassVar[str] = _("Set it")

    def __init__(
        self, row: SettingRow, read: Callable[[str], Any] | None, offers: Sequence[str], hint: str
    ) -> None:
        super().__init__({"value": row.value})
        self._row, self._read, self._offers, self._hint = row, read, offers, hint

    def head(self) -> str:
        return self._row.label

    def go_word(self) -> str:
        """The same word for every setting."""
        return self.GO

    def first(self) -> Iterable[Any]:
        """What it decides, and its value."""
        about = self._row.about if isinstance(self._row.about, str) else self._row.about.about
        yield Static(words(about))
        yield self.field("value", _("Set it to"), read=self._read, offers=self._offers, hint=self._hint)

    def errand(self) -> Callable[[], Any]:
        text = self.typed()["value"]
        return lambda: self.put(text)

    def put(self, text: str) -> Any:
        """Set the value; called in a thread with the connection open."""
        from stock.shelf import studio_words

        studio_words.put(self._row.about, text)
        return f"{self._row.label}: {text or _('not set')}"


class SetsForm(SettingForm):
    """Changes the rule sets that the cautions use."""

    def put(self, text: str) -> str:
        """Set the rule sets."""
        from stock.cautions.choices import choose_sets

        return _("Rule sets: {split}", split=", ".join(choose_sets(text.replace(",", " ").split())))


class TrainedForm(SettingForm):
    """Notes who is trained for diisocyanates."""

    def put(self, text: str) -> str:
        """Keep the names with their days."""
        from stock.shelf import training
        from stock.shelf.studio import settings

        found = training.keep(text, settings().today())
        return "; ".join(
            _("{name} until {until}", name=each.name, until=show_day(each.until)) for each in found
        ) or _("Nobody is noted as trained")


class LookForm(SettingForm):
    """Changes the look of the screen until the program is quit."""

    def put(self, text: str) -> str:
        """Change the app; nothing in the books changes."""
        app = self.app
        if self._row.key == "theme":
            self.app.call_from_thread(setattr, app, "theme", text.strip())
        else:
            self.app.call_from_thread(
                setattr, app, "animation_level", "full" if text.strip() == "yes" else "none"
            )
        return f"{self._row.label}: {text}"


class ScaleForm(SettingForm):
    """Sets where this bench's scale is plugged in, from this moment on."""

    def put(self, text: str) -> str:
        """Keep the port on this machine, and listen to it instead of the one before."""
        from stock import config
        from stock.scale.listening import ScaleListener
        from stock.scale.port import scale_port

        port = text.strip()
        scale = ScaleListener(scale_port(port)) if port else None
        config.change(config.SCALE, port)
        before, self.shell.scale = self.shell.scale, scale
        if before is not None:
            before.close()
        return _("Scale: {port}", port=port or "none")


class LanguageForm(SettingForm):
    """Sets the language of messages, from the next start on."""

    def put(self, text: str) -> str:
        """Keep the language on this machine."""
        from stock import config

        config.change(config.LANGUAGE, read_language(text))
        return _("Language: {language}, from the next start on", language=text.strip())


def read_language(text: str) -> str:
    """The code of a language that is named by its own name or its code.

    Raises:
        BadInput: there is none of that name.
    """
    from stock import config

    typed = text.strip().casefold()
    code = next(
        (code for code, name in language.LANGUAGES.items() if typed in (code, name.casefold())), typed
    )
    config.require_language(code)
    return code


def read_port(text: str) -> str:
    """A port as it is written, or nothing.

    Raises:
        BadInput: it is no port.
    """
    from stock.scale.port import scale_port

    if text.strip():
        scale_port(text)
    return text.strip()
