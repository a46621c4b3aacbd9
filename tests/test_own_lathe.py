"""The reader's own lathes: kept by name, chosen for forms, panels, plans and the command."""

import re
from pathlib import Path

import pytest

from crankbook.forms.job_form import TAKEN, JobForm
from crankbook.forms.my_work import own_files
from crankbook.lesson import own_lathe, progress
from crankbook.lessons.turning import lesson_04, lesson_05, lesson_06, lesson_07, plan_in_space
from crankbook.sheet import command
from crankmath.job import Job
from crankmath.lathe import load_lathe
from crankmath.units import Quantity

pytestmark = pytest.mark.usefixtures("own_folder")
SIX = {
    "lathe_name": "Old Iron",
    "center_height": "4 in",
    "between_centers": "24 in",
    "power": "0.25 hp",
    "gear_table": "60 120 300 600",
    "unbalance_force": "20 lbf",
}


def typed(form, answers):
    for key, text in answers.items():
        form.set(key, text)
    return form


def kept():
    form = typed(JobForm(), SIX)
    form.keep_lathe()
    return form


def test_the_form_keeps_a_lathe_once_it_knows_what_a_lathe_needs(own_folder):
    """What was not typed is not in the file: it stays assumed for whoever reads it."""
    form = JobForm()
    assert "type these first: Name of the lathe, Center height" in form.keep_lathe()
    assert "another name" in typed(form, SIX | {"lathe_name": "night school lathe"}).keep_lathe()
    form.set("lathe_name", "Old Iron")
    form.receive({"type": "lathe"})
    assert "Kept as" in form.status and "old-iron.toml" in form.status
    lathe = load_lathe(own_folder / "my-lathes" / "old-iron.toml")
    assert lathe.center_height.m_as("mm") == pytest.approx(101.6)
    assert lathe.gear_table.m_as("rpm").tolist() == [60, 120, 300, 600]
    assert "drive" in lathe.assumed and lathe.to_toml().count("\n") == 6
    assert "my-lathes/old-iron.toml" in dict(own_files())


def test_kept_again_the_earlier_one_is_beside_it(own_folder):
    form = kept()
    before = (own_folder / "my-lathes" / "old-iron.toml").read_text()
    typed(form, {"power": "0.5 hp"}).keep_lathe(), form.keep_lathe()
    earlier = sorted((own_folder / "my-lathes" / "earlier").iterdir())
    assert [one.read_text() for one in earlier] == [before]
    assert own_lathe.names() == ("Old Iron", own_lathe.SCHOOL.name)


def test_another_lathe_is_taken_whole_and_the_rest_of_the_job_stays():
    """An answer typed of one lathe is none of another's."""
    form = typed(kept(), {"thrust": "300 N", "tool_stiffness": "40 N/um"})
    form.receive({"type": "edit", "key": TAKEN, "text": own_lathe.SCHOOL.name})
    assert form.job.given == {"thrust"} and form.job["lathe_name"] == own_lathe.SCHOOL.name
    assert own_lathe.chosen() is own_lathe.SCHOOL
    form.receive({"type": "edit", "key": TAKEN, "text": "Old Iron"})
    assert form.job.given == {"thrust", *SIX} and own_lathe.chosen().name == "Old Iron"
    assert form.job["tool_stiffness"] == own_lathe.SCHOOL.tool_stiffness
    assert "there is no lathe “Rust”" in form.take_lathe("Rust")
    assert own_lathe.chosen().name == "Old Iron"


def test_panels_plans_and_new_jobs_stand_on_the_chosen_lathe():
    """A quarter horsepower and 600 rpm: 0.75 x 186 W = 140 W are left at the edge at any step."""
    at = Quantity(7, "dimensionless")
    pictures = [
        lambda: lesson_04.picture(
            Quantity(60, "m/min"), Quantity(8, "mm"), Quantity(0, "mm"), Quantity(1, "kg")
        ),
        lambda: lesson_05.picture(
            Quantity(1.5, "mm"), Quantity(0.12, "mm"), "pump, first pin", lesson_05.MILLINGS[0]
        ),
        lambda: lesson_06.picture(
            Quantity(1, "mm"), Quantity(0.12, "mm"), "pump, first pin", "sharp, fed along"
        ),
        lambda: lesson_07.picture(
            Quantity(6, "mm"), Quantity(4, "percent"), Quantity(400, "rpm"), "pump, full edge"
        ),
        lambda: plan_in_space.steps_scene().picture("pump", at),
    ]
    before = [str(picture()[1]) for picture in pictures]
    kept()
    after = [str(picture()[1]) for picture in pictures]
    assert "Use 600 rpm" in after[0] and "Use 2000 rpm" in before[0]
    assert "of 140 W left" in after[2]
    assert all(said.endswith("On your lathe, Old Iron.") for said in after[:4])
    assert "Old Iron" not in "".join(before)
    assert all(one != other for one, other in zip(before[:3], after[:3], strict=True))
    assert "in rpm, by diameter" in after[4] and after[4] != before[4]
    assert JobForm().job.lathe.gear_table.m_as("rpm").max() == 600
    assert own_lathe.under(Job.load("pump")).lathe.name == "Old Iron"


def test_what_is_wrong_with_a_file_is_named_and_the_school_stands_in(own_folder, capsys):
    kept()
    path = own_folder / "my-lathes" / "old-iron.toml"
    path.write_text(path.read_text() + "tool_stifness_n_per_um = 3\n")
    assert own_lathe.names() == (own_lathe.SCHOOL.name,)
    assert "did you mean tool_stiffness_n_per_um?" in capsys.readouterr().out
    assert own_lathe.chosen() is own_lathe.SCHOOL
    said = str(lesson_06.SCENE.picture(*(one.value for one in lesson_06.controls()))[1])
    assert "This is the school's lathe" in said and "tool_stifness_n_per_um" in said
    assert "tool_stifness_n_per_um" in JobForm().spec["groups"][0]["fields"][0]["problem"]


def test_the_command_takes_a_kept_lathe_by_its_name(capsys):
    kept()
    progress.write("lathe", None, "")
    assert command.main(["pump", "--no-sheet", "--lathe", "Old Iron"]) in (0, 1)
    assert "at 600 rpm" in (said := capsys.readouterr().out) or "300 rpm" in said
    assert command.main(["pump", "--no-sheet", "--lathe", "Old Irn"]) == 2
    assert "or a lathe's name: Old Iron, night school lathe" in capsys.readouterr().err


def test_a_carriage_is_never_deeper_than_the_bed(tmp_path):
    """60 mm over the carriage beside 45 over the bed was taken, and verdicts were made of it."""
    text = (Path(__file__).parents[1] / "lib/crankmath/data/lathe.toml").read_text("utf-8")
    text = re.sub(r"(?m)^center_height_mm = .*$", "center_height_mm = 45", text)
    own = tmp_path / "own.toml"
    own.write_text(re.sub(r"(?m)^(center_height_over_carriage_mm) = .*$", r"\1 = 60", text))
    with pytest.raises(ValueError, match="more than the 45 of center_height_mm"):
        load_lathe(own)
    own.write_text(re.sub(r"(?m)^center_height_over_carriage_mm = .*$", "", text))
    assert load_lathe(own).center_height_over_carriage.m_as("mm") <= 45
