"""Typed text to meaning; pure.

`replies` reads a reply to one question, `facts` a free line by the catalogue's words, `names` what a line names.
`completing` goes on with a half-typed line, `slips` proposes what was meant, `readiness` prepares what reads lines.
`keywords`, `lexicon`, `numbers`, `matching` and `normalize` serve them.
"""
