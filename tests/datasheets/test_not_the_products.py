"""What looks like a figure of the product and is another's, or was once: proposed perhaps, and never sure."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest

from stock.datasheets.proposals import Proposal
from tests.datasheets.pages import LEFT, Pages

OfLines = Callable[..., dict[str, Proposal]]
ACETONE = "acetone\t67-64-1\t25 - 50 %"


@pytest.mark.parametrize(
    "above",
    [
        ["Data for the main part of the solvents:"],
        ["acetone (67-64-1)"],
        ["Acetone"],
        ["Information on ingredients", "n-butyl acetate"],
        ["Komponente A:"],
    ],
)
def test_figures_below_an_ingredients_name(of_lines: OfLines, above: Sequence[str]) -> None:
    nine = [
        "Physical state: liquid",
        *above,
        "Flash point: -17 °C",
        "Boiling point: 56 °C",
        "Density: 0.79 g/ml",
    ]
    found = of_lines({3: [ACETONE], 9: nine})
    assert [(name, found[name].sure) for name in ("flash_point", "boiling_point", "density")] == [
        ("flash_point", False), ("boiling_point", False), ("density", False),
    ]  # fmt: skip
    assert found["flash_point"].value == "-17C"


def test_words_that_name_no_ingredient_leave_the_figures_sure(of_lines: OfLines) -> None:
    nine = [
        "Soluble in: acetone, alcohols",
        "Solvents: 45 %",
        "Flash point: 23 °C (closed cup)",
        "V.O.C.: 420 g/l",
    ]
    assert of_lines({3: [ACETONE], 9: nine})["flash_point"].sure


@pytest.mark.parametrize(
    ("three", "unsure"),
    [
        ([ACETONE, "ethanol\t64-17-5\t2.5 - 10 Vol-%"], {"67-64-1", "64-17-5"}),
        (["Name\tCAS\t% VOC", "acetone\t67-64-1\t40"], {"67-64-1"}),
        (["Name\tCAS\tPurity %", "acetone\t67-64-1\t99.5"], {"67-64-1"}),
        (["Concentration in the diluted product", ACETONE], {"67-64-1"}),
        (["acetone\t67-64-1\t60 - 80 %", "xylene\t1330-20-7\t55 - 70 %"], {"67-64-1", "1330-20-7"}),
        (["butan-1-ol\t71-36-3\t5 % max"], {"71-36-3"}),
        (["2-ethylhexanol 104-76-7 0.1 - 1.0 mg/kg", ACETONE], {"104-76-7"}),
        (
            [
                "Name\tCAS\tBase\tReady",
                "acetone\t67-64-1\t25 - 50 %\t10 - 20 %",
                "xylene\t1330-20-7\t1 - 5 %\t-",
            ],
            {"67-64-1", "1330-20-7"},
        ),
    ],
    ids=["volume", "voc", "purity", "diluted", "too-much", "max", "mg", "two-columns"],
)
def test_shares_of_something_else(of_lines: OfLines, three: Sequence[str], unsure: set[str]) -> None:
    found = of_lines({3: three})
    assert {one.key for one in found.values() if one.name == "solvent" and not one.sure} == unsure


@pytest.mark.parametrize(
    ("two", "codes"),
    [
        (["H226 Flammable liquid and vapour.", "Previously H225"], "H225 H226"),
        (["H22S Highly flammable liquid and vapour.", "H319 Causes serious eye irritation."], "H319"),
        (["H319 Causes serious eye irritation.", "H2"], "H319"),
        (["H319 Causes serious eye irritation.", "H399"], "H319"),
    ],
)
def test_statements_that_are_not_all_or_no_longer_so(
    of_lines: OfLines, two: Sequence[str], codes: str
) -> None:
    one = of_lines({2: two})["h_statements"]
    assert (one.value, one.sure) == (codes, False)
    assert of_lines({2: ["H225-H319-H336"]})["h_statements"].sure


def test_a_rules_day_and_a_name_with_a_version(of_lines: OfLines) -> None:
    one = ["Product name: Finch lacquer Rev. 3", "(EC) 1907/2006 as amended by 2020/878, revised 18.06.2020"]
    found = of_lines({1: one})
    assert "version" not in found
    assert not found["revised_on"].sure


class Unseen(Pages):
    """Pages whose text stands unseen, as beneath the picture of a scanned page."""

    def at(self, x: float, text: str, *, y: float | None = None, size: float = 8) -> None:
        """Write a text that nobody sees."""
        written = self._canvas.beginText(x, self.y if y is None else y)
        written.setFont("Vera", size)
        written.setTextRenderMode(3)
        written.textOut(text)
        self._canvas.drawText(written)


LINES = (
    "SECTION 1: Identification", "Product name: Finch lacquer", "SECTION 2: Hazards identification",
    "Signal word: Danger", "SECTION 3: Composition/information on ingredients", "acetone 67-64-1 25 - 50 %",
    "SECTION 9: Physical and chemical properties", "Flash point: 23 °C", "SECTION 14: Transport information",
    "UN number: 1263",
)  # fmt: skip


def test_the_text_beneath_a_scan_is_sure_of_nothing(
    tmp_path: Path, proposed: Callable[[Path], Mapping[str, Proposal]]
) -> None:
    """A machine that reads pictures takes a 3 for an 8; a line that nobody sees on a page is nobody's word either."""
    scan, page = Unseen(), Pages()
    scan.lines(LINES)
    found = proposed(scan.save(tmp_path / "scan.pdf"))
    assert found["flash_point"].value == "23C"
    assert not any(one.sure for one in found.values())
    page.lines(LINES)
    Unseen.at(page, LEFT, "Density: 1.9 g/ml")  # type: ignore[arg-type]
    seen = proposed(page.save(tmp_path / "page.pdf"))
    assert (seen["flash_point"].sure, seen["density"].sure if "density" in seen else False) == (True, False)


def test_a_second_time_in_the_next_line_makes_a_life_unsure(of_lines: OfLines) -> None:
    life = of_lines({7: ["Pot life: 8 hours (20 °C)", "with accelerator 2 hours"]})["pot_life"]
    assert (life.value, life.sure) == ("8 h", False)
