"""Reports as flat tables, read by programs of others: frictionless (Table Schema), pandas and duckdb.

Frictionless Data Package and Table Schema: https://specs.frictionlessdata.io. Each report of a studio with three months
in its books is written by its command into one folder, which one description covers.
"""

import json
from datetime import date

import pytest

from stock.bench import closing, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main
from stock.shelf import counts, deliveries, handling, invoices, studio
from tests.clock import clock_at

pytestmark = pytest.mark.only("sqlite")
COMMANDS = {
    "valuation": ("valuation",),
    "places": ("valuation", "--by", "place"),
    "owners": ("valuation", "--by", "owner", "--method", "average"),
    "losses": ("valuation", "--by", "write-off"),
    "costs": ("cost",),
    "emissions": ("emissions",),
    "purchases": ("purchases",),
    "trace": ("trace", "--bottle", "B0001"),
    "job": ("job", "sheet", "Ferry"),
}
FLOWS = ("opening", "purchased", "used", "written_off")


@pytest.fixture
def three_months(stocked):
    """March holds two deliveries and a mix, April losses and a wash, May nothing but a count."""
    studio.change(labour_minor_per_h=4_500)
    with clock_at("2030-03-05 09:00"):
        came = deliveries.receive("Harbour Blue", 60_000, count=2, price_minor=811)["delivery"]
        deliveries.receive("Harbour Blue", 60_000, owner="=Ada", price_minor=700)
        invoices.add(
            "R-1", supplier="Paint Depot", dated_on=date(2030, 3, 5), net_minor=1_622, tax_milli=19_000,
            deliveries=[came],
        )  # fmt: skip
    with clock_at("2030-03-09 09:00"):
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 7_777), ("Slow Thinner", 1_111)), job="Ferry"))[
            "mix"
        ]
        closing.close(mix, closing.Ending("good", left_ul=2_000, keep=True))
    with clock_at("2030-04-11 09:00"):
        counts.count("2", 41_000, reason="spilled")
        handling.discard("1", reason="skinned, over")
        washing.wash("Wash Down", 15_000)
    with clock_at("2030-05-02 09:00"):
        counts.count("2", 40_000)
        yield stocked


@pytest.fixture
def folder(three_months, tmp_path, capsys):
    target = tmp_path / "reports"
    target.mkdir()
    for name, words in COMMANDS.items():
        assert main(["--studio", three_months, *words, "--csv", str(target / f"{name}.csv")]) == 0, words
    capsys.readouterr()
    return target


def answered(books, capsys, *words):
    assert main(["--studio", books, "--json", *words]) == 0
    return json.loads(capsys.readouterr().out)


def test_programs_of_others_read_every_report_and_the_money_adds_up(folder, three_months, capsys):
    described_to_frictionless(folder)
    read_by_pandas_and_duckdb(folder, three_months, capsys)
    written_again_while_others_stay(folder, three_months, capsys)


def described_to_frictionless(folder):
    import frictionless

    report = frictionless.validate(str(folder / "datapackage.json"))
    assert report.valid, report.flatten(["title", "rowNumber", "note"])
    package = frictionless.Package(str(folder / "datapackage.json"))
    assert {one.path for one in package.resources} == {f"{name}.csv" for name in COMMANDS}
    for resource in package.resources:
        assert all(field.description for field in resource.schema.fields), resource.name
        assert resource.read_rows(), resource.name
    whole = (folder / "costs.csv").read_bytes()
    (folder / "costs.csv").write_bytes(whole.replace(b"2030-03", b"2030-33"))
    assert not frictionless.validate(str(folder / "datapackage.json")).valid
    (folder / "costs.csv").write_bytes(whole)


def read_by_pandas_and_duckdb(folder, three_months, capsys):
    import duckdb
    import pandas

    frame = pandas.read_csv(folder / "valuation.csv", dtype={"month": str})
    assert {"2030-03", "2030-04", "2030-05"} <= set(frame["month"])
    for ending in ("", "_ml"):
        opening, bought, used, lost = (frame[f"{flow}{ending}"] for flow in FLOWS)
        assert ((opening + bought - used - lost - frame[f"closing{ending}"]).abs() < 1e-9).all()
    closings = frame.pivot(index="product", columns="month", values="closing").sort_index(axis=1)
    openings = frame.pivot(index="product", columns="month", values="opening").sort_index(axis=1)
    for before, after in zip(closings.columns, closings.columns[1:], strict=False):
        both = closings[before].notna()
        assert (closings[before][both] == openings[after][both]).all(), (before, after)
    whole = answered(three_months, capsys, "valuation")
    books = duckdb.connect()
    for name in COMMANDS:
        books.execute(f"CREATE VIEW {name} AS SELECT * FROM read_csv('{folder / name}.csv', header = true)")
    ends = "WHERE month = (SELECT max(month) FROM valuation)"
    (closing_sum,) = books.execute(f"SELECT round(sum(closing), 2) FROM valuation {ends}").fetchone()
    (places,) = books.execute(f"SELECT round(sum(closing), 2) FROM places {ends}").fetchone()
    assert closing_sum == places == whole["total"]["closing"]
    (bought,) = books.execute("SELECT round(sum(purchased), 2) FROM valuation").fetchone()
    assert bought == whole["total"]["purchased"]
    lost = {row["reason"]: row["value"] for row in whole["write_offs"]}
    assert dict(books.execute("SELECT coalesce(reason, ''), written_off FROM losses").fetchall()) == lost
    assert lost["skinned, over"] > 0
    costs = answered(three_months, capsys, "cost")
    (total,) = books.execute("SELECT round(sum(total), 2) FROM costs WHERE record = 'mix'").fetchone()
    assert total == costs["total"]
    (written_off,) = books.execute("SELECT round(sum(total), 2) FROM costs WHERE record = 'loss'").fetchone()
    assert written_off == costs["written_off"] > 0
    bill = books.execute(
        "SELECT net, tax_percent, tax, gross, deliveries FROM purchases WHERE record = 'invoice'"
    )
    assert bill.fetchone()[:4] == (16.22, 19.0, 3.08, 19.30)
    march = answered(three_months, capsys, "emissions", "--month", "2030-03")
    (us_g,) = books.execute("SELECT sum(us_g) FROM emissions WHERE month = '2030-03'").fetchone()
    assert us_g == pytest.approx(march["us"]["emitted_g"], abs=0.02)
    (sheet,) = books.execute("SELECT price FROM job WHERE record = 'price'").fetchone()
    assert sheet == answered(three_months, capsys, "job", "sheet", "Ferry")["price"]
    owners = dict(
        books.execute("SELECT coalesce(owner, ''), closing FROM owners WHERE month = '2030-05'").fetchall()
    )
    assert owners["'=Ada"] == 7.0
    assert (
        owners[""] == answered(three_months, capsys, "valuation", "--method", "average")["total"]["closing"]
    )


def written_again_while_others_stay(folder, three_months, capsys):
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert main(["--studio", three_months, "cost", "--csv", str(folder / "costs.csv")]) == 0
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    assert (
        main(["--studio", three_months, "cost", "--month", "2030-03", "--csv", str(folder / "costs.csv")])
        == 2
    )
    assert "--force" in capsys.readouterr().err
    (folder / "costs.csv").write_text("mine")
    assert main(["--studio", three_months, "cost", "--csv", str(folder / "costs.csv")]) == 2
    assert (folder / "costs.csv").read_text() == "mine"
    description = folder / "datapackage.json"
    description.write_text(description.read_text().replace("Ferry", "Fairy"))
    assert main(["--studio", three_months, "cost", "--csv", str(folder / "new.csv")]) == 2
    assert "datapackage.json exists and is not what this wrote before" in capsys.readouterr().err
    assert not (folder / "new.csv").exists()
    assert main(["--studio", three_months, "cost", "--csv", "-"]) == 0
    assert capsys.readouterr().out.encode() == before["costs.csv"]


def test_a_month_alone_and_what_rows_may_be(three_months, tmp_path, capsys):
    import pandas

    month = tmp_path / "april.csv"
    assert main(["--studio", three_months, "valuation", "--month", "2030-04", "--csv", str(month)]) == 0
    assert set(pandas.read_csv(month)["month"]) == {"2030-04"}
    assert main(["--studio", three_months, "valuation", "--by", "colour"]) == 2
    assert "product, place, owner or write-off" in capsys.readouterr().err
