"""Makes records of the lines in older books, where a line was only a word on each product.

A new line's record has nothing but its name, and every known value becomes the product's own, so that no figure
changes.
"""

from stock.store.line_fields import FIELDS, LISTED, is_said, words
from stock.store.line_tables import Line, LineProduct
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.text import folded


def note(database: pw.Database) -> None:
    """Make a line of each word, spelt as on its first product, and note each product's own fields.

    Args:
        database: books with the newest columns, inside a transaction.
    """

    def rows(query: str, *values: object) -> list[tuple[object, ...]]:
        return list(database.execute_sql(query.replace("?", database.param), values).fetchall())

    columns = Product._meta.fields
    known = [(field, columns[one]) for field, names in FIELDS.items() for one in names]
    listed = {
        field: {number for (number,) in rows(f'SELECT DISTINCT product_id FROM "{table}"')}  # noqa: S608
        for field, (table, _) in LISTED.items()
    }
    selected = ", ".join(f'"{column.column_name}"' for _, column in known)
    lines: dict[str, tuple[int, str]] = {}
    for number, text, *values in rows(
        f"""SELECT id, line, {selected} FROM product WHERE line <> '' ORDER BY id"""  # noqa: S608 - names of ours
    ):
        key = folded(str(text))
        if key not in lines:
            lines[key] = Line.insert(name=text, name_key=key).execute(database), str(text)
        line, name = lines[key]
        own = {
            field
            for (field, column), value in zip(known, values, strict=True)
            if is_said(column.python_value(value), null=column.null)
        }
        own |= {field for field, having in listed.items() if number in having}
        LineProduct.insert(product=number, line=line, own_fields=words(own)).execute(database)
        if name != text:
            Product.update(line=name).where(Product.id == number).execute(database)
