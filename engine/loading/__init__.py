"""From YAML text to the checked knowledge: the one gate, and all that is wrong told at once."""

__all__: list[str] = []
