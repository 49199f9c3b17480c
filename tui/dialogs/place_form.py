"""The form that enters or corrects a place."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from textual import on

from stock.language import _
from tui.dialogs.record_form import Opening, RecordForm
from tui.widgets import field_readers
from tui.widgets.fields import Field


def opening(name: str | None, at: str = "") -> Opening:
    """The form of a place, or of a new one for None; the focus starts in the field `at`."""

    def learn() -> tuple[dict[str, str] | None, dict[str, str]]:
        from stock.cautions import worse_case
        from stock.cautions.books import facts
        from stock.cautions.facts import PlaceFacts
        from stock.shelf import places, record_texts

        if name is None:
            return None, worse_case.of_place(PlaceFacts(0, ""))
        row = places.find(name)
        judged = next(place for place in facts(bottles_only=True).places if place.id == row.id)
        return record_texts.place(row), worse_case.of_place(judged)

    return learn, lambda learned: PlaceForm(*learned, at=at)


class PlaceForm(RecordForm):
    """A place with its limits."""

    def __init__(self, before: Mapping[str, str] | None, treated: Mapping[str, str], *, at: str = "") -> None:
        super().__init__(before, at=at, missed=treated)
        self._treated = treated

    def head(self) -> str:
        return _("A new place") if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        from stock.store.words import PLACE_KINDS, PREMISES

        yield self.field(
            "name",
            _("Name"),
            read=field_readers.name(_("place's name")),
            blank=False,
            example=_("Steel cabinet"),
        )
        yield self._asked("kind", _("Kind"), value="shelf", blank=False, offers=PLACE_KINDS)
        yield self._asked(
            "premises", _("It is in a"), example=_("home, garage, workshop, spray_room"), offers=PREMISES
        )
        yield self._asked(
            "ignition",
            _("Flame near"),
            offers=("no", "yes"),
            example=_("a flame, heater or sparks in the room"),
        )
        yield self._asked("flammable_limit", _("May hold"), example=_("20 l, or 20 kg, of flammable stock"))
        yield self._asked("lowest", _("Lowest"), example="5C")
        yield self._asked("highest", _("Highest"), example="30C")
        yield self._asked("building", _("Building"), example=_("places of one building count together"))
        yield self._asked("note", _("Note"))

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        field = self.field(key, label, read=field_readers.of_place(key), **more)
        self._say(field)
        return field

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        self._say(event.field)

    def _say(self, field: Field) -> None:
        """Show beneath an empty field how the cautions treat it."""
        treated = self._treated.get(str(field.id))
        if treated is not None:
            field.hint("" if field.text.strip() else _("Not known: treated as {treated}.", treated=treated))

    def errand(self) -> Callable[[], str]:
        """Add the place, or change what was typed differently."""
        from stock.shelf import places

        texts = self.typed()
        name = texts.pop("name", None)
        before = self.before.get("name")

        def put() -> str:
            columns, forget = places.read(texts)
            if before is None:
                return _("{name} is among the places", name=places.add(str(name), **columns).name)
            row = places.change(before, rename=name, forget=forget, **columns)
            return _("{name} is corrected", name=row.name)

        return put
