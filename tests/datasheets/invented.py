"""Invented safety data sheets: four layouts, each in four languages, and what is printed on each.

Every sheet has decoys: flash points in sections 3, 5 and 7, H-statements of ingredients in sections 3 and 16, a fire
point, a vapour density, a print date, EC and index numbers.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import NamedTuple

from tests.datasheets.languages import LABELS, SECTION, TITLES
from tests.datasheets.pages import LEFT, Pages


class Ingredient(NamedTuple):
    """A row of section 3: its CAS, EC and index numbers, its share as printed, and what is booked."""

    cas: str
    ec: str
    index: str
    printed: str
    booked: str
    classed: str
    names: dict[str, str]


ACETONE = Ingredient(
    "67-64-1", "200-662-2", "606-001-00-8", "≥ 25 - < 50", "acetone=25-50% by weight",
    "Flam. Liq. 2; H225, Eye Irrit. 2; H319",
    {"en": "acetone", "de": "Aceton", "fr": "acétone", "es": "acetona"},
)  # fmt: skip
BUTYL = Ingredient(
    "123-86-4", "204-658-1", "607-025-00-1", "≥2,5 – <10", "n-butyl acetate=2.5-10% by weight",
    "Flam. Liq. 3; H226, STOT SE 3; H336",
    {"en": "n-butyl acetate", "de": "n-Butylacetat", "fr": "acétate de n-butyle", "es": "acetato de n-butilo"},
)  # fmt: skip
XYLENE = Ingredient(
    "1330-20-7", "215-535-7", "601-022-00-9", "10 - 20", "xylene=10-20% by weight",
    "Flam. Liq. 3; H226, Acute Tox. 4; H312+H332",
    {"en": "xylene", "de": "Xylol", "fr": "xylène", "es": "xileno"},
)  # fmt: skip
ETHANOL = Ingredient(
    "64-17-5", "200-578-6", "603-002-00-5", "< 5", "ethanol=0-5% by weight", "Flam. Liq. 2; H225, Carc. 1A; H350",
    {"en": "ethanol", "de": "Ethanol", "fr": "éthanol", "es": "etanol"},
)  # fmt: skip


@dataclass(frozen=True)
class Facts:
    """What one sheet says."""

    name: str
    maker: str
    day: tuple[int, int, int]
    signal: str
    statements: str
    ingredients: tuple[Ingredient, ...]
    flash: tuple[str, str]
    """As printed in the language's figures, and as booked."""
    boil: tuple[str, str]
    density: tuple[str, str]
    ph: tuple[str, str | None]
    voc: tuple[str, str]
    solids: tuple[str, str]
    un: str
    transport: str
    group: str


FACTS = (
    Facts(
        "Brume base 12", "Atelier Quillon", (14, 3, 2024), "danger", "EUH066 H225 H319 H336", (ACETONE, BUTYL),
        ("-4 °C (25 °F)", "-4C"), ("56 - 126 °C", "56C"), ("0.87 g/cm³ (20 °C)", "0.87"), ("not", None),
        ("612 g/l", "612 g/l"), ("18.5 %", "18.5%"), "1263", "3", "II",
    ),
    Facts(
        "Larkspur reducer slow", "Fennel & Rook Coatings", (27, 11, 2025), "warning", "H226 H336", (BUTYL,
        XYLENE, ETHANOL),
        ("27 °C", "27C"), ("78,5 °C", "78.5C"), ("0,905 g/ml", "0.905"), ("not", None),
        ("880 g/l", "880 g/l"), ("0 %", "0%"), "1263", "3", "III",
    ),
    Facts(
        "Quartz clear gloss", "Sable Works", (2, 1, 2023), "danger", "H225 H304 H315 H361d", (XYLENE, ACETONE),
        ("< 0 °C", None), ("56 °C", "56C"), ("0.98 g/cm3", "0.98"), ("7.5 - 8.5", "7.5 to 8.5"),
        ("540 g/l", "540 g/l"), ("35 %", "35%"), "1866", "3", "II",
    ),
    Facts(
        "Tern grey", "Osier Studio Paints", (30, 6, 2026), "warning", "EUH208 H317 H412", (ETHANOL, BUTYL),
        ("61,5 °C", "61.5C"), ("100 °C (1013 hPa)", "100C"), ("1,025 g/cm³", "1.025"), ("8", "8"),
        ("45 g/l", "45 g/l"), ("42,5 %", "42.5%"), "1263", "3", "III",
    ),
)  # fmt: skip


class Sheet(NamedTuple):
    """A file and what is printed on it: the value that each proposal must have; None where none may be booked."""

    path: Path
    printed: dict[str, str | None]


def truth(facts: Facts) -> dict[str, str | None]:
    """What a reader of the sheet should propose."""
    day, month, year = facts.day
    printed = {
        "name": facts.name, "maker": facts.maker, "revised_on": f"{year}-{month:02}-{day:02}",
        "signal_word": facts.signal,
        "h_statements": facts.statements, "p_statements": "P210 P280 P303+P361+P353", "flash_point": facts.flash[1],
        "flash_point_method": "closed cup",
        "boiling_point": facts.boil[1], "density": facts.density[1], "ph": facts.ph[1], "voc": facts.voc[1],
        "solids": facts.solids[1], "un_number": facts.un, "transport_class": facts.transport,
        "packing_group": facts.group, "store_at:low": "5C", "store_at:high": "30C",
    }  # fmt: skip
    return printed | {f"solvent:{one.cas}": one.booked for one in facts.ingredients}


class Wording:
    """A sheet's texts in one language."""

    def __init__(self, facts: Facts, language: str) -> None:
        self.facts, self.language = facts, language
        self.labels = LABELS[language]
        self.comma = language != "en"

    def title(self, number: int) -> str:
        return TITLES[self.language][number - 1]

    def heading(self, number: int) -> str:
        return f"{SECTION[self.language]} {number}: {self.title(number)}"

    def figure(self, text: str) -> str:
        """A figure with the language's decimal mark; pressures and ranges keep their blanks."""
        if self.comma:
            return "".join(
                "," if sign == "." and text[at - 1].isdigit() else sign for at, sign in enumerate(text)
            )
        return text.replace(",", ".")

    def day(self) -> str:
        day, month, year = self.facts.day
        mark = {"en": f"{year}-{month:02}-{day:02}", "de": f"{day:02}.{month:02}.{year}"}
        return mark.get(self.language, f"{day:02}/{month:02}/{year}")

    def properties(self) -> list[tuple[str, str]]:
        """Section 9, label and value."""
        facts, labels = self.facts, self.labels
        ph = labels["na"] if facts.ph[1] is None else self.figure(facts.ph[0])
        return [
            (labels["melt"], labels["unknown"]), (labels["boil"], self.figure(facts.boil[0])),
            (labels["flash"], f"{self.figure(facts.flash[0])} {labels['closed']}"), (labels["fire"], "44 °C"),
            (labels["auto"], "370 °C"), (labels["ph"], ph), (labels["density"], self.figure(facts.density[0])),
            (labels["vapour"], "2.0"), (labels["voc"], self.figure(facts.voc[0])), (labels["solids"],
            self.figure(facts.solids[0])),
        ]  # fmt: skip

    def hazards(self) -> list[str]:
        codes = self.facts.statements.split()
        return [f"{code} ..." for code in codes] + ["P210 P280", "P303 + P361 + P353"]

    def transport(self) -> list[tuple[str, str]]:
        labels, facts = self.labels, self.facts
        return [
            (labels["un"], f"UN {facts.un}"),
            (labels["class"], facts.transport),
            (labels["group"], facts.group),
        ]

    def filler(self, number: int) -> list[str]:
        texts = {
            5: [self.labels["decoy5"]],
            7: [self.labels["decoy7"], self.labels["store"]],
            16: [f"H225, H226, H302, H331, H350: {self.title(3)}"],
        }
        return texts.get(number, [f"{self.title(number)}: {self.labels['na']}."])


def plain_lines(words: Wording, path: Path) -> Path:
    """Layout 1: `label: value` lines in one column, a head and a foot on every page, a table in section 3."""
    pages = Pages(
        head=f"{words.facts.name}   {words.labels['print']}: 01.01.2020",
        foot=f"{words.labels['revised']}: {words.day()}  Page",
    )
    labels = words.labels
    for number in range(1, 17):
        pages.row((LEFT, words.heading(number)), size=10, step=16)
        if number == 1:
            pages.lines([f"{labels['name']}: {words.facts.name}", f"{labels['maker']}: {words.facts.maker}"])
        elif number == 2:
            pages.lines([f"{labels['signal']}: {labels[words.facts.signal]}", *words.hazards()])
        elif number == 3:
            columns = (LEFT, 170, 230, 290, 360, 440)
            heads = (labels["named"], "CAS", "EC", "Index", labels["shares"], labels["classed"])
            pages.row(*zip(columns, heads, strict=True), size=6)
            for one in words.facts.ingredients:
                cells = (
                    one.names[words.language],
                    one.cas,
                    one.ec,
                    one.index,
                    words.figure(one.printed),
                    one.classed[:26],
                )
                pages.row(*zip(columns, cells, strict=True), size=6)
        elif number == 9:
            pages.lines([f"{label}: {value}" for label, value in words.properties()])
        elif number == 14:
            pages.lines([f"{label}: {value}" for label, value in words.transport()])
        else:
            pages.lines(words.filler(number))
        if number in (4, 8, 12):
            pages.next_page()
    return pages.save(path)


def table_with_leaders(words: Wording, path: Path) -> Path:
    """Layout 2: labels and values in two columns of a table, some with dot leaders; ingredients in blocks of lines."""
    pages = Pages(foot="-")
    labels = words.labels
    for number in range(1, 17):
        pages.row((LEFT, f"{number}. {words.title(number)}"), size=9, step=16)
        if number == 1:
            pages.row((LEFT, labels["name"]), (300, words.facts.name))
            pages.row((LEFT, labels["maker"]), (300, words.facts.maker))
            pages.row((LEFT, labels["revised"]), (300, words.day()))
        elif number == 2:
            pages.row((LEFT, labels["signal"]), (300, labels[words.facts.signal]))
            pages.lines(words.hazards())
        elif number == 3:
            pages.row((LEFT, labels["shares"]))
            for one in words.facts.ingredients:
                pages.row((LEFT, one.names[words.language]), (400, f"{words.figure(one.printed)} %"))
                pages.lines(
                    [
                        f"CAS: {one.cas}",
                        f"EC: {one.ec}  Index: {one.index}",
                        "01-2119471330-49-0000",
                        one.classed,
                    ]
                )
        elif number == 9:
            for at, (label, value) in enumerate(words.properties()):
                if at % 2:
                    pages.row((LEFT, label), (300, value))
                else:
                    pages.row((LEFT, f"{label} ................ {value}"))
        elif number == 14:
            for label, value in words.transport():
                pages.row((LEFT, label), (300, value))
        else:
            pages.lines(words.filler(number))
        if number in (6, 11):
            pages.next_page()
    return pages.save(path)


def two_columns(words: Wording, path: Path) -> Path:
    """Layout 3: two columns whose lines were written in turn, left and right."""
    pages = Pages(head=f"{words.facts.name} {words.labels['revised']}: {words.day()}")
    labels = words.labels
    texts: dict[int, list[str]] = {number: words.filler(number) for number in range(1, 17)}
    texts[1] = [f"{labels['name']}: {words.facts.name}", f"{labels['maker']}: {words.facts.maker}"]
    texts[2] = [f"{labels['signal']}: {labels[words.facts.signal]}", *words.hazards()]
    texts[3] = [labels["shares"]]
    for one in words.facts.ingredients:
        texts[3] += [
            f"{one.names[words.language]} CAS {one.cas}",
            f"EC {one.ec} {words.figure(one.printed)} %",
            one.classed[:34],
        ]
    texts[9] = [f"{label}: {value}" for label, value in words.properties()]
    texts[14] = [f"{label}: {value}" for label, value in words.transport()]
    texts = {number: [part for line in each for part in wrap(line, 60)] for number, each in texts.items()}
    for first, half, last in ((1, 3, 6), (7, 9, 12), (13, 14, 16)):
        left, right = (
            [line for n in range(a, b) for line in (words.heading(n)[:56], *texts[n])]
            for a, b in ((first, half + 1), (half + 1, last + 1))
        )
        length = max(len(left), len(right))
        for at in range(length):
            cells = [(x, column[at]) for x, column in ((40, left), (310, right)) if at < len(column)]
            pages.row(*((x, text[:62]) for x, text in cells), size=6.5, step=11)
        if last < 16:
            pages.next_page()
    return pages.save(path)


def values_below(words: Wording, path: Path) -> Path:
    """Layout 4: lettered labels with the value on the next line; in section 3 the number stands before the name."""
    pages = Pages(foot=f"{words.facts.maker} / {words.labels['print']} 31.12.2019 /")
    labels = words.labels
    for number in range(1, 17):
        pages.row(
            (LEFT, words.heading(number).upper() if number % 2 else words.heading(number)), size=8.5, step=16
        )
        if number == 1:
            pages.lines(
                [f"1.1 {labels['name']}", words.facts.name, f"1.3 {labels['maker']}", words.facts.maker]
            )
            pages.lines([f"{labels['revised']}: {words.day()}"])
        elif number == 2:
            pages.lines([labels["signal"], labels[words.facts.signal], *words.hazards()])
        elif number == 3:
            pages.lines([f"3.2 ({labels['shares']})"])
            for one in words.facts.ingredients:
                pages.lines(
                    [
                        f"{one.cas} {one.ec} {one.names[words.language]} {words.figure(one.printed)} %",
                        f"({one.classed})",
                    ]
                )
        elif number == 9:
            for letter, (label, value) in zip("abcdefghijk", words.properties(), strict=False):
                pages.lines([f"{letter}) {label}", value])
        elif number == 14:
            for at, (label, value) in enumerate(words.transport(), 1):
                pages.lines([f"14.{at} {label}", value])
        else:
            pages.lines(words.filler(number))
        if number in (3, 8, 10):
            pages.next_page()
    return pages.save(path)


LAYOUTS: tuple[Callable[[Wording, Path], Path], ...] = (
    plain_lines,
    table_with_leaders,
    two_columns,
    values_below,
)


def sheets(folder: Path) -> Iterator[Sheet]:
    """Sixteen sheets: every layout in every language, each language with facts of its own in each layout."""
    for which, language in enumerate(LABELS):
        for at, layout in enumerate(LAYOUTS):
            facts = FACTS[(which + at) % len(FACTS)]
            path = layout(Wording(facts, language), folder / f"{layout.__name__}-{language}.pdf")
            yield Sheet(path, truth(facts))
