"""The parts of a chain, one small file each, in the order in which gas meets them.

A new part is a copy of its nearest neighbour and one line in `LINKS`.
"""

from ullage.answers.chain_links.bag import LINK as BAG
from ullage.answers.chain_links.contents import LINK as CONTENTS
from ullage.answers.chain_links.flowmeter import LINK as FLOWMETER
from ullage.answers.chain_links.hose import LINK as HOSE
from ullage.answers.chain_links.identity import LINK as IDENTITY
from ullage.answers.chain_links.judge import Link
from ullage.answers.chain_links.magnet import LINK as MAGNET
from ullage.answers.chain_links.oil import LINK as OIL_FREE
from ullage.answers.chain_links.regulator import LINK as REGULATOR
from ullage.answers.chain_links.reserve import LINK as RESERVE
from ullage.answers.chain_links.room_air import LINK as ROOM_AIR
from ullage.answers.chain_links.seal import LINK as SEAL
from ullage.answers.chain_links.secured import LINK as SECURED
from ullage.answers.chain_links.storage import LINK as STORAGE
from ullage.answers.chain_links.ventilator import LINK as VENTILATOR

__all__ = ["LINKS", "Link"]

#: Every part, from the source to the flowmeter, then what stands beside it.
LINKS: tuple[Link, ...] = (
    IDENTITY,
    SECURED,
    CONTENTS,
    SEAL,
    OIL_FREE,
    REGULATOR,
    HOSE,
    FLOWMETER,
    RESERVE,
    BAG,
    VENTILATOR,
    MAGNET,
    ROOM_AIR,
    STORAGE,
)
