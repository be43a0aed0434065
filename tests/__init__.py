"""The tests; a package, so that no installed library of this name can stand before it."""
