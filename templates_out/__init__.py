"""Drawings of what the shop needs, and the writers that put them on paper and into files."""
