"""What proves an edit of the knowledge: why a call came out so, what an edit moved, what drawn pools make of it."""
