"""Brakes and grades: load transfer, stopping, pushing, locking, climbing, heat of a descent."""
