"""Silences of a rule for one subject until a day, and tests on a card that make a bottle good until a day.

The subject is a product, a bottle, a place, or two products together. A finding about several bottles or products
leaves out the silenced one; a sum, such as the litres in a place, still counts every bottle. Rules about two products
that meet (`OF_PAIRS`) are silenced only for the pair, because a silence for one product or a place would hide a third
product.

Both are logged and never edited. The latest row of a rule and subject counts, and a row that ends on its own day ends
the earlier ones. From the last day on the finding is shown again.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.cautions.facts import OF_PAIRS, RuleChange
from stock.cautions.rules import rule_book
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Option, Remedy
from stock.shelf import places, products
from stock.shelf.bottles import numbered, usable
from stock.shelf.studio import settings
from stock.spans import day as read_day
from stock.spans import duration
from stock.store.connection import connection, writing
from stock.store.models import Bottle, CardTest, Place, Product, Silence
from stock.text import note

USUALLY = "3mo"
"""How long a silence holds if no day is given; common practice, no source."""
TEST_HOLDS = "1mo"
"""How long a test on a card holds if no day is given; common practice, no source."""
LONGEST = "1y"
"""The longest time for which a silence or a test holds."""


class Silenced(NamedTuple):
    """A rule silenced for one subject: `about` in words, `until` the day from which its finding is shown again."""

    code: str
    about: str
    reason: str
    until: date
    product_id: int | None = None
    bottle: int | None = None
    place_id: int | None = None
    other_id: int | None = None
    pair: tuple[str, str] | None = None

    @property
    def scope(self) -> dict[str, str]:
        """The subject as an argument of `silence`."""
        if self.bottle is not None:
            return {"bottle": str(self.bottle)}
        if self.pair is not None:
            return {"product": self.pair[0], "other": self.pair[1]}
        return {"product" if self.product_id is not None else "place": self.about}

    def as_json(self) -> dict[str, Any]:
        """As the commands print it."""
        return {
            "code": self.code,
            "about": self.about,
            "bottle": self.bottle,
            "products": list(self.pair) if self.pair else None,
            "reason": self.reason,
            "asked_again_on": self.until.isoformat(),
        }


def silence(
    code: str,
    *,
    reason: str,
    product: str | None = None,
    bottle: str | None = None,
    place: str | None = None,
    other: str | None = None,
    until: str | None = None,
) -> Silenced:
    """Silence a rule for one product, two products together, a bottle or a place until a day; logged.

    Args:
        code: the rule.
        reason: why; may not be empty.
        product, bottle, place: one of them, as a person names it.
        other: the second product, for a rule about two.
        until: the day from which it is shown again, or a time until then; `today` ends an earlier silence.
    Raises:
        NotFound: no such rule, product, bottle or place.
        BadInput: none or several of the three, one product of a rule about two or two of a rule about one, no reason,
            or a day that is past or over a year ahead.
    """
    rule_book().rule(code)
    why = note(reason)
    if not why:
        raise BadInput(
            _("no reason was given"), remedy=Remedy(_("Say why "), Option("reason"), _("; it is logged"))
        )
    if [product, bottle, place].count(None) != 2:
        raise BadInput(
            _("a rule is silenced for one product, one bottle or one place"),
            remedy=_("Name one of them; nothing was changed"),
        )
    _refuse_half_a_pair(code, product, other)
    with connection(), writing():
        day = asked_again(until, USUALLY)
        made = _about(product, bottle, place) if other is None else _together(product or "", other)
        made = made._replace(code=code, reason=why, until=day)
        Silence.insert(
            code=code, product=made.product_id, other=made.other_id, bottle=made.bottle, place=made.place_id,
            reason=why, asked_again_on=day, at=clock.now(),
        ).execute()  # fmt: skip
    return made


def _refuse_half_a_pair(code: str, product: str | None, other: str | None) -> None:
    if code in OF_PAIRS and (product is None or other is None):
        raise BadInput(
            _("`{code}` is about two products that meet", code=code),
            remedy=Remedy(
                _("Name both, "), Option("product"), " and ", Option("other"), _("; nothing was changed")
            ),
        )
    if code not in OF_PAIRS and other is not None:
        raise BadInput(
            _("`{code}` isn't about two products that meet", code=code),
            remedy=Remedy(_("Leave "), Option("other"), _(" out; nothing was changed")),
        )


def _together(product: str, other: str) -> Silenced:
    """The subject of a pair of products."""
    one, two = products.find(product), products.find(other)
    if one.id == two.id:
        raise BadInput(
            _("{name} can't meet itself", name=one.name), remedy=_("Name two products; nothing was changed")
        )
    pair = (one.name, two.name)
    return Silenced("", _(" and ").join(pair), "", date.max, product_id=one.id, other_id=two.id, pair=pair)


def _about(product: str | None, bottle: str | None, place: str | None) -> Silenced:
    """The subject that was named."""
    if product is not None:
        found = products.find(product)
        return Silenced("", found.name, "", date.max, product_id=found.id)
    if bottle is not None:
        one = usable(numbered(bottle))
        return Silenced("", _("bottle {id}", id=one.id), "", date.max, bottle=one.id)
    where = places.find(place or "")
    return Silenced("", where.name, "", date.max, place_id=where.id)


def asked_again(until: str | None, usually: str, said_on: date | None = None) -> date:
    """The day until which a silence or a test holds.

    Args:
        until: a day, or a time such as `6w` from `said_on`; `usually` if None.
        said_on: the day of the silence or test; today when None.
    Raises:
        BadInput: no day, one that is past, or one over a year ahead.
    """
    today = said_on or settings().today()
    text = (until or usually).strip()
    try:
        day = duration(text).after(today)
    except BadInput:
        day = read_day(text, today)
    last = duration(LONGEST).after(today)
    if not today <= day <= last:
        raise BadInput(
            _(
                "{day} is {fault}",
                day=show_day(day),
                fault=_("past") if day < today else _("over a year ahead"),
            ),
            remedy=_(
                "Write a day from {today} to {last}; nothing was changed",
                today=show_day(today),
                last=show_day(last),
            ),
        )
    return day


def changes_of(rows: Iterable[Any], day: date) -> list[RuleChange]:
    """The silences in force on a day, from rows (code, product, bottle, place, reason, until, other) as logged."""
    found: dict[tuple[Any, ...], RuleChange] = {}
    for code, product, bottle, place, reason, until, other in rows:
        key = (code, frozenset((product, other)), bottle, place)
        found.pop(key, None)
        if until > day:
            found[key] = RuleChange(code, None, reason, (), product, bottle, place, until, other)
    return list(found.values())


def silenced(changes: Iterable[RuleChange]) -> list[Silenced]:
    """The silences among a studio's changes, with the names of their subjects."""
    own = [each for each in changes if each.scoped]
    with connection():
        goods = dict(
            Product.select(Product.id, Product.name)
            .where(Product.id.in_([n for each in own for n in (each.product_id, each.other_id) if n]))
            .tuples()
        )
        stands = dict(
            Place.select(Place.id, Place.name)
            .where(Place.id.in_([each.place_id for each in own if each.place_id is not None]))
            .tuples()
        )
    return [_named(each, goods, stands) for each in own]


def _named(change: RuleChange, goods: Mapping[int, str], stands: Mapping[int, str]) -> Silenced:
    pair = None
    if change.product_id is not None and change.other_id is not None:
        pair = (goods[change.product_id], goods[change.other_id])
    one = (
        goods.get(change.product_id or 0)
        or stands.get(change.place_id or 0)
        or _("bottle {bottle}", bottle=change.bottle)
    )
    return Silenced(
        change.code,
        _(" and ").join(pair) if pair else one,
        change.reason,
        change.until or date.max,
        change.product_id,
        change.bottle,
        change.place_id,
        change.other_id,
        pair,
    )


def note_card_test(
    bottle: str, *, until: str | None = None, remark: str = "", on: datetime | None = None
) -> dict[str, Any]:
    """Note that a bottle was tested on a card and is good until a day; logged.

    Args:
        bottle: its number or label code.
        until: the last day of the test, or a time until then; `today` ends an earlier test.
        remark: what was seen.
        on: when; now when None.
    Returns:
        The answer of `ullage bottle tested`.
    Raises:
        NotFound: no such bottle.
        BadInput: it is discarded or empty, it froze that day, or the day is past or over a year ahead.
    """
    with connection(), writing():
        found: Bottle = usable(numbered(bottle))
        if not found.on_hand_ul:
            raise BadInput(
                _("bottle {id} is empty", id=found.id),
                remedy=_("There is nothing to test; nothing was changed"),
            )
        said_on = clock.day_of(on, settings().time_zone) if on is not None else settings().today()
        if found.frozen_on is not None and said_on <= found.frozen_on:
            raise BadInput(
                _("bottle {id} froze on {day}", id=found.id, day=show_day(found.frozen_on)),
                remedy=_("Nothing was changed; let it thaw slowly, and test it on a later day"),
            )
        day = asked_again(until, TEST_HOLDS, said_on)
        CardTest.insert(
            bottle=found.id, asked_again_on=day, note=note(remark), at=on or clock.now()
        ).execute()
    return {
        "bottle": found.id,
        "product": found.product.name,
        "asked_again_on": day.isoformat(),
        "note": note(remark),
    }
