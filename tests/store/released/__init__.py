"""Books as each released schema wrote them, kept as SQL text; they must open in the newest.

`python -m tests.store.released` writes the newest schema's file, before it is released; a file of a schema
that people have books of is never written again.
"""
