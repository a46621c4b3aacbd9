"""A job: one crank, the lathe, the cuts, what it drives, what measures it.

Read, checked, stored without loss.
"""

import json
from dataclasses import dataclass, field
from functools import cache, cached_property

from .. import files
from ..checks import made
from ..crank import Crank, steels
from ..crank.crank import EXAMPLES, MOST_BYTES
from ..fits import iso_286
from ..language import _
from ..lathe import Lathe
from .fields import BY_KEY, FIELDS
from .starting import (
    ANSWERS,
    NEWER,
    answers_of,
    lathe_of,
    starting_answers,
    starting_texts,
    up_to_date,
)

FORMAT, VERSION = "crankmath job", 1
WANTED = _("the path of a job's .json file, of a crank's .toml file, or one of {examples}").format(
    examples=", ".join(EXAMPLES)
)


@dataclass(frozen=True)
class Job:
    """A crank and an answer to every question of ``fields.FIELDS``; ``job["thrust"]`` is one.

    ``given`` names the answers that the reader typed; all others are assumptions. answers are by
    key; missing ones start as for the example of the crank's name. The crank's sizes are kept as
    its file would hold them, so that storing it changes nothing.
    """

    crank: Crank
    answers: dict = field(default_factory=dict)
    given: frozenset = frozenset()

    def __post_init__(self):
        unknown = (set(self.answers) | set(self.given)) - set(BY_KEY)
        if unknown:
            raise ValueError(
                _("there is no question “{unknown}” in a job; there are {keys}").format(
                    unknown=sorted(unknown)[0], keys=", ".join(BY_KEY)
                )
            )
        if not isinstance(self.crank, Crank):
            raise TypeError(_("crank has to be a Crank, not {crank!r}").format(crank=self.crank))
        steels.find(self.crank.steel)
        answers = dict(self.answers)
        if set(BY_KEY) - set(answers):
            answers = starting_answers(like(self.crank), self.crank.units) | answers
        checked = {key: BY_KEY[key].checked(answers[key]) for key in BY_KEY}
        for key, part in (
            ("main_class", self.crank.journals[0].diameter),
            ("pin_class", self.crank.throws[0].pin_diameter),
        ):
            _check_class(key, checked[key], part)
        object.__setattr__(self, "crank", Crank.from_dict(self.crank.to_dict()))
        object.__setattr__(self, "answers", checked)
        object.__setattr__(self, "given", frozenset(self.given))

    def __getitem__(self, key):
        return self.answers[key]

    def __eq__(self, other):
        return isinstance(other, Job) and self.to_dict() == other.to_dict()

    def __hash__(self):
        return hash(self.to_json())

    @property
    def units(self):
        """The crank's units, "mm" or "in": the job is shown in them."""
        return self.crank.units

    @cached_property
    def lathe(self):
        """The lathe as the other modules take it, with every constant."""
        return lathe_of(self)

    def typed(self, key, text):
        """The job with one answer read from what a person typed; it counts as given from then on.

        The sentence of an error names the field and says what to write.
        """
        if key not in BY_KEY:
            raise ValueError(
                _("there is no question “{key}” in a job; there are {keys}").format(
                    key=key, keys=", ".join(BY_KEY)
                )
            )
        return Job(
            self.crank,
            self.answers | {key: BY_KEY[key].typed(text, self[key], self.units)},
            self.given | {key},
        )

    def with_crank(self, crank, edited=False):
        """The job for another crank: what was typed stays, the rest is assumed as for that crank.

        ``edited`` says that it is the same part with another size, name or unit: then assumptions
        stay, those that follow the crank's units in the new ones.
        """
        typed = {key: self[key] for key in self.given}
        if not edited:
            return Job(crank, typed, self.given)
        answers = dict(self.answers)
        if crank.units != self.units:
            before, after = (
                starting_answers(like(crank), units) for units in (self.units, crank.units)
            )
            answers |= {key: value for key, value in after.items() if self[key] == before[key]}
        return Job(crank, answers | typed, self.given)

    def with_lathe(self, lathe):
        """The job on another lathe, from ``load_lathe``; what its file gives counts as given.

        What it leaves out stays as it is; None takes away what was typed of any lathe.
        """
        if lathe is None:
            others = {key: value for key, value in self.answers.items() if key not in ANSWERS}
            return Job(self.crank, others, self.given - ANSWERS)
        own = answers_of(made(lathe, Lathe, "lathe"), known_only=True)
        return Job(self.crank, self.answers | own, self.given | set(own))

    def basis(self, key):
        """Where an answer that nobody typed comes from."""
        return starting_texts(like(self.crank), self.units)[key][1]

    def uses(self, key):
        """Whether an answer counts beside the others: nobody needs the height of a round bar."""
        other = BY_KEY[key].used_with
        return not other or self[other[0]] in other[1]

    def assumed(self):
        """Answers that count and that nobody has typed: (field, text, where it comes from)."""
        return [
            (one, one.in_words(self[one.key], self.units) or _("left blank"), self.basis(one.key))
            for one in FIELDS
            if one.key not in self.given and self.uses(one.key)
        ]

    def to_dict(self):
        """The job as JSON holds it; every number keeps all its digits and its unit."""
        return {
            "format": FORMAT,
            "version": VERSION,
            "crank": self.crank.to_dict(),
            "answers": {key: BY_KEY[key].to_json(value) for key, value in self.answers.items()},
            "given": sorted(self.given),
        }

    @classmethod
    def from_dict(cls, data):
        """The job that :meth:`to_dict` wrote, or one of an earlier sheet.

        ValueError for what is not a job, another version, or a key that is missing, unknown or
        impossible; the message names it.
        """
        wanted = ("format", "version", "crank", "answers", "given")
        if not isinstance(data, dict) or data.get("format") != FORMAT:
            raise ValueError(
                _("this is not a job file: its key “format” has to be “{format}”").format(
                    format=FORMAT
                )
            )
        if data.get("version") != VERSION:
            raise ValueError(
                _("this job has version {get}; this library reads version {version}").format(
                    get=str(data.get("version"))[:20], version=VERSION
                )
            )
        _same_keys(data, wanted, "the job")
        answers, given = data["answers"], data["given"]
        if (
            not isinstance(answers, dict)
            or not isinstance(given, list)
            or not all(isinstance(key, str) for key in given)
        ):
            raise ValueError(_("answers has to be a table and given a list of its keys"))
        answers, given = up_to_date(answers, given)
        _same_keys(answers, tuple(BY_KEY), "answers", optional=NEWER)
        return cls(
            Crank.from_dict(data["crank"]),
            {key: BY_KEY[key].from_json(value) for key, value in answers.items()},
            frozenset(given),
        )

    def to_json(self):
        """Text of :meth:`to_dict`."""
        return json.dumps(self.to_dict(), indent=1, ensure_ascii=False)

    def save(self, path):
        """Write the job as JSON, whole or not at all: beside its place, and moved there.

        OSError where folder or file cannot be written; what stood there before is still there.
        """
        files.write_whole(path, self.to_json())

    @classmethod
    def load(cls, source):
        """A job from its JSON file, or from a crank: its TOML file, or the name of an example.

        A crank's answers start as for the example of that name, or as for any crank. TypeError for
        no path, FileNotFoundError, OSError for a file that cannot be opened, ValueError for one
        with a mistake; the message names the key.
        """
        path = files.path_of(source, WANTED)
        if path.suffix.lower() != ".json":
            return cls(Crank.load(source))
        data = read_json(path)
        return cls.from_dict(
            data["job"] if isinstance(data, dict) and isinstance(data.get("job"), dict) else data
        )


def like(crank):
    """Name of the example that a crank's answers start from, or "all" for a crank of one's own.

    ``crank`` is an example under its name, or renamed and otherwise as it was.
    """
    name = crank.name.split()[-1]
    return name if _throws_of_examples().get(name) == len(crank.throws) else "all"


@cache
def _throws_of_examples():
    return {name: len(Crank.load(name).throws) for name in EXAMPLES}


def read_json(path):
    """What a JSON file holds, or a sentence that says why it cannot be read."""
    return files.read_json(
        path,
        20 * MOST_BYTES,
        _("no file “{path}”; write {wanted}").format(path=path, wanted=WANTED),
    )


def _same_keys(table, wanted, place, optional=()):
    missing, unknown = (
        [key for key in wanted if key not in table and key not in optional],
        [key for key in table if key not in wanted],
    )
    if missing:
        raise ValueError(
            _("{place} lacks the key “{missing}”").format(place=place, missing=missing[0])
        )
    if unknown:
        raise ValueError(
            _("{place} has an unknown key “{unknown}”").format(place=place, unknown=unknown[0][:60])
        )


def _check_class(key, code, diameter):
    """Refuse a shaft class that the tables lack; a size outside them is left to the check."""
    if not code[:1].islower():
        raise ValueError(
            _(
                "{label}: a shaft's class has a small letter; write for example h6, not {code}"
            ).format(label=BY_KEY[key].label, code=code[:20])
        )
    if 1 <= diameter.m_as("mm") <= 120:
        try:
            iso_286.limits(diameter, code)
        except ValueError as error:
            raise ValueError(f"{BY_KEY[key].label}: {error}") from None
