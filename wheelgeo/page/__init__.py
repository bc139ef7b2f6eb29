"""The bench page: a wheel seen, measured, changed, mended and sent to the bench in a browser."""
