#!/usr/bin/python3
"""ics_check.py PROGRAM RULES CASES... -- read our calendars back with an independent library.

python3-icalendar (Debian) must parse them; every event must have what RFC 5545,
3.6.1 requires, and texts must come back as they were written.
"""
import json
import subprocess
import sys

from icalendar import Calendar


def run(*args):
    return subprocess.run(args, check=True, stdout=subprocess.PIPE).stdout


def check(program, rules, cases):
    common = ["--only-rules", "--rules=" + rules, "--today=2026-07-01", "--ahead=300"]
    raw = run(program, "due", "--format=ics", *common, *cases)
    again = run(program, "due", "--format=ics", *common, *cases)
    rows = [json.loads(line) for line in run(program, "due", "--format=json", *common, *cases).splitlines()]
    assert raw == again, "two exports differ"
    assert b"\n" not in raw.replace(b"\r\n", b""), "a line does not end in CR LF"
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "a line is longer than 75 octets"

    calendar = Calendar.from_ical(raw)
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"], "VCALENDAR lacks VERSION or PRODID"
    events = calendar.walk("VEVENT")
    assert len(events) == len(rows) > 5, "%d events for %d rows" % (len(events), len(rows))
    assert len({e["UID"] for e in events}) == len(events), "UIDs are not unique"
    for event, row in zip(events, rows):
        assert event["DTSTAMP"].dt.tzinfo is not None, "DTSTAMP is not in UTC"
        assert event["DTSTART"].dt.isoformat() == row["day"], "another day"
        assert (event["DTEND"].dt - event["DTSTART"].dt).days >= 1, "an event of no day"
        assert row["case"] in event["SUMMARY"], "the case's name is not whole: %r" % event["SUMMARY"]
        assert row["what"] in event["DESCRIPTION"], "the text is not whole: %r" % event["DESCRIPTION"]
    calendar.to_ical()
    return len(events)


print(check(sys.argv[1], sys.argv[2], sys.argv[3:]), "events read back")
