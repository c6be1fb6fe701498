"""Stability of vehicle and trailer: linear answers, what moves them, simulation in time."""
