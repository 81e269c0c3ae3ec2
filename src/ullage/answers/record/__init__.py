"""The record of a case: variables, lines, the chain that binds them, and what it comes to."""
