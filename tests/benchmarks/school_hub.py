"""Starts the school's JupyterHub example on this machine with two students, tries that their files stay apart, measures memory.

Run as: uv run --project lib --with jupyterhub --with configurable-http-proxy python tests/benchmarks/school_hub.py [lesson]

Each student logs in by the form, gets a server, writes a file and runs a whole lesson. It fails if one student
can see the other's files. Memory is what the student's processes hold for themselves plus their share of what is common (PSS).
"""

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from contextlib import ExitStack
from pathlib import Path

import psutil
import requests
import websocket

ROOT = Path(__file__).parents[2]
CONFIG = ROOT / "lib" / "crankbook" / "data" / "school" / "jupyterhub_config.py"
PASSWORD = "trial-" + uuid.uuid4().hex
STUDENTS = ("anna", "bob")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Student:
    """A student's browser: a session with its cookies, logged in by the form."""

    def __init__(self, hub, name):
        self.hub, self.name, self.web = hub, name, requests.Session()
        self.web.get(f"{hub}/hub/login").raise_for_status()
        sent = {
            "username": name,
            "password": PASSWORD,
            "_xsrf": self.web.cookies.get("_xsrf", path="/hub/"),
        }
        answer = self.web.post(f"{hub}/hub/login", data=sent, allow_redirects=False)
        assert answer.status_code == 302, f"{name} cannot log in: {answer.status_code}"

    def start(self):
        """Ask for the server and wait until it answers; returns the seconds."""
        begun = time.monotonic()
        self.web.get(f"{self.hub}/hub/spawn").raise_for_status()
        while time.monotonic() - begun < 240:
            answer = self.web.get(f"{self.hub}/user/{self.name}/lab")
            if answer.ok and answer.url.startswith(f"{self.hub}/user/{self.name}/lab"):
                return time.monotonic() - begun
            time.sleep(0.5)
        raise AssertionError(
            f"the server of {self.name} did not start: {answer.status_code} {answer.text[:500]}"
        )

    def ask(self, method, whose, path, **sent):
        """A call to a student's server, own or another's."""
        token = self.web.cookies.get("_xsrf", path=f"/user/{whose}/") or ""
        return self.web.request(
            method, f"{self.hub}/user/{whose}/api/{path}", headers={"X-XSRFToken": token}, **sent
        )

    def run(self, lesson):
        """Run all code cells of a lesson in a kernel of the student's server; returns its errors."""
        started = self.ask("POST", self.name, "kernels", json={"name": "python3", "path": lesson})
        started.raise_for_status()
        cells = self.ask("GET", self.name, f"contents/{lesson}").json()["content"]["cells"]
        cookies = "; ".join(
            f"{cookie.name}={cookie.value}"
            for cookie in self.web.cookies
            if f"/user/{self.name}/".startswith(cookie.path)
        )
        address = f"{self.hub.replace('http', 'ws', 1)}/user/{self.name}/api/kernels/{started.json()['id']}/channels"
        channel = websocket.create_connection(address, cookie=cookies, timeout=180, origin=self.hub)
        errors = []
        for cell in cells:
            if cell["cell_type"] != "code":
                continue
            mark = uuid.uuid4().hex
            channel.send(
                json.dumps(
                    {
                        "channel": "shell",
                        "parent_header": {},
                        "metadata": {},
                        "buffers": [],
                        "header": {
                            "msg_id": mark,
                            "msg_type": "execute_request",
                            "username": "",
                            "session": mark,
                            "version": "5.3",
                        },
                        "content": {
                            "code": "".join(cell["source"]),
                            "silent": False,
                            "allow_stdin": False,
                        },
                    }
                )
            )
            while True:
                got = channel.recv()
                message = json.loads(got) if isinstance(got, str) else {}
                if message.get("parent_header", {}).get("msg_id") != mark:
                    continue
                if message["msg_type"] == "error":
                    errors.append(message["content"]["evalue"])
                if message["msg_type"] == "execute_reply":
                    break
        channel.close()
        return errors


def memory(name):
    """(server, kernels) of a student in MB."""
    server = kernels = 0.0
    for process in psutil.process_iter():
        try:
            if process.environ().get("JUPYTERHUB_USER") != name:
                continue
            share = process.memory_full_info().pss / 1e6
            if any("ipykernel" in word for word in process.cmdline()):
                kernels += share
            else:
                server += share
        except (psutil.NoSuchProcess, psutil.AccessDenied, psutil.ZombieProcess):
            continue
    return server, kernels


def start_hub(school, log):
    ports = [free_port() for _ in range(3)]
    environment = {
        **os.environ,
        "CRANKMATH_SCHOOL": str(school),
        "CRANKMATH_TRIAL": PASSWORD,
        "CONFIGPROXY_AUTH_TOKEN": uuid.uuid4().hex,
        "CRANKMATH_HUB": f"http://127.0.0.1:{ports[0]}",
        "CRANKMATH_HUB_INSIDE": f"http://127.0.0.1:{ports[1]}",
        "CRANKMATH_HUB_PROXY": f"http://127.0.0.1:{ports[2]}",
    }
    environment.pop("CRANKMATH_WORK", None)
    hub = subprocess.Popen(
        [sys.executable, "-m", "jupyterhub", "-f", str(CONFIG)],
        cwd=school,
        env=environment,
        stdout=log,
        stderr=log,
    )
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline and hub.poll() is None:
        try:
            if requests.get(f"{environment['CRANKMATH_HUB']}/hub/health", timeout=5).ok:
                return hub, environment["CRANKMATH_HUB"]
        except requests.ConnectionError:
            pass
        time.sleep(0.5)
    raise AssertionError("the hub did not start:\n" + Path(log.name).read_text()[-3000:])


def main():
    lesson = sys.argv[1] if len(sys.argv) > 1 else "10-shape-the-fillet.ipynb"
    if shutil.which("configurable-http-proxy") is None:
        raise SystemExit(
            "The hub needs the program configurable-http-proxy: run this as its first lines say, or npm install -g configurable-http-proxy."
        )
    with tempfile.TemporaryDirectory(prefix="school-") as folder, ExitStack() as stack:
        school = Path(folder)
        (school / "students.txt").write_text("\n".join(STUDENTS))
        log = stack.enter_context((school / "hub.log").open("w"))
        hub, address = start_hub(school, log)
        stack.callback(
            lambda: print((school / "hub.log").read_text()[-4000:]) if sys.exc_info()[0] else None
        )
        stack.callback(hub.wait, 60)
        stack.callback(hub.terminate)
        assert re.match(r"http://127\.0\.0\.1:", address)
        assert requests.get(f"{address}/user/anna/api/contents").url.startswith(
            f"{address}/hub/login"
        ), "no login was asked for"
        refused = requests.Session()
        refused.get(f"{address}/hub/login")
        sent = {
            "username": "eve",
            "password": PASSWORD,
            "_xsrf": refused.cookies.get("_xsrf", path="/hub/"),
        }
        assert (
            refused.post(f"{address}/hub/login", data=sent, allow_redirects=False).status_code
            == 403
        ), "a name that is not listed came in"
        anna, bob = (Student(address, name) for name in STUDENTS)
        for student in (anna, bob):
            print(f"{student.name}: server up after {student.start():.1f} s")
        written = anna.ask(
            "PUT",
            "anna",
            "contents/mine.txt",
            json={"type": "file", "format": "text", "content": "anna's answers"},
        )
        assert written.status_code == 201, written.text
        lists = {
            student.name: {
                entry["name"]
                for entry in student.ask("GET", student.name, "contents").json()["content"]
            }
            for student in (anna, bob)
        }
        assert "mine.txt" in lists["anna"] and "mine.txt" not in lists["bob"]
        assert all("00-start-here.ipynb" in names for names in lists.values())
        for path in ("contents/mine.txt", "contents", "kernels"):
            assert bob.ask("GET", "anna", path).status_code == 403, f"bob reads anna's {path}"
        assert (
            school / "homes" / "anna" / "crank-work" / "mine.txt"
        ).read_text() == "anna's answers"
        assert not (school / "homes" / "bob" / "crank-work" / "mine.txt").exists()
        print(
            "files stay apart: bob gets 403 from anna's server; each has a folder of their own with all lessons"
        )
        idle = {student.name: memory(student.name)[0] for student in (anna, bob)}
        for student in (anna, bob):
            errors = student.run(lesson)
            assert not errors, (student.name, errors)
        for student in (anna, bob):
            server, kernels = memory(student.name)
            print(
                f"{student.name}: server {idle[student.name]:.0f} MB at rest, {server:.0f} MB in use, kernel after {lesson} {kernels:.0f} MB, together {server + kernels:.0f} MB"
            )
        both = sum(sum(memory(name)) for name in STUDENTS) / len(STUDENTS)
        print(
            f"thirty students, one lesson open each: about {30 * both / 1000:.1f} GB, and {30 * (both + memory('anna')[1]) / 1000:.1f} GB with two lessons open each"
        )


if __name__ == "__main__":
    main()
