"""Weighings kept: stored whole or not at all, listed, compared, and what changed over a season."""
