"""What is kept of the job form from one visit to the next, and how its texts are read."""

import pint

from crankmath.crank import steels
from crankmath.job.fields import BY_KEY
from crankmath.job.job import Job
from crankmath.job.variants import changed
from crankmath.language import _

from .draft import Draft

FILE, FORM = "my-job.json", "crankmath job form"
REFUSED = (TypeError, ValueError, pint.DimensionalityError)
VARIANT = (
    ("fillet", _("All fillets"), ""),
    ("steel", _("Steel"), steels.NAMES),
    ("spacers", _("Spacers"), BY_KEY["spacers"].options),
    ("last_cut", _("Last cut, on the radius"), ""),
)


def read_kept():
    """What was left on this page: job, changes to compare with, texts not taken; or None.

    Raises ValueError or OSError where the file cannot be read.
    """
    state = Draft(FILE, FORM).read()
    return None if state is None else understood(state)


def understood(state):
    """Job, changes to compare with and texts not taken, from what is stored."""
    for key in ("job", "variant", "waiting"):
        if not isinstance(state.get(key), dict):
            raise ValueError(_("the key “{key}” is missing or not a table").format(key=key))
    job = Job.from_dict(state["job"])
    variant = {key: str(text) for key, text in state["variant"].items() if works(job, key, text)}
    waiting = {key: str(text) for key, text in state["waiting"].items() if key in BY_KEY}
    return job, variant, waiting


def whole_letters(text):
    """What was typed, half characters replaced: those reach neither page nor file."""
    return str(text).encode("utf-8", "replace").decode("utf-8")


def works(job, key, text):
    """Whether a change to compare with can be made."""
    try:
        changed(job, {str(key): str(text)})
    except REFUSED:
        return False
    return True


def refusal(key, text):
    """Sentence of an answer that cannot be read."""
    try:
        BY_KEY[key].read(text)
    except REFUSED as error:
        return str(error)
    return _("typed before; press Enter in this field to have it read again")
