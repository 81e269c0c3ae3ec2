"""Pages of the cases app."""
