"""The yarn: counts, twist, cloth and winding."""
