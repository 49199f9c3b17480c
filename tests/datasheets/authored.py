"""Invented sheets laid out as the programs that write data sheets lay them out, and what is printed on each.

Where a sheet leaves a figure open (a range, a bound, several components, a language that isn't read), it stands in
`open`: its value, if one is proposed, may not be called sure.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from reportlab.lib import colors
from reportlab.platypus import Table, TableStyle

from tests.datasheets.languages import TITLES
from tests.datasheets.pages import FONT, LEFT, Pages


class Authored(NamedTuple):
    """A file, the value that each proposal must have, and the fields of which none may be sure; `*` for all."""

    path: Path
    printed: dict[str, str | None]
    open: frozenset[str] = frozenset()


def bordered(
    pages: Pages, rows: Sequence[Sequence[str]], widths: Sequence[float], *, size: float = 7
) -> None:
    """A table with lines around its cells, as a word processor draws it."""
    table = Table([list(row) for row in rows], colWidths=list(widths))
    table.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.5, colors.black),
                ("FONT", (0, 0), (-1, -1), FONT, size),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
            ]
        )
    )
    pages.flowable(table)


def _rest(pages: Pages, language: str, after: int, before: int, heading: Callable[[int], str]) -> None:
    """The sections between two that say nothing to be read."""
    words = {
        "en": "No data available.",
        "de": "Keine Daten verfügbar.",
        "fr": "Aucune donnée disponible.",
        "es": "No hay datos disponibles.",
    }
    for number in range(after + 1, before):
        pages.row((LEFT, heading(number)), size=10, step=16)
        pages.row((LEFT, words[language]))


def english_table(folder: Path) -> Authored:
    """English: every section a table with borders, a watermark across each page, a head with product and day."""
    pages = Pages(
        head="Tern grey 40   Version 3.1   Revision date 14-Mar-2024   Print date 01-May-2026",
        foot="Page 1/",
        mark="SPECIMEN 23 °C",
    )

    def heading(number: int) -> str:
        return f"SECTION {number}: {TITLES['en'][number - 1]}"

    two = (170, 320)
    pages.row((LEFT, heading(1)), size=10, step=16)
    bordered(
        pages,
        [
            ["Product name", "Tern grey 40"],
            ["Product code", "0040-12"],
            ["Manufacturer", "Osier Studio Paints"],
            ["Telephone", "0555 010 203"],
        ],
        two,
    )
    pages.row((LEFT, heading(2)), size=10, step=16)
    bordered(
        pages,
        [
            ["Classification", "Flam. Liq. 2; H225\nEye Irrit. 2; H319\nSTOT SE 3; H336"],
            ["Signal word", "Danger"],
            [
                "Hazard statements",
                "H225: Highly flammable liquid and vapour.\nH319: Causes serious eye irritation.\n"
                "H336: May cause drowsiness or dizziness.",
            ],
            ["Precautionary\nstatements", "P210 Keep away from heat.\nP280 Wear protective gloves."],
        ],
        two,
    )
    pages.row((LEFT, heading(3)), size=10, step=16)
    bordered(
        pages,
        [
            ["Chemical name", "CAS No.", "EC No.\nREACH No.", "Conc.\n(% w/w)", "Classification"],
            [
                "acetone",
                "67-64-1",
                "200-662-2\n01-2119471330-49",
                "≥ 25 - < 50",
                "Flam. Liq. 2; H225\nEye Irrit. 2; H319\nSTOT SE 3; H336",
            ],
            [
                "n-butyl acetate",
                "123-86-4",
                "204-658-1\n01-2119485493-29",
                "≥ 10 - < 25",
                "Flam. Liq. 3; H226\nSTOT SE 3; H336",
            ],
            [
                "2-methoxy-1-methylethyl\nacetate",
                "108-65-6",
                "203-603-9",
                "≥ 2,5 - < 10",
                "Flam. Liq. 3; H226",
            ],
        ],
        (120, 60, 100, 70, 140),
    )
    _rest(pages, "en", 3, 8, heading)
    pages.next_page()
    pages.row((LEFT, heading(8)), size=10, step=16)
    bordered(
        pages,
        [
            ["Substance", "CAS No.", "Limit value, 8 hours", "Limit value, short term"],
            ["acetone", "67-64-1", "500 ppm / 1210 mg/m³", "1500 ppm / 3620 mg/m³"],
        ],
        (120, 60, 150, 150),
    )
    pages.row((LEFT, heading(9)), size=10, step=16)
    bordered(
        pages,
        [
            ["Property", "Value", "Method"],
            ["Physical state", "liquid", ""],
            ["Melting point/freezing point", "not determined", ""],
            ["Boiling point or initial boiling point\nand boiling range", "56 - 146 °C", ""],
            ["Flammability", "highly flammable", ""],
            ["Lower and upper explosion limit", "1.2 - 13 % (V)", ""],
            ["Flash point", "-4 °C", "closed cup"],
            ["Auto-ignition temperature", "315 °C", "DIN 51794"],
            ["pH", "not applicable", ""],
            ["Kinematic viscosity", "> 20.5 mm²/s (40 °C)", ""],
            ["Vapour pressure", "240 hPa (20 °C)", ""],
            ["Density and/or relative density", "0.95 g/cm³ (20 °C)", "DIN 51757"],
            ["Relative vapour density", "2.0", "air = 1"],
            ["VOC content", "612 g/l", ""],
        ],
        (200, 150, 140),
    )
    _rest(pages, "en", 9, 14, heading)
    pages.row((LEFT, heading(14)), size=10, step=16)
    bordered(
        pages,
        [
            ["", "ADR/RID", "IMDG", "IATA"],
            ["14.1 UN number or ID number", "UN1263", "UN1263", "UN1263"],
            ["14.2 UN proper shipping name", "PAINT", "PAINT", "PAINT"],
            ["14.3 Transport hazard class(es)", "3", "3", "3"],
            ["14.4 Packing group", "II", "II", "II"],
            ["14.5 Environmental hazards", "no", "no", "no"],
        ],
        (170, 100, 100, 100),
    )
    _rest(pages, "en", 14, 16, heading)
    pages.row((LEFT, heading(16)), size=10, step=16)
    pages.lines(["H226: Flammable liquid and vapour.", "H302: Harmful if swallowed. H350: May cause cancer."])
    return Authored(
        pages.save(folder / "english_table.pdf"),
        {
            "name": "Tern grey 40",
            "maker": "Osier Studio Paints",
            "revised_on": "2024-03-14",
            "version": "3.1",
            "signal_word": "danger",
            "h_statements": "H225 H319 H336",
            "p_statements": "P210 P280",
            "solvent:67-64-1": "acetone=25-50% by weight",
            "solvent:123-86-4": "n-butyl acetate=10-25% by weight",
            "solvent:108-65-6": "1-methoxypropan-2-yl acetate=2.5-10% by weight",
            "flash_point": "-4C",
            "boiling_point": "56C",
            "flash_point_method": "closed cup",
            "density": "0.95",
            "voc": "612 g/l",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "II",
        },
    )


def german_bullets(folder: Path) -> Authored:
    """German: dots before lettered labels, values in a column of their own, numbers of a substance in blocks."""
    pages = Pages(
        head="Druckdatum: 03.05.2026     Versionsnummer 7 (ersetzt Version 6)     überarbeitet am: 12.02.2025",
        foot="Handelsname: Larkspur Verdünner langsam   Seite: 1/",
    )

    def heading(number: int) -> str:
        return f"* ABSCHNITT {number}: {TITLES['de'][number - 1]}"

    def pair(label: str, value: str) -> None:
        pages.row((LEFT, f"· {label}"), (300, value))

    pages.row((LEFT, heading(1)), size=10, step=16)
    pages.lines(
        [
            "· 1.1 Produktidentifikator",
            "· Handelsname: Larkspur Verdünner langsam",
            "· Artikelnummer: 55-120",
            "· 1.2 Relevante identifizierte Verwendungen: Lackverdünner",
            "· 1.3 Einzelheiten zum Lieferanten, der das Sicherheitsdatenblatt bereitstellt",
            "· Hersteller/Lieferant:",
            "Wiesel Lackwerk",
            "Am Bach 3",
        ]
    )
    pages.row((LEFT, heading(2)), size=10, step=16)
    pages.lines(
        [
            "· 2.1 Einstufung des Stoffs oder Gemischs",
            "Flam. Liq. 3 H226 Flüssigkeit und Dampf entzündbar.",
            "STOT SE 3 H336 Kann Schläfrigkeit und Benommenheit verursachen.",
            "· 2.2 Kennzeichnungselemente",
            "· Gefahrenpiktogramme GHS02, GHS07",
            "· Signalwort Achtung",
            "· Gefahrenhinweise",
            "H226 Flüssigkeit und Dampf entzündbar.",
            "H336 Kann Schläfrigkeit und Benommenheit verursachen.",
            "· Sicherheitshinweise",
            "P210 Von Hitze fernhalten. Nicht rauchen.",
            "P261 Einatmen von Dampf vermeiden.",
        ]
    )
    pages.row((LEFT, heading(3)), size=10, step=16)
    pages.lines(["· 3.2 Gemische", "· Gefährliche Inhaltsstoffe:"])
    for cas, ec, name, share, classed in (
        ("123-86-4", "204-658-1", "n-Butylacetat", "≥50-<75%", "Flam. Liq. 3, H226; STOT SE 3, H336"),
        ("108-65-6", "203-603-9", "2-Methoxy-1-methylethylacetat", "≥10-<25%", "Flam. Liq. 3, H226"),
        ("1330-20-7", "215-535-7", "Xylol", "≥2,5-<10%", "Flam. Liq. 3, H226; Acute Tox. 4, H312"),
    ):
        pages.row((LEFT, f"CAS: {cas}"), (170, name), (480, share))
        pages.row((LEFT, f"EINECS: {ec}"), (170, classed))
        pages.row((LEFT, "Reg.nr.: 01-2119485493-29-XXXX"))
    _rest(pages, "de", 3, 9, heading)
    pages.next_page()
    pages.row((LEFT, heading(9)), size=10, step=16)
    pages.lines(["· 9.1 Angaben zu den grundlegenden physikalischen und chemischen Eigenschaften"])
    for label, value in (
        ("Aggregatzustand", "Flüssig"),
        ("Farbe", "Farblos"),
        ("Geruch:", "Lösemittelartig"),
        ("Schmelzpunkt/Gefrierpunkt:", "Nicht bestimmt."),
        ("Siedepunkt oder Siedebeginn und Siedebereich", "126 °C"),
        ("Entzündbarkeit", "Nicht anwendbar."),
        ("Flammpunkt:", "27 °C (DIN EN ISO 1523)"),
        ("Zündtemperatur", "315 °C"),
        ("Zersetzungstemperatur:", "Nicht bestimmt."),
        ("pH-Wert:", "Nicht bestimmt."),
        ("Dampfdruck bei 20 °C:", "10,7 hPa"),
        ("Dichte bei 20 °C:", "0,89 g/cm³"),
        ("Relative Dichte", "Nicht bestimmt."),
        ("Dampfdichte", "4"),
        ("VOC (EU)", "100,00 %"),
        ("Festkörpergehalt:", "0,0 %"),
    ):
        pair(label, value)
    _rest(pages, "de", 9, 14, heading)
    pages.row((LEFT, heading(14)), size=10, step=16)
    pair("14.1 UN-Nummer oder ID-Nummer", "")
    pair("ADR, IMDG, IATA", "UN1263")
    pages.lines(["· 14.2 Ordnungsgemäße UN-Versandbezeichnung"])
    pair("ADR", "1263 FARBZUBEHÖRSTOFFE")
    pair("IMDG, IATA", "PAINT RELATED MATERIAL")
    pages.lines(["· 14.3 Transportgefahrenklassen"])
    pair("ADR, IMDG, IATA", "")
    pair("Klasse", "3 Entzündbare flüssige Stoffe")
    pages.lines(["· 14.4 Verpackungsgruppe"])
    pair("ADR, IMDG, IATA", "III")
    _rest(pages, "de", 14, 17, heading)
    return Authored(
        pages.save(folder / "german_bullets.pdf"),
        {
            "name": "Larkspur Verdünner langsam",
            "maker": "Wiesel Lackwerk",
            "revised_on": "2025-02-12",
            "version": "7",
            "signal_word": "warning",
            "h_statements": "H226 H336",
            "p_statements": "P210 P261",
            "pictograms": "GHS02 GHS07",
            "solvent:123-86-4": "n-butyl acetate=50-75% by weight",
            "solvent:1330-20-7": "xylene=2.5-10% by weight",
            "solvent:108-65-6": "1-methoxypropan-2-yl acetate=10-25% by weight",
            "flash_point": "27C",
            "boiling_point": "126C",
            "density": "0.89",
            "voc": "100 %",
            "solids": "0%",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "III",
        },
    )


def french_blocks(folder: Path) -> Authored:
    """French: `label : value.` at tab stops, ingredients in blocks of three columns, methods on the next line."""
    pages = Pages(
        head="FICHE DE DONNÉES DE SÉCURITÉ (RÈGLEMENT (CE) n° 1907/2006 - REACH)   "
        "Date : 05/02/2025   Révision : N°4 (11/01/2024)",
        foot="Page 2/",
    )

    def heading(number: int) -> str:
        return f"RUBRIQUE {number} : {TITLES['fr'][number - 1].upper()}"

    pages.row((LEFT, heading(1)), size=10, step=16)
    pages.lines(
        [
            "1.1. Identificateur de produit",
            "Nom du produit : BRUME VERNIS 12",
            "Code du produit : BV12.",
            "1.3. Renseignements concernant le fournisseur de la fiche de données de sécurité",
            "Raison Sociale : ATELIER QUILLON.",
            "Adresse : 4 rue du Quai.",
        ]
    )
    pages.row((LEFT, heading(2)), size=10, step=16)
    pages.lines(
        [
            "2.1. Classification de la substance ou du mélange",
            "Liquide inflammable, Catégorie 2 (Flam. Liq. 2, H225).",
            "Irritation oculaire, Catégorie 2 (Eye Irrit. 2, H319).",
            "2.2. Éléments d'étiquetage",
            "Pictogrammes de danger :",
            "GHS07 GHS02",
            "Mention d'avertissement :",
            "DANGER",
            "Mentions de danger et informations additionnelles sur les dangers :",
            "H225 Liquide et vapeurs très inflammables.",
            "H319 Provoque une sévère irritation des yeux.",
            "Conseils de prudence - Prévention :",
            "P210 Tenir à l'écart de la chaleur.",
            "P280 Porter des gants de protection.",
        ]
    )
    pages.row((LEFT, heading(3)), size=10, step=16)
    pages.row((LEFT, "Identification"), (240, "(CE) 1272/2008"), (400, "Nota"), (470, "%"))
    for index, cas, ec, name, share in (
        ("606-001-00-8", "67-64-1", "200-662-2", "ACÉTONE", "25 <= x % < 50"),
        ("607-022-00-5", "141-78-6", "205-500-4", "ACÉTATE D'ÉTHYLE", "10 <= x % < 25"),
    ):
        pages.row((LEFT, f"INDEX: {index}"), (240, "GHS07, GHS02"), (400, "[1]"), (470, share))
        pages.row((LEFT, f"CAS: {cas}"), (240, "Dgr"))
        pages.row((LEFT, f"EC: {ec}"), (240, "Flam. Liq. 2, H225"))
        pages.row((LEFT, name), (240, "Eye Irrit. 2, H319"))
    _rest(pages, "fr", 3, 9, heading)
    pages.next_page()
    pages.row((LEFT, heading(9)), size=10, step=16)
    for label, value in (
        ("État physique :", "Liquide fluide."),
        ("Point/intervalle d'ébullition :", "56 °C."),
        ("Point d'éclair :", "-17.00 °C."),
        ("Méthode de détermination du point d'éclair :", "ISO 3679 (coupe fermée)."),
        ("Dangers d'explosion, limite inférieure d'explosivité (%) :", "2.2"),
        ("pH :", "Non concerné."),
        ("Pression de vapeur (50°C) :", "Inférieure à 110 kPa (1.10 bar)."),
        ("Densité :", "< 1"),
        ("Masse volumique :", "870 kg/m3"),
        ("Densité de vapeur :", "> 1"),
        ("COV (g/l) :", "705"),
    ):
        pages.row((LEFT, label), (330, value))
    _rest(pages, "fr", 9, 14, heading)
    pages.row((LEFT, heading(14)), size=10, step=16)
    pages.lines(
        [
            "14.1. Numéro ONU ou numéro d'identification",
            "1263",
            "14.2. Désignation officielle de transport de l'ONU",
            "UN1263=PEINTURES",
            "14.3. Classe(s) de danger pour le transport",
            "3",
            "14.4. Groupe d'emballage",
            "II",
        ]
    )
    _rest(pages, "fr", 14, 17, heading)
    return Authored(
        pages.save(folder / "french_blocks.pdf"),
        {
            "name": "BRUME VERNIS 12",
            "signal_word": "danger",
            "h_statements": "H225 H319",
            "p_statements": "P210 P280",
            "pictograms": "GHS02 GHS07",
            "solvent:67-64-1": "acetone=25-50% by weight",
            "solvent:141-78-6": "ethyl acetate=10-25% by weight",
            "flash_point": "-17C",
            "boiling_point": "56C",
            "density": "0.87",
            "voc": "705 g/l",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "II",
        },
        frozenset({"revised_on", "maker"}),
    )


def spanish_rows(folder: Path) -> Authored:
    """Spanish: ingredients in a table of two-line rows, values with a blank before the degree sign, 5.3-style notes."""
    pages = Pages(
        head="Ficha de datos de seguridad      Alondra diluyente",
        foot="Emisión: 10/02/2012   Revisión: 21/09/2024   Versión: 5 (sustituye a 4)   Página 1/",
    )

    def heading(number: int) -> str:
        return f"SECCIÓN {number}: {TITLES['es'][number - 1].upper()}"

    pages.row((LEFT, heading(1)), size=10, step=16)
    pages.row((LEFT, "1.1 Identificador del producto:"), (250, "Alondra diluyente"))
    pages.row((LEFT, "1.3 Datos del proveedor de la ficha de datos de seguridad:"))
    pages.row((250, "Taller Sable S.L."))
    pages.row((250, "Calle del Agua 3"))
    pages.row((LEFT, heading(2)), size=10, step=16)
    pages.lines(
        [
            "2.2 Elementos de la etiqueta:",
            "Peligro",
            "Indicaciones de peligro:",
            "Flam. Liq. 2: H225 - Líquido y vapores muy inflamables.",
            "STOT SE 3: H336 - Puede provocar somnolencia o vértigo.",
            "Consejos de prudencia:",
            "P210: Mantener alejado del calor.",
            "Sustancias que contribuyen a la clasificación",
            "Acetona",
        ]
    )
    pages.row((LEFT, heading(3)), size=10, step=16)
    bordered(
        pages,
        [
            ["Identificación", "Nombre químico/clasificación", "Concentración"],
            [
                "CAS: 67-64-1\nEC: 200-662-2\nIndex: 606-001-00-8",
                "Acetona\nReglamento 1272/2008   Eye Irrit. 2: H319; Flam. Liq. 2: H225",
                "50 - <75 %",
            ],
            [
                "CAS: 108-88-3\nEC: 203-625-9\nIndex: 601-021-00-3",
                "Tolueno\nReglamento 1272/2008   Repr. 2: H361d; Flam. Liq. 2: H225",
                "10 - <25 %",
            ],
        ],
        (130, 270, 80),
    )
    _rest(pages, "es", 3, 9, heading)
    pages.next_page()
    pages.row((LEFT, heading(9)), size=10, step=16)
    for label, value in (
        ("Estado físico a 20 ºC:", "Líquido"),
        ("Temperatura de ebullición a presión atmosférica:", "56 - 110 ºC"),
        ("Presión de vapor a 20 ºC:", "19000 Pa"),
        ("Densidad a 20 ºC:", "812 kg/m³"),
        ("Densidad relativa a 20 ºC:", "0,812"),
        ("Densidad de vapor a 20 ºC:", "No relevante *"),
        ("pH:", "No relevante *"),
        ("Punto de inflamación:", "-15 ºC"),
        ("Temperatura de auto-inflamación:", "465 ºC"),
        ("Límite de inflamabilidad inferior:", "2,2 % Volumen"),
    ):
        pages.row((LEFT, label), (330, value))
    pages.row(
        (
            LEFT,
            "*No relevante debido a la naturaleza del producto, sin información característica de su peligrosidad.",
        )
    )
    _rest(pages, "es", 9, 14, heading)
    pages.row((LEFT, heading(14)), size=10, step=16)
    for label, value in (
        ("14.1 Número ONU:", "UN1263"),
        ("14.2 Designación oficial de transporte:", "PRODUCTOS PARA PINTURA"),
        ("14.3 Clase(s) de peligro para el transporte:", "3"),
        ("Etiquetas:", "3"),
        ("14.4 Grupo de embalaje:", "II"),
    ):
        pages.row((LEFT, label), (330, value))
    _rest(pages, "es", 14, 17, heading)
    return Authored(
        pages.save(folder / "spanish_rows.pdf"),
        {
            "name": "Alondra diluyente",
            "revised_on": "2024-09-21",
            "version": "5",
            "h_statements": "H225 H336",
            "p_statements": "P210",
            "solvent:67-64-1": "acetone=50-75% by weight",
            "solvent:108-88-3": "toluene=10-25% by weight",
            "flash_point": "-15C",
            "boiling_point": "56C",
            "density": "0.812",
            "un_number": "1263",
            "transport_class": "3",
            "packing_group": "II",
        },
        frozenset({"maker"}),
    )


LAYOUTS: tuple[Callable[[Path], Authored], ...] = (english_table, german_bullets, french_blocks, spanish_rows)


def sheets(folder: Path) -> Iterator[Authored]:
    """All of these sheets."""
    return (layout(folder) for layout in LAYOUTS)
