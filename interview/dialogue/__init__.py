"""One interview with a person: what is put, what is taken in, what is said of it.

`manager` is the loop; `state` is what it holds; `requests` does what is wanted beside an answer.
"""
