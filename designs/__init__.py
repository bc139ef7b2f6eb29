"""The shipped designs, as files of the package ``wheelgeo_designs``."""
