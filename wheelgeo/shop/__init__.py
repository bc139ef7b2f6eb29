"""What goes to the bench: outlines, cut files, templates, solids, tables, drawings."""
