"""Counts, which set the books to what a person measured in a bottle, and spills.

A count that found less may have a reason. Paint that was spilled, leaked or dried out is a loss: a separate write-off
in the costs, no demand in the forecast, and counted as evaporated. An unlogged pour counts as used, like any pour. A
corrected record was wrong before: nothing was lost or used.
"""

from collections.abc import Callable
from datetime import datetime

from stock.errors import BadInput, NotEnough
from stock.language import _
from stock.ledger import Answer, Errand, book, hold
from stock.remedies import Do, Remedy
from stock.shelf.bottles import numbered, usable
from stock.store.models import Bottle, Count, Product
from stock.store.words import COUNT_REASONS
from stock.text import note as clean_note
from stock.text import plain
from stock.units import Microlitres, ml

OVERFULL = 11, 10  # a bottle may hold up to a tenth more than its label says before a count is doubted


def count(
    bottle: str,
    measured_ul: Microlitres,
    *,
    method: str = "volume",
    uncertainty_ul: Microlitres | None = None,
    on: datetime | None = None,
    key: str | None = None,
    beside: Callable[[Answer], Answer] | None = None,
    reason: str | None = None,
) -> Answer:
    """Book what was measured in a bottle.

    Args:
        bottle: its number or label.
        measured_ul: microlitres found in it, 0 or more.
        method: `volume`, `level` or `weight`.
        uncertainty_ul: of the measurement, one standard deviation, if known.
        on: when it was measured; pours booked after that moment stay subtracted.
        beside: called with the answer to add to it and keep more in the same booking.
        reason: where the difference went, one of `COUNT_REASONS`, if it is known.
    Returns:
        `{"count", "bottle", "on_hand_ml", "difference_ml", "expected_ml", "reason"}`; the difference is measured
        less expected.
    Raises:
        BadInput: more than the bottle can hold, it was discarded, an unknown reason, or a reason without anything
            missing.
    """
    why = read_reason(reason) if reason is not None else None

    def work(errand: Errand) -> Answer:
        hold([numbered(bottle).id])
        found = usable(numbered(bottle))
        _refuse_overfull(found, measured_ul)
        expected_ul = errand.held(found.id)
        difference_ul = Microlitres(measured_ul - expected_ul)
        if why not in (None, "corrected") and difference_ul >= 0:
            raise BadInput(
                _(
                    "bottle {id} holds no less than the books say, so nothing was {why}",
                    id=found.id,
                    why=show_reason(why),
                ),
                remedy=_("Leave the reason out; nothing was booked"),
            )
        errand.move(found.id, "counted", difference_ul)
        Count.insert(
            id=errand.booking,
            bottle=found.id,
            method=method,
            measured_ul=measured_ul,
            expected_ul=expected_ul,
            uncertainty_ul=uncertainty_ul,
            reason=why,
        ).execute()
        answer: Answer = {
            "count": errand.booking,
            "bottle": found.id,
            "on_hand_ml": ml(Microlitres(found.on_hand_ul + difference_ul)),
            "difference_ml": ml(difference_ul),
            "expected_ml": ml(Microlitres(expected_ul)),
            "reason": why,
        }
        return answer | (beside(answer) if beside is not None else {})

    return book("count", work, at=on, key=key)


def read_reason(text: str) -> str:
    """Read the reason of a difference: one of `COUNT_REASONS`, of which the first letters are enough.

    Raises:
        BadInput: none of them.
    """
    word = "_".join(text.strip().casefold().replace("_", " ").split())
    fitting = [each for each in COUNT_REASONS if word and each.startswith(word)]
    if len(fitting) != 1:
        raise BadInput(
            _("{text!r} is no reason of a count", text=plain(text, 30)),
            remedy=_(
                "Write one of {count_reasons}",
                count_reasons=", ".join(show_reason(each) for each in COUNT_REASONS),
            ),
        )
    return fitting[0]


def show_reason(reason: str) -> str:
    """A reason in words: `dried out`."""
    return reason.replace("_", " ")


def spill(
    bottle: str, volume_ul: Microlitres, *, on: datetime | None = None, key: str | None = None, note: str = ""
) -> Answer:
    """Book a spill from a bottle: a count that nobody measured, which `undo count` takes back.

    Args:
        bottle: its number or label.
        volume_ul: microlitres spilled, above 0; the rest is not measured.
        on: when; now if not given.
    Returns:
        `{"spill", "bottle", "product", "spilled_ml", "on_hand_ml"}`.
    Raises:
        NotEnough: the bottle holds less.
        BadInput: it was discarded.
    """

    def work(errand: Errand) -> Answer:
        hold([numbered(bottle).id])
        found = usable(numbered(bottle))
        expected_ul = errand.held(found.id)
        if volume_ul > expected_ul:
            raise NotEnough(
                _(
                    "bottle {id} holds {expected_ul} ml by the books, which is less",
                    id=found.id,
                    expected_ul=ml(Microlitres(expected_ul)),
                ),
                remedy=_("Count what is left in it, with the reason spilled; nothing was booked"),
            )
        errand.move(found.id, "counted", Microlitres(-volume_ul))
        Count.insert(
            id=errand.booking,
            bottle=found.id,
            method="volume",
            measured_ul=expected_ul - volume_ul,
            expected_ul=expected_ul,
            uncertainty_ul=None,
            reason="spilled",
        ).execute()
        product = Product.get_by_id(found.product_id)
        return {
            "spill": errand.booking,
            "bottle": found.id,
            "product": product.name,
            "spilled_ml": ml(volume_ul),
            "on_hand_ml": ml(found.on_hand_ul - volume_ul),
        }

    return book("count", work, at=on, key=key, note=clean_note(note))


def _refuse_overfull(found: Bottle, measured_ul: Microlitres) -> None:
    most, of = OVERFULL
    if measured_ul * of > found.size_ul * most:
        raise BadInput(
            _(
                "bottle {id} is a {size_ul} ml bottle and {measured_ul} ml were counted",
                id=found.id,
                size_ul=ml(found.size_ul),
                measured_ul=ml(measured_ul),
            ),
            remedy=Remedy(
                _("Count again; a wrong size is put right by taking the bottle in anew: "),
                Do("undo", "delivery", found.delivery_id),
                _("; nothing was booked"),
            ),
        )
