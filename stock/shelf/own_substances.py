"""The studio's own substances: substances that the table doesn't have, and facts that it lacks about others.

Each figure is one that a safety data sheet prints; a figure that isn't noted is unknown and counts as the worse case.
"""

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from stock import units
from stock.errors import BadInput, UllageError
from stock.grammar import figure_and_unit, plain_figure, refuse
from stock.hazard_statements import NONE, read
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import dated_substances, names, record_texts
from stock.store.connection import connection, writing
from stock.store.models import OwnSubstance
from stock.store.words import VOC_WORDS
from stock.substance_table import called, cas_number, families, row_of
from stock.text import folded, plain
from stock.text import name as clean_name
from stock.text import note as clean_note
from stock.units import MilliCelsius

_WASTE = re.compile(r"[DFKPU]\d{3}", re.ASCII)
_BURNS = {"H224": MilliCelsius(23_000), "H225": MilliCelsius(23_000), "H226": MilliCelsius(60_000)}
"""Statements of a liquid that burns, and the flash point that each is for at most, thousandths of a degree C."""
_MOST_PPM = 1_000_000


def everything() -> list[OwnSubstance]:
    """All of the studio's own substances by name."""
    with connection():
        return list(OwnSubstance.select().order_by(OwnSubstance.name_key))


def find(name: str) -> OwnSubstance:
    """The own substance that a name, or a part of one, means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    return names.find(
        everything(),
        name,
        what=_("substance of the studio's own"),
        several=_("substances of the studio's own"),
        remedy=Remedy(_("Add it with "), Do("substance add", "NAME")),
    )


def add(given: Mapping[str, str | None]) -> OwnSubstance:
    """Add a substance.

    Args:
        given: texts as for `read_fields`, `name` among them.
    Raises:
        UllageError: another one has its name, one of its other names, or its CAS number.
        BadInput: a field that can't be read.
    """
    row = read_fields({**given, "name": given.get("name") or ""})
    _refuse_contradiction(row)
    with (
        connection(),
        writing(),
        names.free(OwnSubstance, _("substance"), row, remedy=_("Change it instead")),
    ):
        _refuse_taken(row, None)
        made = OwnSubstance.create(**row)
        dated_substances.keep(made.id, None, made)
        return made


def change(name: str, given: Mapping[str, str | None]) -> OwnSubstance:
    """Change the given fields of a substance.

    Args:
        name: the substance.
        given: texts as for `read_fields`; `name` is its new name.
    Raises:
        NotFound, Ambiguous: `name` means no single substance.
        UllageError: as for `add`.
        BadInput: a field that can't be read.
    """
    row = read_fields(given)
    with connection(), writing():
        before = find(name)
        if row:
            with names.free(
                OwnSubstance, _("substance"), row, remedy=_("Nothing was changed"), but=before.id
            ):
                _refuse_taken(
                    {"name": before.name, "cas": before.cas, "aliases": before.aliases} | row, before.id
                )
                columns = ("no_flash_point", "flash_point_mc", "h_statements")
                _refuse_contradiction({each: getattr(before, each) for each in columns} | row)
                OwnSubstance.update(**row).where(OwnSubstance.id == before.id).execute()
        now = OwnSubstance.get_by_id(before.id)
        dated_substances.keep(before.id, before, now)
        return now


def delete(name: str) -> OwnSubstance:
    """Remove the studio's notes about a substance from the books; then only the table counts again.

    Raises:
        NotFound, Ambiguous: `name` means no single substance of the studio's own.
        BadInput: it is a part of the name only.
    """
    with connection(), writing():
        gone = find(name)
        if gone.name_key != folded(name):
            raise BadInput(
                _(
                    "{written!r} is a part of {name}; nothing was deleted",
                    written=plain(name, 40),
                    name=gone.name,
                ),
                remedy=_("Write the whole name"),
            )
        gone.delete_instance()
        dated_substances.keep(gone.id, gone, None)
        return gone


def _refuse_contradiction(row: Mapping[str, Any]) -> None:
    """Refuse a flash point that is milder than the statements: it would make a mix milder than its sheet."""
    burns = sorted(code for code in (row.get("h_statements") or "").split() if code in _BURNS)
    if not burns:
        return
    flash_mc, below_mc = row.get("flash_point_mc"), _BURNS[burns[0]]
    if row.get("no_flash_point"):
        contradiction = _("it has no flash point and {burns}, and can't have both", burns=burns[0])
    elif flash_mc is not None and flash_mc > below_mc:
        flash, below = (record_texts.temperature(each) for each in (flash_mc, below_mc))
        contradiction = _(
            "it flashes at {flash} and has {burns}, which is for no more than {below}",
            flash=flash,
            burns=burns[0],
            below=below,
        )
    else:
        return
    raise BadInput(
        contradiction, remedy=_("Take the flash point from section 9 of its sheet; nothing was changed")
    )


def _refuse_taken(row: Mapping[str, Any], but: int | None) -> None:
    """Refuse a name that another row has, because it would be left to chance which figures count."""
    _refuse_names_of_another(row)
    wanted = called(row["name"], row.get("cas", ""), row.get("aliases", ""))
    for other in everything():
        taken = called(other.name, other.cas, other.aliases) & wanted
        if other.id != but and taken:
            raise UllageError(
                _("{name} goes by {taken} already", name=other.name, taken=sorted(taken)[0]),
                remedy=_("Change that one instead"),
                code="exists",
            )


def _refuse_names_of_another(row: Mapping[str, Any]) -> None:
    """Refuse a name that the table has for another substance: it would hide the table's figures for that one."""
    mine = row_of(row.get("cas", "")) or row_of(row["name"])
    for text in (row["name"], *row.get("aliases", "").split(";")):
        found = row_of(text) if text else None
        if found is None or (mine is not None and found["cas"] == mine["cas"]):
            continue
        message = _("{text} is {name}, {cas}", text=plain(text, 40), name=found["name"], cas=found["cas"])
        if mine is not None:
            message, remedy = (
                _("{message}, and this is {cas}", message=message, cas=mine["cas"]),
                _("Leave that name out, or correct the CAS number"),
            )
        else:
            remedy = _(
                "Give the CAS number {cas} if this is the same, or leave that name out", cas=found["cas"]
            )
        raise UllageError(message, remedy=_("{remedy}; nothing was changed", remedy=remedy), code="exists")


def read_fields(given: Mapping[str, str | None]) -> dict[str, Any]:
    """Read a substance's fields into columns.

    Args:
        given: texts by the keys of `FIELDS`, and `name`; None was not given, an empty one is not known.
    Raises:
        BadInput: a field that can't be read, saying what is accepted.
    """
    columns: dict[str, Any] = {}
    for key, text in given.items():
        if text is None:
            continue
        if key == "name":
            columns |= names.columns("substance", text)
        elif key in FIELDS:
            columns |= FIELDS[key](text) if text.strip() else FORGOTTEN[key]
    return columns


def as_texts(row: OwnSubstance) -> dict[str, str]:
    """The texts that `read_fields` reads back to this row."""
    return {
        "name": row.name, "cas": row.cas, "aliases": row.aliases.replace(";", "; "),
        "family": row.family.replace("_", " "),
        "flash_point": NONE if row.no_flash_point else record_texts.temperature(row.flash_point_mc),
        "boiling_point": record_texts.temperature(row.boiling_point_mc),
        "density": "" if row.density_ug_per_ml is None else plain_figure(
            Fraction(row.density_ug_per_ml, 1_000_000), 6
        ),
        "molar_mass": record_texts.thousandths(row.molar_mg),
        "lower_limit": record_texts.percent(row.lower_milli),
        "exposure_limit": _ppm(row.exposure_ppb), "short_term_limit": _ppm(row.short_term_ppb),
        "ceiling_limit": _ppm(row.ceiling_ppb),
        "h_statements": _listed(row.h_statements), "us_waste": _listed(row.us_waste), "us_voc": row.us_voc or "",
        "hap": {True: "yes", False: "no", None: ""}[row.hap], "source": row.source, "note": row.note,
    }  # fmt: skip


def _ppm(ppb: int | None) -> str:
    return "" if ppb is None else f"{record_texts.thousandths(ppb)} ppm"


def _listed(text: str | None) -> str:
    return "" if text is None else text or NONE


def _aliases(text: str) -> dict[str, Any]:
    parts = [clean_name(part, what=_("other name")) for part in text.split(";") if part.strip()]
    return {"aliases": ";".join(dict.fromkeys(parts))}


def _family(text: str) -> dict[str, Any]:
    word = text.strip().lower().replace(" ", "_").replace("-", "_")
    if word not in families():
        raise BadInput(
            _("{text!r} is no family of substances", text=plain(text, 30)),
            remedy=_("Write one of {families}", families=", ".join(sorted(families()))),
        )
    return {"family": word}


def _flash(text: str) -> dict[str, Any]:
    if text.strip().lower() == NONE:
        return {"flash_point_mc": None, "no_flash_point": True}
    return {"flash_point_mc": units.temperature(text), "no_flash_point": False}


def _molar(text: str) -> dict[str, Any]:
    accepted = _("grams a mole, such as 106.2, from 1 to 5000")
    figure, unit = figure_and_unit(text, _("molar mass"), accepted)
    if unit not in ("", "g/mol") or not 1 <= figure <= 5_000:
        refuse(_("molar mass"), text, _("is none"), accepted)
    return {"molar_mg": round(figure * 1_000)}


def _lower(text: str) -> dict[str, Any]:
    milli = units.percent(
        text if text.strip().endswith("%") else f"{text.strip()}%", what=_("explosive limit")
    )
    if not milli:
        refuse(
            _("explosive limit"), text, _("is nothing"), _("a per cent of the air by volume, such as 1.1%")
        )
    return {"lower_milli": milli}


def _limit(column: str) -> Callable[[str], dict[str, Any]]:
    def read_limit(text: str) -> dict[str, Any]:
        accepted = _(
            "parts in a million of the air, such as 50 ppm; mg/m³ times 24.45, by the molar mass, is ppm"
        )
        figure, unit = figure_and_unit(text, _("limit"), accepted)
        if unit not in ("", "ppm"):
            refuse(_("limit"), text, _("is not in ppm"), accepted)
        if not Fraction(1, 1_000) <= figure <= _MOST_PPM:
            refuse(_("limit"), text, _("is out of reach"), accepted)
        return {column: round(figure * 1_000)}

    return read_limit


def _waste(text: str) -> dict[str, Any]:
    codes = text.upper().replace(",", " ").split()
    if codes == [NONE.upper()]:
        return {"us_waste": ""}
    strange = [code for code in codes if not _WASTE.fullmatch(code)]
    if strange:
        raise BadInput(
            _("{strange!r} is no waste code", strange=plain(strange[0], 20)),
            remedy=_("Write codes such as F003 U002, or none where it is on no list"),
        )
    return {"us_waste": " ".join(dict.fromkeys(codes))}


def _voc(text: str) -> dict[str, Any]:
    word = text.strip().lower()
    if word not in VOC_WORDS:
        raise BadInput(_("{text!r} is none", text=plain(text, 20)), remedy=_("Write voc, exempt or no"))
    return {"us_voc": word}


def _hap(text: str) -> dict[str, Any]:
    word = text.strip().lower()
    if word not in ("yes", "no"):
        raise BadInput(_("{text!r} is neither", text=plain(text, 20)), remedy=_("Write yes or no"))
    return {"hap": word == "yes"}


FIELDS: Mapping[str, Callable[[str], dict[str, Any]]] = {
    "cas": lambda text: {"cas": cas_number(text)},
    "aliases": _aliases,
    "family": _family,
    "flash_point": _flash,
    "boiling_point": lambda text: {"boiling_point_mc": units.temperature(text)},
    "density": lambda text: {"density_ug_per_ml": units.density(text)},
    "molar_mass": _molar,
    "lower_limit": _lower,
    "exposure_limit": _limit("exposure_ppb"),
    "short_term_limit": _limit("short_term_ppb"),
    "ceiling_limit": _limit("ceiling_ppb"),
    "h_statements": lambda text: {"h_statements": " ".join(read(text))},
    "us_waste": _waste,
    "us_voc": _voc,
    "hap": _hap,
    "source": lambda text: {"source": clean_note(text)},
    "note": lambda text: {"note": clean_note(text)},
}
FORGOTTEN: Mapping[str, dict[str, Any]] = {
    "cas": {"cas": ""},
    "aliases": {"aliases": ""},
    "family": {"family": ""},
    "flash_point": {"flash_point_mc": None, "no_flash_point": False},
    "boiling_point": {"boiling_point_mc": None},
    "density": {"density_ug_per_ml": None},
    "molar_mass": {"molar_mg": None},
    "lower_limit": {"lower_milli": None},
    "exposure_limit": {"exposure_ppb": None},
    "short_term_limit": {"short_term_ppb": None},
    "ceiling_limit": {"ceiling_ppb": None},
    "h_statements": {"h_statements": None},
    "us_waste": {"us_waste": None},
    "us_voc": {"us_voc": None},
    "hap": {"hap": None},
    "source": {"source": ""},
    "note": {"note": ""},
}
"""The value that an empty text gives a field: unknown."""
