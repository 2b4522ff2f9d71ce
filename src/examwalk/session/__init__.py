"""The session: one visit, what was found and what was decided."""
