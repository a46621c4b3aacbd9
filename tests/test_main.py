"""The entry point: copies lessons, keeps the reader's changes, says what is wrong in words."""

import asyncio
import json
import os
import socket
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from jupyter_server.serverapp import ServerApp
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.services.kernels.kernelmanager import MappingKernelManager
from jupyterlab.commands import get_app_dir
from tornado import web, websocket
from traitlets.config import Config

from crankbook import __main__ as entry
from crankbook import launcher, workspace


@pytest.fixture
def lessons(tmp_path):
    folder = tmp_path / "workbook"
    folder.mkdir()
    (folder / "00-start-here.ipynb").write_text("first")
    return folder


def test_lessons_are_found_and_copied(tmp_path):
    workspace.copy_lessons(workspace.find_workbook(), tmp_path / "own")
    assert (tmp_path / "own" / "04-choose-a-spindle-speed.ipynb").is_file()
    assert (tmp_path / "own" / "solutions").is_dir() and (
        tmp_path / "own" / "cranks" / "pump.toml"
    ).is_file()


def test_unchanged_copy_is_renewed(lessons, tmp_path):
    own = tmp_path / "own"
    workspace.copy_lessons(lessons, own)
    (lessons / "00-start-here.ipynb").write_text("second")
    assert workspace.copy_lessons(lessons, own) == []
    assert (own / "00-start-here.ipynb").read_text() == "second"


def test_changed_copy_is_kept(lessons, tmp_path):
    own = tmp_path / "own"
    workspace.copy_lessons(lessons, own)
    (own / "00-start-here.ipynb").write_text("mine")
    assert workspace.copy_lessons(lessons, own) == []
    (lessons / "00-start-here.ipynb").write_text("second")
    assert workspace.copy_lessons(lessons, own) == ["00-start-here-new.ipynb"]
    assert (own / "00-start-here.ipynb").read_text() == "mine"
    assert (own / "00-start-here-new.ipynb").read_text() == "second"


def test_damaged_record_loses_nothing(lessons, tmp_path):
    own = tmp_path / "own"
    workspace.copy_lessons(lessons, own)
    (own / "00-start-here.ipynb").write_text("mine")
    (own / ".lessons.json").write_text("{")
    workspace.copy_lessons(lessons, own)
    assert (own / "00-start-here.ipynb").read_text() == "mine"


@pytest.mark.parametrize("form", ["--port={}", "--ServerApp.port={}", "--port {}"])
def test_taken_port_is_said_in_words(capsys, form):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert entry.main(form.format(port).split()) == 1
    assert f"Port {port} is taken" in capsys.readouterr().err


@pytest.mark.parametrize("value", ["abc", "-1", "70000", ""])
def test_port_that_is_none(value):
    assert "needs a whole number" in launcher.option_problem([f"--port={value}"])


@pytest.mark.parametrize(
    "asked",
    [
        "--ip=0.0.0.0",
        "--ip 0.0.0.0",
        "--ServerApp.ip=*",
        "--ip=",
        "--IdentityProvider.token=",
        "--ServerApp.token=''",
        "--LabApp.token --no-browser",
        "--PasswordIdentityProvider.hashed_password=",
        "--ServerApp.allow_unauthenticated_access=True",
    ],
)
def test_an_option_that_lets_others_in_is_refused(asked, capsys, own_folder):
    assert entry.main(asked.split(" ")) == 1
    assert "anyone who reaches this machine" in capsys.readouterr().err
    assert not list(own_folder.iterdir())


@pytest.mark.parametrize(
    "asked",
    [
        "--ip=127.0.0.1",
        "--ip localhost",
        "--IdentityProvider.token=a1b2",
        "--no-browser",
        "--debug",
        "notes.ipynb",
        "dial.ip",
    ],
)
def test_other_options_pass(asked):
    assert launcher.option_problem(asked.split(" ")) is None


def test_folder_that_cannot_be_written(tmp_path, monkeypatch, capsys):
    blocked = tmp_path / "file"
    blocked.write_text("a file, not a folder")
    monkeypatch.setenv("CRANKMATH_WORK", str(blocked / "own"))
    assert entry.main([]) == 1
    assert "Set CRANKMATH_WORK" in capsys.readouterr().err


@pytest.mark.parametrize("asked", [["--help"], ["-h"], ["help"]])
def test_help_lists_every_word_of_the_command(asked, capsys):
    assert entry.main(asked) == 0
    said = capsys.readouterr().out
    for word in entry.COMMANDS:
        assert len([line for line in said.splitlines() if f"crankmath {word} " in line]) == 1
    assert max(map(len, said.splitlines())) <= 88


def test_an_unknown_word_gets_the_list(capsys):
    assert entry.main(["chek", "pump"]) == 2
    assert "no command “chek”" in capsys.readouterr().err


def test_a_lesson_left_alone_gives_its_kernel_back_as_its_page_says():
    """As the server's own manager reads the settings; a cell that runs is never stopped."""
    given = json.loads((launcher.SETTINGS / "jupyter_server_config.json").read_text())
    manager = MappingKernelManager(config=Config(given))
    assert set(given["MappingKernelManager"]) <= set(manager.trait_names())
    assert manager.cull_idle_timeout == 2 * 3600 and manager.cull_interval <= 600
    assert manager.cull_connected and not manager.cull_busy, "an open page is no use"
    words = (Path(launcher.__file__).parent / "lesson" / "kernel_link.js").read_text("utf-8")
    assert "as it is after two idle hours" in words


def test_cells_and_messages_of_a_page_take_turns():
    """JupyterLab hands a page's messages to a thread beside the cells, unless told; Matplotlib is not
    made for that (its FAQ: not thread-safe). Each setting is one that the installed JupyterLab has.
    """
    file = launcher.SETTINGS / "labconfig" / "default_setting_overrides.json"
    given = json.loads(file.read_text())
    schemas = Path(get_app_dir()) / "schemas"
    for plugin, settings in given.items():
        package, name = plugin.split(":")
        schema = json.loads((schemas / package / f"{name}.json").read_text(encoding="utf-8"))
        assert set(settings) <= set(schema["properties"])
        schema["required"] = list(settings)
        jsonschema.validate(settings, schema)
    kernels = given["@jupyterlab/apputils-extension:kernels-settings"]
    assert kernels["commsOverSubshells"] == "disabled"


def test_a_kernels_answers_go_off_at_once(monkeypatch):
    """On a real socket, with the connection that the settings name: small messages are not held back.

    Held back (Nagle's algorithm, RFC 896), the second of a kernel's messages waits for the browser
    to acknowledge the first: 40 ms of each move of a slider on Linux.
    """
    given = json.loads((launcher.SETTINGS / "jupyter_server_config.json").read_text())
    server = ServerApp(config=Config(given))
    kind, seen = server.kernel_websocket_connection_class, []
    assert issubclass(kind, ZMQChannelsWebsocketConnection)

    async def connect(self):
        link = self.websocket_handler.ws_connection.stream.socket
        seen.append(link.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))

    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", connect)

    class Alone(kind):  # no kernel stands behind it
        websocket_handler = None

    class Opened(websocket.WebSocketHandler):
        async def open(self):
            link = Alone.__new__(Alone)
            link.websocket_handler = self
            await link.connect()
            self.close()

    async def talk():
        listening = web.Application([("/", Opened)]).listen(0, "127.0.0.1")
        port = next(iter(listening._sockets.values())).getsockname()[1]
        there = await websocket.websocket_connect(f"ws://127.0.0.1:{port}/")
        assert await there.read_message() is None
        listening.stop()

    asyncio.run(talk())
    assert len(seen) == 1 and seen[0] != 0


def test_a_reader_who_has_seen_enough_is_no_fault_of_the_crank():
    """As with ``crankmath check pump | head``: no word that it cannot be checked, no traceback."""
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-m", "crankbook", "check", "pump", "--no-sheet"]
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, text=True, timeout=300)
    os.close(write)
    assert done.stderr == "" and done.returncode == 2
