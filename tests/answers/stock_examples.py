"""One call per answer about what is in store, for the laws that every answer keeps."""

from collections.abc import Callable

from ullage.answers import Answer, Delivery
from ullage.answers.chain_things import Stored
from ullage.answers.stock import (
    Canister,
    Filled,
    Filling,
    Shelf,
    UseSeen,
    canister_full,
    filling_due,
    reorder,
)
from ullage.answers.storage import (
    Kept,
    StorageArea,
    one_more_stored,
    store_air,
    store_kept,
    store_leaks,
    stored_within_code,
)
from ullage.answers.things import Gas, Place

__all__ = ["STOCK_EXAMPLES"]

_E = Stored(gas=Gas.OXYGEN, contents_l=660.0, count=12)
_STORE = StorageArea(
    name="Store", place=Place(), stored=(_E,), code="nfpa99", room_m3=30.0, changes_per_h=4.0
)
_SHELF = Shelf(
    name="Oxygen E",
    full=2,
    piece="cylinder",
    use=UseSeen(counts=(2, 1, 3, 2)),
    filled=Filled(usual_days=5.0, longest_days=9.0),
    service_share=0.95,
)
_FLOWED = Delivery(agent="isoflurane", fraction=0.02, fresh_gas_l_min=1.0, minutes=120.0)

STOCK_EXAMPLES: dict[str, Callable[[], Answer]] = {
    "canister_full": lambda: canister_full(
        Canister(start_g=812.0, now_g=850.0, hours_h=5.0, passed=(_FLOWED,), coming=_FLOWED)
    ),
    "filling_due": lambda: filling_due(
        Filling(mass_kg=1.0, load_l=60.0, hours_h=9.0, open_days=3.0, left_on_h=2.0)
    ),
    "one_more_stored": lambda: one_more_stored(_STORE, Stored(gas=Gas.OXYGEN, contents_l=660.0)),
    "reorder": lambda: reorder(_SHELF),
    "store_air": lambda: store_air(_STORE, _E),
    "store_kept": lambda: store_kept(Kept(held=True, apart=False, hottest_k=300.0), Place()),
    "store_leaks": lambda: store_leaks(_STORE, Gas.OXYGEN, 10.0),
    "stored_within_code": lambda: stored_within_code(_STORE),
}
