"""Typed text to meaning; pure.

`replies` reads a reply to one question, `facts` a free line; `numbers` and `lexicon` serve both.
"""
