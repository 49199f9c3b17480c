"""The fields of forms that a remedy names in place of a command's options."""

from stock.language import _

FIELDS = {
    "bottle": _("or bottle"),
    "encoding": _("Encoding"),
    "from": _("Bottles"),
    "head": _("Heads in row"),
    "left": _("Left over"),
    "level": _("or level"),
    "lot": _("Lot"),
    "make": _("New names"),
    "reason": _("Because"),
    "reduce": _("Reduction"),
    "role": _("New role"),
    "sheet": _("Sheet"),
    "supplier": _("From"),
    "tax": _("Tax rate"),
    "tare": _("Empty weight"),
    "total": _("Total"),
    "weight": _("or weight"),
    "with": _("Reducer"),
}
"""Options that a remedy may name, and the field of a form that is filled in instead."""
