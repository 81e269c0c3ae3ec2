"""Who and what plays: invented people, animals, machines and cylinders, no brands.

Machines are named after birds, cylinders after trees, animals after wild flowers.
"""

from dataclasses import dataclass, field

from ullage.core.units import BAR_KPA, PSI_KPA
from ullage.web.demo.simulate import Room as Climate

__all__ = ["FENNEL", "FLOWERS", "PEOPLE", "SADDLE", "MachineCast", "RoomCast", "SiteCast", "Story"]

#: User name and role, full name, initials.
PEOPLE = (
    ("lead", "Tamsin Kell", "T.K."),
    ("operator", "Milo Ostrander", "M.O."),
    ("veterinarian", "Anneke Vray", "A.V."),
    ("viewer", "Jory Renn", "J.R."),
)

FLOWERS = (
    "Clover", "Sorrel", "Bracken", "Yarrow", "Teasel", "Mallow", "Tansy", "Vetch", "Campion",
    "Betony", "Comfrey", "Burdock", "Chicory", "Melilot", "Sanicle", "Bryony", "Speedwell",
    "Pimpernel", "Harebell", "Lovage", "Borage", "Madder", "Woodruff", "Celandine",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomCast:
    """A room, its air and how warm it is."""

    name: str
    volume_m3: float
    air_changes_per_h: float
    climate: Climate
    is_magnet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCast:
    """A machine and the cases it sees: how many a day, of which kind."""

    name: str
    room: str
    system: str
    cases_a_day: tuple[float, int]
    kinds: tuple[str, ...]
    facts: dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """A source and the cylinders that stand on it, one after the other.

    ``trees`` name its cylinders in their order, the last one (or bank) is on it now, since
    ``back`` workdays. ``bank``: how many share a gauge. ``change_below_kpa``: when people here
    change it. ``leak_l_min``: from and to, of the cylinder that is on it now. ``runs_out``: today,
    while people watch.
    """

    name: str
    kind: str
    room: str
    feeds: tuple[str, ...]
    gas: str = "oxygen"
    size: str = ""
    trees: tuple[str, ...] = ()
    bank: int = 1
    reserve_of: str = ""
    full_scale_kpa: float = 250.0 * BAR_KPA
    class_share: float | None = None
    step_kpa: float = 2.0 * BAR_KPA
    change_below_kpa: float = 20.0 * BAR_KPA
    back: int = 2
    leak_l_min: tuple[float, float] | None = None
    runs_out: bool = False
    facts: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteCast:
    """One site of the world."""

    name: str
    facts: dict[str, object]
    region: str
    rooms: tuple[RoomCast, ...]
    machines: tuple[MachineCast, ...]
    stories: tuple[Story, ...]
    stored: tuple[tuple[str, str, str, str], ...]


_THEATRE = Climate(day_k=294.2, night_drop_k=1.5, days_sd_k=0.4)
_LAB = Climate(day_k=295.2, night_drop_k=2.0, days_sd_k=0.6)
_BARN = Climate(day_k=288.0, night_drop_k=6.0, days_sd_k=2.0)
_STORE = Climate(day_k=291.0, night_drop_k=3.0, days_sd_k=1.0)

FENNEL = SiteCast(
    name="Fennel Lane Research Surgery",
    region="UK",
    facts={
        "country": "GB",
        "elevation_m": 60.0,
        "pressure_unit": "bar",
        "temperature_unit": "°C",
        "condition": "15C",
        "gas_colours": "iso32",
        "storage_code": "fire_code",
        "temperature_k": 294.15,
        "reserve_kpa": 14.0 * BAR_KPA,
        "begin_kpa": 69.0 * BAR_KPA,
        "target_mac": 1.2,
        "circle_from_kg": 7.0,
        "flow_open_multiple": 2.0,
    },
    rooms=(
        RoomCast(name="Theatre 1", volume_m3=90.0, air_changes_per_h=15.0, climate=_THEATRE),
        RoomCast(name="Theatre 2", volume_m3=110.0, air_changes_per_h=15.0, climate=_THEATRE),
        RoomCast(
            name="Imaging room",
            volume_m3=70.0,
            air_changes_per_h=10.0,
            climate=_THEATRE,
            is_magnet=True,
        ),
        RoomCast(name="Rodent lab, Mill End", volume_m3=45.0, air_changes_per_h=12.0, climate=_LAB),
        RoomCast(name="Barn", volume_m3=600.0, air_changes_per_h=4.0, climate=_BARN),
        RoomCast(name="Cylinder store", volume_m3=300.0, air_changes_per_h=8.0, climate=_STORE),
    ),
    machines=(
        MachineCast(
            name="Wren",
            room="Theatre 1",
            system="T-piece",
            cases_a_day=(0.8, 2),
            kinds=("rabbit", "cat"),
            facts={
                "oxygen_alarm": "yes",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.2,
                "flowmeter_max_l_min": 10.0,
            },
        ),
        MachineCast(
            name="Heron",
            room="Theatre 2",
            system="Circle",
            cases_a_day=(0.8, 2),
            kinds=("sheep", "pig"),
            facts={
                "oxygen_alarm": "yes",
                "ventilator": "oxygen",
                "drive_gas_factor": 0.4,
                "flowmeter_min_l_min": 0.2,
                "flowmeter_max_l_min": 10.0,
                "sampling_l_min": 0.2,
            },
        ),
        MachineCast(
            name="Dunlin",
            room="Imaging room",
            system="Coaxial, outer fresh gas",
            cases_a_day=(0.7, 2),
            kinds=("scan",),
            facts={
                "oxygen_alarm": "no",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.1,
                "flowmeter_max_l_min": 4.0,
            },
        ),
        MachineCast(
            name="Siskin",
            room="Rodent lab, Mill End",
            system="Four-place mask bench",
            cases_a_day=(0.9, 1),
            kinds=("mice",),
            facts={
                "oxygen_alarm": "no",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.2,
                "flowmeter_max_l_min": 8.0,
                "flow_sd_share": 0.03,
            },
        ),
        MachineCast(
            name="Plover",
            room="Barn",
            system="Circle",
            cases_a_day=(0.35, 1),
            kinds=("pony",),
            facts={
                "oxygen_alarm": "yes",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.5,
                "flowmeter_max_l_min": 15.0,
            },
        ),
        MachineCast(
            name="Curlew",
            room="Barn",
            system="Circle",
            cases_a_day=(0.5, 1),
            kinds=("barn sheep",),
            facts={
                "oxygen_alarm": "no",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.2,
                "flowmeter_max_l_min": 10.0,
            },
        ),
    ),
    stories=(
        Story(
            name="Theatre oxygen manifold",
            kind="manifold",
            room="Cylinder store",
            feeds=("Wren", "Heron"),
            size="J",
            trees=("Oak", "Ash", "Elm", "Beech", "Linden", "Walnut"),
            bank=2,
            back=8,
            step_kpa=5.0 * BAR_KPA,
            facts={"change_over_kpa": 14.0 * BAR_KPA},
        ),
        Story(
            name="Air outlet, theatre 2",
            kind="pipeline",
            room="Theatre 2",
            feeds=("Heron",),
            gas="air",
        ),
        Story(
            name="Reserve air on Heron",
            kind="cylinder",
            room="Theatre 2",
            feeds=("Heron",),
            gas="air",
            size="E",
            trees=("Pear",),
            reserve_of="Air outlet, theatre 2",
        ),
        Story(
            name="Reserve on Wren",
            kind="cylinder",
            room="Theatre 1",
            feeds=("Wren",),
            size="E",
            trees=("Alder",),
            reserve_of="Theatre oxygen manifold",
        ),
        Story(
            name="Reserve on Heron",
            kind="cylinder",
            room="Theatre 2",
            feeds=("Heron",),
            size="E",
            trees=("Rowan",),
            reserve_of="Theatre oxygen manifold",
        ),
        Story(
            name="Nitrous oxide on Heron",
            kind="cylinder",
            room="Theatre 2",
            feeds=("Heron",),
            gas="nitrous oxide",
            size="E",
            trees=("Juniper",),
        ),
        Story(
            name="Portable oxygen on Dunlin",
            kind="cylinder",
            room="Imaging room",
            feeds=("Dunlin",),
            size="E",
            trees=("Holly", "Hornbeam", "Mulberry", "Maple", "Larch", "Poplar", "Birch"),
            leak_l_min=(0.09, 0.16),
            facts={"trapped_ml": 30.0},
        ),
        Story(
            name="Wall oxygen, rodent lab",
            kind="cylinder",
            room="Rodent lab, Mill End",
            feeds=("Siskin",),
            size="G",
            trees=("Willow", "Osier", "Sallow", "Aspen", "Medlar", "Quince", "Damson", "Bullace"),
            class_share=0.01,
            step_kpa=1.0 * BAR_KPA,
            runs_out=True,
        ),
        Story(
            name="Barn oxygen",
            kind="cylinder",
            room="Barn",
            feeds=("Plover",),
            size="J",
            trees=("Cedar", "Cypress"),
            back=12,
            step_kpa=5.0 * BAR_KPA,
        ),
        Story(
            name="Reserve on Dunlin",
            kind="cylinder",
            room="Imaging room",
            feeds=("Dunlin",),
            size="E",
            trees=("Sumac",),
            reserve_of="Portable oxygen on Dunlin",
        ),
        Story(
            name="Reserve, rodent lab",
            kind="cylinder",
            room="Rodent lab, Mill End",
            feeds=("Siskin",),
            size="E",
            trees=("Whitebeam",),
            reserve_of="Wall oxygen, rodent lab",
        ),
        Story(
            name="Reserve on Plover",
            kind="cylinder",
            room="Barn",
            feeds=("Plover",),
            size="E",
            trees=("Elder",),
            reserve_of="Barn oxygen",
        ),
        Story(
            name="Barn concentrator",
            kind="concentrator",
            room="Barn",
            feeds=("Curlew",),
            facts={"flow_limit_l_min": 8.0, "oxygen_fraction": 0.93, "line_gauge_kpa": 60.0},
        ),
        Story(
            name="Reserve on Curlew",
            kind="cylinder",
            room="Barn",
            feeds=("Curlew",),
            size="E",
            trees=("Hazel",),
            reserve_of="Barn concentrator",
        ),
    ),
    stored=(
        ("Spruce", "E", "oxygen", "full"),
        ("Yew", "J", "oxygen", "full"),
        ("Fir", "J", "oxygen", "full"),
        ("Pine", "G", "oxygen", "full"),
        ("Tamarisk", "E", "oxygen", "part_used"),
        ("Laurel", "E", "nitrous oxide", "full"),
        ("Hawthorn", "E", "oxygen", "quarantine"),
        ("Bay", "G", "oxygen", "empty"),
    ),
)

SADDLE = SiteCast(
    name="High Saddle Field Station",
    region="US",
    facts={
        "country": "US",
        "elevation_m": 1900.0,
        "pressure_unit": "psi",
        "temperature_unit": "°F",
        "condition": "70F",
        "gas_colours": "us",
        "storage_code": "nfpa99",
        "temperature_k": 291.15,
        "reserve_kpa": 200.0 * PSI_KPA,
        "begin_kpa": 1000.0 * PSI_KPA,
        "target_mac": 1.2,
    },
    rooms=(
        RoomCast(name="Field theatre", volume_m3=50.0, air_changes_per_h=6.0, climate=_STORE),
        RoomCast(name="Cabin", volume_m3=30.0, air_changes_per_h=3.0, climate=_BARN),
    ),
    machines=(
        MachineCast(
            name="Ptarmigan",
            room="Field theatre",
            system="Circle",
            cases_a_day=(0.6, 1),
            kinds=("goat",),
            facts={
                "oxygen_alarm": "yes",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.2,
                "flowmeter_max_l_min": 10.0,
            },
        ),
        MachineCast(
            name="Dipper",
            room="Cabin",
            system="T-piece",
            cases_a_day=(0.5, 2),
            kinds=("ferret",),
            facts={
                "oxygen_alarm": "no",
                "ventilator": "none",
                "flowmeter_min_l_min": 0.1,
                "flowmeter_max_l_min": 4.0,
            },
        ),
    ),
    stories=(
        Story(
            name="Field theatre oxygen",
            kind="cylinder",
            room="Field theatre",
            feeds=("Ptarmigan",),
            size="H",
            trees=("Tamarack", "Sequoia"),
            back=10,
            full_scale_kpa=3000.0 * PSI_KPA,
            step_kpa=50.0 * PSI_KPA,
            change_below_kpa=300.0 * PSI_KPA,
        ),
        Story(
            name="Portable oxygen on Dipper",
            kind="cylinder",
            room="Cabin",
            feeds=("Dipper",),
            size="E",
            trees=("Madrone", "Manzanita", "Hemlock", "Redbud"),
            full_scale_kpa=3000.0 * PSI_KPA,
            step_kpa=50.0 * PSI_KPA,
            change_below_kpa=300.0 * PSI_KPA,
        ),
        Story(
            name="Reserve on Ptarmigan",
            kind="cylinder",
            room="Field theatre",
            feeds=("Ptarmigan",),
            size="E",
            trees=("Basswood",),
            reserve_of="Field theatre oxygen",
            full_scale_kpa=3000.0 * PSI_KPA,
            step_kpa=50.0 * PSI_KPA,
        ),
        Story(
            name="Reserve on Dipper",
            kind="cylinder",
            room="Cabin",
            feeds=("Dipper",),
            size="E",
            trees=("Dogwood",),
            reserve_of="Portable oxygen on Dipper",
            full_scale_kpa=3000.0 * PSI_KPA,
            step_kpa=50.0 * PSI_KPA,
        ),
    ),
    stored=(
        ("Cottonwood", "H", "oxygen", "full"),
        ("Buckeye", "E", "oxygen", "full"),
    ),
)
