"""The single-track model: its numbers, closed forms and roots."""
