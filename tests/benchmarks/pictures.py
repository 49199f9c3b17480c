"""The pictures of the README, made by the program itself from the sample studio.

    python -m tests.benchmarks.pictures [FOLDER]      (default: .pictures)

Each screen is opened on a copy of the sample studio in a terminal of 100 x 32 and exported as SVG. Words are
set one by one at their own cells and blocks are drawn as shapes, so that every viewer shows them in line.
"""

import asyncio
import re
import sys
import tempfile
from html import unescape
from pathlib import Path
from xml.sax.saxutils import escape

from rich.cells import cell_len

SIZE = (100, 32)
SHOTS = (
    ("today", ()),
    ("shelf", ("2",)),
    ("bench", ("3", "BENCH")),
    ("forecast", ("4",)),
    ("cautions", ("5",)),
    ("logbook", ("6",)),
    ("records", ("7",)),
)
TEXT = re.compile(
    r'<text class="([^"]+)" x="([\d.]+)" y="([\d.]+)" textLength="([\d.]+)"([^>]*)>([^<]*)</text>'
)
RISING = "▁▂▃▄▅▆▇█"
SPREADING = "▏▎▍▌▋▊▉█"
LINE_HEIGHT = 24.4
ABOVE_BASELINE = 18.6


def steadied(svg: str) -> str:
    """The same picture with each word at its own place and each block as a rectangle."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    return TEXT.sub(_steady, svg)


def _steady(found: re.Match[str]) -> str:
    kind, x, y, length, more, text = found.groups()
    text = unescape(text)
    cell = float(length) / max(1, cell_len(text))
    out, at = [], 0
    for piece in re.findall(r"[▁-█▏-▐]|[^\s\xa0▁-█▏-▐]+|[\s\xa0]+", text):
        left = float(x) + at * cell
        at += cell_len(piece)
        if piece.isspace():
            continue
        if len(piece) == 1 and (piece in RISING or piece in SPREADING or piece == "▐"):
            out.append(_block(piece, kind, left, float(y), cell, more))
        else:
            out.append(
                f'<text class="{kind}" x="{left:.2f}" y="{y}" textLength="{cell_len(piece) * cell:.2f}"{more}>'
                f"{escape(piece)}</text>"
            )
    return "".join(out)


def _block(piece: str, kind: str, left: float, baseline: float, cell: float, more: str) -> str:
    top, wide, high = baseline - ABOVE_BASELINE, cell, LINE_HEIGHT
    if piece == "▐":
        left, wide = left + cell / 2, cell / 2
    elif piece in RISING:
        high = LINE_HEIGHT * (RISING.index(piece) + 1) / 8
        top += LINE_HEIGHT - high
    else:
        wide = cell * (SPREADING.index(piece) + 1) / 8
    return (
        f'<rect class="{kind}" x="{left:.2f}" y="{top:.2f}" width="{wide + 0.25:.2f}" '
        f'height="{high + 0.25:.2f}" shape-rendering="crispEdges"{more}/>'
    )


async def shots(address: str, folder: Path, size: tuple[int, int] = SIZE, theme: str = "lamp") -> list[Path]:
    """Open each screen and write its picture; the files written."""
    from tui.app import Ullage
    from tui.bench.screen import BenchScreen
    from tui.dialogs.typed_mix import TypedMix

    written = []
    for name, keys in SHOTS:
        app = Ullage(address, theme=theme)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await app.workers.wait_for_complete()
            for key in keys:
                if key == "BENCH":
                    bench = app.screen
                    assert isinstance(bench, BenchScreen)
                    bench.fill(TypedMix(parts=(_usual_part(address),), reduce="20%", needle="0.35"))
                    await pilot.pause()
                else:
                    await pilot.press(key)
                await app.workers.wait_for_complete()
                await pilot.pause()
            await app.workers.wait_for_complete()
            await pilot.pause()
            path = folder / f"{name}.svg"
            path.write_text(steadied(app.export_screenshot(title="")), encoding="utf-8")
            written.append(path)
    return written


def _usual_part(address: str) -> tuple[str, str]:
    """A paint and an amount that the sample studio uses again and again."""
    from stock.logbook.today import today
    from stock.store.connection import connection, open_books

    open_books(address)
    with connection():
        usual = today(None).usual
    return usual[0].request.parts[0][0], "8 ml"


def main() -> None:
    """Make them all."""
    from sample_studio.loader import load

    folder = Path(sys.argv[1] if len(sys.argv) > 1 else ".pictures")
    folder.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as spare:
        address = str(Path(spare) / "sample.ullage")
        load(address)
        for path in asyncio.run(shots(address, folder)):
            print(path, f"{path.stat().st_size / 1024:.0f} KiB")


if __name__ == "__main__":
    main()
