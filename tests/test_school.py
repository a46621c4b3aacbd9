"""The school's hub example: safe as it stands, a trial only on request. tests/benchmarks/school_hub.py starts it for real."""

from pathlib import Path

import pytest
from traitlets.config import PyFileConfigLoader

import crankbook
from crankbook.classroom import school

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


def test_only_listed_students_with_accounts_of_the_computer(config):
    c = config()
    assert c.JupyterHub.authenticator_class == "pam" and "Local" in c.JupyterHub.spawner_class
    assert c.Authenticator.allowed_users == {"anna", "bob"} and c.Authenticator.admin_users == set()
    assert "allow_all" not in c.Authenticator


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
