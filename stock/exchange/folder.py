"""Writing a studio as a folder of CSV files with a machine-readable description, and reading it back bit for bit.

Each table is one file (RFC 4180, UTF-8), `datapackage.json` describes them all (Frictionless Data Package and
Table Schema). The description also holds each table's digest, by which the import is proven.
"""

import csv
import hashlib
import io
import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from stock import clock
from stock.errors import BadInput, UllageError
from stock.exchange import copying, csv_rows
from stock.exchange.badrows import Sieve
from stock.exchange.columns import Column, columns, reader, schema
from stock.exchange.copying import Copied, Row
from stock.exchange.progress import OnProgress, Tally
from stock.language import _
from stock.notation import in_thousands
from stock.remedies import Option, Remedy
from stock.store import addresses, connection, migrations, outputs, paths
from stock.store.models import TABLES
from stock.store.orm import pw
from stock.store.refusals import plainly
from stock.store.table import Table
from stock.text import plain

DESCRIPTION = "datapackage.json"
LARGEST_DESCRIPTION = 4_000_000
UNITS = (
    "Column names end in their unit: _ul microlitres, _mg milligrams, _minor the currency's minor unit, _milli "
    "thousandths of a per cent (drops_milli: of a drop), _mc thousandths of a degree Celsius, _um micrometres, "
    "_pa pascals. Days are the studio's, instants UTC. Text that a spreadsheet could run has an apostrophe before it."
)


class NotAsWritten(UllageError):
    """An exported folder was changed or cut since it was written."""

    code = "not-as-written"


def export(address: str, folder: str, *, on_progress: OnProgress | None = None) -> Copied:
    """Write the studio at `address` into a folder that is new or empty.

    Args:
        on_progress: called with a file's name, the rows written so far and how many there are.
    Returns:
        The rows of each table and the common digest, the same as that of a copy.
    Raises:
        BadInput: the folder isn't empty or can't be written; nothing is left of it.
        outputs.WouldOverwrite: it is no folder, or the folder of the books' backups.
        BooksUnreachable: no books are there.
    """
    target = Path(folder)
    outputs.check(target, address, errand="export", folder=True)
    try:
        made = not target.exists()
        target.mkdir(mode=0o700, parents=True, exist_ok=True)
        full = any(target.iterdir())
    except OSError as error:
        raise _unwritable(folder, error) from error
    if full:
        raise BadInput(
            _("{folder} isn't empty", folder=plain(folder)),
            remedy=_("Name a new folder; nothing was written"),
        )
    try:
        with copying.opened(address) as books:
            return _write(books, target, on_progress)
    except BaseException as error:
        _clear(target, made)
        if isinstance(error, OSError):
            raise _unwritable(folder, error) from error
        raise


def _unwritable(folder: str, error: OSError) -> BadInput:
    return BadInput(
        _("{folder} can't be written: {strerror}", folder=plain(folder), strerror=error.strerror),
        remedy=_("Name another folder"),
    )


def _clear(target: Path, made: bool) -> None:
    if made:
        shutil.rmtree(target, ignore_errors=True)
    else:
        for name in [DESCRIPTION, *(f"{table._meta.table_name}.csv" for table in TABLES)]:
            (target / name).unlink(missing_ok=True)


def _write(books: pw.Database, target: Path, on_progress: OnProgress | None) -> Copied:
    resources, rows, whole = [], {}, hashlib.sha256()
    tally = Tally(on_progress, 0 if on_progress is None else copying.count_rows(books))
    for table in pw.sort_models(TABLES):
        name = table._meta.table_name
        count, digest = _write_table(books, table, target / f"{name}.csv", tally)
        rows[name] = count
        whole.update(digest.encode())
        resources.append(_resource(table, count, digest))
    studio = books.execute_sql("SELECT name, schema_version FROM studio").fetchone()
    package = {
        "name": "studio",
        "title": _("Books of {studio}", studio=studio[0]),
        "description": UNITS,
        "profile": "tabular-data-package",
        "created": clock.stamp(clock.now()),
        "schema_version": studio[1],
        "digest": whole.hexdigest(),
        "resources": resources,
    }
    with _owners(target / DESCRIPTION) as file:
        json.dump(package, file, ensure_ascii=False, indent=1)
    return Copied(rows, whole.hexdigest())


def _owners(path: Path) -> Any:
    """A new text file that only its owner may read."""
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    return os.fdopen(handle, "w", encoding="utf-8", newline="")


def _write_table(books: pw.Database, table: type[Table], path: Path, tally: Tally) -> tuple[int, str]:
    found = columns(table)
    count, digest = 0, hashlib.sha256()
    with _owners(path) as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow([column.name for column in found])
        for row in tally.through(path.name, copying.read(books, table)):
            count += 1
            digest.update(repr(row).encode())
            writer.writerow([column.cell(value) for column, value in zip(found, row, strict=True)])
    return count, digest.hexdigest()


def _resource(table: type[Table], count: int, digest: str) -> dict[str, Any]:
    name = table._meta.table_name
    return {
        "name": name,
        "path": f"{name}.csv",
        "title": (table.__doc__ or "").strip().splitlines()[0],
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "doubleQuote": True},
        "rows": count,
        "digest": digest,
        "schema": schema(table),
    }


def take_in(folder: str, address: str, *, on_progress: OnProgress | None = None) -> Copied:
    """Bring an exported folder into books that don't exist yet or are still empty, and prove it equal.

    Args:
        folder: what `export` wrote; only files named as tables are looked at.
        address: where the books will stand.
        on_progress: called with a file's name, the rows read so far and how many there are.
    Raises:
        BadInput: it isn't such a folder, or of another schema.
        BadRows: every row that can't be read, with its line; nothing is booked.
        NotAsWritten: a table differs from what was exported; nothing is booked.
        UllageError: there are bookings or products at `address`.
    """
    package = description(folder)
    exists = _books_at(address)
    if not exists:
        connection.make_room(address)
    try:
        with copying.fresh(address) as new:
            if exists:
                _require_empty(new)
                new.execute_sql('DELETE FROM "studio"')
            else:
                connection.make_tables(new, address)
            return _fill(new, Path(folder), package, on_progress)
    except BaseException:
        if not exists and not addresses.is_server(address):
            for ending in ("", "-wal", "-shm"):
                Path(address + ending).unlink(missing_ok=True)
        raise


def description(folder: str) -> dict[str, Any]:
    """The description in an exported folder.

    Raises:
        BadInput: it isn't one, or another schema wrote it.
    """
    path = Path(folder) / DESCRIPTION
    foreign = BadInput(
        _("{folder} is no folder that was exported", folder=plain(folder)),
        remedy=_("It has no usable {description}", description=DESCRIPTION),
    )
    try:
        if path.stat().st_size > LARGEST_DESCRIPTION:
            raise foreign
        package = json.loads(_text(path).read())
        tables = {each["name"]: each for each in package["resources"]}
        digests = {name: (int(each["rows"]), str(each["digest"])) for name, each in tables.items()}
        schema_version = int(package["schema_version"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise foreign from error
    missing = {table._meta.table_name for table in migrations.tables(schema_version)} - digests.keys()
    if not 1 <= schema_version <= migrations.NEWEST or missing:
        raise BadInput(
            _(
                "the folder is of schema {schema_version}, this Ullage knows {newest}",
                schema_version=schema_version,
                newest=migrations.NEWEST,
            ),
            remedy=_("Export it again with this version of Ullage, or update Ullage here"),
        )
    return {"digests": digests, "title": package.get("title", ""), "schema": schema_version}


def _written_by(schema_version: int, table: type[Table]) -> tuple[list[Column], Callable[[Row], Row]]:
    """The columns of an older schema's export, and a function that adds the defaults of later columns to a row."""
    name = table._meta.table_name
    found, later = [], []
    for at, (column, field) in enumerate(zip(columns(table), table._meta.sorted_fields, strict=True)):
        if migrations.knows(schema_version, name, column.name):
            found.append(column)
        else:
            later.append((at, int(field.default) if isinstance(field.default, bool) else field.default))
    if not later:
        return found, lambda row: row

    def whole(row: Row) -> Row:
        values = list(row)
        for at, default in later:
            values.insert(at, default)
        return tuple(values)

    return found, whole


def _text(path: Path) -> Any:
    """A text file of the folder itself: links are not followed, so that nothing outside is read.

    Raises:
        OSError: it is no regular file; reading a pipe or a device could wait forever.
    """
    return io.TextIOWrapper(paths.opened(path, follow=False), encoding="utf-8", newline="")


def _books_at(address: str) -> bool:
    if not addresses.is_server(address) and not (os.path.isfile(address) and os.path.getsize(address)):
        return False
    if addresses.is_server(address):
        with plainly(address):
            engine = connection.engine(address)
            with engine.connection_context():
                return connection.holds_books(engine)
    return True


def _require_empty(new: pw.Database) -> None:
    if not connection.holds_books(new):
        raise BadInput(
            _("that file holds no studio's books"),
            remedy=Remedy(_("Name another "), Option("studio")),
            code="no-books",
        )
    for table in TABLES:
        name = table._meta.table_name
        if name != "studio" and new.execute_sql(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone():  # noqa: S608
            raise UllageError(
                _("these books aren't empty: there is something in {name}", name=name),
                remedy=Remedy(
                    _("Import into books that don't exist yet, named "),
                    Option("studio", "NEW_FILE"),
                    _("; nothing was changed"),
                ),
                code="not-empty",
            )


def _fill(new: pw.Database, folder: Path, package: dict[str, Any], on_progress: OnProgress | None) -> Copied:
    sieve, rows, whole = Sieve(), {}, hashlib.sha256()
    tally = Tally(on_progress, sum(count for count, _ in package["digests"].values()))
    for table in pw.sort_models(migrations.tables(package["schema"])):
        name = table._meta.table_name
        try:
            copying.fill(new, table, tally.through(name, _rows(folder, table, package["schema"], sieve)))
        except (pw.IntegrityError, pw.DataError) as error:
            sieve.stop()
            first = str(error).strip().splitlines()[0]
            raise NotAsWritten(
                _("{name}.csv can't stand in the books ({first})", name=name, first=plain(first)),
                remedy=_("Nothing was booked"),
            ) from error
        if sieve:
            continue  # the other files are read too, so that all bad rows are listed at once
        count, digest = copying.digest_of(new, table, schema=package["schema"])
        if (count, digest) != package["digests"][name]:
            raise NotAsWritten(
                _(
                    "{name}.csv isn't as it was exported: {count} rows of {digests}",
                    name=name,
                    count=in_thousands(count),
                    digests=in_thousands(package["digests"][name][0]),
                ),
                remedy=_("Export it again, or restore a backup; nothing was booked"),
            )
        rows[name] = count
        whole.update(digest.encode())
    sieve.stop()
    new.execute_sql(f'UPDATE "studio" SET schema_version = {migrations.NEWEST:d}')  # noqa: S608 - a number of ours
    migrations.complete(new, package["schema"])
    copying.require_whole(new)
    return Copied(rows, whole.hexdigest())


def _rows(folder: Path, table: type[Table], schema_version: int, sieve: Sieve) -> Iterator[Row]:
    name = f"{table._meta.table_name}.csv"
    found, whole = _written_by(schema_version, table)
    read = reader(found)
    try:
        with _text(folder / name) as file:
            lines = csv_rows.read(file, name=name)
            head = next(lines, None)
            if head is None or head.cells != [column.name for column in found]:
                raise BadInput(
                    _("{name} has other columns than these books", name=name), remedy=_("Export it again")
                )
            for line, cells, __ in lines:
                try:
                    row = read(cells)
                except UllageError as error:
                    sieve.refuse(name, line, error)
                    continue
                yield whole(row)
    except OSError as error:
        raise BadInput(
            _("{name} can't be read: {strerror}", name=name, strerror=error.strerror),
            remedy=_("Export the folder again"),
        ) from error
    except UnicodeDecodeError as error:
        raise BadInput(
            _("{name} is not in UTF-8 ({error})", name=name, error=error), remedy=_("Export the folder again")
        ) from error
