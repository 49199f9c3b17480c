"""Reading and booking for the pouring by weight; called in threads."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from stock.bench import mixing, weighings
from stock.bench.counting import weighable
from stock.bench.mixing import MixRequest
from stock.bench.pour_by_weight import Pouring, pouring_of
from stock.bench.weighings import WeighableBottle
from stock.errors import UllageError
from stock.language import _
from stock.shelf import products
from stock.store.connection import connection, writing
from tui.dialogs.accepting import StopsFound
from tui.drawing.figures import ml, ml_of
from tui.drawing.sentences import by_keys, sentence_for


@dataclass(frozen=True, slots=True)
class PouringBooks:
    """The data for pouring a mix by weight: the parts, their bottles, and the cautions that the Bench showed."""

    pouring: Pouring
    bottles: Mapping[int, WeighableBottle]
    cautions: frozenset[tuple[str, str]]


def read_pouring(asked: MixRequest) -> PouringBooks | str:
    """The data for pouring this mix, or the name of the first product without a known density."""
    with connection():
        plan = mixing.plan(asked)
        errors = {
            pour.product_id: products.density_error(pour.product_id, pour.density_ug_per_ml)
            for pour in plan.pours
            if pour.density_ug_per_ml is not None
        }
        lacking = next((pour.product for pour in plan.pours if pour.density_ug_per_ml is None), "")
        if lacking:
            return lacking
        pouring = pouring_of(plan, errors)
        bottles = {pour.bottle: weighable(str(pour.bottle)) for pour in plan.pours}
        cautions = frozenset((one.code, one.message) for one in plan.cautions)
    return PouringBooks(pouring, bottles, cautions)


def result_words(pouring: Pouring, cautions: Collection[tuple[str, str]]) -> str:
    """The poured mix in words, with cautions that the Bench did not show yet; or why it can't be booked."""
    try:
        with connection():
            plan = mixing.plan(pouring.poured_request())
    except UllageError as error:
        return sentence_for(error)
    text = _(
        "Poured {total} ml in all{reduction}. Enter books what was poured.",
        total=ml(plan.total()),
        reduction=f": {plan.reduction}" if plan.reduction is not None else "",
    )
    more = [one for one in plan.cautions if (one.code, one.message) not in cautions]
    return text + "".join(f"\n! {one.message}. {by_keys(one.remedy)}. [{one.source}]" for one in more)


def book_poured(pouring: Pouring, accepted: Sequence[str], key: str) -> str:
    """Book the poured mix with its weighings; returns a sentence about it.

    Raises:
        StopsFound: a caution that nobody has accepted stops the poured mix; nothing is booked.
    """
    request = pouring.poured_request()
    stops = mixing.plan(request).stops(accepted)
    if stops:
        raise StopsFound(stops)
    with writing():
        answer = mixing.book_mix(request, accept=accepted, key=key)
        weighings.note_pours(answer["mix"], pouring.weighed_pours())
    took = ", ".join(f"{pour['product']} {ml_of(pour['volume_ml'])} ml" for pour in answer["pours"])
    return _("Mix {mix} is booked as it was poured: {took}", mix=answer["mix"], took=took)
