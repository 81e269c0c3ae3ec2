"""Breathing systems and phases by the names that people use."""

from enum import StrEnum

from ullage.core.errors import UnknownReference

__all__ = ["NO_BAND", "BreathingSystem", "FlowPhase", "system_named"]


class BreathingSystem(StrEnum):
    """Breathing systems by the name that people use; those of one behaviour share one name."""

    NOSE_CONE = "nose cone"
    T_PIECE = "T-piece"
    MINI_A = "mini parallel A"
    COAXIAL_D = "coaxial D"
    MAPLESON_A = "Mapleson A"
    MAPLESON_B = "Mapleson B"
    MAPLESON_C = "Mapleson C"
    CIRCLE = "circle"
    LARGE_CIRCLE = "large-animal circle"
    CHAMBER = "induction chamber"

    @property
    def rebreathes(self) -> bool:
        """True where an absorber takes carbon dioxide out, so that gas is breathed again."""
        return self in {BreathingSystem.CIRCLE, BreathingSystem.LARGE_CIRCLE}

    @property
    def is_a(self) -> bool:
        """True where no flow serves while a machine or a hand breathes."""
        return self in {BreathingSystem.MAPLESON_A, BreathingSystem.MINI_A}

    @property
    def key(self) -> str:
        """The name of its rows in the reference data."""
        return _KEYS[self]


_KEYS = {
    BreathingSystem.NOSE_CONE: "nose_cone",
    BreathingSystem.T_PIECE: "t_piece",
    BreathingSystem.MINI_A: "mini_a",
    BreathingSystem.COAXIAL_D: "coaxial_d",
    BreathingSystem.MAPLESON_A: "mapleson_a",
    BreathingSystem.MAPLESON_B: "mapleson_b",
    BreathingSystem.MAPLESON_C: "mapleson_c",
    BreathingSystem.CIRCLE: "circle",
    BreathingSystem.LARGE_CIRCLE: "large_circle",
    BreathingSystem.CHAMBER: "chamber",
}

#: Other words for the same system.
_ALSO = {
    "nose cone": (
        "nose cones",
        "mask",
        "open mask",
        "face mask",
        "mask manifold",
        "four-place mask bench",
    ),
    "T-piece": ("t piece", "t-piece with bag", "mapleson e", "mapleson f"),
    "coaxial D": ("bain", "mapleson d", "coaxial mapleson d", "coaxial, inner fresh gas"),
    "mini parallel A": ("mini lack", "mini a"),
    "Mapleson A": ("magill", "lack", "coaxial, outer fresh gas"),
    "Mapleson B": (),
    "Mapleson C": ("waters without absorber",),
    "circle": ("paediatric circle", "circle with absorber"),
    "large-animal circle": ("large animal circle",),
    "induction chamber": ("chamber", "box"),
}

#: Systems of which no source says for which weights they are.
NO_BAND = frozenset(
    {BreathingSystem.CHAMBER, BreathingSystem.MAPLESON_B, BreathingSystem.MAPLESON_C}
)


class FlowPhase(StrEnum):
    """Phases of a case as far as fresh gas goes."""

    START = "start"
    HOLD = "hold"
    WAKING = "waking"

    @property
    def words(self) -> str:
        """The phase in words."""
        return {"start": "to begin with", "hold": "to hold", "waking": "for waking"}[self.value]


def system_named(written: str) -> BreathingSystem:
    """The breathing system that a word means.

    Raises
    ------
    UnknownReference : a word that names none; the sentence lists those there are.

    >>> system_named("Bain").value, system_named("nose cones").value
    ('coaxial D', 'nose cone')
    """
    asked = written.strip().lower()
    for one in BreathingSystem:
        if asked in {one.value.lower(), *_ALSO[one.value]}:
            return one
    known = ", ".join(BreathingSystem)
    raise UnknownReference(f"No breathing system {written!r}. Systems: {known}.")
