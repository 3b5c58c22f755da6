"""The tables of a description as typed values: what may be written, and nothing else.

The same classes validate a description and give its JSON Schema.
"""
