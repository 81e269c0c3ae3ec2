"""Pages of what is in store."""
