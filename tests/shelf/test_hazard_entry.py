"""What a safety sheet says of a product, as it is written, refused and kept."""

import pytest

from stock import hazard_statements, precautionary_statements
from stock.errors import BadInput
from stock.shelf import products, record_texts
from stock.shelf.hazard_entry import READERS
from stock.shelf.product_view import as_json, as_lines


@pytest.mark.parametrize(
    ("field", "typed", "kept"),
    [
        ("h_statements", "H225, H319;euh066", "H225 H319 EUH066"),
        ("h_statements", ["H225 H319", "H225"], "H225 H319"),
        ("h_statements", "h311 + h301", "H301+H311"),
        ("h_statements", "H301+311+331", "H301+H311+H331"),
        ("h_statements", "H350I h361FD H360Fd", "H350i H361fd H360Fd"),
        ("h_statements", " None ", ""),
        ("p_statements", "p210 P305+P351+P338 P210", "P210 P305+P351+P338"),
        ("p_statements", "none", ""),
        ("pictograms", "ghs02, Exclamation mark", "GHS02 GHS07"),
        ("pictograms", "flame over circle flame", "GHS03 GHS02"),
        ("signal_word", "Danger", "danger"),
        ("signal_word", "none", "none"),
        ("un_number", "UN 1263", "1263"),
        ("un_number", "none", ""),
        ("transport_class", "3 (8)", "3 (8)"),
        ("transport_class", "6.1 (3+8)", "6.1 (3, 8)"),
        ("packing_group", "iii", "III"),
        ("packing_group", "2", "II"),
        ("packing_group", "none", ""),
        ("gloves", "  butyl,\n0.7 mm ", "butyl, 0.7 mm"),
    ],
)
def test_is_kept_as(field, typed, kept):
    assert READERS[field](typed) == kept


@pytest.mark.parametrize(
    ("field", "typed", "why"),
    [
        ("h_statements", "H225 H999", "no hazard statement 'H999'"),
        ("h_statements", "H22", "no hazard statement 'H22'"),
        ("h_statements", "225", "no hazard statement '225'"),
        ("h_statements", "H301+H319", "no hazard statement 'H301"),
        ("h_statements", "h360fd", "could be H360FD or H360Fd"),
        ("h_statements", "H317A", "no hazard statement 'H317A'"),
        ("h_statements", "none H225", "no hazard statement 'none'"),
        ("p_statements", "P21", "no precautionary statement"),
        ("p_statements", "H225", "no precautionary statement"),
        ("p_statements", "P610", "no precautionary statement"),
        ("pictograms", "GHS10", "no pictogram"),
        ("pictograms", "flames", "no pictogram"),
        ("signal_word", "Caution", "no signal word"),
        ("un_number", "126", "no UN number"),
        ("un_number", "12634", "no UN number"),
        ("transport_class", "10", "no class"),
        ("transport_class", "3 (0)", "no class"),
        ("transport_class", "", "no class"),
        ("packing_group", "IV", "no packing group"),
        ("gloves", "x" * 301, "301 letters"),
    ],
)
def test_is_refused(field, typed, why):
    with pytest.raises(BadInput, match=why) as refused:
        READERS[field](typed)
    assert str(refused.value.remedy)


def test_what_is_refused_names_those_that_are_alike():
    with pytest.raises(BadInput) as refused:
        hazard_statements.read("H229A")
    assert "There are H229;" in str(refused.value.remedy)


def test_table_of_statements_is_whole():
    """Each row has a text and a source; each combined one says what its parts say; each pictogram exists."""
    known = hazard_statements.statements()
    assert len(known) == 130
    for code, one in known.items():
        assert one.text
        assert one.source
        assert not one.text.endswith(".")
        assert one.signal in ("", "warning", "danger")
        assert set(one.pictograms) <= set(hazard_statements.PICTOGRAMS)
        if "+" in code:
            parts = [known[part] for part in code.split("+")]
            assert {part.hazards for part in parts} == {one.hazards}
            assert one.text.split()[0] in {part.text.split()[0] for part in parts}
    assert hazard_statements.read(", ".join(known)) == tuple(known)


def test_refused_statement_changes_nothing_and_none_is_not_unknown(stocked):
    products.change("Harbour Blue", {"h_statements": "H317", "un_number": "none", "packing_group": "none"})
    with pytest.raises(BadInput):
        products.change("Harbour Blue", {"h_statements": "H317 H31", "density": "1.2"})
    texts = record_texts.product("Harbour Blue")
    assert (texts["h_statements"], texts["density"], texts["un_number"]) == ("H317", "1.05", "none")
    answer = as_json(products.change("Harbour Blue", {"h_statements": "none"}))
    assert (answer["h_statements"], answer["p_statements"], answer["un_number"]) == ([], None, "")
    assert "  transport     no dangerous goods" in as_lines(answer)
    assert "  statements    none" in as_lines(answer)


def test_show_prints_the_statements_with_their_texts(stocked):
    row = products.change(
        "Harbour Blue", {"h_statements": "H317 H361fd", "un_number": "1263", "packing_group": "II"}
    )
    lines = as_lines(as_json(row))
    assert (
        "  statements    H317 May cause an allergic skin reaction. H361fd Suspected of damaging fertility. "
        "Suspected of damaging the unborn child." in lines
    )
    assert "  transport     UN 1263, packing group II" in lines


def test_a_combined_precaution_reads_as_its_parts_and_an_unknown_one_says_so():
    assert precautionary_statements.text_of(("P305+P351+P338", "P235")) == (
        "P305+P351+P338 IF IN EYES: Rinse cautiously with water for several minutes. Remove contact lenses, if present "
        "and easy to do. Continue rinsing. P235 Keep cool."
    )
    assert precautionary_statements.text_of(("P317",)) == "P317 (P317: as its label says)"


def test_every_precaution_has_a_text_and_the_form_that_is_read():
    known = precautionary_statements.texts()
    assert precautionary_statements.read(", ".join(known)) == tuple(known)
    assert all(text.endswith((".", ":", "…", "/…")) for text in known.values())
