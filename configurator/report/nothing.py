"""Why there is nothing to list: the picks, or the rule that cut the most, with its numbers."""

from __future__ import annotations

from configurator.explain.why_none import none_sentences, why_none
from configurator.report.lines import wrapped
from configurator.report.page import Page
from configurator.units.display import plural

SEE_MORE = (
    "`headwright why`, with the same arguments, says what would bring a build back; --format json "
    "shows the reasons for every part in `choices`."
)


def why_nothing(page: Page, width: int) -> list[str]:
    """Return the lines that stand in place of builds."""
    answer = page.answer
    if answer.count:
        rest = plural(answer.count, "marginal or unproven build")
        return wrapped(
            "No build is shown to fit over the whole stated range. Leave out --strict to list "
            f"{rest} with what they lack.",
            width,
        )
    texts = (*none_sentences(why_none(answer)), SEE_MORE)
    return [line for text in texts for line in wrapped(text, width)]
