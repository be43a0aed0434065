"""Free lines to facts, as a careful listener notes them down; pure.

`listener` puts it together: `words` cuts a line, `phrasebook` holds what people say and `library` keeps it, `phrase`
finds one saying, `clauses` tells doubt, question, past and denial, `certainty` weighs whether an answer is meant,
`guesses` offers what may be meant by `likelihood`.
"""
