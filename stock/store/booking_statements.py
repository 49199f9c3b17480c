"""The SQL that the ledger writes with, on both engines; on a server several statements are one."""

from stock.store.statements import insert

CHANGE_VOLUME = (
    "UPDATE bottle SET on_hand_ul = on_hand_ul + ? WHERE id = ? AND on_hand_ul >= ? AND received_on <= ?"
)
LATEST = "(SELECT MAX(at) FROM movement WHERE movement.bottle_id = bottle.id)"
CHANGE_UNLESS_LATE = f"{CHANGE_VOLUME} AND {LATEST} <= ?"
"""The same only where no movement of the bottle is of a later moment, so that it held then what it holds now."""
MOVEMENT = ("bottle_id", "booking_id", "kind", "change_ul", "at", "reverses_id", "proof_kind")
WRITE_MOVEMENT = insert("movement", MOVEMENT)
WRITE_NUMBERED = insert("movement", (*MOVEMENT, "id"))
WRITE_MIX = insert("mix", ("id", "job_id", "needle_um"))
POUR = ("movement_id", "mix_id", "part")
WRITE_BOOKING = insert("booking", ("kind", "at", "day", "booked_at", "note", "undoes_id", "with_undo_id"))
BEGIN_NOW = """
    INSERT INTO booking (kind, at, day, booked_at, note, undoes_id)
    SELECT CAST(? AS text), CAST(? AS text), CAST(? AS text), CAST(? AS text), CAST(? AS text), CAST(? AS bigint)
    FROM (%s) AS newest WHERE at <= ? AND booked_at <= ? AND (closed IS NULL OR closed < ?)
"""
"""One statement in the place of two, for a booking of now that no newer one and no closed period bars."""
_POUR = f"""
    drawn AS (
        SELECT * FROM unnest(?::bigint[], ?::bigint[]) WITH ORDINALITY AS drawn (bottle_id, ul, place)
    ), taken AS (
        UPDATE bottle SET on_hand_ul = on_hand_ul - each.ul
        FROM (SELECT bottle_id, SUM(ul)::bigint AS ul FROM drawn GROUP BY bottle_id) AS each
        WHERE id = each.bottle_id AND on_hand_ul >= each.ul AND received_on <= ?
        RETURNING id, {LATEST} AS latest
    ), moved AS (
        INSERT INTO movement (bottle_id, booking_id, kind, change_ul, at, proof_kind)
        SELECT bottle_id, ?::bigint, 'poured', -ul, ?, 'poured' FROM drawn JOIN taken ON id = bottle_id ORDER BY place
        RETURNING id, bottle_id
    ), poured AS (
        INSERT INTO pour (movement_id, mix_id, part)
        SELECT id, ?::bigint, (?::text[])[row_number() OVER (ORDER BY id)] FROM moved
    )
    SELECT id, latest FROM taken
"""  # noqa: S608 - statements of ours
POUR_ON_A_SERVER = f"WITH {_POUR}"
"""One question to the server in the place of two for each bottle and one for what they were poured for. It leaves
out bottles from which that much can't be poured, and gives the latest moment of the others' movements before."""
MIX_ON_A_SERVER = f"WITH mixed AS (INSERT INTO mix (id, job_id, needle_um) VALUES (?, ?, ?)), {_POUR}"  # noqa: S608 - statements of ours
"""The same, and the mix itself first."""
