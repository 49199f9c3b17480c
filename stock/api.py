"""The books for scripts and notebooks: `import stock`.

>>> import stock
>>> studio = stock.open_studio(books)
>>> sum(bottle["on_hand_ml"] for bottle in studio.shelf() if bottle["product"] == "Harbour Blue")
120
>>> studio.mix({"Harbour Blue": "8ml"}, reduce="20%")["total_ml"]
9.6

What is given and what comes back is what the commands take and answer with `--json`: volumes in millilitres, money in
the currency's main unit, days as YYYY-MM-DD, whatever decimal mark and order of dates the studio has. What a command
refuses is raised as a `stock.UllageError`, whose text says what was wrong and what to do; nothing was booked then.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from html import escape
from typing import Any

from stock.cli.frame import Context
from stock.cli.main import run, take_options
from stock.errors import UllageError as UllageError  # noqa: PLC0414 - handed on
from stock.notation import exactly
from stock.text import plain


class AnswerTable(Sequence[Mapping[str, Any]]):
    """AnswerTable of a table, each a mapping of column to value; a notebook shows them as a table.

    `pandas.DataFrame(rows)` and `csv.DictWriter` take them as they are.
    """

    def __init__(self, rows: Sequence[Mapping[str, Any]]) -> None:
        self._rows = list(rows)

    def __getitem__(self, at: Any) -> Any:
        """One row, or a slice as `AnswerTable`."""
        return AnswerTable(self._rows[at]) if isinstance(at, slice) else self._rows[at]

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[Mapping[str, Any]]:
        return iter(self._rows)

    def __repr__(self) -> str:
        return f"AnswerTable({self._rows!r})"

    @property
    def columns(self) -> list[str]:
        """The columns that any row has, in the order in which they come."""
        return list(dict.fromkeys(column for row in self._rows for column in row))

    def _repr_html_(self) -> str:
        """What a notebook shows; every text is shown as text."""

        def cell(value: Any, tag: str = "td") -> str:
            return f"<{tag}>{'' if value is None else escape(plain(str(value), 1_000))}</{tag}>"

        head = "".join(cell(column, "th") for column in self.columns)
        body = "".join(
            f"<tr>{''.join(cell(row.get(column)) for column in self.columns)}</tr>" for row in self._rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


class Books:
    """One studio's books, as `open_studio` hands them out."""

    def __init__(self, address: str) -> None:
        self.address = address

    def command(self, *words: str, as_of: date | str | None = None) -> dict[str, Any]:
        """The answer of any command, as `--json` gives it.

        Args:
            words: the command and what follows it on the line, such as `"bottle", "open", "12"`.
            as_of: read the books as they stood at the end of that day.
        Raises:
            UllageError: the command was refused or the books can't be reached; nothing was booked.
        """
        context = Context(address="")
        asked = [] if as_of is None else ["--as-of", str(as_of)]
        line = take_options(["--studio", self.address, *asked, *words], context)
        with context.held, exactly():
            answer: dict[str, Any] = run(line, context).answer
        return answer

    def shelf(self, *, as_of: date | str | None = None) -> AnswerTable:
        """Every bottle and what is left in it.

        Raises:
            UllageError: the books can't be reached, or the day is to come.
        """
        products = self.command("shelf", as_of=as_of)["products"]
        return AnswerTable(
            [
                {"product": product["name"], "role": product["role"], **bottle}
                for product in products
                for bottle in product["bottles"]
            ]
        )

    def mix(self, parts: Mapping[str, str], **options: str) -> dict[str, Any]:
        """Book a mix.

        Args:
            parts: each product and its amount, as `{"Harbour Blue": "8ml"}`.
            options: what `ullage mix` takes, as `reduce="20%"`, `job="Ferry"`, `on="2026-03-01"`, `key="…"`.
        Raises:
            UllageError: it was refused; nothing was booked.
        """
        given = [
            word
            for name, text in options.items()
            for word in (f"--{name.strip('_').replace('_', '-')}", text)
        ]
        return self.command("mix", *(f"{name}={amount}" for name, amount in parts.items()), *given)

    def forecast(self, product: str | None = None, *, as_of: date | str | None = None) -> AnswerTable:
        """Sprays left, the day it runs out and the day to order, of all products or of one.

        Raises:
            UllageError: no such product.
        """
        asked = [] if product is None else [product]
        return AnswerTable(self.command("forecast", *asked, as_of=as_of)["products"])

    def cautions(self, *, as_of: date | str | None = None) -> AnswerTable:
        """What to use first, move, throw away and find out.

        Raises:
            UllageError: the books can't be reached.
        """
        return AnswerTable(self.command("cautions", as_of=as_of)["findings"])

    def report(self, name: str, **options: str) -> dict[str, Any]:
        """The figures of a report: `cost`, `emissions`, `valuation`, `purchases`, `trace` or `check`.

        Args:
            name: the report.
            options: what its command takes, as `month="2026-03"`.
        Raises:
            UllageError: no such report, or a month that can't be read.
        """
        return self.command(name, *(word for key, text in options.items() for word in (f"--{key}", text)))


def open_studio(address: str | None = None) -> Books:
    """The books at an address; those that `ullage` itself would open where none is named.

    Args:
        address: a file, or a PostgreSQL URL.
    Raises:
        UllageError: nothing is there, or it can't be reached.
    """
    from stock.cli.main import usual_address

    books = Books(address or usual_address())
    books.command("studio", "show")
    return books
