"""Addresses for programs: the queue of a tablet, and a record read as JSON."""
