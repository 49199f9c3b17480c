"""`ullage demo`: a throw-away copy of the sample studio to try things on."""

import sys
from collections.abc import Callable, Sequence

from stock.cli.frame import Result
from stock.cli.main import parser_for
from stock.cli.streams import write_answer


def demo(words: Sequence[str], *, as_json: bool, show: Callable[[str], int]) -> int:
    """Open the dashboard on a copy of the sample studio; without a terminal, log one mix there and print what it did.

    Args:
        words: what follows `demo` on the line; `--keep PATH` leaves the copy there.
        as_json: print the figures for a script.
        show: opens the dashboard on the books at a path.
    """
    from sample_studio.demo import copy, one_mix  # only for the sample studio

    kept = parser_for("demo").parse_args(["demo", *words]).keep
    if sys.stdout.isatty() and sys.stdin.isatty() and not as_json:
        with copy(kept) as address:
            return show(address)
    answer, lines = one_mix(kept)
    return write_answer(Result(answer, lines, made=kept is not None), as_json=as_json)
