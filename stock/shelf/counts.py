"""Counts: what a person measured in a bottle, which the books then follow."""

from collections.abc import Callable
from datetime import datetime

from stock.errors import BadInput
from stock.ledger import Answer, Errand, book, hold
from stock.remedies import Do, Remedy
from stock.shelf.bottles import numbered, usable
from stock.store.models import Bottle, Count
from stock.units import Microlitres, ml

OVERFULL = 11, 10  # a bottle may hold up to a tenth more than its label says before a count is doubted


def count(
    bottle: str,
    measured_ul: int,
    *,
    method: str = "volume",
    uncertainty_ul: int | None = None,
    on: datetime | None = None,
    key: str | None = None,
    beside: Callable[[Answer], Answer] | None = None,
) -> Answer:
    """Book what was measured in a bottle.

    Args:
        bottle: its number or label.
        measured_ul: microlitres found in it, 0 or more.
        method: `volume`, `level` or `weight`.
        uncertainty_ul: of the measurement, one standard deviation, if known.
        on: when it was measured; what was booked after that moment stays taken off.
        beside: what else the count says and keeps, from the answer, in the same booking.
    Returns:
        `{"count", "bottle", "on_hand_ml", "difference_ml", "expected_ml"}`; the difference is measured less
        expected.
    Raises:
        BadInput: more than the bottle can hold, or it was discarded.
    """

    def work(errand: Errand) -> Answer:
        hold([numbered(bottle).id])
        found = usable(numbered(bottle))
        _refuse_overfull(found, measured_ul)
        expected_ul = errand.held(found.id)
        difference = measured_ul - expected_ul
        errand.move(found.id, "counted", difference)
        Count.insert(
            id=errand.booking,
            bottle=found.id,
            method=method,
            measured_ul=measured_ul,
            expected_ul=expected_ul,
            uncertainty_ul=uncertainty_ul,
        ).execute()
        answer: Answer = {
            "count": errand.booking,
            "bottle": found.id,
            "on_hand_ml": ml(found.on_hand_ul + difference),
            "difference_ml": ml(Microlitres(difference)),
            "expected_ml": ml(Microlitres(expected_ul)),
        }
        return answer | (beside(answer) if beside is not None else {})

    return book("count", work, at=on, key=key)


def _refuse_overfull(found: Bottle, measured_ul: int) -> None:
    most, of = OVERFULL
    if measured_ul * of > found.size_ul * most:
        raise BadInput(
            f"bottle {found.id} is a {ml(found.size_ul)} ml bottle and {ml(Microlitres(measured_ul))} ml were counted",
            remedy=Remedy(
                "Count again; a wrong size is put right by taking the bottle in anew: ",
                Do("undo", "delivery", found.delivery_id),
                "; nothing was booked",
            ),
        )
