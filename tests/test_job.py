"""A job: read as people type, checked, kept to the last digit, shown in other units without being relabeled."""

import json
import re
import tomllib
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankmath.crank import EXAMPLES, Crank
from crankmath.inspection.uncertainty import tool_source
from crankmath.job import Job, fields, like, starting_answers
from crankmath.job.starting import ANSWERS, NEWER, starting_texts
from crankmath.lathe import KEYS, NEEDED, attribute, load_lathe
from crankmath.units import Quantity


@pytest.fixture
def pump():
    return Job.load("pump")


@pytest.mark.parametrize("name", EXAMPLES)
def test_round_trip_is_exact(name, tmp_path):
    job = (
        Job.load(name)
        .typed("thrust", "1/3 lbf")
        .typed("bar_size", "3-1/8 in")
        .typed("efficiency", "82,5 %")
        .typed("gear_table", "70 112.5 160")
    )
    again = Job.from_dict(json.loads(job.to_json()))
    assert again == job and again.to_json() == job.to_json()
    assert again["thrust"].magnitude == 1 / 3 and again["thrust"].units == Quantity(1, "lbf").units
    job.save(tmp_path / "job.json")
    assert Job.load(tmp_path / "job.json") == job
    assert list(tmp_path.iterdir()) == [tmp_path / "job.json"]


@given(st.floats(1e-6, 9999), st.floats(1e-6, 9999), st.sampled_from(("mm", "in")))
@settings(max_examples=60, deadline=None)
def test_any_number_comes_back_to_the_last_digit(size, force, units):
    job = Job.load("pump")
    answers = job.answers | {
        "bore": Quantity(size, "mm" if units == "mm" else "in")
        if size < 300
        else Quantity(size, "um"),
        "thrust": Quantity(force, "lbf"),
    }
    kept = Job(job.crank, answers)
    again = Job.from_dict(json.loads(json.dumps(kept.to_dict())))
    for key in ("bore", "thrust"):
        assert again[key].magnitude == kept[key].magnitude and again[key].units == kept[key].units


def test_a_crank_changed_in_other_units_is_kept_too():
    crank = Crank.load("bellows").with_throw(0, radius=Quantity(15.0, "mm"))
    job = Job(crank)
    assert Job.from_dict(json.loads(job.to_json())).crank.to_dict() == job.crank.to_dict()


@pytest.mark.parametrize(
    ("key", "text", "size", "unit"),
    [
        ("thrust", "80 lbf", 355.8577, "N"),
        ("bore", "0,25 mm", 0.25, "mm"),
        ("bore", "3/4 in", 19.05, "mm"),
        ("bore", "1-1/8 in", 28.575, "mm"),
        ("spacer_doubt", '0.002"', 50.8, "um"),
        ("power", "3/4 hp", 559.275, "W"),
        ("pressure", "100 psi", 0.6894757, "MPa"),
        ("phase_tolerance", "½ °", 0.5, "deg"),
    ],
)
def test_reads_what_a_workshop_writes(pump, key, text, size, unit):
    """1 lbf = 4.4482216 N, 1 in = 25.4 mm, 1 hp = 745.70 W (mechanical), 1 psi = 6894.757 Pa: handbook factors."""
    assert pump.typed(key, text)[key].m_as(unit) == pytest.approx(size, rel=1e-5)


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("efficiency", "82 %", 0.82),
        ("efficiency", "0,8", 0.8),
        ("efficiency", "3/4", 0.75),
        ("gear_table", "70, 110; 160 rpm", (70.0, 110.0, 160.0)),
        ("gear_table", "160 70", (70.0, 160.0)),
        ("feeds", "0,03 0.06 mm", (0.03, 0.06)),
        ("feeds", "0.002 0.004 in", (0.0508, 0.1016)),
        ("hardness", "", None),
        ("bar_size", "", None),
        ("machine", "liquid pump", "liquid pump"),
        ("lathe_name", "  old   iron ", "old iron"),
    ],
)
def test_reads_shares_lists_words_and_blanks(pump, key, text, value):
    assert pump.typed(key, text)[key] == (pytest.approx(value) if key == "feeds" else value)


def test_units_convert_and_come_back_as_typed(pump):
    field = fields.BY_KEY["rough_depth"]
    typed = pump.typed("rough_depth", "0,8 mm")["rough_depth"]
    assert field.shown(typed, "mm") == "0.8 mm" and field.shown(typed, "in") == "0.0315 in"
    assert fields.BY_KEY["thrust"].shown(Quantity(80.0, "lbf"), "mm") == "355.9 N"
    assert fields.BY_KEY["crank_speed"].shown(pump["crank_speed"], "in") == "120 rpm"


def test_what_is_typed_is_no_longer_assumed(pump):
    before = {one.key for one, _, _ in pump.assumed()}
    after = {one.key for one, _, _ in pump.typed("thrust", "400 N").assumed()}
    unused = {
        "bar_height",
        "push",
        "clearance_share",
        "fixing_hole",
        "fixing_length",
        "peak_pressure",
        "compression_ratio",
        "bearing_corner",
        "bearing_series",
        "bearing_play",
        "dynamic_rating",
        "bank_angle",
        "chain_drill",
        "base_speed",
    }  # a round bar, a liquid pump, bushings, milled slots, gears
    assert before == set(fields.BY_KEY) - unused and before - after == {"thrust"}
    assert pump.typed("bar_shape", "flat").uses("bar_height") and not pump.typed(
        "spacers", "none"
    ).uses("spacer_doubt")
    assert all(basis for _, _, basis in pump.assumed())


def test_every_question_has_a_start_and_every_tool_is_known():
    for name in ("all", *EXAMPLES):
        for units in ("mm", "in"):
            assert set(starting_answers(name, units)) == set(fields.BY_KEY)
    for tool in (
        *fields.INDICATORS,
        "height gauge 0.02 mm",
        "pair of vee blocks",
        "surface plate",
    ):
        assert tool_source(tool, "one").standard.magnitude > 0


def test_another_crank_keeps_what_was_typed():
    job = Job.load("pump").typed("thrust", "500 N")
    other = job.with_crank(Crank.load("bellows"))
    assert other["thrust"] == Quantity(500.0, "N") and other["machine"] == "steady force"
    garden = Crank.from_dict(Crank.load("pump").to_dict() | {"name": "garden"})
    own = job.with_crank(garden, edited=True)
    assert own["bore"] == job["bore"], "a pump under another name is a pump"
    assert like(own.crank) == "all" and like(job.crank) == "pump"


def test_an_own_inch_crank_starts_with_round_inches():
    """Its name is no example's: what holds for all must not take back what holds for inches."""
    own = Job(Crank.from_dict(Crank.load("bellows").to_dict() | {"name": "my inch crank"}))
    assert own["last_cut"] == Quantity(0.002, "in")
    assert own["center_standard"] == "ASME"
    for key, (text, _) in starting_texts("all", "in").items():
        metric = text.endswith((" mm", " um", " N", " MPa", " kg"))
        assert not metric or key in ANSWERS, (key, text)


def test_what_is_assumed_does_not_follow_the_crank_before():
    """An inch crank taken up after a metric one asks for what it would ask for alone, in round inches."""
    small = Crank.from_dict(Crank.load("bellows").to_dict() | {"name": "my inch crank"})
    for before in ("pump", "bellows", "organ"):
        job = Job.load(before).typed("thrust", "500 N").with_crank(small)
        assert job == Job(small, {"thrust": Quantity(500.0, "N")}, {"thrust"})
    assert job["handwheel_lead"] == Quantity(0.1, "in")  # ten turns an inch
    metric = job.with_crank(replace(small, units="mm"), edited=True)
    assert metric["handwheel_lead"] == Quantity(2.0, "mm") and metric["thrust"] == job["thrust"]


OTHER_LATHE = """
name = "old iron"
center_height_mm = 125
between_centers_mm = 700
gear_table_rpm = [80, 200, 500]
unbalance_force_n = 90
center_height_over_carriage_mm = 70
feeds_mm = [0.05, 0.1]
power_w = 300
drive = "electronic"
base_speed_rpm = 1100
efficiency = 0.7
headstock_stiffness_n_per_um = 70
tailstock_stiffness_n_per_um = 30
slide_reach_mm = 35
axial_stiffness_n_per_um = 90
tool_stiffness_n_per_um = 35
tool_axial_stiffness_n_per_um = 45
tool_frequency_hz = 300
tool_axial_frequency_hz = 350
damping_ratio = 0.03
process_damping_n_per_m = 5e4
"""


def test_a_lathe_file_reaches_every_constant(pump, tmp_path):
    (tmp_path / "lathe.toml").write_text(OTHER_LATHE)
    job = pump.with_lathe(load_lathe(tmp_path / "lathe.toml"))
    assert job.lathe.assumed == () and job.lathe.name == "old iron"
    written = tomllib.loads(OTHER_LATHE)
    assert set(written) == set(KEYS)
    for key, unit in KEYS.items():
        value = getattr(job.lathe, attribute(key))
        value = value if unit is None else value.m_as(unit)
        assert np.all(np.isclose(value, written[key]) if unit else value == written[key]), key
    again = Job.from_dict(json.loads(job.to_json()))
    assert again == job and again.lathe.feeds.m_as("mm").tolist() == [0.05, 0.1]


def test_what_a_lathe_file_leaves_out_stays_assumed(pump, tmp_path):
    six = "\n".join(line for line in OTHER_LATHE.splitlines() if line.startswith(NEEDED))
    (tmp_path / "lathe.toml").write_text(six)
    typed = pump.typed("damping_ratio", "0.02")
    job = typed.with_lathe(load_lathe(tmp_path / "lathe.toml"))
    assert job["damping_ratio"] == 0.02 and "tool_stiffness" not in job.given
    school = load_lathe()
    assert job.lathe.tool_stiffness == school.tool_stiffness
    assert "tool_stiffness" in job.lathe.assumed and "power" not in job.lathe.assumed


def test_an_example_stands_on_the_schools_lathe(pump):
    """The job had stiffnesses and a damping of its own: 20 N/um at both centers, 3 %."""
    school = load_lathe()
    for key in KEYS:
        assert np.all(getattr(pump.lathe, attribute(key)) == getattr(school, attribute(key))), key


@pytest.mark.parametrize("typed", [False, True])
def test_a_file_of_an_earlier_sheet_is_read(pump, typed):
    """Earlier sheets asked one stiffness of both centers and one nose of all tools."""
    data = pump.to_dict()
    for key in NEWER:
        data["answers"].pop(key)
    data["answers"] |= {
        "center_stiffness": [33.0, "N/um"],
        "tool_stiffness": [20.0, "N/um"],
        "damping_ratio": 0.03,
        "nose_radius": [0.8, "mm"],
    }
    data["given"] = ["center_stiffness", "tool_stiffness", "nose_radius"] if typed else []
    job, school = Job.from_dict(json.loads(json.dumps(data))), load_lathe()
    kept = Quantity(33.0, "N/um") if typed else school.tailstock_stiffness
    assert job.lathe.tailstock_stiffness == kept
    assert job.lathe.tool_stiffness == (Quantity(20.0, "N/um") if typed else school.tool_stiffness)
    assert job.lathe.damping_ratio == school.damping_ratio
    assert job["rough_nose"] == job["nose_radius"] == Quantity(0.8, "mm")
    assert ("rough_nose" in job.given) == ("headstock_stiffness" in job.given) == typed
    assert Job.from_dict(job.to_dict()) == job


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda data: data.pop("answers"), "lacks the key “answers”"),
        (lambda data: data["answers"].pop("thrust"), "lacks the key “thrust”"),
        (lambda data: data["answers"].update(luck=1), "unknown key “luck”"),
        (
            lambda data: data["answers"].update(thrust=[400, "stone"]),
            "thrust has to be a number and one of N",
        ),
        (lambda data: data["answers"].update(thrust=400), "thrust has to be a number and one of N"),
        (lambda data: data["answers"].update(thrust=[True, "N"]), "thrust has to be a number"),
        (lambda data: data["answers"].update(machine="volcano"), "Machine must be one of"),
        (lambda data: data["answers"].update(efficiency="0.75"), "efficiency has to be a number"),
        (
            lambda data: data["answers"].update(gear_table=[70, "x"]),
            "gear_table has to be a list of numbers",
        ),
        (lambda data: data["answers"].update(main_class="H7"), "small letter"),
        (lambda data: data["crank"].update(steel="tin"), "steel 'tin' is not known"),
        (lambda data: data.update(version=99), "version 99"),
        (lambda data: data.update(format="poem"), "not a job file"),
        (lambda data: data.update(given=["luck"]), "no question “luck”"),
    ],
)
def test_a_wrong_file_names_the_key(pump, tmp_path, change, words):
    data = pump.to_dict()
    change(data)
    (tmp_path / "job.json").write_text(json.dumps(data))
    with pytest.raises(ValueError, match=words):
        Job.load(tmp_path / "job.json")


def test_files_that_are_none(tmp_path):
    with pytest.raises(FileNotFoundError, match="no file"):
        Job.load(tmp_path / "none.json")
    (tmp_path / "deep.json").write_text("[" * 100_000)
    with pytest.raises(ValueError, match="not a JSON file"):
        Job.load(tmp_path / "deep.json")
    (tmp_path / "big.json").write_text(" " * 3_000_000)
    with pytest.raises(ValueError, match="too large"):
        Job.load(tmp_path / "big.json")


def test_wrong_questions_and_cranks(pump):
    with pytest.raises(ValueError, match="no question “luck”"):
        pump.typed("luck", "much")
    with pytest.raises(ValueError, match="no question “luck”"):
        Job(pump.crank, {"luck": 1})
    with pytest.raises(TypeError, match="has to be a Crank"):
        Job("pump")


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("pressure", "8", "write for example 0.5 MPa"),  # 600 MPa is more than it takes
        ("rough_depth", "1,5", "write for example 1 mm"),
        ("hardness", "200 HB", "write for example 200$"),
        ("reliability", "99", "is a share of 1, not 99; write for example 0.99 or 99 %"),
    ],
)
def test_offered_example_is_one_that_the_field_takes(key, text, words):
    job = Job.load("pump")
    with pytest.raises((ValueError, TypeError), match=words) as said:
        job.typed(key, text)
    job.typed(key, str(said.value).rpartition("for example ")[2].partition(" or ")[0])


MEASURED = [one for one in fields.FIELDS if one.kind in ("quantity", "number")]


def test_limits_are_round_and_kept():
    """One digit that a reader keeps in mind, or a turn's part; the limit itself is taken where it is "at most"."""
    for asked in MEASURED:
        limits_of(asked)


def limits_of(asked):
    one = Quantity(1.0, asked.units[0]) if asked.units else 1.0
    for limit in (asked.above, asked.least, asked.most):
        plain = limit is None or float(f"{limit:.1g}") == limit or limit in (25, 45, 180)
        assert plain or (asked.key, limit) == ("reliability", 0.999999), limit  # not all cranks
    lowest = asked.above if asked.least is None else asked.least
    assert lowest == {"approach_angle": 10, "compression_ratio": 1, "reliability": 0.5}.get(
        asked.key, 0
    ), "anything else may be as small as one likes"
    assert asked.checked((lowest + 1e-4) * one) == (lowest + 1e-4) * one
    beyond = [(asked.most, 1 + 1e-6)]
    if lowest is not None:
        beyond.append((lowest, 1 - 1e-6) if lowest else (-1e-6, 1))
        assert asked.least is None or asked.checked(asked.least * one) == asked.least * one
        if asked.above is not None:
            beyond.append((asked.above, 1))
    for limit, over in beyond:
        with pytest.raises(ValueError, match=f"^{re.escape(asked.label)}.* must be "):
            asked.checked(limit * over * one)
    assert asked.checked(asked.most * one) == asked.most * one, asked.key


def test_an_inch_job_shows_the_school_lathe_in_sensible_figures_and_keeps_it_exact():
    """90 mm are 3.5433 in, 100 mm 3.9370, and 0.12 mm 0.0047244 in: four figures are less than a
    hundredth of a millimeter on the lathe. A form that sends back what it shows changes nothing;
    of a row only what was retyped.
    """
    job = Job.load("bellows").typed("slide_reach", "100 mm")
    assert fields.BY_KEY["slide_reach"].shown(job["slide_reach"], "in") == "3.937 in"
    for one in fields.FIELDS:
        text = one.shown(job[one.key], "in")
        for part in re.findall(r"[\d.]+", text) if one.key in ANSWERS else ():
            assert len(part.replace(".", "").strip("0")) <= 4, (one.key, text)
        assert job.typed(one.key, text).to_dict()["answers"] == job.to_dict()["answers"], text
    shown = fields.BY_KEY["feeds"].shown(job["feeds"], "in")
    changed = job.typed("feeds", shown.replace("0.003937", "0.0045"))["feeds"]
    assert shown.count("0.003937") == 1 and len(changed) == len(job["feeds"])
    assert set(job["feeds"]) - set(changed) == {0.1}
    assert list(set(changed) - set(job["feeds"])) == pytest.approx([0.1143])


def test_what_was_typed_in_inches_comes_back_with_all_its_figures():
    job = Job.load("bellows")
    assert fields.BY_KEY["feeds"].shown(
        job.typed("feeds", "0.00125 0.0021875 in")["feeds"], "in"
    ) == ("0.00125 0.0021875 in")
    assert fields.BY_KEY["center_height"].shown(Quantity(3.54331, "in"), "in") == "3.54331 in"
    assert fields.BY_KEY["center_height"].shown(Quantity(3.5433, "in"), "mm") == "90 mm"
