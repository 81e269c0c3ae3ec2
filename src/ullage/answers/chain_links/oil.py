"""Is everything that the gas touches free of oil and grease?"""

from collections.abc import Iterator

from ullage.answers.answer import Answer
from ullage.answers.chain_links.judge import (
    Finding,
    Link,
    fine,
    judge,
    open_question,
    stop,
)
from ullage.answers.chain_links.rows import printed, rule
from ullage.answers.chain_things import Chain

__all__ = ["LINK", "oil_free"]

RULE = rule("CP-20")
PRINTED = printed("connections", "seal.no_grease")


def oil_free(chain: Chain) -> Answer:
    """Whether parts, hands and tools are free of oil, grease and sealant."""
    return judge("Is everything free of oil?", _findings(chain))


def _findings(chain: Chain) -> Iterator[Finding]:
    clean = chain.oil_free.clean
    if clean is None:
        yield open_question(chain.oil_free, "clean")
    elif clean:
        yield fine("Parts, hands and tools are free of oil and grease.", RULE)
    else:
        yield stop(
            f"There is oil, grease or sealant near the {chain.gas}; under pressure it can burn.",
            "Do not open the valve. Clean hands and tools; take the greased part out of use.",
            RULE,
            PRINTED,
        )


LINK = Link(name="oil_free", title="Free of oil", answer=oil_free)
