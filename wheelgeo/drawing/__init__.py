"""The drive as pictures: what there is to draw, seen from a side, with its marks and labels."""
