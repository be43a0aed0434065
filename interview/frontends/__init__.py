"""How questions look and replies come in: terminal, plain lines, JSON lines.

Each fulfils `interview.messages.FrontEnd`.
"""
