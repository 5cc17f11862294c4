"""The words that go with a transfer bundle, for a reader who has never seen tickover."""

from __future__ import annotations

from tickover.workshop.logbook import records
from tickover.workshop.people import queries as people
from tickover.workshop.register.models import Engine

_TEXT = """\
{name}, serial {serial}
{line}

These are the records that {workshop} kept of this engine, up to journal entry
{sequence} of {at}.

logbook.pdf       The whole history, to read. Known, estimated and unknown
                  are kept apart.
releases/         Every release to service, as it was signed.
records/          Every record as a table, twice: .json for programs, .csv for
                  a spreadsheet (UTF-8, comma, the first line names the columns).
                  "entry" is the record's number in the journal; a column that
                  ends in "_entry" is the number of the record it refers to.
                  Instruments are those that this engine was measured with.
                  Hours end in _h, standard deviations in _sd_h; times are UTC.
                  A cell that a spreadsheet would run begins with an apostrophe.
journal.jsonl     The journal entry of each record, one to a line, with its hash
                  and the hash of the entry before it. Other engines' entries lie
                  between them, so the chain itself can be followed only in the
                  workshop. The hash of an entry can be counted again here: it
                  is SHA-256 over the JSON list (RFC 8785) of its sequence, at,
                  actor, kind, subject, body and previous_hash.
photos/           Photos of the engine, its jobs, defects and fault-finding
                  sessions, each under its number in the journal. Those that
                  were withdrawn are listed in records/ only.
evidence.sha256   Track logs, run-ups and other files that were read, by
                  SHA-256 and name. The files are kept by the workshop: ask for
                  them, and compare them with this list:
                      sha256sum -c evidence.sha256
MANIFEST.sha256   SHA-256 of every other file in this bundle. Check it with
                      sha256sum -c MANIFEST.sha256

A record shows what was entered, not what nobody wrote down. A total of hours is
no warranty. Look at the engine, and ask the workshop about what is stated as not
known. What an authority asks for at a sale is for that authority to say.
"""

_LEFT_OUT = """
A job is open in which a step waits for its second reading. Until that is in, the
first reading is not shown anywhere: {count} record{s} of it {are} left out here. Ask
for this bundle again when the job has ended.
"""


def read_me(engine: Engine, *, left_out: int = 0) -> str:
    """README.txt of a bundle. `left_out`: records that wait for the second reading of a step."""
    last = records.last_entry(engine)
    plural = {"s": "", "are": "is"} if left_out == 1 else {"s": "s", "are": "are"}
    sentence = _LEFT_OUT.format(count=left_out, **plural) if left_out else ""
    return (
        sentence.lstrip("\n")
        + "\n" * bool(sentence)
        + _TEXT.format(
            name=engine.name,
            serial=engine.serial,
            line="=" * len(f"{engine.name}, serial {engine.serial}"),
            workshop=people.the_workshop().name,
            sequence=last.sequence,
            at=last.at,
        )
    )
