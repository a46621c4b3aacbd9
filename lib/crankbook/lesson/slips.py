"""A sentence after Python's own error where a learner typed a value without its quotes."""

import re
import sys
import traceback

from crankmath.language import _

QUOTES = "\"'“”„‟‘’‚‛«»`´"


def advice(line):
    """What to type instead of a line such as ``my_answer = 5 um``; empty for a line that no learner
    types.

    Names that learners fill in begin with my_.
    """
    found = re.match(r"\s*(my_\w+)\s*=(.*)", line or "")
    if not found:
        return ""
    name, value = found.groups()
    typed = re.sub(rf"[{QUOTES}]", "", value.split("#")[0]).strip()
    return _(
        "{name}: write the value and its unit between two straight quotes, like this:   {name} = "
        '"{typed}"'
    ).format(name=name, typed=typed or "5 mm")


def tell(shell, kind, error, trace, tb_offset=None):
    """Show the error as usual, and the advice under it."""
    if isinstance(error, SyntaxError):
        line = error.text
        shell.showsyntaxerror()
    else:
        line = traceback.extract_tb(trace)[-1].line
        shell.showtraceback((kind, error, trace), tb_offset=tb_offset)
    if words := advice(line):
        print(words)


def watch():
    """Show advice in this notebook; nothing outside one, or where someone else answers errors
    already.
    """
    ipython = sys.modules.get("IPython")
    shell = ipython and ipython.get_ipython()
    if shell and not shell.custom_exceptions:
        shell.set_custom_exc((SyntaxError, NameError), tell)
