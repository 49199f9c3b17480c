"""Which bottles a pour comes from.

The order of usable bottles: still good before past its day, open before sealed, then the one that goes bad first, then
the smaller rest. Bottles that a person picks come before all others.
"""

from collections.abc import Sequence
from datetime import date
from operator import attrgetter

from stock.errors import BadInput, NotEnough
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.units import Microlitres, show_volume


class Candidate(NamedTuple):
    """A bottle that a pour could come from; volumes in microlitres.

    A bottle that is not the studio's is used only if a person picks it.
    """

    id: int
    on_hand_ul: Microlitres
    opened: bool
    good_until: date | None
    not_ours: bool = False


SMALLER_REST = attrgetter("on_hand_ul", "id")


class Take(NamedTuple):
    """The volume that one bottle gives to a pour, and the reason why it was chosen."""

    bottle: int
    volume_ul: Microlitres
    on_hand_ul: Microlitres
    why: str


def order(candidates: Sequence[Candidate], today: date) -> list[Candidate]:
    """The studio's own candidates in the order in which they are used up."""

    usable = [each for each in candidates if each.on_hand_ul > 0 and not each.not_ours]
    usable.sort(key=SMALLER_REST)
    ends = {(each.opened, each.good_until) for each in usable}
    if len(ends) > 1:  # most bottles of a product are alike
        ranks = {end: _rank(*end, today) for end in ends}
        usable.sort(key=lambda each: ranks[each.opened, each.good_until])
    return usable


def _rank(opened: bool, good_until: date | None, today: date) -> tuple[bool, bool, date]:
    end = good_until or date.max
    return end < today, not opened, end


def choose(
    candidates: Sequence[Candidate],
    volume_ul: Microlitres,
    *,
    product: str,
    today: date,
    picked: Sequence[int] = (),
    measures: str = "metric",
    since: str = "",
) -> list[Take]:
    """Share a volume out over bottles.

    Args:
        candidates: the product's bottles that hold something.
        volume_ul: the volume to pour, in microlitres, above 0.
        product: its name, for the refusal.
        today: the day of the pour.
        picked: bottle numbers a person asked for; used first and in this order, and alone.
        measures: the studio's measures, for the refusal.
        since: the moment of a mix that is written down late, for the refusal.
    Returns:
        The takes, in the order of use; their volumes sum to `volume_ul`.
    Raises:
        NotEnough: the bottles together hold less.
        BadInput: a picked bottle is not among the candidates.
    """
    usable = _picked(candidates, picked, product, today) if picked else order(candidates, today)
    takes, wanted = [], volume_ul
    for bottle in usable:
        if wanted == 0:
            break
        volume = min(wanted, bottle.on_hand_ul)
        takes.append(Take(bottle.id, volume, bottle.on_hand_ul, _why(bottle, usable, picked, today)))
        wanted = Microlitres(wanted - volume)
    if wanted:
        held = sum(bottle.on_hand_ul for bottle in usable)
        raise NotEnough(
            _(
                "{product}: {volume_ul} wanted and {held} {picked}{since}",
                product=product,
                volume_ul=show_volume(volume_ul, measures),
                held=show_volume(Microlitres(held), measures),
                picked=_("in the bottles picked") if picked else _("usable on the shelf"),
                since=_(", from {since} until now", since=since) if since else "",
            ),
            remedy=Remedy(
                _("Take less, receive or count a bottle, or pick others "),
                Option("from"),
                _("; nothing was booked"),
            ),
        )
    return takes


def _picked(
    candidates: Sequence[Candidate], picked: Sequence[int], product: str, today: date
) -> list[Candidate]:
    by_number = {bottle.id: bottle for bottle in candidates}
    strangers = [number for number in picked if number not in by_number]
    if strangers:
        raise BadInput(
            _("bottle {strangers} holds no {product}", strangers=strangers[0], product=product),
            remedy=_("Pick one of ") + _numbers(order(candidates, today)),
        )
    return [by_number[number] for number in picked]


def _why(bottle: Candidate, usable: Sequence[Candidate], picked: Sequence[int], today: date) -> str:
    if picked:
        return "picked"
    if len(usable) == 1:
        return _("the only one")
    if bottle.good_until is not None and bottle.good_until < today:
        return _("past its day, and nothing fresher is left")
    if bottle.opened:
        return _("open, goes bad first") if sum(other.opened for other in usable) > 1 else _("open already")
    return _("sealed, goes bad first")


def _numbers(bottles: Sequence[Candidate]) -> str:
    return ", ".join(str(bottle.id) for bottle in bottles) or _("none, for none is left")
