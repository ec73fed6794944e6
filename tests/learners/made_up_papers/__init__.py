"""A paper with one question of each kind, found like the kit's own; never handed out."""
