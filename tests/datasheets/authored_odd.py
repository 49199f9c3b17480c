"""Invented sheets that are hard to read: other countries' forms, kits, other languages, odd orders of writing."""

import random
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.datasheets.authored import Authored, bordered
from tests.datasheets.languages import TITLES
from tests.datasheets.pages import LEFT, Pages

ALL = frozenset("*")


def _heading(number: int) -> str:
    return f"SECTION {number}: {TITLES['en'][number - 1]}"


def _headed(pages: Pages, *numbers: int) -> None:
    for number in numbers:
        pages.row((LEFT, _heading(number)), size=10, step=16)


def american(folder: Path) -> Authored:
    """USA: statements in words alone, per cent of weight with a column of secrets, two units, limits as columns."""
    pages = Pages(
        head="Larkspur fast reducer        Revision Date 3/14/2024        Print Date 5/1/2026", foot="Page 1/"
    )
    pages.row((LEFT, "1. IDENTIFICATION"), size=10, step=16)
    for label, value in (
        ("Product Name", "Larkspur fast reducer"),
        ("Product Code", "LR-2"),
        ("Recommended Use", "Reducer"),
        ("Manufacturer", "Fennel & Rook Coatings"),
    ):
        pages.row((LEFT, label), (200, value))
    pages.row((200, "12 Mill Lane, Springton"))
    pages.row((LEFT, "2. HAZARD(S) IDENTIFICATION"), size=10, step=16)
    pages.lines(
        [
            "Flammable liquids     Category 2",
            "Eye irritation     Category 2A",
            "Signal Word: DANGER",
            "Hazard Statements",
            "Highly flammable liquid and vapor.",
            "Causes serious eye irritation.",
        ]
    )
    pages.row((LEFT, "3. COMPOSITION/INFORMATION ON INGREDIENTS"), size=10, step=16)
    bordered(
        pages,
        [
            ["Chemical Name", "CAS No", "Weight-%", "Trade Secret"],
            ["Acetone", "67-64-1", "60 - 100", "*"],
            ["n-Butyl acetate", "123-86-4", "10 - 30", ""],
        ],
        (180, 80, 80, 80),
    )
    pages.lines(["*The exact percentage (concentration) of composition has been withheld as a trade secret."])
    pages.row((LEFT, "8. EXPOSURE CONTROLS/PERSONAL PROTECTION"), size=10, step=16)
    bordered(
        pages,
        [
            ["Chemical Name", "ACGIH TLV", "OSHA PEL", "NIOSH IDLH"],
            [
                "Acetone\n67-64-1",
                "STEL: 500 ppm\nTWA: 250 ppm",
                "TWA: 1000 ppm\nTWA: 2400 mg/m3",
                "IDLH: 2500 ppm",
            ],
        ],
        (120, 120, 120, 120),
    )
    pages.row((LEFT, "9. PHYSICAL AND CHEMICAL PROPERTIES"), size=10, step=16)
    for label, value in (
        ("Appearance", "Clear liquid"),
        ("pH", "No data available"),
        ("Melting point / freezing point", "-95 °C / -139 °F"),
        ("Boiling point / boiling range", "56 °C / 133 °F"),
        ("Flash point", "-17 °C / 1 °F"),
        ("Evaporation rate", "5.6"),
        ("Vapor density", "2.0"),
        ("Specific gravity", "0.81"),
        ("Density", "6.8 lb/gal"),
        ("Autoignition temperature", "465 °C / 869 °F"),
        ("VOC Content", "1.4 lb/gal less exempt"),
    ):
        pages.row((LEFT, label), (220, value))
    pages.row((LEFT, "14. TRANSPORT INFORMATION"), size=10, step=16)
    for label, value in (
        ("DOT", ""),
        ("UN/ID no.", "UN1263"),
        ("Proper Shipping Name", "Paint related material"),
        ("Hazard Class", "3"),
        ("Packing Group", "II"),
    ):
        pages.row((LEFT, label), (220, value))
    pages.row((LEFT, "16. OTHER INFORMATION"), size=10, step=16)
    return Authored(
        pages.save(folder / "american.pdf"),
        {
            "name": "Larkspur fast reducer",
            "maker": "Fennel & Rook Coatings",
            "revised_on": "2024-03-14",
            "signal_word": "danger",
            "h_statements": "H225 H319",
            "solvent:123-86-4": "n-butyl acetate=10-30% by weight",
            "solvent:67-64-1": "acetone=60-100% by weight",
            "flash_point": "-17C",
            "boiling_point": "56C",
            "density": "0.8148",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "II",
        },
        frozenset({"voc"}),
    )


def canadian(folder: Path) -> Authored:
    """Canada: labels and values with colons in a column of their own, two pairs in one row, ranges of secrets."""
    pages = Pages(
        head="Quartz clear gloss",
        foot="Date of issue: 2025-02-11   Date of previous issue: 2023-01-04   Version: 2   Page ",
    )
    _headed(pages, 1)
    pages.row((LEFT, "Product name"), (150, ": Quartz clear gloss"), (330, "Code"), (420, ": QC-1"))
    pages.row((LEFT, "Manufacturer"), (150, ": Sable Works"))
    _headed(pages, 2)
    pages.row((LEFT, "Signal word"), (200, ":"), (210, "Warning"))
    pages.row((LEFT, "Hazard statements"), (200, ":"), (210, "H226 - Flammable liquid and vapor."))
    pages.row((210, "H317 - May cause an allergic skin reaction."))
    _headed(pages, 3)
    for at, cell in ((LEFT, "Ingredient name"), (250, "% (w/w)"), (400, "CAS number")):
        pages.at(at, cell)
    pages.y -= 13
    pages.row((LEFT, "xylene"), (250, "≥10 - ≤25"), (400, "1330-20-7"))
    pages.row((LEFT, "ethylbenzene"), (250, "≥1.0 - ≤5.0"), (400, "100-41-4"))
    pages.row((LEFT, "There are no additional ingredients present which are classified as hazardous."))
    _headed(pages, 8)
    pages.row((LEFT, "No exposure limit value known."))
    _headed(pages, 9)
    pages.row((LEFT, "Physical state"), (150, ": Liquid."), (320, "Colour"), (430, ": Clear"))
    pages.row(
        (LEFT, "Boiling point"), (150, ": 137°C (278.6°F)"), (320, "Vapour density"), (430, ": 3.7 [Air = 1]")
    )
    pages.row(
        (LEFT, "Flash point"),
        (150, ": Closed cup: 27°C (80.6°F)"),
        (320, "Relative density"),
        (430, ": 0.98"),
    )
    pages.row((LEFT, "Auto-ignition"), (150, ": 432°C (809.6°F)"), (320, "pH"), (430, ": Not applicable."))
    _headed(pages, 14)
    bordered(
        pages,
        [
            ["", "TDG Classification", "IMDG", "IATA"],
            ["UN number", "UN1263", "UN1263", "UN1263"],
            ["Transport hazard class(es)", "3", "3", "3"],
            ["Packing group", "III", "III", "III"],
        ],
        (120, 120, 100, 100),
    )
    _headed(pages, 16)
    return Authored(
        pages.save(folder / "canadian.pdf"),
        {
            "name": "Quartz clear gloss",
            "maker": "Sable Works",
            "revised_on": "2025-02-11",
            "version": "2",
            "signal_word": "warning",
            "h_statements": "H226 H317",
            "solvent:1330-20-7": "xylene=10-25% by weight",
            "solvent:100-41-4": "ethylbenzene=1-5% by weight",
            "flash_point": "27C",
            "boiling_point": "137C",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "III",
        },
        frozenset({"density", "ph"}),
    )


def shuffled(folder: Path) -> Authored:
    """UK: the page's words written in any order, with ligatures, soft hyphens, no-break spaces and minus signs."""
    rows: list[tuple[tuple[float, str], ...]] = [
        ((LEFT, _heading(1)),),
        ((LEFT, "Product name:\u00a0Brume base 12"),),
        ((LEFT, "Manu\ufb01cturer"),),
        ((LEFT, _heading(2)),),
        ((LEFT, "Signal word:\u00a0Danger"),),
        ((LEFT, "H225 Highly \ufb02ammable liquid and va\u00adpour."),),
        ((LEFT, _heading(3)),),
        (
            (LEFT, "acetone"),
            (200, "67-64-1"),
            (300, "≥"),
            (309, "25"),
            (322, "–"),
            (331, "<"),
            (339, "50"),
            (353, "%"),
        ),
        ((LEFT, _heading(9)),),
        ((LEFT, "Flash\u00a0point:"), (250, "\u22124\u00a0°C")),
        ((LEFT, "Boiling point:"), (250, "56\u00a0°C")),
        ((LEFT, "Density:"), (250, "0.87\u00a0g/cm³")),
        ((LEFT, "pH:"), (250, "N/D")),
        ((LEFT, _heading(14)),),
        ((LEFT, "Not regulated for transport by road: see IMDG, UN 1263"),),
        ((LEFT, _heading(16)),),
    ]
    pages = Pages()
    placed = [(x, 780 - 14 * at, text) for at, row in enumerate(rows) for x, text in row]
    random.Random(14).shuffle(placed)
    for x, y, text in placed:
        pages.at(x, text, y=y)
    return Authored(
        pages.save(folder / "shuffled.pdf"),
        {
            "name": "Brume base 12",
            "signal_word": "danger",
            "h_statements": "H225",
            "flash_point": "-4C",
            "boiling_point": "56C",
            "density": "0.87",
            "solvent:67-64-1": "acetone=25-50% by weight",
        },
        frozenset({"un_number", "ph", "maker"}),
    )


def kit(folder: Path) -> Authored:
    """A kit: both components in one sheet, each with figures of its own."""
    pages = Pages()
    _headed(pages, 1)
    pages.lines(["Product name: Quartz 2K kit", "Manufacturer: Sable Works"])
    _headed(pages, 2)
    pages.lines(
        [
            "Component A",
            "Signal word: Danger",
            "H225 Highly flammable liquid and vapour.",
            "Component B",
            "Signal word: Warning",
            "H332 Harmful if inhaled.",
            "H317 May cause an allergic skin reaction.",
        ]
    )
    _headed(pages, 3)
    pages.row((LEFT, "Component A"))
    pages.row((LEFT, "acetone"), (200, "67-64-1"), (300, "25 - 50 %"))
    pages.row((LEFT, "Component B"))
    pages.row((LEFT, "hexamethylene diisocyanate, oligomers"), (250, "28182-81-2"), (340, "50 - 75 %"))
    _headed(pages, 9)
    pages.row((LEFT, "Flash point"), (200, "Component A: -4 °C"), (330, "Component B: 53 °C"))
    pages.row((LEFT, "Density"), (200, "0.95 g/ml"))
    _headed(pages, 14)
    pages.lines(["UN number: 1263", "Packing group: II", "Component B: UN number: not regulated"])
    _headed(pages, 16)
    return Authored(pages.save(folder / "kit.pdf"), {}, ALL)


def two_products(folder: Path) -> Authored:
    """Two products' sheets in one file, one after the other."""
    pages = Pages()
    for name, flash, share in (("Tern grey", "23 °C", "10 - 25 %"), ("Tern blue", "-4 °C", "25 - 50 %")):
        _headed(pages, 1)
        pages.lines([f"Product name: {name}", "Revision date: 2024-03-14"])
        _headed(pages, 2)
        pages.lines(["Signal word: Danger", "H225 Highly flammable liquid and vapour."])
        _headed(pages, 3)
        pages.row((LEFT, "acetone"), (200, "67-64-1"), (300, share))
        _headed(pages, 9)
        pages.lines([f"Flash point: {flash}", "Density: 0.95 g/ml"])
        _headed(pages, 14)
        pages.lines(["UN number: 1263"])
        pages.next_page()
        pages.lines([f"Words {at} of {name} that fill the page" for at in range(20)])
        pages.next_page()
    return Authored(pages.save(folder / "two_products.pdf"), {}, ALL)


def _foreign(folder: Path, name: str, lines: list[str]) -> Authored:
    pages = Pages()
    pages.lines(lines)
    return Authored(pages.save(folder / f"{name}.pdf"), {}, ALL)


def italian(folder: Path) -> Authored:
    """Italian, which isn't read: codes and numbers are found, and none is sure."""
    return _foreign(
        folder,
        "italian",
        [
            "SEZIONE 1: Identificazione della sostanza o della miscela e della società",
            "Nome del prodotto: Sterna grigio",
            "Data di revisione: 14/03/2024",
            "SEZIONE 2: Identificazione dei pericoli",
            "Avvertenza: Pericolo",
            "H225 Liquido e vapori facilmente infiammabili.",
            "SEZIONE 3: Composizione/informazioni sugli ingredienti",
            "acetone   67-64-1   25 - 50 %",
            "SEZIONE 7: Manipolazione e immagazzinamento",
            "Conservare il prodotto nel recipiente chiuso, lontano dal calore e dalle scintille.",
            "SEZIONE 9: Proprietà fisiche e chimiche",
            "Punto di infiammabilità: -4 °C",
            "pH: 7",
            "Densità relativa: 0,87 g/ml",
            "VOC: 612 g/l",
            "SEZIONE 14: Informazioni sul trasporto",
            "Numero ONU: 1263",
            "Classe: 3",
            "SEZIONE 16: Altre informazioni",
        ],
    )


def dutch(folder: Path) -> Authored:
    """Dutch, some of whose labels are spelt as English or German ones are."""
    return _foreign(
        folder,
        "dutch",
        [
            "RUBRIEK 1: Identificatie van de stof of het mengsel en van de vennootschap",
            "Productnaam: Stern grijs",
            "Herzieningsdatum: 14-03-2024",
            "RUBRIEK 2: Identificatie van de gevaren",
            "Signaalwoord: Gevaar",
            "H225 Licht ontvlambare vloeistof en damp.",
            "RUBRIEK 3: Samenstelling en informatie over de bestanddelen",
            "aceton   67-64-1   25 - 50 %",
            "RUBRIEK 7: Hantering en opslag",
            "Bewaren bij een temperatuur van 5 tot 30 °C, niet in de zon.",
            "RUBRIEK 9: Fysische en chemische eigenschappen",
            "Vlampunt: -4 °C",
            "Kookpunt: 56 °C",
            "pH: 7",
            "Density: 0,87 g/ml",
            "VOC: 612 g/l",
            "RUBRIEK 14: Informatie met betrekking tot het vervoer",
            "UN-nummer: 1263",
            "Class: 3",
            "RUBRIEK 16: Overige informatie",
        ],
    )


def technical_table(folder: Path) -> Authored:
    """A technical sheet: reduction by needle in a table with borders, times at a temperature, a hardener's ratio."""
    pages = Pages(head="Technical data sheet   Larkspur white   Issue date: 3 May 2024", foot="Page 1/")
    pages.lines(
        [
            "Product name: Larkspur white",
            "Description",
            "A waterborne airbrush paint for models, helmets and panels.",
        ]
    )
    bordered(
        pages,
        [
            ["Needle", "Reduction", "Reducer", "Pressure"],
            ["0.2 mm", "30 - 40 %", "Larkspur slow", "1.2 - 1.5 bar (17 - 22 psi)"],
            ["0.35 mm", "15 - 25 %", "Larkspur slow", "1.5 - 1.8 bar"],
            ["≥ 0.5 mm", "10 %", "Larkspur fast", "2 bar (29 psi)"],
        ],
        (80, 100, 120, 180),
    )
    bordered(
        pages,
        [
            ["Touch dry", "10 min at 20 °C"],
            ["Recoat after", "15 - 20 min"],
            ["Shelf life", "24 months unopened"],
            ["Once opened", "6 months"],
            ["Solids by volume", "31 %"],
            ["Density", "1.05 g/ml"],
            ["VOC", "35 g/l"],
            ["Coverage", "8 - 10 m²/l"],
        ],
        (150, 200),
    )
    pages.lines(["Store between 5 °C and 30 °C. Protect from frost.", "Flash point: not applicable"])
    return Authored(
        pages.save(folder / "technical_table.pdf"),
        {
            "name": "Larkspur white",
            "revised_on": "2024-05-03",
            "dosing:0.2": "needle=0.2 low=30 high=40 pressure=1.2..1.5 bar",
            "dosing:0.35": "needle=0.35 low=15 high=25 pressure=1.5..1.8 bar",
            "dosing:>=0.5": "needle>=0.5 low=10 high=10 pressure=2..2 bar",
            "touch_dry": "10 min",
            "recoat": "15 to 20 min",
            "sealed_life": "24 months",
            "opened_life": "6 months",
            "density": "1.05",
            "voc": "35 g/l",
            "store_at:low": "5C",
            "store_at:high": "30C",
        },
        frozenset({"solids", "flash_point"}),
    )


LAYOUTS: tuple[Callable[[Path], Authored], ...] = (
    american,
    canadian,
    shuffled,
    kit,
    two_products,
    italian,
    dutch,
    technical_table,
)


def sheets(folder: Path) -> Iterator[Authored]:
    """All of these sheets."""
    return (layout(folder) for layout in LAYOUTS)
