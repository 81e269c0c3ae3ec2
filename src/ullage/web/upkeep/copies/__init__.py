"""Copies of a whole database: made, read without Django, verified, put into place."""
