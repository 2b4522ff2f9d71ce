"""What leaves the room: the summary as text and as data."""
