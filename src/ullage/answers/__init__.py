"""Things as they stand in the room turned into answers."""

from ullage.answers.answer import CAUTION_LINE, Answer, Step, Verdict, View, WhereFrom

__all__ = ["CAUTION_LINE", "Answer", "Step", "Verdict", "View", "WhereFrom"]
