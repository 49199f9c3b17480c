"""Lines as makers word them: what stands beside a figure makes it another's, a bound or a limit, or changes nothing."""

from collections.abc import Mapping, Sequence

import pytest

from stock.datasheets.page_lines import SheetText, of_text
from stock.datasheets.proposals import Proposal, propose
from tests.datasheets.languages import SECTION, TITLES

SURE: Mapping[tuple[str, int, str], Sequence[tuple[str, str]]] = {
    ("en", 9, "flash_point"): (
        ("Flash point: Closed cup: 12 °C (53.6 °F)", "12C"),
        ("Flash Point (°F)  53.6  TCC", "12C"),
        ("Flash point: 12 °C  Auto-ignition temperature: 370 °C", "12C"),
        ("Flash point: 12 °C at 1013 hPa", "12C"),
        ("Flash point: −4°C / 25°F", "-4C"),
        ("Flash point: 12.5°C closed cup ASTM D3278", "12.5C"),
        ("Property  Unit  Value\nFlash point  °F  73.4", "23C"),
        ("Flash point:\n12 °C\nMethod: closed cup", "12C"),
    ),
    ("de", 9, "flash_point"): (
        ("Flammpunkt : 23 °C  Methode: DIN 53213", "23C"),
        ("Flammpunkt: 12 °C bei 1013 hPa", "12C"),
    ),
    ("fr", 9, "flash_point"): (("Point d'éclair 26°C (coupe fermée)", "26C"),),
    ("es", 9, "flash_point"): (("Punto de inflamación: 23 ºC (copa cerrada)", "23C"),),
    ("en", 9, "density"): (
        ("Density: 0.95 g/cm3 at 20 °C", "0.95"),
        ("Density: 8.1 lb/gal", "0.9706"),
        ("Density: 950 g/l", "0.95"),
    ),
    ("en", 9, "boiling_point"): (("Boiling point: 56 °C @ 760 mmHg", "56C"),),
    ("en", 9, "voc"): (
        ("VOC (EU) 45 %", "45 %"),
        ("VOC content: 612 g/l\nEU limit value: 840 g/l", "612 g/l"),
    ),
    ("en", 9, "ph"): (("pH (20 °C): 8.5", "8.5"), ("pH: 8.5 Method: ISO 4316", "8.5")),
    ("en", 2, "h_statements"): (
        ("Flam. Liq. 3 H226\nLabel elements\nH226 Flammable.", "H226"),
        ("H226/H319/H336", "H226 H319 H336"),
    ),
    ("en", 3, "solvent:67-64-1"): (
        ("Name  CAS  % (v/v)\nacetone  67-64-1  25 - 50", "acetone=25-50% by volume"),
        ("Name  CAS  Percent by volume\nacetone  67-64-1  25 - 50", "acetone=25-50% by volume"),
        ("acetone  67-64-1  25÷50 %", "acetone=25-50% by weight"),
        ("acetone  67-64-1  up to 50 %", "acetone=0-50% by weight"),
    ),
    ("en", 14, "transport_class"): (("Class: 3\nSubrisk: 6.1", "3"),),
}
"""What is read without a doubt: by language, section and field, lines and the value."""
UNSURE: Mapping[tuple[str, int, str], Sequence[str]] = {
    ("en", 9, "flash_point"): (
        "Flash point: 60 °C +",
        "Flash point  °F)  370",
        "             12 -\nFlash point  20 °C",
        "Flash point: 12 °C\nComponent B: 53 °C",
        "Flash point: 12 °C\n(lowest value of a component)",
        "Flash point: 12 °C\nValue for acetone",
        "Flash point: 12 °C\nType: OC",
        "Method: open cup\nFlash point: 23 °C",
        "Base component\nFlash point: 23 °C\nHardener component\nDensity: 1.2 g/ml",
        "Flash point: 40 °C TOC",
        "Flash point: 12 °C (acetone)",
        "Flash point: Concentrate: 12 °C",
        "Flash point: 23 - 27 °C",
        "Flash point: 12 °C at 10 mmHg",
        "Property  Base  Hardener\nFlash point  23 °C  27 °C",
        "Flash point  12 °C\nFlash point  53 °C",
        "Flash point: 285 K",
        "Flash point: Does not flash below 100 °C",
        "Flash point: 60 °C or above",
        "Flash point: minus 12 °C",
    ),
    ("de", 9, "flash_point"): (
        "Flammpunkt des Lösemittels: 12 °C",
        "Flammpunkt: kleiner 21 °C",
        "Flammpunkt: 12 °C (o.T.)",
    ),
    ("fr", 9, "flash_point"): (
        "Point d'éclair : inférieur à 21 °C",
        "Intervalle de point d'éclair : 23°C <= PE <= 55°C",
    ),
    ("es", 9, "flash_point"): (
        "Punto de inflamación: mayor a 60 ºC",
        "Punto de inflamación: 23 ºC (calculado)",
    ),
    ("en", 9, "density"): (
        "Density: 0,95 g/l",
        "          0.95\nDensity :  g/cm3\n           1.2 /",
        "Density: 9.7 lb/gal (UK)",
        "Density of vapour: 2.5 g/l",
        "Density: 1.02 (water = 1)",
        "Density: Part A 1.3 g/cm³; Part B 1.1 g/cm³",
        "Density: 1.0 - 1.2 g/cm³",
    ),
    ("en", 9, "boiling_point"): (
        "Boiling point: 56 °C at 10 mmHg",
        "Boiling point: 56 °C (at 13 hPa)",
        "Boiling point: 56 °C (acetone)",
    ),
    ("en", 9, "voc"): (
        "VOC: max. 840 g/l",
        "VOC: 420 g/l less water and exempt solvents",
        "VOC content: 612 g/l (EU limit 840 g/l)",
        "VOC: 612 g/l\nVOC, less water: 640 g/l",
    ),
    ("en", 9, "ph"): ("pH: 8.5 (1 % solution)", "pH (10 g/l, 20 °C): 8.5", "pH: 20 °C"),
    ("en", 2, "h_statements"): (
        "Flam. Liq. 2; H225, Aquatic Chronic 3; H412\nHazard statements: H225",
        "H226 Flammable.\nComponents on the label: acetone (H225)",
        "H226 Flammable.\nDoes not meet the criteria for H304",
        "H226 Flammable.\nH304 does not apply",
        "H226 Flammable.\nOld labelling: H225",
        "Part A\nH226 Flammable.\nPart B\nH332 Harmful if inhaled.",
        "Not a hazardous mixture (H226 not required)",
        "H225, H319 (acetone)",
    ),
    ("en", 3, "solvent:67-64-1"): (
        "* trade secret\nacetone  67-64-1  25 - 50 % *",
        "Part A\nacetone  67-64-1  25 - 50 %\nPart B\nxylene  1330-20-7  5 - 10 %",
        "acetone  67-64-1  2 5 - 50 %",
        "Name  CAS  Conc. %\n  2.5 to\nacetone  67-64-1  10",
        "Percentages of the concentrate\nacetone  67-64-1  25 - 50 %",
        "CAS: 67-64-1  acetone\nLimit: 10 % - 20 %",
        "Name  CAS  % (w/v)\nacetone  67-64-1  25 - 50",
        "Name  CAS  Mol-%\nacetone  67-64-1  25 - 50 %",
        "acetone  67-64-1  0.25 - 0.50",
    ),
    ("en", 3, "solvent:123-86-4"): ("Name  CAS  %  TWA ppm\nn-butyl acetate  123-86-4  -  50",),
    ("en", 3, "solvent:100-41-4"): ("ethylbenzene (in xylene)  100-41-4  15 - 20 %",),
    ("en", 8, "exposure_limit:acetone 8 hours"): (
        "acetone 67-64-1 xylene 1330-20-7 TWA 50 ppm",
        "acetone  DNEL long-term 1210 mg/m3",
    ),
    ("en", 8, "gloves"): ("Hand protection: not required",),
    ("en", 10, "incompatible"): ("10.5 Incompatible materials: none known",),
    ("en", 1, "revised_on"): (
        "According to Regulation (EU) 2020/878 revised on 18/06/2020",
        "According to OSHA HazCom revised 26/03/2012",
        "Supersedes revision of 14/03/2020",
    ),
    ("en", 1, "version"): ("Version 3  Revision 4", "Template version 9", "According to GHS (rev. 9)"),
    ("en", 1, "maker"): (
        "Manufacturer: as above",
        "Manufacturer: 12 Mill Lane, Springton",
        "Manufacturer  Supplier\nSable Works  Quay Trading",
    ),
    ("en", 1, "name"): ("Product identifier: Mixture", "Product name: Various"),
    ("en", 7, "store_at:high"): (
        "Temperature during storage: 20 - 25 °C recommended; at most 40 °C",
        "Storage class 3 (< 23 °C)",
    ),
}
"""What may be proposed, but never as sure."""
TECHNICAL: Mapping[str, tuple[str, str | None]] = {
    "Reduction: 10 - 20 % with Larkspur slow": ("dosing", "low=10 high=20"),
    "Needle  Reduction\n0.2 mm  30 - 40 %": ("dosing:0.2", "needle=0.2 low=30 high=40"),
    "Reducer: Larkspur slow": ("reducer", "Larkspur slow"),
    "Reduction: 10 - 20 % water": ("dosing", None),
    "Thinning: no thinning needed, 5 % if required": ("dosing", None),
    "Reduction: 1 part paint to 20 % reducer": ("dosing", None),
    "Reduction: 10 - 20 %\nAirless: 0 - 5 %": ("dosing", None),
    "Needle  Solids\n0.2 mm  30 %": ("dosing:0.2", None),
    "Needle  Reduction\n0.2 / 0.3 mm  30 - 40 %": ("dosing:0.3", None),
    "Needle  Reduction\nSummer  0.2 mm  30 - 40 %": ("dosing:0.2", None),
    "Reducer: Larkspur slow or fast": ("reducer", None),
    "Reducer: not needed": ("reducer", None),
    "Reducer  Hardener\nLarkspur slow  Larkspur H": ("reducer", None),
    "Reducer resistance: good": ("reducer", None),
    "Pot life: 8 hours (25 °C), 4 hours (35 °C)": ("pot_life", None),
}
"""Of technical sheets: the field and its sure value, or None where none may be sure."""


def _read(texts: Sequence[str]) -> dict[str, Proposal]:
    lines = [of_text(1, number, text) for number, text in enumerate(texts, 1)]
    return {one.id: one for one in propose([SheetText("text", tuple(line for line in lines if line.cells))])}


def _of_section(language: str, section: int, text: str) -> dict[str, Proposal]:
    texts: list[str] = []
    for number in (1, 2, 3, 7, 8, 9, 10, 14, 16):
        texts.append(f"{SECTION[language]} {number}: {TITLES[language][number - 1]}")
        texts += text.split("\n") if number == section else ["..."]
    return _read(texts)


@pytest.mark.parametrize("field", SURE, ids=lambda field: " ".join(map(str, field)))
def test_words_that_change_nothing(field: tuple[str, int, str]) -> None:
    language, section, name = field
    for text, value in SURE[field]:
        one = _of_section(language, section, text)[name]
        assert (one.value, one.sure) == (value, True), (text, one.doubts)


@pytest.mark.parametrize("field", UNSURE, ids=lambda field: " ".join(map(str, field)))
def test_words_that_make_a_figure_unsure(field: tuple[str, int, str]) -> None:
    language, section, name = field
    for text in UNSURE[field]:
        one = _of_section(language, section, text).get(name)
        assert one is None or one.value is None or not one.sure, (text, one.value)


def test_words_of_technical_sheets() -> None:
    for text, (name, value) in TECHNICAL.items():
        one = _read(["Technical data sheet", "Product name: Tern grey", *text.split("\n")]).get(name)
        if value is None:
            assert one is None or not one.sure, (text, one.value)
        else:
            assert one is not None, text
            assert (one.value, one.sure) == (value, True), (text, one.doubts)
