"""What a panel says about its picture: one headline with its verdict, then short lines."""

from dataclasses import dataclass, replace

from crankmath.language import _, marked

MARKS = {
    marked("fine"): "✓",
    marked("look"): "△",
    marked("not fine"): "✗",
    marked("cannot tell"): "?",
}
MOST_WORDS = 12  # of a headline
ASKED = "pump"  # the crank that the lessons ask a prediction of


@dataclass(frozen=True)
class Finding:
    """A headline of at most twelve words, a verdict in words, and what else is worth knowing.

    ``verdict`` is one of ``MARKS``, or empty where nothing is judged. As text it is one paragraph.
    """

    headline: str
    verdict: str = ""
    lines: tuple = ()

    def __post_init__(self):
        if self.verdict and self.verdict not in MARKS:
            raise ValueError(
                _("verdict must be one of {marks}, not “{verdict}”").format(
                    marks=", ".join(MARKS), verdict=self.verdict
                )
            )
        if len(self.headline.split()) > MOST_WORDS:
            raise ValueError(
                _("headline has more than {most_words} words: “{headline}”").format(
                    most_words=MOST_WORDS, headline=self.headline
                )
            )

    def __str__(self):
        verdict = [f"{_(self.verdict).capitalize()}."] if self.verdict else []
        return " ".join([self.headline, *verdict, *self.lines])

    def on_page(self):
        """The parts as the page shows them: headline, mark and verdict, lines."""
        verdict = f"{MARKS[self.verdict]} {_(self.verdict)}" if self.verdict else ""
        return {"headline": self.headline, "verdict": verdict, "lines": list(self.lines)}


def beside(predicted, here, name=ASKED):
    """A reader's prediction beside what came out, and for which crank each is where the panel shows
    another than the question was about.
    """
    if name == ASKED:
        return _("You predicted {predicted}; here it is {here}.").format(
            predicted=predicted, here=here
        )
    return _("You predicted {predicted} for {asked}; here, for {name}, it is {here}.").format(
        predicted=predicted, asked=ASKED, name=name, here=here
    )


def answering(finding, predicted, here, name=ASKED):
    """The finding with the line of :func:`beside`."""
    return replace(finding, lines=(*finding.lines, beside(predicted, here, name)))


def on_page(finding):
    """The parts of a finding, or of a plain sentence, as the page shows them."""
    if isinstance(finding, Finding):
        return finding.on_page()
    return {"headline": finding, "verdict": "", "lines": []}
