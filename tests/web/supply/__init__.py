"""Tests of the pages and services about supplies."""
