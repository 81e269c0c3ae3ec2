"""What a cylinder, a tank, a flowmeter and a leak hold or let through."""

from ullage.core.gas.species import C0, C15, CONDITIONS, F70, Gas, ReferenceCondition

__all__ = ["C0", "C15", "CONDITIONS", "F70", "Gas", "ReferenceCondition"]
