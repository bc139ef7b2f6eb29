"""Grooves, band paths and clearances: pure mathematics of shapes."""
