"""A copy of the sample studio to try things on, and what one mix in it does, for where there is no terminal."""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

from stock.bench.mixing import MixPlan, MixRequest, book_mix, plan
from stock.language import _
from stock.logbook.today import SAFETY, Today, today
from stock.store.connection import connection
from stock.units import Microlitres, Micrometres, ml, show_volume

MIX = MixRequest(
    parts=(("Harbour Blue", Microlitres(8_000)),),
    reduce=Fraction(20),
    reducers=(("Eddy Reducer", 1),),
    needle_um=Micrometres(350),
    note="logged by the demo",
)
SHOWN = 8


@contextmanager
def copy(keep: Path | None) -> Iterator[str]:
    """Make a copy of the sample studio, and yield its address; the copy is deleted at the end unless it is kept.

    Args:
        keep: where to keep it; in a temporary folder when None.
    Raises:
        WouldOverwrite: there is something at `keep` already.
    """
    from sample_studio.loader import load  # only for the sample studio

    if keep is not None:
        load(str(keep))
        yield str(keep)
        return
    folder = tempfile.mkdtemp(prefix="ullage-")
    try:
        path = str(Path(folder) / "sample.ullage")
        load(path)
        yield path
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def one_mix(kept: Path | None) -> tuple[dict[str, Any], list[str]]:
    """Log one mix in a copy; returns what it took from which bottle, what to reorder and what to watch.

    Args:
        kept: where the copy is kept; None for one that is deleted.
    Returns:
        The answer for scripts, `{"studio", "mix", "deducted": [{"bottle", "product", "volume_ml", "before_ml",
        "on_hand_ml"}], "reorder", "watch"}` (the last two as in `ullage today --json`), and its lines.
    """
    with copy(kept), connection():
        planned = plan(MIX)
        mix = book_mix(MIX)
        day = today()
    answer = {
        "studio": str(kept) if kept is not None else None,
        "mix": mix,
        "deducted": [
            {
                "bottle": pour.bottle,
                "product": pour.product,
                "volume_ml": ml(pour.volume_ul),
                "before_ml": ml(pour.before_ul),
                "on_hand_ml": ml(pour.after_ul),
            }
            for pour in planned.pours
        ],
        "reorder": day.as_json()["order"],
        "watch": day.as_json()["cautions"],
    }
    return answer, list(_lines(planned, day, kept))


def _lines(planned: MixPlan, day: Today, kept: Path | None) -> Iterator[str]:
    measures = day.studio.measures
    where = _("kept at {kept}", kept=kept) if kept is not None else _("a copy that is deleted")
    yield _("{name}: an invented studio, {where}.", name=day.studio.name, where=where)
    yield ""
    reduced = planned.reduction
    yield _(
        "One mix was logged: {total} in total, reduced by {reduced}.",
        total=show_volume(Microlitres(planned.total()), measures),
        reduced=reduced,
    )
    for pour in planned.pours:
        yield (
            _(
                "  bottle {bottle}  {product}: {volume_ul} deducted, {before_ul} before, {after_ul} left",
                bottle=pour.bottle,
                product=pour.product,
                volume_ul=show_volume(pour.volume_ul, measures),
                before_ul=show_volume(pour.before_ul, measures),
                after_ul=show_volume(pour.after_ul, measures),
            )
        )
    yield ""
    yield _("To reorder")
    for order in day.order[:SHOWN]:
        when = (
            "now"
            if order.late or order.order_by <= day.as_of
            else _("by {order_by}", order_by=order.order_by)
        )
        what = order.what(measures) or _("size unknown")
        yield _(
            "  {when}: {product}, {what} from {supplier}",
            when=when,
            product=order.product,
            what=what,
            supplier=order.supplier or _("an unknown supplier"),
        )
    yield from _more(len(day.order), "`ullage forecast`")
    yield ""
    yield _("To watch")
    for caution in day.cautions[:SHOWN]:
        yield f"  {_(caution.first.severity).upper()} {caution.words()}"
        if others := caution.others():
            yield f"    {others}"
    yield from _more(len(day.cautions), "`ullage cautions`")
    yield ""
    yield SAFETY


def _more(count: int, command: str) -> Iterator[str]:
    if count > SHOWN:
        yield _("  and {count} more: {command}", count=count - SHOWN, command=command)
