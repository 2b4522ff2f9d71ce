"""Measured figures beside bare anchors of the same run; see ``__main__``."""
