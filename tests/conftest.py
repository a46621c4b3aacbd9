"""Shared set-up of the tests: the reader's own folder is a fresh one, pictures need no screen."""

import os
import tempfile

os.environ["MPLBACKEND"] = "agg"
os.environ["CRANKMATH_WORK"] = tempfile.mkdtemp(prefix="crankmath-work-")
