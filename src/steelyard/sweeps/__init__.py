"""Sweeps: any numbers of a rig varied between two ends, and what comes of it."""
