"""Answers about products, lines, data sheets and recipes."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import Day, PackShape, Quantity, SolventShape


class FigureSourceShape(TypedDict):
    """Where a figure of a record was read: the file with its hash, the page and line, and the words."""

    field: str
    value: str
    sheet: str
    revised: Day
    file: str
    sha256: str
    page: int | None
    line: int
    section: int | None
    words: str
    place: str


class FactsShape(TypedDict):
    """What a product or a line says; None is not known and counts as the worse case."""

    name: str
    maker: str
    supplier: str | None
    lead_time: str | None
    packs: list[PackShape]
    density_g_per_ml: Quantity | None
    drops_per_ml: Quantity | None
    water_percent: Quantity | None
    solids_percent: Quantity | None
    solvents: list[SolventShape]
    no_solvent: bool
    flash_point_c: Quantity | None
    no_flash_point: bool
    boiling_point_c: Quantity | None
    ph_low: Quantity | None
    ph_high: Quantity | None
    opened_life: str | None
    sealed_life: str | None
    pot_life: str | None
    store_low_c: Quantity | None
    store_high_c: Quantity | None
    usual_reducer: str | None
    not_with: list[str]
    groups: list[str]
    voc_categories: list[str]
    signal_word: str | None
    h_statements: list[str] | None
    p_statements: list[str] | None
    pictograms: list[str] | None
    gloves: str | None
    eye_protection: str | None
    breathing_protection: str | None
    un_number: str | None
    transport_class: str | None
    packing_group: str | None
    incompatible: str | None
    contradictions: list[str]
    note: str


class ProductShape(FactsShape):
    """A product with the values in force; `inherited` names the keys that its line says."""

    role: str
    line: str
    code: str
    color: str | None
    discontinued_on: Day | None
    density_uncertainty_g_per_ml: Quantity | None
    inherited: list[str]
    sources: list[FigureSourceShape]


class ListedProductShape(TypedDict):
    """A product in a list."""

    name: str
    role: str
    line: str
    supplier: str | None
    usual_reducer: str | None
    discontinued: bool


class ProductsShape(TypedDict):
    """All products."""

    products: list[ListedProductShape]


class DeletedProductShape(TypedDict):
    """A product that was deleted with all that was noted of it."""

    product: str
    deleted: bool


class ChangedProductsShape(TypedDict):
    """The products of a line that were changed at once."""

    line: str
    products: list[str]


class ProductOfLineShape(TypedDict):
    """A product of a line, and the keys that it says itself."""

    name: str
    own: list[str]


class SheetOfLineShape(TypedDict):
    """A revision of a sheet that is of a whole line."""

    title: str
    revised: Day
    source: str


class LineShape(FactsShape):
    """A line, its sheets and its products."""

    role: str | None
    sheets: list[SheetOfLineShape]
    products: list[ProductOfLineShape]


class ListedLineShape(TypedDict):
    """A line in a list."""

    name: str
    role: str | None
    maker: str
    products: int


class LinesShape(TypedDict):
    """All lines."""

    lines: list[ListedLineShape]


class FilledLineShape(TypedDict):
    """Products and bottles that came into a line from a list of names."""

    line: str
    products: list[str]
    bottles: int
    volume_ml: Quantity
    opened_unknown: int
    delivery: int | None
    booked: bool


class LearntDensityShape(TypedDict):
    """A density that a weighing taught, with its uncertainty, and the one before."""

    product: str
    density_g_per_ml: Quantity
    uncertainty_g_per_ml: Quantity
    net_g: Quantity
    volume_ml: Quantity
    before_g_per_ml: Quantity | None


DosingShape = TypedDict(
    "DosingShape",
    {
        "with": str | None,
        "line": str | None,
        "needle_low_mm": Quantity | None,
        "needle_high_mm": Quantity | None,
        "low": Quantity,
        "high": Quantity,
        "step": Quantity | None,
        "pressure_low_bar": Quantity | None,
        "pressure_high_bar": Quantity | None,
        "humidity": str,
        "wording": str,
    },
)
"""A range of reduction that a data sheet gives, in per cent of the paint."""


class DataSheetShape(TypedDict):
    """A revision of a data sheet of a product."""

    product: str
    title: str
    revised: Day
    source: str
    withdrawn: bool
    replaced_by: Day | None
    in_force: bool
    dosings: list[DosingShape]


class DataSheetsShape(TypedDict):
    """All revisions of a product's data sheets."""

    sheets: list[DataSheetShape]


class RevisionShape(TypedDict):
    """A revision by its title and day."""

    title: str
    revised: Day


class ChangedDosingShape(TypedDict):
    """What differs between two revisions; None where one of them has no such range."""

    what: str
    before: DosingShape | None
    after: DosingShape | None


class ComparisonShape(TypedDict):
    """Two revisions of a data sheet, and what differs."""

    older: RevisionShape
    newer: RevisionShape
    changes: list[ChangedDosingShape]


class ProposalShape(TypedDict):
    """A figure that a sheet proposes, beside the words that it was read from."""

    field: str
    value: Quantity | str | list[str] | None
    low: Quantity | str | None
    high: Quantity | str | None
    sure: bool
    page: int | None
    section: int | None
    text: str
    line: int
    shown: str
    booked: str | None
    doubts: list[str]
    figures: NotRequired[dict[str, object]]


class TakenFiguresShape(TypedDict):
    """Which proposals are in the record now, which are kept as words only, and which were left."""

    whose: str
    products: list[str]
    title: str
    revised_on: Day
    booked: list[str]
    kept: list[str]
    left: list[str]


class SheetReadingShape(TypedDict):
    """What a file proposes; `refused` says why it could not be read."""

    file: str
    sha256: str
    pages: int | None
    language: str | None
    complete: bool
    proposals: list[ProposalShape]
    refused: str | None
    taken: NotRequired[TakenFiguresShape]


class FolderSheetShape(TypedDict):
    """One file of several: whose it seems to be, what it proposes, and what became of it; `why` says so in words.

    `differs` names the figures that the record has otherwise, with what it has; they are taken one by one only.
    """

    file: str
    sha256: str | None
    pages: int | None
    language: str | None
    complete: bool
    state: Literal["taken", "ready", "unsure", "known", "unreadable"]
    why: str
    product: str | None
    line: str | None
    match_sure: bool
    candidates: list[str]
    proposals: list[ProposalShape]
    sure: int
    unsure: int
    differs: dict[str, str]
    refused: str | None
    taken: TakenFiguresShape | None


class SheetFolderShape(TypedDict):
    """Several files of data sheets; `taken` says whether what is sure of them was booked."""

    sheets: list[FolderSheetShape]
    taken: bool


class RecipePartShape(TypedDict):
    """One part of a recipe."""

    product: str
    part: Literal["paint", "reducer", "hardener", "additive"]
    parts: Quantity


class RecipeShape(TypedDict):
    """A recipe by parts."""

    name: str
    note: str
    parts: list[RecipePartShape]


class RecipesShape(TypedDict):
    """All recipes."""

    recipes: list[RecipeShape]
