"""The review desk: a small web server for this machine alone, its pages, its style and its scripts.

desk.py         what every page needs: the shop, the ledger, a job as it stands, who is at the desk
guard.py        who may ask at all: Host, Origin, the token of this run; and the headers of every answer
rendering.py    pages/*.html.j2, everything in them escaped
app.py          the routes of all modules, put together
serving.py      the port, the server, its end

Every other module has ``routes(desk, pages)`` and ``PLACES``, and stands in ``app.MODULES``. Nothing is
decided here: what a review may do stands in review.py, what is kept in jobs.py.
"""
