"""The words that columns may hold, listed both by the CHECKs of the tables and by refusals."""

ROLES = ("paint", "clear", "reducer", "cleaner", "additive", "hardener", "mixed")
MOVEMENT_KINDS = (
    "received", "kept", "poured", "washed", "discarded", "counted", "moved_in", "moved_out", "reversed",
)  # fmt: skip
BOOKING_KINDS = (
    "delivery", "open", "move", "discard", "decant", "count", "frozen",
    "mix", "step", "close", "wash", "order", "cancel", "planned_use", "import", "undo",
)  # fmt: skip
PLACE_KINDS = ("cabinet", "shelf", "store", "spray_area", "rag_bin")
PREMISES = ("home", "garage", "workshop", "spray_room")
CONTAINERS = ("glass", "plastic", "metal", "safety_can", "aerosol_can", "drum")
SIGNAL_WORDS = ("none", "warning", "danger")
PACKING_GROUPS = ("I", "II", "III")
VOC_WORDS = ("voc", "exempt", "no")
TRAININGS = ("diisocyanates",)
OUTCOMES = ("good", "thick", "thin", "ruined")
STEP_PURPOSES = ("thin", "bring_back", "add")
LOSSES = ("spilled", "leaked", "dried_out")
"""Reasons of a count that are a loss; unlogged use is none."""
COUNT_REASONS = (*LOSSES, "not_logged", "corrected")
"""`corrected` means that an earlier entry was wrong and nothing was lost or used."""
PARTS = ("paint", "reducer", "additive", "hardener")
PAPERS = ("", "a4", "letter")
"""The papers that a studio prints on; an empty one follows from its measures."""
WEIGHED = ("count", "pour", "density", "tare")
"""What a weighing gave: the volume in a bottle, the poured volume, a product's density, or an empty bottle's weight."""
