"""Values that are common at a step, each a tile to touch: quicker than keys, never chosen before.

A tile writes its words into the empty field beside it; the person still looks, touches and saves.
"""

from collections.abc import Mapping

from ullage.answers.checks import MeasureKind

__all__ = ["TILES"]

#: Kind of a step and its field -> what stands on the tiles, in the unit that the field shows.
TILES: Mapping[tuple[MeasureKind, str], tuple[str, ...]] = {
    (MeasureKind.LEAK, "held_kpa"): ("20", "25", "30"),
    (MeasureKind.LEAK, "held_flow_l_min"): ("0", "50", "100", "150", "200", "250", "300", "400"),
    (MeasureKind.SUCTION_BULB, "flat_off_min"): ("5", "10", "15", "30"),
    (MeasureKind.SUCTION_BULB, "flat_on_min"): ("5", "10", "15", "30"),
    (MeasureKind.OXYGEN_ANALYSER, "air_fraction"): ("19", "20", "21", "22", "23"),
    (MeasureKind.OXYGEN_ANALYSER, "oxygen_fraction"): ("88", "92", "95", "97", "99", "100"),
    (MeasureKind.RELIEF_VALVE, "open_kpa"): ("0", "1", "2", "3", "5"),
    (MeasureKind.SCAVENGING, "still_kpa"): ("-1", "0", "1"),
    (MeasureKind.SCAVENGING, "flush_kpa"): ("2", "5", "8", "12"),
}
