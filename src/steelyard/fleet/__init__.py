"""Fleets: sweeps and matches in parts, on this machine or a cluster."""
