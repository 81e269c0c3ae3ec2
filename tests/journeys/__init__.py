"""Whole jobs in a real Chromium."""
