"""Is there a self-inflating bag, which breathes for the animal without any gas supply?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import (
    Finding,
    Link,
    common,
    fine,
    judge,
    look_again,
    open_question,
    stop,
)
from ullage.answers.chain_things import Chain

__all__ = ["LINK", "self_inflating_bag"]

RULE = common("A self-inflating bag is within reach wherever an animal is anaesthetised.")


def self_inflating_bag(chain: Chain) -> Answer:
    """Whether a self-inflating bag that suits the animals is within reach."""
    return judge("Is a self-inflating bag at hand?", _findings(chain))


def _findings(chain: Chain) -> Iterator[Finding]:
    found = chain.bag
    if found.present is None:
        yield open_question(found, "present")
    elif not found.present:
        yield stop(
            "There is no self-inflating bag: if every supply fails, nothing breathes for it.",
            "Bring one that suits the animals before beginning.",
            RULE,
        )
    elif found.fits is False:
        yield look_again(
            "The bag does not suit the animals of today.",
            "Bring one of the right size and connector; too large a bag can hurt a small lung.",
            RULE,
        )
    else:
        yield fine("A self-inflating bag is within reach.", RULE)


LINK = Link(name="bag", title="Self-inflating bag", answer=self_inflating_bag)
