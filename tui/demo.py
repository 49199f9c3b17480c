"""`ullage demo`: the sample studio to try things on, on a copy that is thrown away."""

import json
import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from stock.errors import BadInput, UllageError

PAINT_ML = 8


def demo(words: Sequence[str], *, as_json: bool, show: Callable[[str], int]) -> int:
    """Open the dashboard on a copy of the sample studio; without a terminal, log one mix there and tell of it.

    Args:
        words: what follows `demo` on the line; `--keep PATH` leaves the copy there.
        as_json: print the figures for a script.
        show: opens the dashboard on the books at a path.
    """
    from sample_studio.loader import load  # noqa: PLC0415
    from tui.__main__ import temporary_books  # noqa: PLC0415

    keep = _keep(words)
    if keep is not None and keep.exists():
        raise UllageError(f"{keep} exists; nothing was changed", remedy="Name another place", code="exists")
    path = keep or temporary_books()
    try:
        load(str(path))
        if sys.stdout.isatty() and sys.stdin.isatty() and not as_json:
            return show(str(path))
        answer = told(str(path))
        print(json.dumps(answer, ensure_ascii=False) if as_json else "\n".join(lines(answer)))
        return 0
    finally:
        if keep is None:
            shutil.rmtree(path.parent, ignore_errors=True)


def _keep(words: Sequence[str]) -> Path | None:
    if not words:
        return None
    option, sign, value = words[0].partition("=")
    path = value if sign else (words[1] if len(words) > 1 else "")
    if option != "--keep" or not path or len(words) > (1 if sign else 2):
        raise BadInput("`demo` takes only --keep PATH", remedy="Write `ullage demo --keep sample.ullage`")
    return Path(path)


def told(address: str) -> dict[str, Any]:
    """Log the studio's latest mix again and say what it took, what to order and what to watch."""
    from stock.bench.mixing import MixRequest, book_mix  # noqa: PLC0415
    from stock.logbook.today import today  # noqa: PLC0415
    from stock.store.connection import connection  # noqa: PLC0415
    from tui.bench.again import usual_mixes  # noqa: PLC0415

    with connection():
        usual = usual_mixes(most=1)[0].request
        request = MixRequest(parts=usual.parts, reduce=usual.reduce, reducers=usual.reducers)
        answer = book_mix(request, accept=[])
        seen = today(None)
    return {"studio": address, "mix": answer, "today": seen.as_json(), "lines": list(seen.lines())}


def lines(answer: dict[str, Any]) -> list[str]:
    """The same for a person."""
    mix = answer["mix"]
    shown = [f"A mix in the sample studio: {mix['paint_ml']:g} ml of paint, {mix['total_ml']:g} ml in all"]
    shown += [
        f"  bottle {pour['bottle']}  {pour['product']}: {pour['volume_ml']:g} ml taken, {pour['on_hand_ml']:g} ml left"
        for pour in mix["pours"]
    ]
    return [*shown, "", *answer["lines"]]
