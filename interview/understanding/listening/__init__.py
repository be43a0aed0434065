"""Free lines to facts, as a careful listener notes them down; pure.

`listener` puts it together: `words` cuts a line, `phrasebook` holds what people say, `phrase` finds one saying,
`clauses` tells doubt, question, past and denial, `figures` and `readings` give each number its check, `guesses` offers
what may be meant.
"""
