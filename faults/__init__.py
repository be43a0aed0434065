"""The shipped knowledge: YAML files, no code."""
