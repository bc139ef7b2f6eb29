"""What goes to the bench: outlines, drawings, tables, solids, the shop sheet."""
