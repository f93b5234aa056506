"""Headings in words, symbols, eight languages and slips; every unit must belong to its quantity."""

import pytest
from record_writer import HEADINGS

from resile.readers.grids.headings import read_heading
from resile.readers.grids.vocabulary import vocabulary
from resile.records.quantity import AGEING_QUANTITIES, QUANTITIES


@pytest.mark.parametrize("language", HEADINGS)
def test_the_four_words_of_a_record_are_known_in_each_language(language):
    quantities = [read_heading([word]).quantity for word in HEADINGS[language][0]]
    assert quantities == ["time_s", "stress_kpa", "strain", "temperature_c"]


@pytest.mark.parametrize(
    ("heading", "quantity", "unit"),
    [
        ("time [s]", "time_s", "s"),
        ("Zeit / s", "time_s", "s"),
        ("t en s", "time_s", "s"),
        ("Tau en Pa", "stress_kpa", "Pa"),
        ("γ in %", "strain", "%"),
        ("Temperature, °C", "temperature_c", "°C"),
        ("temperature_C", "temperature_c", "°C"),
        ("напряжение сдвига, кПа", "stress_kpa", "kPa"),
        ("剪切应力（kPa）", "stress_kpa", "kPa"),
        ("shear strain, γ [%]", "strain", "%"),
        ("torque [mN m]", "torque_nm", "mN·m"),
        ("Jnr at 3.2 kPa", "jnr_3.2", None),
        ("Jnr3.2", "jnr_3.2", None),
        ("Jnr_3p2_perkPa", "jnr_3.2", "1/kPa"),
        ("Jnr3200 (1/kPa)", "jnr_3.2", "1/kPa"),
        ("R_0p1_fraction", "percent_recovery_0.1", "ratio"),
        ("R 3,2 kPa [%]", "percent_recovery_3.2", "%"),
        ("% recovery at 0.1 kPa", "percent_recovery_0.1", None),
        ("Jnr_diff", "jnr_difference_percent", None),
        ("R_diff_fraction", "recovery_difference_percent", "ratio"),
        ("Gstar_over_sin_kPa", "rutting_parameter", "kPa"),
        ("|G*|/sin δ [kPa]", "rutting_parameter", "kPa"),
        ("delta_deg", "phase_angle", "°"),
        ("reported_traffic_letter", "traffic_class", None),
    ],
)
def test_quantity_and_unit_are_read_from_one_heading(heading, quantity, unit):
    reading = read_heading([heading])
    assert reading.quantity == quantity
    assert (reading.unit.name if reading.unit else None) == unit
    assert reading.remark == ""


@pytest.mark.parametrize(
    ("heading", "quantity"),
    [("t", "time_s"), ("T", "temperature_c"), ("M", "torque_nm"), ("N", "cycle_number")],
)
def test_symbols_are_read_as_printed(heading, quantity):
    assert read_heading([heading]).quantity == quantity


@pytest.mark.parametrize(
    "heading",
    [
        "n",
        "strain rate [1/s]",
        "shear rate",
        "x",
    ],
)
def test_neighbours_of_a_quantity_are_not_taken_for_it(heading):
    assert read_heading([heading]).quantity is None


@pytest.mark.parametrize(
    ("heading", "quantity"),
    [
        ("G*, kPa", "complex_modulus"),
        ("G* (kPa)", "complex_modulus"),
        ("|G*| [Pa]", "complex_modulus"),
        ("G*·sin δ", "fatigue_parameter"),
        ("G*·sin δ, kPa", "fatigue_parameter"),
        ("G*sin(delta) [kPa]", "fatigue_parameter"),
        ("G*/sin δ [kPa]", "rutting_parameter"),
        ("storage modulus [Pa]", "storage_modulus"),
        ("G'' [Pa]", "loss_modulus"),
        ("S60_MPa", "creep_stiffness"),
        ("S (MPa)", "creep_stiffness"),
        ("m60", "m_value"),
        ("m", "m_value"),
        ("m-Wert", "m_value"),
        ("劲度模量 (MPa)", "creep_stiffness"),
        ("Kriechsteifigkeit [MPa]", "creep_stiffness"),
        ("penetration_dmm", "penetration"),
        ("针入度 (0.1 mm)", "penetration"),
        ("softening_point_C", "softening_point"),
        ("эластичность, %", "elastic_recovery_percent"),
        ("angular frequency [rad/s]", "angular_frequency_rad_s"),
        ("f [Hz]", "angular_frequency_rad_s"),
        ("角频率", "angular_frequency_rad_s"),
        ("load [mN]", "load_mn"),
        ("deflection [mm]", "deflection_mm"),
        ("deflection [rad]", "angle_rad"),
        ("torque [%]", "torque_share_percent"),
        ("torque [mN.m]", "torque_nm"),
    ],
)
def test_headings_of_the_other_tests_are_read_and_shared_words_are_told_apart_by_their_unit(
    heading, quantity
):
    assert read_heading([heading]).quantity == quantity


@pytest.mark.parametrize(
    "heading", ["Temprature [°C]", "Temperatture [°C]", "shaer strain [%]", "Scherdefomation [%]"]
)
def test_a_misspelt_heading_is_read_and_the_remark_says_so(heading):
    reading = read_heading([heading])
    assert reading.quantity in ("temperature_c", "strain")
    assert "read as" in reading.remark


@pytest.mark.parametrize("unit", ["®C", "ºC", "Â°C", "�C", "?C"])
def test_a_broken_degree_sign_is_read_and_told(unit):
    reading = read_heading([f"temperature [{unit}]"])
    assert reading.unit is not None
    assert reading.unit.name == "°C"
    assert "degree sign" in reading.remark


def test_a_unit_that_cannot_belong_is_a_question():
    reading = read_heading(["shear stress [%]"])
    assert reading.quantity is None
    assert reading.candidates == ("stress_kpa",)
    assert "does not fit" in reading.remark


def test_the_units_row_wins_and_says_so():
    reading = read_heading(["torque [mN.m]"], "[N.m]")
    assert reading.unit is not None
    assert reading.unit.name == "N·m"
    assert "units row" in reading.remark


def test_a_bare_viscosity_is_only_a_candidate():
    reading = read_heading(["viscosity [mPa.s]"])
    assert (reading.quantity, reading.candidates) == (None, ("rotational_viscosity",))


def test_rows_of_a_merged_heading_are_read_together_and_a_group_title_is_passed_over():
    assert read_heading(["Shear", "stress", "kPa"]).quantity == "stress_kpa"
    assert read_heading(["Specimen 2", "time [s]"]).quantity == "time_s"
    assert read_heading(["3.2 kPa", "Jnr [1/kPa]"]).quantity == "jnr_3.2"


@pytest.mark.parametrize("name", sorted(QUANTITIES.keys() - {"delta_tc", *AGEING_QUANTITIES}))
def test_every_quantity_can_be_written_by_its_own_name(name):
    assert read_heading([name]).quantity == name


@pytest.mark.parametrize("name", AGEING_QUANTITIES)
def test_how_a_residue_was_made_is_no_column_of_a_table_of_results(name):
    assert read_heading([name]).quantity is None


def test_a_printed_difference_of_temperatures_is_what_someone_reported_for_it_is_never_measured():
    assert read_heading(["delta_tc"]).quantity == "reported_delta_tc"


def test_no_word_stands_for_two_quantities():
    import tomllib
    from importlib.resources import files

    from resile.readers.grids.vocabulary import fold

    raw = tomllib.loads((files("resile.readers.grids") / "headings.toml").read_text(encoding="utf-8"))
    owners: dict[str, set[str]] = {}
    for name, entry in raw["quantity"].items():
        for word in entry["words"]:
            owners.setdefault(fold(word), set()).add(name)
    assert {word: names for word, names in owners.items() if len(names) > 1} == {}
    assert set(vocabulary().titles) >= {"time_s", "stress_kpa", "strain"}


@pytest.mark.parametrize(
    ("heading", "quantity", "unit"),
    [
        ("angle [Âµrad]", "angle_rad", "µrad"),
        ("torque (ÂµNÂ·m)", "torque_nm", "µN·m"),
        ("phase angle [Â°]", "phase_angle", "°"),
        ("temperature [Â°C]", "temperature_c", "°C"),
        ("complex viscosity [PaÂ·s]", "complex_viscosity", "Pa·s"),
        ("gap [Î¼m]", "gap_mm", "µm"),
    ],
)
def test_signs_encoded_twice_are_read_and_it_is_said(heading: str, quantity: str, unit: str) -> None:
    reading = read_heading([heading])
    assert reading.unit is not None
    assert (reading.quantity, reading.unit.name) == (quantity, unit)
    assert "twice" in reading.remark or "misprinted" in reading.remark
