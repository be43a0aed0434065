"""Units, typed figures and the systems they are shown in.

A figure whose unit is unclear is refused or asked back, never guessed.
"""
