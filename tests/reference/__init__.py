"""Tests of the reference room."""
