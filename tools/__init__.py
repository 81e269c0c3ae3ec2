"""What the Makefile calls."""
