"""Typed text to meaning; pure.

`replies` reads a reply to one question, `facts` a free line by the catalogue's words, `names` what a line names.
`keywords`, `lexicon`, `numbers`, `matching` and `normalize` serve them.
"""
