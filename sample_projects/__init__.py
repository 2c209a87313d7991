"""Invented jobs; a package, so that the window finds them wherever it is installed."""
