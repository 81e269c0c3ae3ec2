"""The engine beside published studies: every row, hit or miss, and what they come to."""

from ullage.answers.comparisons.kit import Kit, Mechanism
from ullage.answers.comparisons.table import (
    GROUPS,
    compared,
    left_out,
    score,
    scores_without,
    values_of,
)
from ullage.answers.comparisons.things import Compared, Kind, Mark, Score
from ullage.answers.comparisons.waking_rows import waking_thresholds

__all__ = [
    "GROUPS",
    "Compared",
    "Kind",
    "Kit",
    "Mark",
    "Mechanism",
    "Score",
    "compared",
    "left_out",
    "score",
    "scores_without",
    "values_of",
    "waking_thresholds",
]
