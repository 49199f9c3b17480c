"""The bad rows of a spreadsheet as a file to mend: the original heads and cells, and the reason for each row."""

import csv
import io
from pathlib import Path

from stock.exchange.cells import harmless
from stock.exchange.import_plan import ImportPlan
from stock.exchange.mapping import WHY
from stock.language import _
from stock.store.outputs import MARK, Output
from stock.text import plain


def output(made: ImportPlan, path: Path) -> Output:
    """The bad rows of a plan as RFC 4180 CSV in UTF-8, which `plan` reads again once they are mended.

    Raises:
        BadInput: the file can't be read any more.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    heads = made.sheet.heads
    writer.writerow([*map(harmless, heads), *(() if WHY in heads else (WHY,))])
    wide = len(heads) - (WHY in heads)
    for line, cells, __ in made.sheet.rows():
        why = made.bad.reasons.get(line)
        if why is not None:
            beyond = cells[len(heads) :]
            writer.writerow(
                [
                    *map(harmless, cells[:wide]),
                    _("line {line}: {why}", line=line, why=why),
                    *map(harmless, beyond),
                ]
            )
    writer.writerow(
        [_("rows of {name} that were not taken; {mark}", name=plain(made.sheet.path.name, 60), mark=MARK)]
    )
    return Output(path, out.getvalue(), _("bad rows of {name}", name=made.sheet.path.name))
