"""Searches over designs: find, retune, size, tolerance."""
