"""Design hand-spinning wheels: pulleys, band paths, spindle speed, twist and the parts to cut."""
