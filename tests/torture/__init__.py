"""Visits under kills, failing disks and damaged bytes, with nothing lost; see ``__main__``."""
