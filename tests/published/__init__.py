"""Values that others printed, each beside its source and at its own tolerance."""
