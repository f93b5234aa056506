"""A saved layout reads back what was written, and an error names its key."""

import pytest

from resile.errors import RecordNotFoundError, SpecificationError
from resile.readers.layout import ColumnLayout, Layout, check_layout, layout_to_toml, read_layout

FULL = Layout(
    "hall 3", "cp1252", "semicolon", ",", ".", 3, 4, 5,
    (ColumnLayout("Zeit", "time_s", "s"), ColumnLayout("4", "ignore")),
    "Blatt 1", "s", "Pa", "%", 25.0, 1.0, 64.0,
)  # fmt: skip


def test_a_layout_comes_back_as_it_was_written(tmp_path):
    path = tmp_path / "hall.toml"
    path.write_text(layout_to_toml(FULL), encoding="utf-8")
    assert read_layout(path) == FULL


def test_a_layout_is_named_after_its_file(tmp_path):
    path = tmp_path / "hall.toml"
    path.write_text('separator = "tab"\n', encoding="utf-8")
    assert read_layout(path) == Layout(name="hall", separator="tab")


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('seperator = "tab"', "seperator"),
        ('separator = "pipe"', "separator"),
        ('decimal_mark = ";"', "decimal_mark"),
        ('encoding = "klingon"', "encoding"),
        ("heading_row = 0", "heading_row"),
        ("heading_row = 1.5", "heading_row"),
        ("gap_mm = -1", "gap_mm"),
        ('stress_unit = "kg"', "stress_unit"),
        ("sheet = 3", "sheet"),
        ('[[column]]\nquantity = "strain"', "column[1]"),
        ('[[column]]\nheading = "a"\nquantity = "sprain"', "a"),
        ('[[column]]\nheading = "a"\nquantity = "strain"\nunit = "kg"', "a"),
        ('[[column]]\nheading = "a"\nquantity = "strain"\ncolour = "red"', "colour"),
        ('column = "a"', "column"),
    ],
)
def test_a_wrong_key_is_refused_by_name(tmp_path, text, key):
    path = tmp_path / "hall.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SpecificationError, match="key") as refusal:
        read_layout(path)
    assert key in str(refusal.value)
    assert str(path) in str(refusal.value)


def test_no_layout_file_and_no_toml_are_told_apart(tmp_path):
    with pytest.raises(RecordNotFoundError):
        read_layout(tmp_path / "absent.toml")
    path = tmp_path / "hall.toml"
    path.write_text("time;stress\n", encoding="utf-8")
    with pytest.raises(SpecificationError, match="not a layout file"):
        read_layout(path)


def test_options_put_together_are_checked_too():
    with pytest.raises(SpecificationError, match="separator"):
        check_layout(Layout(separator="|"))


def test_a_result_is_a_quantity_a_column_can_hold_and_a_slip_gets_the_nearest_names() -> None:
    check_layout(
        Layout(columns=(ColumnLayout("4", "jnr_3.2", "1/kPa"), ColumnLayout("5", "mass_change_percent")))
    )
    with pytest.raises(SpecificationError, match=r"column '4'.*'jnr_3\.3' is not known; jnr_3\.2 or"):
        check_layout(Layout(columns=(ColumnLayout("4", "jnr_3.3"),)))
