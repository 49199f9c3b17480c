"""Substances: the known facts of each with their sources, and the studio's own notes."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from stock.language import _
from tui.dialogs.record_form import Group, Opening, RecordForm, nothing
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.dialog import Ask
from tui.widgets.fields import Field, such_as
from tui.widgets.rows import Cell, Heading, ListColumn

OWN, KNOWN = _("The studio's own"), _("Known here")


class SubstanceForm(RecordForm):
    """The facts of a substance from a sheet.

    Args:
        before: the texts of the studio's own record; None for a new one.
        known: the texts that a new record begins with, for one that the table has.
    """

    def __init__(self, before: dict[str, str] | None = None, known: dict[str, str] | None = None) -> None:
        super().__init__(before)
        self._known = known or {}

    def head(self) -> str:
        return _("A substance by its sheet") if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        """What sections 1, 2, 3 and 9 of a sheet say first."""
        yield self.field(
            "name",
            _("Name"),
            read=field_readers.name(_("substance's name")),
            blank=False,
            **self._begun("name"),
        )
        yield self._asked("cas", _("CAS number"), example="123-86-4", **self._begun("cas"))
        yield self._asked("family", _("Family"), example=such_as(_("ester")), hint=_("What it reacts like."))
        yield self._asked("flash_point", _("Flash point"), example="22C", hint=_("None if it has none."))
        yield self._asked("h_statements", _("H-statements"), example="H226 H336")

    def groups(self) -> Iterable[Group]:
        """Further figures, what the air may hold of it, and lists of the United States."""
        yield Group(
            _("Figures"),
            [
                self._asked("boiling_point", _("Boiling point"), example="126C"),
                self._asked("density", _("Density"), example="0.88", hint="g/ml"),
                self._asked("molar_mass", _("Molar mass"), example="116.2", hint="g/mol"),
                self._asked(
                    "lower_limit", _("Lower limit"), example="1.2%", hint=_("Explosive, of the air.")
                ),
            ],
        )
        yield Group(
            _("In the air"),
            [
                self._asked("exposure_limit", _("8 hours"), example=_("50 ppm")),
                self._asked("short_term_limit", _("15 minutes"), example=_("150 ppm")),
                self._asked("ceiling_limit", _("Ceiling"), example=_("5 ppm")),
            ],
        )
        yield Group(
            _("Lists and notes"),
            [
                self._asked("us_waste", _("US waste"), example="F003 U031", hint=_("None if on no list.")),
                self._asked("us_voc", _("US VOC"), example=such_as(_("voc")), hint=_("voc, exempt or no")),
                self._asked("hap", _("Air pollutant"), example=_("no"), hint=_("Of the US list: yes or no.")),
                self._asked("aliases", _("Other names"), example=such_as(_("butyl ester; BuAc"))),
                self._asked("source", _("Source"), example=_("sheet of 2026-01-02")),
                self._asked("note", _("Note")),
            ],
        )

    def _begun(self, key: str) -> dict[str, str]:
        return {"value": self._known[key]} if key in self._known else {}

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        return self.field(key, label, read=field_readers.of_substance(key), **more)

    def errand(self) -> Callable[[], str]:
        """Enter the substance, or correct it."""
        from stock.shelf import own_substances

        texts = self.typed()
        before = self.before.get("name")

        def put() -> str:
            if before is None:
                return _("{name} was entered as a substance", name=own_substances.add(texts).name)
            return _("{name} is corrected", name=own_substances.change(before, texts).name)

        return put


class Substances(RecordKind[Any]):
    """The studio's own substances, then all that the table knows, by name."""

    NAME = _("Substances")
    WIDE = (ListColumn(_("substance")), ListColumn(_("CAS"), 11), ListColumn(_("family"), 12))
    NARROW = (ListColumn(_("substance")), ListColumn(_("CAS"), 11))
    CAN = frozenset({"new", "correct", "delete"})

    def __init__(self) -> None:
        self._noted: dict[str, str] = {}

    def read(self) -> Sequence[Any]:
        """Every substance; those of which the studio has noted something come first."""
        from stock.cautions import substance_view
        from stock.cautions.own_substances import own_substances, row_about

        self._noted = {one.cas: row_about(one).name for one in own_substances().values()}
        every = substance_view.everything()
        own = [one for one in every if one.cas in self._noted]
        others = [one for one in every if one.cas not in self._noted]
        return [*([Heading(OWN), *own] if own else []), Heading(KNOWN), *others]

    def ident(self, item: Any) -> str:
        """Its CAS number, or the number of the studio's record."""
        return str(item.cas)

    def letters(self, item: Any) -> str:
        """Its names and its number."""
        from stock.cautions.substance_view import other_names

        return " ".join((item.name, item.cas, *other_names(item)))

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name, number and family."""
        row = (
            item.name,
            "-" if item.cas.startswith("own ") else item.cas,
            item.group.replace("_", " ") or "-",
        )
        return row if wide else row[:2]

    def card(self, item: Any) -> Card:
        """Every figure with its source, and what isn't known."""
        from stock.cautions import substance_view

        figures = substance_view.figures(item)
        names = substance_view.other_names_in_words(item)
        card: list[Any] = [CardHead(item.name, item.group.replace("_", " "))]
        card += [CardSentence(_("Also {names}.", names=names), "quiet")] * bool(names)
        card += [
            CardFact(each.label, f"{each.text}  [{each.source}]" if each.source else each.text)
            for each in figures
            if each.text != substance_view.UNKNOWN
        ]
        unknown = substance_view.unknown_in_words(figures)
        if unknown:
            card += [CardHead(_("Unknown, so the worse case")), CardSentence(unknown, "warn")]
        noted = substance_view.own_record_in_words(item)
        if noted:
            card.append(CardSentence(f"{noted[0].upper()}{noted[1:]}.", "warn"))
        return [*card, CardSentence(_("The safety data sheet decides."), "quiet")]

    def may(self, action: str, item: Any) -> bool:
        """Only the studio's own records can be deleted."""
        if action == "delete":
            return item is not None and item.cas in self._noted
        return super().may(action, item)

    def delete(self, item: Any) -> Ask:
        """The question whether to delete the studio's own record."""
        from stock.shelf import own_substances

        name = self._noted[item.cas]
        text = _("What you noted of it is deleted, for good. What isn't known then counts as the worse case.")
        return Ask(_("Delete {name}", name=name), text, go=_("Delete it"), said=_("{name} is deleted", name=name),
                   errand=lambda _: own_substances.delete(name))  # fmt: skip

    def new(self, item: Any) -> Opening:
        """A substance of the studio's own."""
        del item
        return nothing, lambda _: SubstanceForm()

    def correct(self, item: Any) -> Opening:
        """Correct the studio's own record, or note one beside what the table has."""

        def learn() -> tuple[dict[str, str] | None, dict[str, str]]:
            from stock.cautions.own_substances import row_about
            from stock.shelf import own_substances

            row = row_about(item)
            if row is not None:
                return own_substances.as_texts(row), {}
            return None, {"name": item.name, "cas": item.cas}

        return learn, lambda learned: SubstanceForm(*learned)
