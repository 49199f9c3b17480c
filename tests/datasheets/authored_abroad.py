"""More invented sheets: property, value and method in columns, capitals, French signs, units in heads of columns."""

from collections.abc import Callable, Iterator
from pathlib import Path

from tests.datasheets.authored import Authored, bordered
from tests.datasheets.languages import TITLES
from tests.datasheets.pages import LEFT, Pages


def methods(folder: Path) -> Authored:
    """English: numbered rows of property, value and method; labels over two lines; the transport below its labels."""
    pages = Pages(head="Finch lacquer   Date of issue 01/02/2024   Version 3.1", foot="Page")
    parts = {
        1: ["Product name: Finch lacquer", "Manufacturer: Alder Works"],
        2: ["Signal word: Danger", "H225-H319-H336", "P303+P361+P353 IF ON SKIN: Take off clothing."],
        3: ["acetone   67-64-1   ≥ 25 - < 50 %"],
    }
    for number, lines in parts.items():
        pages.row((LEFT, f"SECTION {number}: {TITLES['en'][number - 1]}"), size=10, step=16)
        pages.lines(lines)
    pages.row((LEFT, f"SECTION 9: {TITLES['en'][8]}"), size=10, step=16)
    bordered(
        pages,
        [
            ["Property", "Value", "Method"],
            ["9.1.f) Initial boiling point\nand boiling range", "56 - 127 °C", "DIN 51751"],
            ["9.1.g) Flash point", "23 °C", "ASTM D93"],
            ["9.1.h) Lower and upper\nexplosion limit", "2.1 - 12.8 %", ""],
            ["9.1.p) Density", "7.9 lb/gal (0.95 g/cc)", "ISO 2811"],
            ["VOC", "420 g/l", "ISO 11890"],
            ["pH", "N.A.", ""],
        ],
        (170, 150, 120),
    )
    pages.next_page()
    pages.row((LEFT, f"SECTION 14: {TITLES['en'][13]}"), size=10, step=16)
    pages.lines(
        ["14.1 UN number", "1263", "14.3 Transport hazard class(es)", "3", "14.4 Packing group", "II"]
    )
    pages.row((LEFT, f"SECTION 16: {TITLES['en'][15]}"), size=10, step=16)
    return Authored(
        pages.save(folder / "methods.pdf"),
        {
            "name": "Finch lacquer", "maker": "Alder Works", "version": "3.1", "signal_word": "danger",
            "h_statements": "H225 H319 H336", "p_statements": "P303+P361+P353",
            "solvent:67-64-1": "acetone=25-50% by weight", "flash_point": "23C", "boiling_point": "56C",
            "density": "0.95", "voc": "420 g/l", "un_number": "1263", "transport_class": "3", "packing_group": "II",
            "revised_on": "2024-02-01",
        },
        frozenset({"ph", "revised_on"}),
    )  # fmt: skip


def capitals(folder: Path) -> Authored:
    """USA: all in capitals, Fahrenheit alone, ratings beside codes, a UN number in a description."""
    pages = Pages()
    sections = (
        ("1 - PRODUCT AND COMPANY IDENTIFICATION", ["PRODUCT NAME: FINCH LACQUER", "DATE PREPARED: 01/02/2024"]),
        ("2 - HAZARDS IDENTIFICATION", ["SIGNAL WORD: DANGER!", "H225-H319-H336"]),
        ("3 - COMPOSITION / INFORMATION ON INGREDIENTS", ["ACETONE  67-64-1  25-50 %"]),
        (
            "9 - PHYSICAL & CHEMICAL PROPERTIES",
            [
                "FLASH POINT: 73 F TCC", "BOILING RANGE: 133 - 261 F", "VAPOR DENSITY: HEAVIER THAN AIR",
                "V.O.C.: 5.2 LB/GL", "SPECIFIC GRAVITY (H2O=1): 0.95", "LEL: 1.0  UEL: 12.8",
            ],
        ),
        ("14 - TRANSPORT INFORMATION", ["UN1263, PAINT, 3, II"]),
        ("16 - OTHER INFORMATION", ["HMIS: H2 F3 R0"]),
    )  # fmt: skip
    for title, lines in sections:
        pages.row((LEFT, f"SECTION {title}"), size=10, step=16)
        pages.lines(lines)
    return Authored(
        pages.save(folder / "capitals.pdf"),
        {
            "name": "FINCH LACQUER", "revised_on": "2024-02-01", "signal_word": "danger",
            "h_statements": "H225 H319 H336", "solvent:67-64-1": "acetone=25-50% by weight",
            "flash_point": "22.778C", "boiling_point": "56.111C", "un_number": "1263",
        },
        frozenset({"revised_on", "density", "un_number"}),
    )  # fmt: skip


def french(folder: Path) -> Authored:
    """France: narrow and wide no-break blanks before signs and within thousands, decimal commas, a real minus sign."""
    pages = Pages()
    parts = {
        1: ["Nom du produit\u00a0: Laque pinson", "Fabricant\u00a0: Ateliers du Saule",
            "Date de révision\u00a0: 01/02/2024"],
        2: ["Mention d'avertissement\u00a0: Danger", "H225\u00a0Liquide et vapeurs très inflammables."],
        3: ["acétate de n-butyle   123-86-4   2,5\u00a0–\u00a0<\u00a010\u202f%"],
        9: [
            "Point d'éclair\u00a0: −4\u00a0°C (coupelle fermée)", "Point d'ébullition\u00a0: 56,5\u00a0°C",
            "Masse volumique\u00a0: 1\u202f025\u00a0kg/m³ à 20\u00a0°C", "pH\u00a0: sans objet",
            "COV\u00a0: 1\u00a0250,5\u00a0g/l",
        ],
        14: ["Numéro ONU\u00a0: 1263", "Groupe d'emballage\u00a0: II"],
        16: [],
    }  # fmt: skip
    for number, lines in parts.items():
        pages.row((LEFT, f"RUBRIQUE {number}: {TITLES['fr'][number - 1]}"), size=10, step=16)
        pages.lines(lines)
    return Authored(
        pages.save(folder / "french.pdf"),
        {
            "name": "Laque pinson", "maker": "Ateliers du Saule", "revised_on": "2024-02-01", "signal_word": "danger",
            "h_statements": "H225", "solvent:123-86-4": "n-butyl acetate=2.5-10% by weight", "flash_point": "-4C",
            "boiling_point": "56.5C", "density": "1.025", "voc": "1250.5 g/l", "un_number": "1263",
            "packing_group": "II",
        },
        frozenset({"ph"}),
    )  # fmt: skip


def units_in_heads(folder: Path) -> Authored:
    """A technical sheet whose table of reduction has its units in the heads, a mixing ratio and two lives."""
    pages = Pages()
    pages.lines(["Technical data sheet", "Product name: Finch white"])
    bordered(
        pages,
        [
            ["Needle (mm)", "Reduction (%)", "Pressure (psi)"],
            ["0.2", "30 - 40", "17 - 22"],
            ["0.35", "15 - 25", "22 - 26"],
            ["0.5", "0 - 10", "29"],
        ],
        (100, 100, 120),
    )
    pages.lines(
        [
            "Mix ratio by volume 4:1:1 (base : hardener : thinner)", "Pot life 20-30 minutes @ 68°F",
            "Pressure: 15-20 PSI", "Shelf life: 2 years from manufacture", "Density: 1.05 ± 0.02 g/ml",
        ]
    )  # fmt: skip
    return Authored(
        pages.save(folder / "units_in_heads.pdf"),
        {
            "name": "Finch white",
            "dosing:0.2": "needle=0.2 low=30 high=40 pressure=1.17..1.52 bar",
            "dosing:0.35": "needle=0.35 low=15 high=25 pressure=1.52..1.79 bar",
            "dosing:0.5": "needle=0.5 low=0 high=10 pressure=2..2 bar",
            "mixing_ratio": "4:1:1 by volume", "pot_life": "20 min", "pressure": "1.03 to 1.38 bar",
            "sealed_life": "2 years", "density": "1.05",
        },
        frozenset({"density"}),
    )  # fmt: skip


LAYOUTS: tuple[Callable[[Path], Authored], ...] = (methods, capitals, french, units_in_heads)


def sheets(folder: Path) -> Iterator[Authored]:
    """All of these sheets."""
    return (layout(folder) for layout in LAYOUTS)
