"""Sheets whose tables are laid out at random: narrow columns that break values, cells at any height, other orders."""

import random
from collections.abc import Callable, Sequence
from pathlib import Path
from xml.sax.saxutils import escape

import pytest
from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, Table, TableStyle

from stock.datasheets.proposals import Proposal
from tests.datasheets.languages import TITLES
from tests.datasheets.pages import FONT, LEFT, Pages

SUBSTANCES = (
    ("acetone", "67-64-1", "200-662-2"),
    ("n-butyl acetate", "123-86-4", "204-658-1"),
    ("xylene", "1330-20-7", "215-535-7"),
    ("toluene", "108-88-3", "203-625-9"),
)
CLASSES = ("Flam. Liq. 2; H225, Eye Irrit. 2; H319", "Acute Tox. 4; H312 + H332", "STOT SE 3, H336; EUH066")
COLUMNS = {
    "Name": (50, 70, 110),
    "CAS no.": (50, 60),
    "EC no.": (60,),
    "Conc. %": (40, 50, 80),
    "Class": (60, 100),
}
SHARES = ("{0} - {1}", "≥{0} - <{1}", "≥ {0} - ≤ {1}", "{0}-{1} %", "{0} to {1}")


class RandomSheet:
    """A sheet by a seed, and what is printed on it; None where the sheet gives only a bound."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        pick = self.chance.choice
        self.pages = Pages(head=pick(("", "Tern grey  Revision date 2024-03-14")), mark=pick(("", "DRAFT")))
        self.printed: dict[str, str | None] = {}
        size = pick((6.5, 7, 8, 9))
        self._style = ParagraphStyle("cell", fontName=FONT, fontSize=size, leading=size * pick((1.1, 1.4)))
        self._lines = pick((True, False))
        self._height = pick(("TOP", "MIDDLE", "BOTTOM"))
        self._colon = pick(("", " :", ":"))
        self._label, self._value = pick((90, 120, 200)), pick((28, 36, 45, 60, 110, 240))

    def save(self, path: Path) -> Path:
        sections = {2: self._hazards, 3: self._composition, 9: self._properties, 14: self._transport}
        for number, title in enumerate(TITLES["en"], 1):
            self.pages.row((LEFT, f"SECTION {number}: {title}"), size=10, step=16)
            sections.get(number, lambda: self.pages.row((LEFT, "No data available.")))()
        return self.pages.save(path)

    def _table(self, rows: Sequence[Sequence[str]], widths: Sequence[float]) -> None:
        table = Table(
            [[Paragraph(escape(cell), self._style) if cell else "" for cell in row] for row in rows],
            colWidths=list(widths),
        )
        style = [("VALIGN", (0, 0), (-1, -1), self._height), ("TOPPADDING", (0, 0), (-1, -1), 1)]
        if self._lines:
            style.append(("GRID", (0, 0), (-1, -1), 0.4, colors.grey))
        table.setStyle(TableStyle(style))
        self.pages.flowable(table)

    def _hazards(self) -> None:
        codes = self.chance.sample(("H225", "H319", "H336", "H304", "H412", "H317"), 3)
        texts = "; ".join(f"{code} something of it" for code in codes)
        self._table([["Signal word", "Danger"], ["Hazard statements", texts]], [self._label, self._value])
        self.printed |= {"signal_word": "danger", "h_statements": " ".join(sorted(codes))}

    def _composition(self) -> None:
        order = self.chance.sample(tuple(COLUMNS), len(COLUMNS))
        rows = [order]
        for name, cas, ec in self.chance.sample(SUBSTANCES, self.chance.randint(1, 4)):
            low, high = self.chance.choice(((10, 25), (2.5, 10), (50, 75)))
            share = self.chance.choice(SHARES).format(low, high)
            cells = dict(zip(COLUMNS, (name, cas, ec, share, self.chance.choice(CLASSES)), strict=True))
            rows.append([cells[column] for column in order])
            self.printed[f"solvent:{cas}"] = f"{name}={low:g}-{high:g}% by weight"
        self._table(rows, [self.chance.choice(COLUMNS[column]) for column in order])

    def _properties(self) -> None:
        degrees = self.chance.choice((-17, -4, 12, 23, 61))
        fahrenheit = degrees * 9 / 5 + 32
        flash = {
            f"{degrees} °C": f"{degrees}C", f"< {degrees} °C": None, f"{degrees} - {degrees + 8} °C": None,
            f"ca. {degrees} °C": None, f"Closed cup: {degrees} °C ({fahrenheit:.1f} °F)": f"{degrees}C",
        }  # fmt: skip
        text = self.chance.choice(tuple(flash))
        rows = [
            ("Physical state", "liquid"), ("Melting point/freezing point", "-95 °C"), ("Boiling point", "56 °C"),
            ("Flash point", text), ("Auto-ignition temperature", "370 °C"), ("Decomposition temperature", "150 °C"),
            ("pH", "not applicable"), ("Vapour density", "2.0 (air = 1)"), ("Density", "0.95 g/cm³"),
            ("Explosion limits, lower/upper", "1.2 / 13 % (V)"), ("VOC content", "612 g/l"),
        ]  # fmt: skip
        self.chance.shuffle(rows)
        kind = self.chance.randint(0, 3)
        labelled = [(label + self._colon, value) for label, value in rows]
        if kind == 0:
            for label, value in labelled:
                self.pages.lines([label, value])
        elif kind == 1:
            for (label, value), (other, beside) in zip(labelled[:5], labelled[5:10], strict=True):
                self.pages.row(
                    (LEFT, label), (LEFT + 130, value), (LEFT + 260, other), (LEFT + 400, beside), size=6
                )
        else:
            self._table(labelled, [self._label, self._value])
        self.printed |= {
            "flash_point": flash[text], "boiling_point": "56C", "density": "0.95", "voc": "612 g/l", "ph": None
        }  # fmt: skip

    def _transport(self) -> None:
        rows = [["", "ADR", "IMDG"], ["UN number", "UN1263", "UN1263"], ["Packing group", "II", "II"]]
        self._table(rows, [self._label, 80, 80])
        self.printed |= {"un_number": "1263", "packing_group": "II"}


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.sampled(4)
def test_nothing_wrong_is_sure_however_a_table_breaks(
    seed: int, tmp_path: Path, proposed: Callable[[Path], dict[str, Proposal]]
) -> None:
    sheet = RandomSheet(seed)
    found = proposed(sheet.save(tmp_path / "random.pdf"))
    wrong = {
        name: one.value
        for name, one in found.items()
        if one.sure and one.value is not None and name in sheet.printed and one.value != sheet.printed[name]
    }
    assert wrong == {}
    assert sum(one.sure for one in found.values()) >= 3
