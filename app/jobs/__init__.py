"""Work that needs no window: from what was asked for to files."""
