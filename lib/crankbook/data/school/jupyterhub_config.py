"""Serve the workbook to a class: an example for JupyterHub on one school computer. Copy it, read
it, change it.

Start it in the workbook's environment with:  jupyterhub -f jupyterhub_config.py
Tried by tests/benchmarks/school_hub.py, which starts it here with two students.

Two ways of running:
- as it stands, for a school: students log in with their accounts of this computer, and each
student's
  server runs under that account, so the system itself keeps their files apart;
- with CRANKMATH_TRIAL=a-password, for a trial on your own computer: any listed name may log in with
that
  password, and everything runs under your account. Files lie in a folder for each name, but a
  student who
  writes code could read another's. Never give a class a trial.
"""

import os
import sys
from pathlib import Path

here = Path(
    os.environ.get("CRANKMATH_SCHOOL", Path.cwd())
)  # the list of students, the hub's own data
c = get_config()  # noqa: F821

# This machine only. For the school's network put a web server with a certificate before it, or set
# c.JupyterHub.ssl_key and ssl_cert and choose the address on purpose. Never without encryption:
# passwords travel.
c.JupyterHub.bind_url = os.environ.get("CRANKMATH_HUB", "http://127.0.0.1:8000")
c.JupyterHub.hub_bind_url = os.environ.get("CRANKMATH_HUB_INSIDE", "http://127.0.0.1:8081")
c.ConfigurableHTTPProxy.api_url = os.environ.get("CRANKMATH_HUB_PROXY", "http://127.0.0.1:8001")
c.JupyterHub.db_url = f"sqlite:///{here / 'hub.sqlite'}"
c.JupyterHub.cookie_secret_file = str(here / "hub-cookie-secret")
c.ConfigurableHTTPProxy.pid_file = str(here / "hub-proxy.pid")

# Who may come: one account a line, spaces inside a name kept. Empty lines and those that begin with
# # are passed over.
students = here / "students.txt"
listed = students.read_text(encoding="utf-8-sig").splitlines() if students.is_file() else []
names = [name for name in map(str.strip, listed) if name and not name.startswith("#")]
c.Authenticator.allowed_users = set(names)
c.Authenticator.admin_users = set()  # nobody reads another's files through the hub

trial = os.environ.get("CRANKMATH_TRIAL")
if trial:
    c.JupyterHub.authenticator_class = "shared-password"
    c.SharedPasswordAuthenticator.user_password = trial
    c.JupyterHub.spawner_class = "simple"
    c.SimpleLocalProcessSpawner.home_dir_template = str(here / "homes" / "{username}")
else:
    c.JupyterHub.authenticator_class = "pam"
    c.JupyterHub.spawner_class = "jupyterhub.spawner.LocalProcessSpawner"

# One server a student: lessons are copied into the student's own folder, then it opens at the first
# lesson.
c.Spawner.cmd = [sys.executable, "-m", "crankbook.classroom.school"]
# Solutions and the instructor's guide stay out of the students' folders; CRANKMATH_SOLUTIONS: "yes"
# lets them in.
c.Spawner.environment = {"CRANKMATH_WORK": "~/crank-work", "CRANKMATH_SOLUTIONS": "no"}
c.Spawner.default_url = "/lab/tree/00-start-here.ipynb"
c.Spawner.ip = "127.0.0.1"
c.Spawner.start_timeout = 180
c.Spawner.http_timeout = 120

# Thirty at the bell: start ten at a time, and give memory back from lessons nobody touched for an
# hour, also where their page is left open.
c.JupyterHub.concurrent_spawn_limit = 10
c.JupyterHub.active_server_limit = max(40, len(names))
c.Spawner.args = [
    "--MappingKernelManager.cull_idle_timeout=3600",
    "--MappingKernelManager.cull_interval=300",
    "--MappingKernelManager.cull_connected=True",
]
c.JupyterHub.shutdown_on_logout = True
