"""Substances: what is known of each, with its source, and what the studio has noted of its own."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from tui.dialogs.record_form import Group, Opening, RecordForm, nothing
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.dialog import Ask
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, Heading, ListColumn

OWN, KNOWN = "The studio's own", "Known here"


class SubstanceForm(RecordForm):
    """What a sheet says of a substance.

    Args:
        before: the texts of the studio's own record; None for a new one.
        known: the texts that a new record begins with, for one that the table has.
    """

    def __init__(self, before: dict[str, str] | None = None, known: dict[str, str] | None = None) -> None:
        super().__init__(before)
        self._known = known or {}

    def head(self) -> str:
        """The substance's name."""
        return "A substance by its sheet" if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        """What sections 1, 2, 3 and 9 of a sheet say first."""
        yield self.field(
            "name", "Name", read=field_readers.name("substance's name"), blank=False, **self._begun("name")
        )
        yield self._asked("cas", "CAS number", example="123-86-4", **self._begun("cas"))
        yield self._asked("family", "Family", example="ester", hint="What it reacts like.")
        yield self._asked("flash_point", "Flash point", example="22C", hint="None if it has none.")
        yield self._asked("h_statements", "H-statements", example="H226 H336")

    def groups(self) -> Iterable[Group]:
        """Further figures, what the air may hold of it, and lists of the United States."""
        yield Group(
            "Figures",
            [
                self._asked("boiling_point", "Boiling point", example="126C"),
                self._asked("density", "Density", example="0.88", hint="g/ml"),
                self._asked("molar_mass", "Molar mass", example="116.2", hint="g/mol"),
                self._asked("lower_limit", "Lower limit", example="1.2%", hint="Explosive, of the air."),
            ],
        )
        yield Group(
            "In the air",
            [
                self._asked("exposure_limit", "8 hours", example="50 ppm"),
                self._asked("short_term_limit", "15 minutes", example="150 ppm"),
                self._asked("ceiling_limit", "Ceiling", example="5 ppm"),
            ],
        )
        yield Group(
            "Lists and notes",
            [
                self._asked("us_waste", "US waste", example="F003 U031", hint="None if on no list."),
                self._asked("us_voc", "US VOC", example="voc", hint="voc, exempt or no"),
                self._asked("hap", "Air pollutant", example="no", hint="Of the US list: yes or no."),
                self._asked("aliases", "Other names", example="butyl ester; BuAc"),
                self._asked("source", "Source", example="sheet of 2026-01-02"),
                self._asked("note", "Note"),
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
                return f"{own_substances.add(texts).name} was entered as a substance"
            return f"{own_substances.change(before, texts).name} is corrected"

        return put


class Substances(RecordKind[Any]):
    """The studio's own substances, then all that the table knows, by name."""

    NAME = "Substances"
    WIDE = (ListColumn("substance"), ListColumn("CAS", 11), ListColumn("family", 12))
    NARROW = (ListColumn("substance"), ListColumn("CAS", 11))
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

        told = substance_view.figures(item)
        names = substance_view.other_names_in_words(item)
        card: list[Any] = [CardHead(item.name, item.group.replace("_", " "))]
        card += [CardSentence(f"Also {names}.", "quiet")] * bool(names)
        card += [
            CardFact(each.label, f"{each.text}  [{each.source}]" if each.source else each.text)
            for each in told
            if each.text != substance_view.UNKNOWN
        ]
        unknown = substance_view.unknown_in_words(told)
        if unknown:
            card += [CardHead("Unknown, so the worse case"), CardSentence(unknown, "warn")]
        noted = substance_view.own_record_in_words(item)
        if noted:
            card.append(CardSentence(f"{noted[0].upper()}{noted[1:]}.", "warn"))
        return [*card, CardSentence("The safety data sheet decides.", "quiet")]

    def may(self, action: str, item: Any) -> bool:
        """Nothing can be deleted but what the studio noted itself."""
        if action == "delete":
            return item is not None and item.cas in self._noted
        return super().may(action, item)

    def delete(self, item: Any) -> Ask:
        """The question whether to delete the studio's own record."""
        from stock.shelf import own_substances

        name = self._noted[item.cas]
        text = "What you noted of it is deleted, for good. What isn't known then counts as the worse case."
        return Ask(f"Delete {name}", text, go="Delete it", said=f"{name} is deleted",
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
