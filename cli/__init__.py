"""The commands of wheelgeo: thin, each computes through the library and prints."""
