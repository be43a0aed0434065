"""Lines as people type them, and how well they are understood."""
