"""Carbon dioxide and rebreathing where no absorber takes it away: Mapleson D, E and F.

All flows and volumes are litres of the lung (warm, moist, ambient pressure), carbon dioxide too;
fractions are of dry gas, so that the partial pressure is fraction x (ambient - water vapour).
"""

from collections import deque
from dataclasses import dataclass
from math import exp, expm1, pi, sin

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import SolveFailed

__all__ = [
    "Breath",
    "Rebreathed",
    "co2_completely_mixed_fraction",
    "co2_floor_fraction",
    "co2_mixed_expired_fraction",
    "fresh_gas_without_rebreathing_l_min",
    "rebreathed",
]

#: Steps in which gas moves in one inspiration and in one expiration, and breaths to a steady state.
_STEPS, _BREATHS = 60, 150

#: Functional residual capacity in tidal volumes: it sets only how fast the state is reached.
_LUNG_BREATHS = 8.0


def co2_mixed_expired_fraction(
    co2_output_l_min: float,
    fresh_gas_l_min: float,
    minute_volume_l_min: float,
    alveolar_l_min: float,
) -> float:
    """Alveolar carbon dioxide in a ventilated Mapleson D whose overflow is mixed expired gas.

    Parameters
    ----------
    co2_output_l_min : [L/min] carbon dioxide made, 0 or more.
    fresh_gas_l_min : [L/min] above 0; more than the minute volume changes nothing.
    minute_volume_l_min : [L/min] above 0.
    alveolar_l_min : [L/min] of it with physiological dead space taken off, above 0.

    Returns
    -------
    [1] of dry alveolar gas.

    Raises
    ------
    InvalidQuantity : a flow out of range, or alveoli that get more than the whole.

    Source: uptake_base (equation 16).

    >>> round(713 * co2_mixed_expired_fraction(0.254, 5.9, 10.5, 6.8), 1)
    40.1
    """
    not_negative("co2_output_l_min", co2_output_l_min)
    positive("fresh_gas_l_min", fresh_gas_l_min)
    positive("minute_volume_l_min", minute_volume_l_min)
    positive("alveolar_l_min", within("alveolar_l_min", alveolar_l_min, 0.0, minute_volume_l_min))
    through = min(fresh_gas_l_min, minute_volume_l_min)
    return co2_output_l_min * (1 / through + 1 / alveolar_l_min - 1 / minute_volume_l_min)


def co2_completely_mixed_fraction(
    co2_output_l_min: float,
    fresh_gas_l_min: float,
    minute_volume_l_min: float,
    alveolar_l_min: float,
) -> float:
    """Alveolar carbon dioxide in a ventilated Mapleson D whose gas is completely mixed.

    It comes to about half as much again as the other form, further from what was measured.

    Parameters
    ----------
    co2_output_l_min : [L/min] carbon dioxide made, 0 or more.
    fresh_gas_l_min : [L/min] above 0.
    minute_volume_l_min : [L/min] above 0.
    alveolar_l_min : [L/min] of it with physiological dead space taken off, above 0.

    Returns
    -------
    [1] of dry alveolar gas.

    Raises
    ------
    InvalidQuantity : a flow out of range, or alveoli that get more than the whole.

    Source: uptake_memory (equation 17, after Conway and Seeley).

    >>> round(713 * co2_completely_mixed_fraction(0.254, 5.9, 10.5, 6.8), 1)
    62.0
    """
    not_negative("co2_output_l_min", co2_output_l_min)
    positive("fresh_gas_l_min", fresh_gas_l_min)
    positive("minute_volume_l_min", minute_volume_l_min)
    positive("alveolar_l_min", within("alveolar_l_min", alveolar_l_min, 0.0, minute_volume_l_min))
    return -co2_output_l_min / (alveolar_l_min * expm1(-fresh_gas_l_min / minute_volume_l_min))


def co2_floor_fraction(
    co2_output_l_min: float, fresh_gas_l_min: float, alveolar_l_min: float
) -> float:
    """Alveolar carbon dioxide that a system without absorber cannot go below.

    With much fresh gas ventilation limits what leaves, with much ventilation the fresh gas does.

    Parameters
    ----------
    co2_output_l_min : [L/min] carbon dioxide made, 0 or more.
    fresh_gas_l_min : [L/min] above 0.
    alveolar_l_min : [L/min] with physiological dead space taken off, above 0.

    Returns
    -------
    [1] of dry alveolar gas; the true value is at or above it.

    Raises
    ------
    InvalidQuantity : a flow out of range.

    Source: machine_base (section 1.5, flow-limited and ventilation-limited).

    >>> round(713 * co2_floor_fraction(0.3, 10.0, 20.0), 1)
    21.4
    """
    not_negative("co2_output_l_min", co2_output_l_min)
    positive("fresh_gas_l_min", fresh_gas_l_min)
    positive("alveolar_l_min", alveolar_l_min)
    return co2_output_l_min / min(fresh_gas_l_min, alveolar_l_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class Breath:
    """One breath of an animal on a limb that gas fills and leaves in order, last in, first out.

    ``expiration_per_inspiration`` is the second figure of 1:1.5; ``pause_share`` is the part of
    expiration in which nothing moves but fresh gas. A ventilator inspires at a constant flow.
    """

    tidal_l: float
    breaths_per_min: float
    dead_space_l: float
    co2_output_l_min: float
    limb_l: float
    expiration_per_inspiration: float = 1.5
    pause_share: float = 0.05
    ventilated: bool = False

    def __post_init__(self) -> None:
        for name in ("tidal_l", "breaths_per_min", "co2_output_l_min", "limb_l"):
            positive(name, getattr(self, name))
        positive("expiration_per_inspiration", self.expiration_per_inspiration)
        within("dead_space_l", self.dead_space_l, 0.0, 0.99 * self.tidal_l)
        within("pause_share", self.pause_share, 0.0, 0.9)

    @property
    def minute_volume_l_min(self) -> float:
        """[L/min] tidal volume times rate."""
        return self.tidal_l * self.breaths_per_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebreathed:
    """Carbon dioxide of a steady state: in the alveoli, and in the gas breathed in [1]."""

    alveolar_fraction: float
    inspired_fraction: float


def rebreathed(breath: Breath, fresh_gas_l_min: float) -> Rebreathed:
    """Carbon dioxide of an animal that breathes from the open end of a limb, in steady state.

    Parameters
    ----------
    breath : volumes, rate and pattern.
    fresh_gas_l_min : [L/min] above 0, brought beside the animal.

    Raises
    ------
    InvalidQuantity : a flow not above 0.

    Source: uptake_base (section 2.5, plug flow).
    """
    positive("fresh_gas_l_min", fresh_gas_l_min)
    limb = _Limb(breath, fresh_gas_l_min)
    inspired = 0.0
    for _ in range(_BREATHS):
        before = limb.alveolar
        inspired = limb.breathe()
        if abs(limb.alveolar - before) < 1e-9:
            break
    return Rebreathed(alveolar_fraction=limb.alveolar, inspired_fraction=inspired)


def fresh_gas_without_rebreathing_l_min(breath: Breath, limit_fraction: float = 0.001) -> float:
    """Fresh gas at which the carbon dioxide breathed in comes down to a limit.

    Parameters
    ----------
    breath : volumes, rate and pattern.
    limit_fraction : [1] of carbon dioxide that still counts as none, above 0 and below 0.05.

    Returns
    -------
    [L/min] between 0.3 and 8 minute volumes.

    Raises
    ------
    InvalidQuantity : a limit out of range.
    SolveFailed : a limit that no flow in that range reaches.

    Source: uptake_base (section 2.5, plug flow).
    """
    positive("limit_fraction", within("limit_fraction", limit_fraction, 0.0, 0.05))
    low, high = (share * breath.minute_volume_l_min for share in (0.3, 8.0))
    if rebreathed(breath, high).inspired_fraction > limit_fraction:
        raise SolveFailed(f"No fresh gas up to {high:.2f} L/min keeps rebreathing so low.")
    while high - low > 1e-4 * high:
        middle = 0.5 * (low + high)
        if rebreathed(breath, middle).inspired_fraction > limit_fraction:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


class _Limb:
    """Parcels of gas in the limb, from the machine end to the animal, and those in dead space."""

    def __init__(self, breath: Breath, fresh_gas_l_min: float) -> None:
        self.breath, self.fresh = breath, fresh_gas_l_min
        self.minutes = 1.0 / breath.breaths_per_min
        self.inspiration = self.minutes / (1.0 + breath.expiration_per_inspiration)
        expiration = self.minutes - self.inspiration
        self.pause = breath.pause_share * expiration
        self.active = expiration - self.pause
        self.lung = _LUNG_BREATHS * breath.tidal_l
        self.alveolar = 0.05
        self.parcels: deque[tuple[float, float]] = deque()
        self.held = 0.0
        middles = [(k + 0.5) / _STEPS for k in range(_STEPS)]
        drawn = [1.0 if breath.ventilated else sin(pi * at) for at in middles]
        blown = [exp(-3.0 * at) for at in middles]
        self.drawn, self.blown = _scaled(drawn, breath.tidal_l), _scaled(blown, breath.tidal_l)

    def breathe(self) -> float:
        """One breath; the mean fraction of carbon dioxide that was breathed in."""
        taken = [self._inspire(volume) for volume in self.drawn]
        mean = sum(volume * share for volume, share in taken) / self.breath.tidal_l
        dead = self.breath.dead_space_l
        fresh, kept = _split(taken, self.breath.tidal_l - dead)
        carried = dead * self.alveolar + sum(volume * share for volume, share in fresh)
        made = self.breath.co2_output_l_min * self.minutes
        start = self.alveolar * (self.lung - dead)
        self.alveolar = (start + carried + made) / (self.lung + self.breath.tidal_l - dead)
        self._expire(kept)
        return mean

    def _inspire(self, volume: float) -> tuple[float, float]:
        """Fresh gas first, then what lies nearest in the limb; an empty limb gives air without."""
        brought = self.fresh * self.inspiration / _STEPS
        if brought >= volume:
            self._add(brought - volume, 0.0)
            return volume, 0.0
        carried, wanted = 0.0, volume - brought
        while wanted > 0.0 and self.parcels:
            size, share = self.parcels.pop()
            part = min(size, wanted)
            if size > part:
                self.parcels.append((size - part, share))
            self.held -= part
            wanted -= part
            carried += part * share
        return volume, carried / volume

    def _expire(self, dead: list[tuple[float, float]]) -> None:
        """Gas of the dead space leaves first, the last breathed in before the others."""
        brought = self.fresh * self.active / _STEPS
        for volume in self.blown:
            carried, wanted = 0.0, volume
            while wanted > 1e-15 and dead:
                size, share = dead.pop()
                part = min(size, wanted)
                carried += part * share
                wanted -= part
                if size > part:
                    dead.append((size - part, share))
            carried += wanted * self.alveolar
            whole = volume + brought
            self._add(whole, carried / whole)
        self._add(self.fresh * self.pause, 0.0)

    def _add(self, size: float, share: float) -> None:
        """A parcel at the end of the animal; what no longer fits leaves at the machine's."""
        if size <= 0.0:
            return
        self.parcels.append((size, share))
        self.held += size
        while self.held > self.breath.limb_l and self.parcels:
            first, its = self.parcels.popleft()
            over = min(first, self.held - self.breath.limb_l)
            self.held -= over
            if first > over:
                self.parcels.appendleft((first - over, its))
                break


def _scaled(shape: list[float], volume_l: float) -> list[float]:
    whole = sum(shape)
    return [one * volume_l / whole for one in shape]


def _split(
    parcels: list[tuple[float, float]], first_l: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The first litres breathed in, and the rest, which stays in the dead space."""
    before, after, left = [], [], first_l
    for size, share in parcels:
        part = min(size, max(left, 0.0))
        left -= part
        if part > 0.0:
            before.append((part, share))
        if size > part:
            after.append((size - part, share))
    return before, after
