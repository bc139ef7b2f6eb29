"""Findings: one rule, one small function, one line in a table of rules."""
