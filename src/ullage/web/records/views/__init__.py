"""Views of the records app."""
