"""Words of the day pages."""
