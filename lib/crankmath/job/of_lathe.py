"""A lathe as answers of a job, and back: the job carries every constant of the lathe's file."""

from ..lathe import KEYS, Lathe, attribute
from ..units import Quantity

ATTRIBUTES = {  # answers of a job by the lathe's attributes, where their names differ
    "name": "lathe_name",
    "center_height_over_carriage": "swing_over_carriage",
}
ROWS = {"gear_table": "rpm", "feeds": "mm"}


def key_of(key):
    """Key of a job's answer by a key of the lathe's file."""
    return ATTRIBUTES.get(attribute(key), attribute(key))


ANSWERS = frozenset(map(key_of, KEYS))


def answers_of(lathe, known_only=False):
    """Answers of a job that a lathe gives; known_only leaves out what its file did not give."""
    found = {}
    for name in map(attribute, KEYS):
        if known_only and name in lathe.assumed:
            continue
        value = getattr(lathe, name)
        if name in ROWS:
            value = tuple(value.m_as(ROWS[name]).tolist())
        elif name == "center_height_over_carriage":
            value = 2 * value
        found[ATTRIBUTES.get(name, name)] = value
    return found


def lathe_of(job):
    """The lathe that a job's answers describe."""
    values, assumed = {}, []
    for name in map(attribute, KEYS):
        key = ATTRIBUTES.get(name, name)
        value = job[key]
        if name in ROWS:
            value = Quantity(list(value), ROWS[name])
        elif name == "center_height_over_carriage":
            value = value / 2
        values[name] = value
        if key not in job.given:
            assumed.append(name)
    return Lathe(**values, assumed=tuple(sorted(assumed)))
