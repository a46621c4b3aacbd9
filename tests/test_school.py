"""The school's hub example: safe as it stands, a trial only on request. tests/benchmarks/school_hub.py starts it for real."""

import os
import sys
from pathlib import Path

import pytest
from jupyter_server.services.kernels.kernelmanager import MappingKernelManager
from traitlets.config import PyFileConfigLoader
from traitlets.config.loader import KVArgParseConfigLoader

import crankbook
from crankbook.classroom import course, school
from crankbook.lesson import progress
from crankbook.lesson.exercise import Exercise, draw
from crankmath.units import as_text

CONFIG = Path(crankbook.__file__).parent / "data" / "school" / "jupyterhub_config.py"


@pytest.fixture
def config(tmp_path, monkeypatch):
    for name in ("CRANKMATH_TRIAL", "CRANKMATH_HUB", "CRANKMATH_HUB_INSIDE", "CRANKMATH_HUB_PROXY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("CRANKMATH_SCHOOL", str(tmp_path))
    (tmp_path / "students.txt").write_text("anna\nbob\n")
    return lambda: PyFileConfigLoader(CONFIG.name, path=str(CONFIG.parent)).load_config()


def test_it_listens_on_this_machine_only(config):
    c = config()
    for address in (
        c.JupyterHub.bind_url,
        c.JupyterHub.hub_bind_url,
        c.ConfigurableHTTPProxy.api_url,
    ):
        assert address.startswith("http://127.0.0.1:")
    assert c.Spawner.ip == "127.0.0.1"


def test_lessons_left_alone_give_their_memory_back_with_their_page_open(config):
    """An hour, as the panel says of a class; by the server's own reader of its options."""
    options = KVArgParseConfigLoader(config().Spawner.args, classes=[MappingKernelManager])
    manager = MappingKernelManager(config=options.load_config())
    assert manager.cull_idle_timeout == 3600 and manager.cull_interval == 300
    assert manager.cull_connected and not manager.cull_busy


def test_only_listed_students_with_accounts_of_the_computer(config):
    c = config()
    assert c.JupyterHub.authenticator_class == "pam" and "Local" in c.JupyterHub.spawner_class
    assert c.Authenticator.allowed_users == {"anna", "bob"} and c.Authenticator.admin_users == set()
    assert "allow_all" not in c.Authenticator


def test_one_account_a_line_and_a_name_with_a_space_is_one(config, tmp_path):
    (tmp_path / "students.txt").write_text("\ufeff# class A\nanna novak\n\n  bob  \n", "utf-8")
    assert config().Authenticator.allowed_users == {"anna novak", "bob"}


@pytest.mark.parametrize(("wish", "there"), [("no", False), ("yes", True)])
def test_solutions_and_guide_stay_out_by_default(monkeypatch, tmp_path, wish, there):
    monkeypatch.setenv("JUPYTERHUB_SERVICE_URL", "http://127.0.0.1:1/")
    monkeypatch.setenv("JUPYTERHUB_USER", "anna")
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "own"))
    monkeypatch.setenv("CRANKMATH_SOLUTIONS", wish)
    monkeypatch.setenv("CRANKMATH_STUDENT", "")
    monkeypatch.setitem(sys.modules, "jupyterhub", None)
    monkeypatch.setitem(sys.modules, "jupyterhub.singleuser", None)
    assert school.main([]) == 1  # the hub itself is not installed here
    assert (tmp_path / "own" / "08-fit-the-spacers.ipynb").is_file()
    assert (tmp_path / "own" / "solutions").is_dir() is there
    assert (tmp_path / "own" / "instructor-guide.ipynb").is_file() is there
    assert os.environ["CRANKMATH_STUDENT"] == "anna"


def test_each_student_has_numbers_of_the_own_on_the_screen(monkeypatch, tmp_path, capsys):
    maker = course.exercises(course.chosen("8")[0])["08-1"]
    words = {}
    for student in ("", "anna", "bob"):
        monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / f"own {student}"))
        monkeypatch.setenv("CRANKMATH_STUDENT", student)
        exercise = Exercise("08-1", maker)
        words[student] = exercise.question.words
        exercise.check(as_text(exercise.question.key))
        assert progress.read()["answers"]["08-1"].get("student", "") == student
    assert len(set(words.values())) == 3 and words[""] == draw(maker, "08-1/0").words


def test_no_list_lets_nobody_in(config, tmp_path):
    (tmp_path / "students.txt").unlink()
    assert config().Authenticator.allowed_users == set()


def test_a_trial_is_asked_for_and_has_a_password(config, monkeypatch, tmp_path):
    monkeypatch.setenv("CRANKMATH_TRIAL", "a long password")
    c = config()
    assert c.JupyterHub.authenticator_class == "shared-password"
    assert c.SharedPasswordAuthenticator.user_password == "a long password"
    assert c.SimpleLocalProcessSpawner.home_dir_template == str(tmp_path / "homes" / "{username}")


def test_started_by_hand_it_says_what_to_type(monkeypatch, capsys):
    monkeypatch.delenv("JUPYTERHUB_SERVICE_URL", raising=False)
    assert school.main([]) == 1
    assert "To work alone type: crankmath" in capsys.readouterr().err


def test_folder_that_cannot_be_written(monkeypatch, tmp_path, capsys):
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("JUPYTERHUB_SERVICE_URL", "http://127.0.0.1:1/")
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "file" / "own"))
    assert school.main([]) == 1
    assert "cannot be written" in capsys.readouterr().err
