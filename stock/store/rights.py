"""Rights that a role on the server lacks, with the statement that grants them."""

import re
from collections.abc import Sequence
from contextlib import closing
from typing import TYPE_CHECKING, Any

from stock.errors import BooksUnreachable
from stock.language import _
from stock.store.orm import pw

if TYPE_CHECKING:
    from stock.store.server import Server

INSUFFICIENT = "42501"  # the SQLSTATE of insufficient_privilege
_WANTED = {
    "SELECT": ("SELECT",),
    "INSERT": ("INSERT", "SELECT"),
    "UPDATE": ("UPDATE", "SELECT"),
    "DELETE": ("DELETE", "SELECT"),
    "LOCK": ("UPDATE",),
}
_NAMED = re.compile(r"permission denied for (table|schema|sequence|database) (\S+)")
_OF = {"schema": ("USAGE", "CREATE"), "sequence": ("USAGE",), "database": ("CREATE", "TEMP")}
_TO_ALL = {"table": "ALL TABLES IN SCHEMA {schema}", "sequence": "ALL SEQUENCES IN SCHEMA {schema}",
           "schema": "SCHEMA {schema}", "database": "DATABASE {database}"}  # fmt: skip


class NoRight(BooksUnreachable):
    """The server refused because a right is missing."""

    code = "no-right"


def is_refusal(error: Exception) -> bool:
    """Whether the server refused because a right is missing."""
    return isinstance(error, pw.ProgrammingError) and getattr(error.orig, "sqlstate", "") == INSUFFICIENT


def refusal(database: "Server", error: Exception, sql: str = "") -> NoRight:
    """The refusal of a statement, with the right that it needs and the role lacks.

    Asks over a connection of its own, since the transaction has failed.

    Args:
        error: what the driver raised.
        sql: the statement, if it is known.
    """
    said = str(error).strip().splitlines()[0]
    named = _NAMED.search(said)
    if named is None:
        return NoRight(
            _("the server refused ({said}); nothing was booked", said=said),
            remedy=_("Ask the owner of these books to do it"),
        )
    kind, name = named[1], named[2].strip('"')
    wanted = _OF.get(kind) or _of_tables(sql)
    return _no_right(database, kind, name, wanted)


def require_schema(database: "Server") -> None:
    """Refuse a role that may not use the books' schema, which would otherwise look empty.

    Raises:
        NoRight: it lacks USAGE.
    """
    schema = database.session["search_path"]
    query = "SELECT has_schema_privilege(oid, 'USAGE') FROM pg_namespace WHERE nspname = %s"
    found = database.execute_sql(query, (schema,)).fetchone()
    if found is not None and not found[0]:
        raise _no_right(database, "schema", schema, ("USAGE",))


def _of_tables(sql: str) -> Sequence[str]:
    wanted = _WANTED.get(sql.split(maxsplit=1)[0].upper() if sql.strip() else "", tuple(_WANTED)[:4])
    return (*wanted, "UPDATE") if "FOR UPDATE" in sql or "FOR SHARE" in sql else wanted


def _no_right(database: "Server", kind: str, name: str, wanted: Sequence[str]) -> NoRight:
    schema = database.session["search_path"]
    full = f'"{schema}"."{name}"' if kind in ("table", "sequence") else name
    asked = ", ".join(f"has_{kind}_privilege(%s, '{right}')" for right in wanted)
    with closing(database.another_line()) as line:
        row: Any = line.execute(
            f"SELECT current_user, quote_ident(current_user), {asked}", [full] * len(wanted)
        ).fetchone()
    lacks = ", ".join(right for right, has in zip(wanted, row[2:], strict=True) if not has) or _("a right")
    grant = f"GRANT {lacks} ON {_TO_ALL[kind].format(schema=schema, database=name)} TO {row[1]}"
    return NoRight(
        _(
            "the server's role {row} lacks {lacks} on the {kind} {name}; nothing was booked",
            row=row[0],
            lacks=lacks,
            kind=kind,
            name=name,
        ),
        remedy=_("Its owner can give it: {grant}", grant=grant),
    )
