"""Vehicles with trailers: which belong together, why, what would help; why two trailers differ."""
