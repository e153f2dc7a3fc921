"""What a restorer says at the bench becomes confirmed part records and papers.

The way of a note, one step a line:

    recording   a file becomes a Recording: kind, length, hash, samples
    hearing     a Recording becomes a Transcript: timed words, two hearings, where they differ
    reading     a Transcript becomes a Draft: parts, decisions, questions, doubts
    review      a Draft and a named person's answers become entries
    ledger      entries are appended, never changed, each holding the hash of the one before
    register    entries, folded, become what stands now
    papers      what stands now becomes the client's update, the parts list and the sheets
"""

__version__ = "0.1.0"
