"""A later note held against what is on file: matched, compared field by field, laid over, answers offered."""
