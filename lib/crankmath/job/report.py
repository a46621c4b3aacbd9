"""Every check of the library run on one job, worst verdict first where it counts."""

from dataclasses import dataclass, field
from functools import lru_cache

from ..checks import one_of
from ..language import _
from ..threads import one_thread
from .checks import CHECKS
from .job import Job
from .verdicts import MEANING, VERDICTS, Check, Number
from .workings import Workings

KINDS = {kind.key: kind for kind in CHECKS}
__all__ = ["CHECKS", "MEANING", "VERDICTS", "Check", "Number", "Report", "check_job"]


@dataclass(frozen=True)
class Report:
    """All checks of a job, each run when it is first asked for."""

    job: Job
    workings: Workings
    _found: dict = field(default_factory=dict, repr=False, compare=False)

    @property
    def checks(self):
        """The checks in working order."""
        return tuple(map(self.find, KINDS))

    def find(self, key):
        """Check of that key."""
        if key not in self._found:
            kind = KINDS[one_of(key, KINDS, "key")]
            with one_thread():
                self._found[key] = kind.run(self.workings)
        return self._found[key]

    @property
    def failed(self):
        """Whether anything is not fine."""
        return any(one.verdict == "not fine" for one in self.checks)

    @property
    def worst_first(self):
        """The checks, worst verdict first."""
        return tuple(sorted(self.checks, key=lambda one: VERDICTS.index(one.verdict)))

    @property
    def summary(self):
        """How many checks have which verdict, in a sentence."""
        counted = [(word, sum(one.verdict == word for one in self.checks)) for word in VERDICTS]
        told = ", ".join(f"{count} {_(word)}" for word, count in counted if count)
        bad, unknown = (
            ", ".join(one.title.lower() for one in self.checks if one.verdict == word)
            for word in ("not fine", "cannot tell")
        )
        words = (
            [_("Not fine: {bad}. Change something before cutting.").format(bad=bad)] if bad else []
        )
        if unknown:
            words.append(_("Cannot tell: {unknown}.").format(unknown=unknown))
        if not bad:
            words.append(
                _("Nothing else is past a limit.") if unknown else _("Nothing is past a limit.")
            )
        return _("{name}: of {count} checks {told}. {words}").format(
            name=self.job.crank.name, count=len(self.checks), told=told, words=" ".join(words)
        )

    @property
    def assumptions(self):
        """What the checks rest on that nobody has verified, each once."""
        return tuple(dict.fromkeys(words for one in self.checks for words in one.assumptions))

    def changed_since(self, earlier):
        """The verdicts that are others than in an earlier report, in a sentence."""
        told = [
            _("{check}: {before}, now {now}").format(
                check=now.title, before=_(before.verdict), now=_(now.verdict)
            )
            for before, now in zip(earlier.checks, self.checks, strict=True)
            if before.verdict != now.verdict
        ]
        return f"{'; '.join(told)}." if told else _("No verdict changes.")

    def lines(self):
        """The verdicts as lines of text, worst first, under the lathe that they hold for."""
        return [
            self.summary,
            _("On the lathe named {name}.").format(name=self.job["lathe_name"]),
            *(
                _("{verdict:<12} {title}: {sentence} [lesson {lesson}]").format(
                    verdict=_(one.verdict).upper(),
                    title=one.title,
                    sentence=one.sentence,
                    lesson=one.lesson[:2],
                )
                for one in self.worst_first
            ),
        ]


@lru_cache(maxsize=16)
def check_job(job):
    """Every check of the library on a job, as a :class:`Report`.

    Basis: each check names its own. A check that cannot work something out says “cannot tell”; no
    check stops another.
    """
    return Report(job, Workings(job))
