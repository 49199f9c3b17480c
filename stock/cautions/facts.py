"""The facts that cautions judge and the findings that they return: plain values, no database and no clock.

`None` always means "not known", never "none": an empty tuple of solvents says that the sheet names none, `None` that
nobody has looked. Every rule treats an unknown fact as the worse case and says so.
"""

from collections.abc import Collection
from datetime import date
from typing import TYPE_CHECKING

from stock.language import N_
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, MilliCelsius, Milligrams, MilliPercent

if TYPE_CHECKING:
    from stock.cautions.substances import Substance
    from stock.units import Duration

SEVERITIES = (N_("note"), N_("warn"), N_("stop"))
"""The grades, mildest first."""

ACTIONS = ("dont_mix", "throw_away", "move", "use_first", "find_out", "take_care")
"""The actions that a finding can ask for."""

NOT_TO_USE = ("dont_mix", "throw_away")
"""Actions about something that must not be used as it stands."""

DEADLY = 4
"""The danger of a gas that kills; findings with it stand before all others."""

OF_PAIRS = (
    "incompatible", "reacts", "cures", "unknown-with-reactive", "not-with", "curdles", "stored-apart", "waste-apart",
)  # fmt: skip
"""Rules about two products that meet; they are silenced for the pair, never for one product or a place."""

ROLES = ("paint", "clear", "reducer", "cleaner", "additive", "hardener", "mixed")


class SolventShare(NamedTuple):
    """One solvent a product is made of.

    `name` is a name or a CAS number; `percent_milli` is thousandths of a per cent of the product, by
    `basis` "weight" or "volume". Where the sheet prints a range, `percent_milli` is its high end and
    `low_milli` its low one; `low_milli` is None where the share is exact. `own` is what the studio itself knows
    of the substance of that name, with what the table knows of it; None where the studio has noted nothing.
    """

    name: str
    percent_milli: MilliPercent
    basis: str = "volume"
    low_milli: MilliPercent | None = None
    own: "Substance | None" = None

    @property
    def least_milli(self) -> MilliPercent:
        """The low end of the share; the share itself if it is exact."""
        return self.percent_milli if self.low_milli is None else self.low_milli


class ProductFacts(NamedTuple):
    """The facts of a product, which hold for all its bottles.

    `water_milli` and `solids_milli` are thousandths of a per cent by weight; temperatures are thousandths of
    a degree C, the flash point closed cup; `no_flash_point` is the sheet's word that it has none; `groups`
    are words of the group matrix (`waterborne`, `ketone`, `oxidiser` ...) and of `HAZARD_GROUPS`; `not_with` holds
    ids of products that its maker or the studio won't have mixed with it.

    Of its safety sheet: `h_statements`, `signal_word` and `pictograms` are section 2, where an empty tuple and
    `none` are the sheet's word that there is none; `un_number`, `transport_class` and `packing_group` section 14,
    where an empty text says that it is no dangerous goods; `protection` section 8 and `incompatible` section 10 as
    printed, empty if not noted.
    `ph_low_milli` and `ph_high_milli` are both ends of its pH in thousandths, equal for one figure.
    `line` is the line of products that it belongs to, empty for none.
    """

    id: int
    name: str
    role: str = "paint"
    solvents: tuple[SolventShare, ...] | None = None
    water_milli: MilliPercent | None = None
    solids_milli: MilliPercent | None = None
    groups: tuple[str, ...] = ()
    no_flash_point: bool = False
    flash_point_mc: MilliCelsius | None = None
    boiling_point_mc: MilliCelsius | None = None
    ph_low_milli: int | None = None
    ph_high_milli: int | None = None
    density_ug_per_ml: int | None = None
    opened_life: "Duration | None" = None
    sealed_life: "Duration | None" = None
    store_low_mc: MilliCelsius | None = None
    store_high_mc: MilliCelsius | None = None
    not_with: tuple[int, ...] = ()
    discontinued: bool = False
    h_statements: tuple[str, ...] | None = None
    signal_word: str | None = None
    pictograms: tuple[str, ...] | None = None
    un_number: str | None = None
    transport_class: str | None = None
    packing_group: str | None = None
    protection: str = ""
    incompatible: str = ""
    voc_categories: tuple[str, ...] = ()
    line: str = ""


class BottleFacts(NamedTuple):
    """The facts of one container: its content, its dates and its place.

    `state` is `sealed`, `open`, `empty` or `discarded`; `opened_on` of an open bottle may be unknown.
    `kept` marks the jar of a leftover; `container` is a word of `store/words.py` or unknown;
    `frozen_on` is the day on which it last froze; `tested_until` the day until which a test on a card holds, None if it
    froze after the test.
    """

    id: int
    product_id: int
    state: str
    size_ul: Microlitres
    on_hand_ul: Microlitres
    place_id: int | None = None
    received_on: date | None = None
    made_on: date | None = None
    opened_on: date | None = None
    best_before: date | None = None
    frozen_on: date | None = None
    kept: bool = False
    container: str | None = None
    tested_until: date | None = None


class PlaceFacts(NamedTuple):
    """The facts of a place where bottles stand.

    `kind` is `cabinet`, `shelf`, `store`, `spray_area` or `rag_bin`; `premises` is `home`, `garage` (at a dwelling),
    `workshop` or `spray_room`, for codes differ by it. `limit_ul` or `limit_mg` is the studio's own limit of flammable
    stock here, in the unit in which it was given.
    `low_mc` and `high_mc` are the lowest and highest temperatures noted; `ignition` says whether a flame, a heater or
    sparking gear stands in the same room. Places of one `building` count together.
    """

    id: int
    name: str
    kind: str = "shelf"
    premises: str | None = None
    building: str = ""
    limit_ul: Microlitres | None = None
    limit_mg: Milligrams | None = None
    low_mc: MilliCelsius | None = None
    high_mc: MilliCelsius | None = None
    ignition: bool | None = None


class RuleChange(NamedTuple):
    """A studio's change of one rule: silenced, or with a graver severity or tighter figures, and why.

    `severity` is the graver one it has here, None for its own; `figures` are (name, value) of those that are
    tighter here. With neither, the rule is silenced: everywhere, or for one product, one bottle or one place by
    their numbers, `until` the day on which it is asked again. `other_id` is the second of two products that may meet:
    what could come of a pair is silenced by naming both, and by nothing less.
    """

    code: str
    severity: str | None
    reason: str
    figures: tuple[tuple[str, int], ...] = ()
    product_id: int | None = None
    bottle: int | None = None
    place_id: int | None = None
    until: date | None = None
    other_id: int | None = None

    @property
    def scoped(self) -> bool:
        """Whether the change holds for one product, bottle or place only."""
        return (self.product_id, self.bottle, self.place_id) != (None, None, None)

    def covers(self, product: int | None, bottles: Collection[int], place: int | None) -> bool:
        """Whether a finding is about the product, bottle or place of this change only."""
        if self.other_id is not None:
            return False
        if self.bottle is not None:
            return tuple(bottles) == (self.bottle,)
        return (self.product_id is not None and self.product_id == product) or (
            self.place_id is not None and self.place_id == place
        )

    def covers_pair(self, one: int, other: int) -> bool:
        """Whether the change is about this pair of products."""
        return self.other_id is not None and {self.product_id, self.other_id} == {one, other}

    @property
    def silences(self) -> bool:
        """Whether the change silences its rule."""
        return self.severity is None and not self.figures


class WasteMade(NamedTuple):
    """One kind of hazardous waste made in a month: its products, whether they were used as a solvent, its amount."""

    products: tuple[ProductFacts, ...]
    spent: bool
    mass_mg: Milligrams


class StudioFacts(NamedTuple):
    """All facts that the cautions judge, read at one moment.

    `fan_l_per_h` is the measured air the studio's fan moves, litres an hour, `spray_ul_per_min` what its
    airbrush uses; `waste_mg` is the hazardous waste made this calendar month, `waste_made` the same by kind,
    `waste_on_hand_mg` that thrown away since `waste_since`, the day on which it last left (all that ever was, where
    that isn't known), `day_use_ul` the flammable stock that the busiest of the last days used. `rule_sets` are the
    jurisdictions chosen, `trained` who is trained for diisocyanates and until when, `room_l` litres of the room that is
    sprayed in.
    """

    products: tuple[ProductFacts, ...] = ()
    bottles: tuple[BottleFacts, ...] = ()
    places: tuple[PlaceFacts, ...] = ()
    rule_sets: tuple[str, ...] = ("ghs", "strictest")
    changes: tuple[RuleChange, ...] = ()
    fan_l_per_h: int | None = None
    spray_ul_per_min: int | None = None
    waste_mg: Milligrams | None = None
    waste_on_hand_mg: Milligrams | None = None
    waste_since: date | None = None
    waste_made: tuple[WasteMade, ...] = ()
    trained: tuple[tuple[str, date], ...] = ()
    room_l: int | None = None
    day_use_ul: Microlitres | None = None


class MixPart(NamedTuple):
    """One part of a mix to be poured: its product, its amount, and its bottle if one is chosen."""

    product: ProductFacts
    volume_ul: Microlitres
    bottle: BottleFacts | None = None


class Finding(NamedTuple):
    """One caution: why, since when, what to do, and where the rule comes from.

    `product` and `place` are names, `bottle` is the bottle's number; each is `None` where the finding
    isn't about one, and `bottles` then holds the numbers of all that it is about. `action` is one of `ACTIONS`.
    Among findings of one severity those of more `danger` stand first: 4 a gas that kills, 0 no such danger. `line` is
    the line of its product, empty for none or where it doesn't matter. `others` names the products that it may meet, or
    all that the finding is about if `product` is None.
    """

    code: str
    severity: str
    product: str | None
    bottle: int | None
    place: str | None
    since: date | None
    message: str
    remedy: str
    source: str
    action: str
    product_id: int | None = None
    place_id: int | None = None
    bottles: tuple[int, ...] = ()
    danger: int = 0
    line: str = ""
    others: tuple[str, ...] = ()

    @property
    def deadly(self) -> bool:
        """Whether a gas that kills could form."""
        return self.danger >= DEADLY

    @property
    def not_to_use(self) -> bool:
        """Whether something must not be used, or not before it was tested."""
        return (
            self.deadly or self.severity == "stop" or (self.severity == "warn" and self.action in NOT_TO_USE)
        )

    @property
    def grade(self) -> str:
        """The severity by which it is marked: `stop` for anything that must not be used, else its own."""
        return "stop" if self.not_to_use else self.severity

    def as_json(self) -> dict[str, object]:
        """The finding as the commands print it; the day as YYYY-MM-DD."""
        return {
            "code": self.code,
            "severity": self.severity,
            "product": self.product,
            "bottle": self.bottle,
            "place": self.place,
            "since": self.since.isoformat() if self.since else None,
            "message": self.message,
            "remedy": self.remedy,
            "source": self.source,
        }

    def in_a_mix(self) -> dict[str, object]:
        """The finding as the answer of a mix or a step has it, which names bottle and place elsewhere."""
        return {
            "code": self.code,
            "severity": self.severity,
            "message": self.message,
            "remedy": self.remedy,
            "source": self.source,
        }
