"""Values of a job that are worked out once, with their warnings and errors."""

import warnings

from ..units import OutOfRangeWarning
from ..wording import ERRORS


class worked:  # noqa: N801 - stands above functions like a word of the language
    """A value of a job that is worked out once.

    Its warnings and its error come back each time it is asked for.
    """

    def __init__(self, function):
        self.function, self.name, self.__doc__ = function, function.__name__, function.__doc__

    def __get__(self, work, owner=None):
        if work is None:
            return self
        if self.name not in work.kept:
            value, problem = None, None
            with warnings.catch_warnings(record=True) as said:
                warnings.simplefilter("always", OutOfRangeWarning)
                try:
                    value = self.function(work)
                except ERRORS as error:
                    problem = error
            words = tuple(
                dict.fromkeys(
                    (str(one.message), one.category)
                    for one in said
                    if issubclass(one.category, OutOfRangeWarning)
                )
            )
            work.kept[self.name] = value, problem, words
        value, problem, words = work.kept[self.name]
        for sentence, category in words:
            warnings.warn(sentence, category, stacklevel=2)
        if problem is not None:
            raise problem
        return value
