"""Numbers only: lengths, tubes, cuts, bends. No files, no screen, no printing."""
