"""What the commands share: which folders and language a line settles, its help, its refusals, and where papers go.

`context` is what a command line settles for all commands; `output` writes every paper.
`startup` loads the knowledge.
"""
